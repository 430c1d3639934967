"""The landing map: the ring from above, to scale, with aim, spread and charted points."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import altair as alt
import numpy as np
from numpy.typing import NDArray

from hoopwright.chart.findings import ConditionReading
from hoopwright.records import Landing, ShotSet
from hoopwright.reports import words
from hoopwright.reports.colours import Scheme

#: what a finished picture is
Picture: TypeAlias = alt.LayerChart | alt.FacetChart | alt.VConcatChart
#: an outline: across and along, float64 [point]
Shape: TypeAlias = tuple[NDArray[np.float64], NDArray[np.float64]]
#: drawing side [px]
SIDE = 318
#: what the map shows at least, from ring centre [m]
LEAST_REACH = 0.5
#: radii of the central 50 and 95 % of a two-way normal, in standard deviations:
#: sqrt(−2 ln(1 − share)), the Rayleigh quantile (closed form)
CENTRAL = {50: math.sqrt(-2 * math.log(0.5)), 95: math.sqrt(-2 * math.log(0.05))}
_STEP = alt.Order("step:Q")


@dataclass(frozen=True, slots=True, kw_only=True)
class Equipment:
    """Ring and ball drawn to scale; the defaults are FIBA nominal, size 7."""

    #: inside radius of the ring [m]
    ring_radius: float = 0.2286
    #: radius of the ball [m]
    ball_radius: float = 0.1215


def landing_map(
    reading: ConditionReading,
    sets: Sequence[ShotSet],
    *,
    equipment: Equipment,
    scheme: Scheme,
) -> Picture:
    """Draw the map; up is long (away from the shooter), right is right."""
    points = _points(sets)
    reach = _reach(reading, points)
    outlines = [
        _outline(_circle(equipment.ring_radius), reach=reach, color=scheme.ink, width=4),
        _spread(reading, reach=reach, scheme=scheme, share=95),
        _spread(reading, reach=reach, scheme=scheme, share=50),
    ]
    return alt.layer(
        *outlines,
        *_tapped(points, reach=reach, scheme=scheme),
        *_aim(reading, equipment, reach=reach, scheme=scheme),
        *_sides(reach, scheme=scheme),
    ).properties(width=SIDE, height=SIDE)


def _points(sets: Sequence[ShotSet]) -> list[dict[str, object]]:
    return [
        {
            "across": 100 * shot.landing.across,
            "along": 100 * shot.landing.along,
            "result": "made" if shot.made else "missed",
            "said": _said(shot.landing, shot.made),
        }
        for one in sets
        for shot in one.shots
        if shot.landing is not None
    ]


def _said(landing: Landing, made: bool) -> str:
    along = words.sided(landing.along, "short", "long")
    across = words.sided(landing.across, "left", "right")
    return f"{'made' if made else 'missed'}: {along}, {across}"


def _reach(reading: ConditionReading, points: Sequence[dict[str, object]]) -> float:
    """Return how far from ring centre the map goes, up to twice the least reach [m]."""
    along = abs(reading.aim_along.value) + CENTRAL[95] * reading.spread_along.value
    across = abs(reading.aim_across.value) + CENTRAL[95] * reading.spread_across.value
    far = [abs(float(str(p[key]))) / 100 for p in points for key in ("across", "along")]
    return min(max(LEAST_REACH, along, across, *far) * 1.06, 2 * LEAST_REACH)


def _circle(radius: float) -> Shape:
    turn = np.linspace(0, 2 * np.pi, 73)
    return radius * np.sin(turn), radius * np.cos(turn)


def _axes(reach: float, across: str = "across:Q", along: str = "along:Q") -> tuple[alt.X, alt.Y]:
    scale = alt.Scale(domain=[-100 * reach, 100 * reach], nice=False, clamp=True)
    axis = alt.Axis(grid=False, title=None, tickCount=5, labelExpr="abs(datum.value) + ' cm'")
    return alt.X(across, scale=scale, axis=axis), alt.Y(along, scale=scale, axis=None)


def _outline(shape: Shape, *, reach: float, color: str, width: float) -> alt.Chart:
    x, y = _axes(reach)
    chart = alt.Chart(alt.InlineData(values=_path(shape)))
    drawn: alt.Chart = chart.mark_line(color=color, strokeWidth=width).encode(x=x, y=y, order=_STEP)
    return drawn


def _path(shape: Shape) -> list[dict[str, float]]:
    across, along = shape
    return [
        {"across": round(100 * float(a), 3), "along": round(100 * float(b), 3), "step": float(i)}
        for i, (a, b) in enumerate(zip(across, along, strict=True))
    ]


def _spread(reading: ConditionReading, *, reach: float, scheme: Scheme, share: int) -> alt.Chart:
    across, along = _circle(CENTRAL[share])
    shape = (
        reading.aim_across.value + across * reading.spread_across.value,
        reading.aim_along.value + along * reading.spread_along.value,
    )
    x, y = _axes(reach)
    marked = alt.Chart(alt.InlineData(values=_path(shape))).mark_line(
        filled=True,
        fill=scheme.mark,
        fillOpacity=0.16,
        stroke=scheme.mark,
        strokeWidth=1,
        strokeDash=[4, 3] if share == 95 else [1, 0],
    )
    drawn: alt.Chart = marked.encode(x=x, y=y, order=_STEP)
    return drawn


def _tapped(points: list[dict[str, object]], *, reach: float, scheme: Scheme) -> list[alt.Chart]:
    if not points:
        return []
    x, y = _axes(reach)
    names = ["made", "missed"]
    return [
        alt.Chart(alt.InlineData(values=points))
        .mark_point(size=46, strokeWidth=2, opacity=0.95)
        .encode(
            x=x,
            y=y,
            tooltip=alt.Tooltip("said:N"),
            shape=alt.Shape(
                "result:N",
                scale=alt.Scale(domain=names, range=["circle", "cross"]),
                legend=alt.Legend(title=None, orient="bottom", labelColor=scheme.ink),
            ),
            color=alt.Color(
                "result:N",
                scale=alt.Scale(domain=names, range=[scheme.made, scheme.missed]),
                legend=alt.Legend(title=None, orient="bottom", labelColor=scheme.ink),
            ),
        )
    ]


def _aim(
    reading: ConditionReading, equipment: Equipment, *, reach: float, scheme: Scheme
) -> list[alt.Chart]:
    """Draw the ball at the aim, dashed, and the 80 % range of the aim as a cross of bars."""
    across, along = _circle(equipment.ball_radius)
    ball = _outline(
        (across + reading.aim_across.value, along + reading.aim_along.value),
        reach=reach,
        color=scheme.ink,
        width=1.5,
    )
    x, y = _axes(reach)
    left, short = _axes(reach, "left:Q", "short:Q")
    middle = {
        "across": 100 * reading.aim_across.value,
        "along": 100 * reading.aim_along.value,
        "left": 100 * reading.aim_across.low80,
        "right": 100 * reading.aim_across.high80,
        "short": 100 * reading.aim_along.low80,
        "long": 100 * reading.aim_along.high80,
    }
    base = alt.Chart(alt.InlineData(values=[middle]))
    sideways = base.mark_rule(color=scheme.ink, strokeWidth=3, strokeCap="round").encode(
        y=y, x=left, x2="right:Q"
    )
    upright = base.mark_rule(color=scheme.ink, strokeWidth=3, strokeCap="round").encode(
        x=x, y=short, y2="long:Q"
    )
    dashed = ball.mark_line(color=scheme.ink, strokeWidth=1.5, strokeDash=[5, 4])
    return [dashed, sideways, upright]


def _sides(reach: float, *, scheme: Scheme) -> list[alt.Chart]:
    """Name the four sides, so that nobody has to guess which way is long."""
    edge = 94 * reach
    named: tuple[tuple[str, float, float, Literal["left", "center", "right"]], ...] = (
        ("long (far side)", 0.0, edge, "center"),
        ("short (near side)", 0.0, -edge, "center"),
        ("left", -edge, 0.0, "left"),
        ("right", edge, 0.0, "right"),
    )
    x, y = _axes(reach)
    return [
        alt.Chart(alt.InlineData(values=[{"side": side, "across": across, "along": along}]))
        .mark_text(align=align, color=scheme.muted, fontSize=12)
        .encode(x=x, y=y, text="side:N")
        for side, across, along, align in named
    ]
