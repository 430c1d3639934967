"""Verdicts as pictures: ranges by thickness, told apart without colour, with the numbers beside."""

from collections.abc import Sequence
from typing import TypeAlias

import altair as alt

from hoopwright.records import Estimate
from hoopwright.reports import words
from hoopwright.reports.colours import LIGHT, Scheme
from hoopwright.reports.figures import BARS, Figure, range_bars
from hoopwright.reports.trial_words import Unit, effect, measure_name, unit_of
from hoopwright.trials.nouns import BodyMeasure, Measure, Question, Verdict

#: what is measured, by the name it has in a trial
_Measured: TypeAlias = Measure | BodyMeasure


def verdict_figure(question: Question, verdict: Verdict, *, scheme: Scheme = LIGHT) -> Figure:
    """Draw change minus habit: makes per 100, and the ball's shift in cm, as far as known.

    Parameters
    ----------
    question
        What was asked.
    verdict
        What the shots say so far.
    scheme
        The colours.
    """
    rows = _measured(question, verdict)
    said = [
        (words.opened(measure_name(measure)), effect(found, measure)) for measure, found in rows
    ]
    return Figure(
        name="verdict",
        title=f"Difference: {question.change} against {question.habit}",
        alt=_alt(said),
        table=(("Measure", "Difference"), *said),
        chart=_panels(rows, scheme),
        note=f"{BARS} The line at 0: no difference.",
    )


def _alt(said: Sequence[tuple[str, str]]) -> str:
    return "; ".join(f"{name}: {value}" for name, value in said) + "."


def _measured(question: Question, verdict: Verdict) -> list[tuple[_Measured, Estimate]]:
    found: list[tuple[_Measured, Estimate]] = [(question.measure, verdict.effect.own)]
    others: tuple[tuple[_Measured, Estimate | None], ...] = (
        (Measure.MAKE, verdict.effect.makes_per_100),
        (Measure.ALONG, verdict.effect.along),
        (Measure.ACROSS, verdict.effect.across),
    )
    return found + [
        (measure, estimate)
        for measure, estimate in others
        if estimate is not None and measure is not question.measure
    ]


def _panels(rows: Sequence[tuple[_Measured, Estimate]], scheme: Scheme) -> alt.VConcatChart:
    """Draw one panel for each unit, as makes and centimetres share no axis."""
    panels: dict[Unit, list[tuple[_Measured, Estimate]]] = {}
    for measure, estimate in rows:
        panels.setdefault(unit_of(measure), []).append((measure, estimate))
    drawn = [
        range_bars(
            [
                (_row_name(measure), estimate.scaled(unit.factor), effect(estimate, measure))
                for measure, estimate in some
            ],
            title=unit.axis,
            scheme=scheme,
        )
        for unit, some in panels.items()
    ]
    return alt.vconcat(*drawn, spacing=14)


_ROW_NAMES: dict[Measure, str] = {
    Measure.MAKE: "makes",
    Measure.ALONG: "where it lands|− shorter, + longer",
    Measure.ACROSS: "where it lands|− left, + right",
    Measure.DISTANCE_CONTROL: "distance control|− tighter, + wider",
    Measure.LINE_CONTROL: "line control|− tighter, + wider",
    Measure.ENTRY_ANGLE: "entry angle|− flatter, + steeper",
}


def _row_name(measure: _Measured) -> str:
    return measure.name if isinstance(measure, BodyMeasure) else _ROW_NAMES[measure]


def many_figure(
    rows: Sequence[tuple[str, Estimate]],
    *,
    name: str,
    title: str,
    measure: _Measured,
    scheme: Scheme = LIGHT,
) -> Figure:
    """Draw one difference for each of several players, and for all together.

    Parameters
    ----------
    rows
        What each bar is called, and the difference.
    name, title
        Short name used in addresses, and heading.
    measure
        What was measured.
    scheme
        The colours.
    """
    said = [(who, effect(estimate, measure)) for who, estimate in rows]
    unit = unit_of(measure)
    return Figure(
        name=name,
        title=title,
        alt=_alt(said),
        table=(("Player", "Difference"), *said),
        chart=range_bars(
            [
                (who, estimate.scaled(unit.factor), f"{who}: {value}")
                for (who, estimate), (_, value) in zip(rows, said, strict=True)
            ],
            title=unit.axis,
            scheme=scheme,
        ),
        note=BARS,
    )
