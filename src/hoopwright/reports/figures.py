"""Findings → Altair charts → SVG: each figure with its alt text and the numbers as a table.

One chart object gives both the still picture (SVG, also printed) and, as its specification,
the interactive one. Widths are for a phone; pictures scale up.
"""

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import altair as alt
import vl_convert

from hoopwright.chart.findings import ConditionReading, SpotReading
from hoopwright.records import Estimate, ShotSet
from hoopwright.reports import words
from hoopwright.reports.colours import LIGHT, Scheme
from hoopwright.reports.facts import change_name
from hoopwright.reports.landing_map import Equipment, Picture, landing_map

#: drawing width of every figure, for a phone held upright [px]
WIDTH = 330
#: least distance between two marks, so that both can be seen [m]
MARK_GAP = 0.16
#: least distance between two labels on one side of their marks [m]
LABEL_ROOM = 0.75
BARS = "Thick bar: 5 chances in 10; middle: 8 in 10; thin: 19 in 20."


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One picture of the findings."""

    #: short name, used in addresses
    name: str
    title: str
    #: the same numbers in words, for those who can't see it
    alt: str
    #: heading row, then one row per thing drawn
    table: tuple[tuple[str, ...], ...]
    chart: Picture
    #: how to read the picture, one line
    note: str


def figures_of(
    reading: ConditionReading,
    sets: Sequence[ShotSet] = (),
    *,
    equipment: Equipment | None = None,
    scheme: Scheme = LIGHT,
) -> tuple[Figure, ...]:
    """Draw the four figures of one condition.

    Parameters
    ----------
    reading
        What to draw.
    sets
        The sets read, for the points tapped or measured.
    equipment
        Ring and ball to draw to scale.
    scheme
        The colours.
    """
    gear = equipment or Equipment()
    return (
        landing_figure(reading, sets, equipment=gear, scheme=scheme),
        measures_figure(reading, scheme=scheme),
        distance_figure(reading, scheme=scheme),
        worth_figure(reading, scheme=scheme),
    )


def svg(chart: Picture, scheme: Scheme = LIGHT) -> str:
    """Return the still picture."""
    return str(vl_convert.vegalite_to_svg(specification(chart, scheme), vl_version="6.4"))


def specification(chart: Picture, scheme: Scheme = LIGHT) -> dict[str, Any]:
    """Return the Vega-Lite specification with our look, as plain data."""
    plain: dict[str, Any] = json.loads(chart.to_json())
    return plain | {"config": _look(scheme), "background": scheme.ground}


def _look(scheme: Scheme) -> Mapping[str, object]:
    axis = {
        "labelColor": scheme.muted,
        "titleColor": scheme.muted,
        "domainColor": scheme.line,
        "tickColor": scheme.line,
        "gridColor": scheme.line,
        "labelFontSize": 12,
        "titleFontSize": 12,
        "titleFontWeight": "normal",
        "labelLimit": 180,
    }
    return {
        "font": "sans-serif",
        "axis": axis,
        "view": {"stroke": None},
        "text": {"color": scheme.ink, "fontSize": 12},
        "padding": 6,
    }


def landing_figure(
    reading: ConditionReading,
    sets: Sequence[ShotSet],
    *,
    equipment: Equipment,
    scheme: Scheme,
) -> Figure:
    """Draw where the shots cross the ring plane."""
    along = words.centred(reading.aim_along, "short", "long")
    across = words.centred(reading.aim_across, "left", "right")
    spread_along, spread_across = (
        words.width(reading.spread_along),
        words.width(reading.spread_across),
    )
    points = sum(shot.landing is not None for one in sets for shot in one.shots)
    said = f", with {words.plural(points, 'tapped point')}" if points else ""
    return Figure(
        name="landing",
        title="Landing map",
        alt=(
            f"The ring from above, to scale{said}. Aim: {along}; {across}. "
            f"Spread along {spread_along}, across {spread_across}."
        ),
        table=(
            ("At the ring", "Along", "Across"),
            ("Aim", along, across),
            ("Spread", spread_along, spread_across),
        ),
        chart=landing_map(reading, sets, equipment=equipment, scheme=scheme),
        note="Dark oval: half of the shots; pale oval: 19 of 20. Dashed: the ball at the aim; "
        "the cross on it: the aim's likely range.",
    )


def range_bars(rows: Sequence[tuple[str, Estimate, str]], *, title: str, scheme: Scheme) -> Picture:
    """Draw one bar per row: 95 % thin, 80 % middle, 50 % thick, and a dot at the value.

    Parameters
    ----------
    rows
        Name (a bar breaks it in two lines), estimate, and what pointing at it says.
    title
        Of the axis, with its unit.
    scheme
        The colours.
    """
    data = [{"row": name, "said": said} | _ends(estimate) for name, estimate, said in rows]
    base = alt.Chart(alt.InlineData(values=data), width=WIDTH - 134, height=44 * len(rows))
    # room for a viewer whose sans-serif letters are wider than those the layout was made with
    axis = alt.Axis(
        title=None, labelExpr="split(datum.label, '|')", ticks=False, domain=False, minExtent=128
    )
    row = alt.Y("row:N", sort=[name for name, _, _ in rows], axis=axis)
    layers = [
        base.mark_rule(strokeWidth=width, color=scheme.mark, opacity=opacity).encode(
            y=row,
            x=alt.X(f"low{level}:Q", title=title, scale=alt.Scale(zero=True, nice=True)),
            x2=f"high{level}:Q",
            tooltip=alt.Tooltip("said:N"),
        )
        for level, width, opacity in ((95, 3, 0.55), (80, 8, 0.45), (50, 14, 0.55))
    ]
    dot = base.mark_point(
        shape="diamond", size=90, filled=True, color=scheme.ground, stroke=scheme.ink, opacity=1
    ).encode(y=row, x="value:Q", tooltip=alt.Tooltip("said:N"))
    rule = (
        alt.Chart(alt.InlineData(values=[{"x": 0}]))
        .mark_rule(color=scheme.ink, strokeWidth=1)
        .encode(x="x:Q")
    )
    return alt.layer(rule, *layers, dot)


def _ends(estimate: Estimate) -> dict[str, float]:
    names = ("value", "low50", "high50", "low80", "high80", "low95", "high95")
    return {name: round(getattr(estimate, name), 4) for name in names}


def measures_figure(reading: ConditionReading, *, scheme: Scheme) -> Figure:
    """Draw aim and spread with their ranges, in centimetres."""
    rows = (
        ("aim along|− short, + long", reading.aim_along),
        ("aim across|− left, + right", reading.aim_across),
        ("spread along|distance control", reading.spread_along),
        ("spread across|line control", reading.spread_across),
    )
    said = (
        ("Aim along", words.centred(reading.aim_along, "short", "long")),
        ("Aim across", words.centred(reading.aim_across, "left", "right")),
        ("Spread along (distance control)", words.width(reading.spread_along)),
        ("Spread across (line control)", words.width(reading.spread_across)),
    )
    return Figure(
        name="measures",
        title="Aim and spread",
        alt="; ".join(f"{name}: {value}" for name, value in said) + ".",
        table=(("Measure", "Centimetres"), *said),
        chart=range_bars(
            [
                (row, estimate.scaled(100.0), f"{name}: {value}")
                for (row, estimate), (name, value) in zip(rows, said, strict=True)
            ],
            title="cm at the ring plane",
            scheme=scheme,
        ),
        note=BARS,
    )


def worth_figure(reading: ConditionReading, *, scheme: Scheme) -> Figure:
    """Draw what each change would bring, best first."""
    rows = [(change_name(worth), worth.makes_per_100) for worth in reading.worth]
    said = [(name, words.gain(estimate)) for name, estimate in rows]
    return Figure(
        name="worth",
        title="Worth of each change",
        alt="; ".join(f"{name}: {value}" for name, value in said) + ".",
        table=(("Change", "Worth"), *said),
        chart=range_bars(
            [
                (_folded(name), estimate, f"{name}: {words.gain(estimate)}")
                for name, estimate in rows
            ],
            title="makes gained per 100 shots",
            scheme=scheme,
        ),
        note=BARS,
    )


def _folded(name: str) -> str:
    """Break a long row name in two near its middle, at a space."""
    if len(name) < 18:
        return name
    spaces = [i for i, letter in enumerate(name) if letter == " "]
    cut = min(spaces, key=lambda i: abs(i - len(name) / 2))
    return f"{name[:cut]}|{name[cut + 1 :]}"


def distance_figure(reading: ConditionReading, *, scheme: Scheme) -> Figure:
    """Draw expected makes against distance, and what was seen at each spot."""
    curve = [
        {"distance": one.distance} | _ends(one.expected.scaled(100.0))
        for one in reading.distances
        if math.isfinite(one.expected.value)
    ]
    seen = _side_by_side(reading.spots)
    said = [
        (
            one.spot.name,
            f"{one.spot.distance:.1f} m",
            f"{one.made} of {one.shots}",
            words.of_ten(one.expected),
        )
        for one in reading.spots
    ]
    spoken = "; ".join(
        f"{spot} ({far}): {count} made, expected {ten}" for spot, far, count, ten in said
    )
    return Figure(
        name="distance",
        title="Expected makes by distance",
        alt=f"Expected makes per 100 straight in front, falling with distance. {spoken}.",
        table=(("Spot", "Distance", "Made", "Expected"), *said),
        chart=alt.layer(*_bands(curve, scheme=scheme), *_observed(seen, scheme=scheme)),
        note="Bands: 5 chances in 10, 8 in 10, 19 in 20, straight in front. Rings: made of shots "
        "charted at each spot, with the likely range.",
    )


def _side_by_side(spots: Sequence[SpotReading]) -> list[dict[str, object]]:
    """Return what was seen at each spot; marks at one distance are moved apart a little.

    A mark is labelled where there is room above or below; the table names them all.
    """
    rows: list[dict[str, object]] = []
    last, room = -MARK_GAP, {"above": -LABEL_ROOM, "below": -LABEL_ROOM}
    for one in sorted(spots, key=lambda spot: spot.spot.distance):
        last = max(one.spot.distance, last + MARK_GAP)
        side = next((s for s, taken in room.items() if last >= taken + LABEL_ROOM), "")
        if side:
            room[side] = last
        row = {
            "distance": last,
            "counts": f"{one.made}/{one.shots}",
            "said": f"{one.spot.name}: {one.made} of {one.shots} made",
            "side": side,
        }
        rows.append(row | _ends(one.observed.scaled(100.0)))
    return rows


def _bands(curve: list[dict[str, float]], *, scheme: Scheme) -> list[alt.Chart]:
    base = alt.Chart(alt.InlineData(values=curve), width=WIDTH - 60, height=220)
    x = alt.X(
        "distance:Q", title="distance to ring centre, m", scale=alt.Scale(zero=False, nice=False)
    )
    bands = [
        base.mark_area(color=scheme.mark, opacity=opacity, interpolate="monotone").encode(
            x=x,
            y=alt.Y(
                f"low{level}:Q",
                title="makes per 100",
                scale=alt.Scale(domain=[0, 100], clamp=True),
            ),
            y2=f"high{level}:Q",
        )
        for level, opacity in ((95, 0.14), (80, 0.2), (50, 0.28))
    ]
    line = base.mark_line(color=scheme.mark, strokeWidth=2, interpolate="monotone").encode(
        x=x, y="value:Q"
    )
    return [*bands, line]


def _observed(seen: list[dict[str, object]], *, scheme: Scheme) -> list[alt.Chart]:
    base = alt.Chart(alt.InlineData(values=seen))
    bars = base.mark_rule(color=scheme.ink, strokeWidth=1.5).encode(
        x="distance:Q", y="low80:Q", y2="high80:Q"
    )
    dots = base.mark_point(
        shape="circle", size=70, filled=True, fill=scheme.ground, stroke=scheme.ink, opacity=1
    ).encode(x="distance:Q", y="value:Q", tooltip=alt.Tooltip("said:N"))
    labels = [_labels(seen, side, scheme=scheme) for side in ("above", "below")]
    return [bars, dots, *(label for label in labels if label is not None)]


def _labels(seen: list[dict[str, object]], side: str, *, scheme: Scheme) -> alt.Chart | None:
    """Label the marks that have their label on this side; None where there are none."""
    rows = [row for row in seen if row["side"] == side]
    if not rows:
        return None
    chart = alt.Chart(alt.InlineData(values=rows))
    text = chart.mark_text(dy=-9 if side == "above" else 10, fontSize=11, color=scheme.ink)
    end = "high80:Q" if side == "above" else "low80:Q"
    placed: alt.Chart = text.encode(x="distance:Q", y=end, text="counts:N")
    return placed
