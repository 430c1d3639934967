"""One line through the cold tests of a place, with its range, changes, dips and later tests."""

from collections.abc import Sequence
from datetime import date, timedelta

import altair as alt

from hoopwright.records import Estimate
from hoopwright.reports.colours import LIGHT, Scheme
from hoopwright.reports.figures import WIDTH, Figure
from hoopwright.reports.progress_facts import line_facts, said_date
from hoopwright.transfer.nouns import TestKind
from hoopwright.transfer.progress import ChangeShown, Dip, PlaceLine

HEIGHT = 230
#: most days that are labelled
MOST_LABELS = 5
_DAY = timedelta(days=1)
NOTE = (
    "Line and bands: the level, 8 chances in 10 and 19 in 20. Ring: a cold test; diamond: a "
    "retention test; triangle: a transfer test. Dashed: from here on another level. Grey: a dip "
    "that was announced."
)
_SHAPES = {TestKind.COLD: "circle", TestKind.RETENTION: "diamond", TestKind.TRANSFER: "triangle-up"}


def progress_figure(line: PlaceLine, *, name: str, scheme: Scheme = LIGHT) -> Figure:
    """Draw the progress of one place.

    Parameters
    ----------
    line
        What to draw; it has one point at least.
    name
        Short name, used in addresses.
    scheme
        The colours.
    """
    facts = line_facts(line)
    span = _span(line)
    axis = _Axis(span, sorted({p.day for p in line.points} | {m.test.day for m in line.marks}))
    layers = [
        *_dips(line.dips, span, axis=axis, scheme=scheme),
        *_bands(line, axis=axis, scheme=scheme),
        *_turns(line.changes, axis=axis, scheme=scheme),
        _dots(line, axis=axis, scheme=scheme),
    ]
    return Figure(
        name=name,
        title=f"Progress: {facts.place.lower()}",
        alt=f"Makes of 100 over the days. {facts.now} {' '.join(facts.sentences)}",
        table=facts.table,
        chart=alt.layer(*layers).properties(width=WIDTH - 60, height=HEIGHT),
        note=NOTE,
    )


def _span(line: PlaceLine) -> tuple[date, date]:
    days = [p.day for p in line.points] + [m.test.day for m in line.marks]
    return min(days), max(days)


class _Axis:
    """The days, a day wider at both ends than the tests; labels only where a test was."""

    def __init__(self, span: tuple[date, date], days: Sequence[date]) -> None:
        ends = [span[0] - _DAY, span[1] + _DAY]
        step = max(1, -(-len(days) // MOST_LABELS))
        self._scale = alt.Scale(domain=[_at(day) for day in ends], nice=False)
        self._axis = alt.Axis(
            title=None, format="%-d %b", labelOverlap=True,
            values=[_at(day) for day in days[::step]],
        )  # fmt: skip

    def x(self, field: str) -> alt.X:
        """Return the encoding of a field that holds days as ``_text`` writes them."""
        return alt.X(f"{field}:T", axis=self._axis, scale=self._scale)


def _at(day: date) -> alt.DateTime:
    return alt.DateTime(year=day.year, month=day.month, date=day.day)


def _text(day: date) -> str:
    """Return a day for the drawing; with its midnight, as a bare day is read in universal time."""
    return f"{day.isoformat()}T00:00:00"


def _y(field: str) -> alt.Y:
    return alt.Y(f"{field}:Q", title="makes of 100", scale=alt.Scale(domain=[0, 100], clamp=True))


def _bands(line: PlaceLine, *, axis: _Axis, scheme: Scheme) -> list[alt.Chart]:
    rows = [{"day": _text(p.day)} | _ends(p.level) for p in line.points]
    base = alt.Chart(alt.InlineData(values=rows))
    bands = [
        base.mark_area(color=scheme.mark, opacity=opacity).encode(
            x=axis.x("day"), y=_y(f"low{level}"), y2=f"high{level}:Q"
        )
        for level, opacity in ((95, 0.16), (80, 0.26))
    ]
    middle = base.mark_line(color=scheme.mark, strokeWidth=2).encode(x=axis.x("day"), y=_y("value"))
    if len({p.day for p in line.points}) > 1:
        return [*bands, middle]
    # an area of one day has no width
    bars = [
        base.mark_rule(color=scheme.mark, strokeWidth=width).encode(
            x=axis.x("day"), y=_y(f"low{level}"), y2=f"high{level}:Q"
        )
        for level, width in ((95, 2), (80, 7))
    ]
    return bars


def _ends(level: Estimate) -> dict[str, float]:
    names = ("value", "low80", "high80", "low95", "high95")
    return {name: round(100 * getattr(level, name), 2) for name in names}


def _dots(line: PlaceLine, *, axis: _Axis, scheme: Scheme) -> alt.Chart:
    marked = [one.test for one in line.marks]
    retained = {(t.day, t.attempts, t.made) for t in marked}
    cold = [
        _row(p.day, p.attempts, p.made, TestKind.COLD)
        for p in line.points
        if (p.day, p.attempts, p.made) not in retained
    ]
    rows = cold + [_row(t.day, t.attempts, t.made, t.kind) for t in marked]
    kinds = [kind for kind in TestKind if any(row["kind"] == kind.value for row in rows)]
    shape = alt.Shape(
        "kind:N",
        scale=alt.Scale(domain=[k.value for k in kinds], range=[_SHAPES[k] for k in kinds]),
        legend=alt.Legend(title=None, orient="bottom") if len(kinds) > 1 else None,
    )
    dots: alt.Chart = (
        alt.Chart(alt.InlineData(values=rows))
        .mark_point(size=75, filled=True, fill=scheme.ground, stroke=scheme.ink, opacity=1)
        .encode(x=axis.x("day"), y=_y("share"), shape=shape, tooltip=alt.Tooltip("said:N"))
    )
    return dots


def _row(day: date, attempts: int, made: int, kind: TestKind) -> dict[str, object]:
    said = f"{kind.value}, {said_date(day)}: {made} of {attempts}"
    share = round(100 * made / attempts, 2)
    return {"day": _text(day), "share": share, "kind": kind.value, "said": said}


def _turns(changes: Sequence[ChangeShown], *, axis: _Axis, scheme: Scheme) -> list[alt.Chart]:
    if not changes:
        return []
    rows = [{"day": _text(one.day), "said": f"from {said_date(one.day)}"} for one in changes]
    rules: alt.Chart = (
        alt.Chart(alt.InlineData(values=rows))
        .mark_rule(color=scheme.ink, strokeDash=[5, 4], strokeWidth=1.5)
        .encode(x=axis.x("day"), tooltip=alt.Tooltip("said:N"))
    )
    return [rules]


def _dips(
    dips: Sequence[Dip], span: tuple[date, date], *, axis: _Axis, scheme: Scheme
) -> list[alt.Chart]:
    """Shade the announced windows, as far as they lie among the tests."""
    rows = [
        {
            "from": _text(max(one.change.day, span[0] - _DAY)),
            "to": _text(min(one.until + _DAY, span[1] + _DAY)),
        }
        for one in dips
        if one.change.day <= span[1] and one.until >= span[0]
    ]
    if not rows:
        return []
    shade: alt.Chart = (
        alt.Chart(alt.InlineData(values=rows))
        .mark_rect(color=scheme.line, opacity=0.5)
        .encode(x=axis.x("from"), x2="to:T")
    )
    return [shade]
