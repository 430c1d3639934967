"""The ONE thing to work on: what a trial decided first, then what the findings weigh highest."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from hoopwright.chart.findings import Change, ConditionReading, Lean, Worth
from hoopwright.plans.nouns import Focus, FocusFrom, FocusKind
from hoopwright.trials.nouns import Measure, Question, Said, Topic, Verdict

#: a change is proposed only where it is this sure to gain anything
SURE_GAIN = 0.8

_KINDS = {
    Change.AIM_ALONG: FocusKind.AIM_ALONG,
    Change.AIM_ACROSS: FocusKind.AIM_ACROSS,
    Change.DISTANCE_CONTROL: FocusKind.DISTANCE_CONTROL,
    Change.LINE_CONTROL: FocusKind.LINE_CONTROL,
    Change.ANGLE_UP: FocusKind.ARC,
    Change.ANGLE_DOWN: FocusKind.ARC,
}
_MEASURED = {
    Measure.ALONG: FocusKind.AIM_ALONG,
    Measure.ACROSS: FocusKind.AIM_ACROSS,
    Measure.DISTANCE_CONTROL: FocusKind.DISTANCE_CONTROL,
    Measure.LINE_CONTROL: FocusKind.LINE_CONTROL,
    Measure.ENTRY_ANGLE: FocusKind.ARC,
}
#: changes of a trial that leave the movement as it is
_SAME_MOVEMENT = {
    Topic.AIM_POINT, Topic.WHERE_TO_LOOK, Topic.BALL, Topic.ROUTINE, Topic.CUE,
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """One trial: what was asked, and what came of it."""

    question: Question
    verdict: Verdict


def focus_choices(
    reading: ConditionReading | None,
    tried: Sequence[Tried] = (),
    *,
    name_of: Callable[[Worth], str],
) -> tuple[Focus, ...]:
    """Return what a plan could be about, the one most likely to pay first.

    Parameters
    ----------
    reading
        The reading of the player's habit; None where nothing is charted.
    tried
        The player's trials.
    name_of
        Names a change as a coach says it, with its size.

    Returns
    -------
    tuple of Focus
        Changes that won a trial (*better*, then *leaning better*), then changes the findings weigh
        that are likely to gain. Empty where neither can tell anything yet.
    """
    won = [one for said in (Said.BETTER, Said.LEANING_BETTER) for one in _that(tried, said)]
    lost = {
        one.question.change for one in tried if one.verdict.said in (Said.WORSE, Said.LEANING_WORSE)
    }
    found = [] if reading is None else _found(reading, name_of)
    return (*(_from_trial(one) for one in won), *(one for one in found if one.name not in lost))


def _that(tried: Sequence[Tried], said: Said) -> list[Tried]:
    these = [one for one in tried if one.verdict.said is said]
    return sorted(these, key=lambda one: -one.verdict.chance_better)


def _from_trial(one: Tried) -> Focus:
    question, verdict = one.question, one.verdict
    measure = question.measure
    kind = _MEASURED.get(measure) if isinstance(measure, Measure) else None
    settled = "better" if verdict.said is Said.BETTER else "leaning better, not settled yet"
    return Focus(
        kind=kind or FocusKind.FORM,
        name=question.change,
        chosen_from=FocusFrom.TRIAL,
        reason=f"It won its trial against the habit: {settled}.",
        makes_per_100=verdict.effect.makes_per_100,
        changes_form=question.topic not in _SAME_MOVEMENT,
        condition=question.change,
    )


def _found(reading: ConditionReading, name_of: Callable[[Worth], str]) -> list[Focus]:
    gaining = [w for w in reading.worth if w.chance_gain >= SURE_GAIN]
    gaining = [w for w in gaining if round(w.makes_per_100.value) >= 1]
    unsettled = any(one.question == "best_change" for one in reading.cannot_tell)
    return [_from_worth(w, name_of(w), _why(w, gaining, unsettled, reading)) for w in gaining]


def _why(worth: Worth, gaining: Sequence[Worth], unsettled: bool, reading: ConditionReading) -> str:
    lean = _lean(worth, reading)
    if worth is not gaining[0]:
        return f"{lean}It gains too, but another change weighed gains more."
    if unsettled:
        return f"{lean}In front of the changes weighed so far; more shots would settle it."
    return f"{lean}Of the changes weighed it is the most likely to pay."


def _lean(worth: Worth, reading: ConditionReading) -> str:
    """Return which way the misses lean, where the change is about that way."""
    lean = {Change.AIM_ALONG: reading.along_lean, Change.AIM_ACROSS: reading.across_lean}.get(
        worth.change
    )
    if lean is None or lean in (Lean.FINE, Lean.CANNOT_TELL):
        return ""
    return f"The misses lean {lean.value}. "


def _from_worth(worth: Worth, name: str, reason: str) -> Focus:
    return Focus(
        kind=_KINDS[worth.change],
        name=name,
        chosen_from=FocusFrom.FINDINGS,
        reason=reason,
        makes_per_100=worth.makes_per_100,
        # another angle is another movement; aim and control keep the movement as it is
        changes_form=_KINDS[worth.change] is FocusKind.ARC,
    )
