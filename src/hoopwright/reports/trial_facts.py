"""What is said of a trial's shots so far: the verdict, its ranges, and why to trust it or not."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from hoopwright.records import Estimate
from hoopwright.reports import words
from hoopwright.reports.trial_words import amount, chance_in, effect, makes, measure_name
from hoopwright.trials.design import switch_at_once
from hoopwright.trials.nouns import (
    Guard,
    Kind,
    Look,
    Measure,
    Question,
    Said,
    TrialPlan,
    Verdict,
    Warned,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LookFact:
    """What one look says."""

    after: str
    value: str
    chance: str
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class VerdictFacts:
    """What a verdict is, in sentences."""

    #: one of the five words
    said: str
    headline: str
    #: what the trial is decided on, with its ranges
    effect: str
    #: name and difference with ranges: makes, along, across as far as known
    rows: tuple[tuple[str, str], ...]
    #: made of shots that count, each way
    counts: tuple[str, ...]
    chance: str
    needed: str
    #: the check by shuffling the order
    luck: str
    looks: tuple[LookFact, ...]
    #: why one may look as often as one likes
    looking: str
    guards: tuple[str, ...]


def verdict_facts(plan: TrialPlan, verdict: Verdict) -> VerdictFacts:
    """Say in sentences what a trial says so far."""
    question = plan.question
    return VerdictFacts(
        said=verdict.said.value,
        headline=_headline(question, verdict.said),
        effect=(
            f"{words.opened(question.change)} against {question.habit}, "
            f"{measure_name(question.measure)}: {effect(verdict.effect.own, question.measure)}."
        ),
        rows=effect_rows(question, verdict),
        counts=(
            f"{words.opened(question.habit)}: {makes(verdict.habit_made, verdict.habit_shots)}.",
            f"{words.opened(question.change)}: {makes(verdict.change_made, verdict.change_shots)}.",
        ),
        chance=(
            f"{words.opened(words.chances(verdict.chance_better))} that {question.change} is the "
            "better way."
        ),
        needed=_needed(plan, verdict),
        luck=_luck(plan, verdict),
        looks=tuple(_look(question, one) for one in verdict.looks),
        looking=_LOOKING[plan.kind is Kind.PHASES],
        guards=tuple(guard_sentence(one, question) for one in verdict.guards),
    )


def effect_rows(question: Question, verdict: Verdict) -> tuple[tuple[str, str], ...]:
    """Return each difference that is known, the one decided on first, with its ranges."""
    rows = [(words.opened(measure_name(question.measure)), effect(verdict.effect.own,
            question.measure))]  # fmt: skip
    shown: tuple[tuple[Measure, Estimate | None], ...] = (
        (Measure.MAKE, verdict.effect.makes_per_100),
        (Measure.ALONG, verdict.effect.along),
        (Measure.ACROSS, verdict.effect.across),
    )
    rows += [
        (words.opened(measure_name(measure)), effect(found, measure))
        for measure, found in shown
        if found is not None and measure is not question.measure
    ]
    return tuple(rows)


def _headline(question: Question, said: Said) -> str:
    change, habit = words.opened(question.change), question.habit
    return {
        Said.BETTER: (
            f"{change} does better than {habit}. Were the two the same, a trial would say so in "
            "at most 1 case in 20."
        ),
        Said.LEANING_BETTER: f"{change} is in front, but luck could still explain it.",
        Said.CANNOT_TELL: f"The shots so far don't tell {question.change} from {habit}.",
        Said.LEANING_WORSE: f"{change} is behind, but luck could still explain it.",
        Said.WORSE: (
            f"{change} does worse than {habit}. Were the two the same, a trial would say so in "
            "at most 1 case in 20."
        ),
    }[said]


def _needed(plan: TrialPlan, verdict: Verdict) -> str:
    if verdict.said in (Said.BETTER, Said.WORSE):
        return "Decided: no more shots are needed for this question."
    if verdict.shots_needed is None:
        return (
            "More shots than one player's trial can hold would be needed: decide on where the "
            "ball comes down, or read this question over several players."
        )
    if plan.kind is Kind.PHASES:
        return f"{words.plural(verdict.shots_needed, 'shot')} of cold tests are still to come."
    return (
        f"About {words.about(verdict.shots_needed, 'more shot')}, both ways together, would tell "
        "in 8 of 10 such trials, if the difference is what it looks like now or the smallest worth "
        "knowing."
    )


def _luck(plan: TrialPlan, verdict: Verdict) -> str:
    if plan.kind is Kind.PHASES:
        return "No coin was thrown for this order, so it can't be checked by shuffling."
    if verdict.by_luck is None:
        return "Shuffling the order says something from five pairs on."
    return (
        "Shuffled: were the two ways the same, "
        f"{chance_in(verdict.by_luck)} of the orders the coin could have drawn would show as large "
        "a difference, either way."
    )


_LOOKING: Mapping[bool, str] = {
    False: (
        "Look as often as you like: how sure one must be at each look was settled beforehand, so "
        "that looking after every pair says “better” of a change that does nothing in at most 5 "
        "of 100 trials."
    ),
    True: (
        "Look as often as you like: only the two cold tests can decide, and what that takes "
        "allows for both looks. What is seen before them is a hint, no more."
    ),
}


def _look(question: Question, look: Look) -> LookFact:
    value = "–" if not math.isfinite(look.value) else amount(look.value, question.measure)
    return LookFact(
        after=f"after block {look.after}",
        value=value,
        chance=words.chances(look.chance_better),
        said=look.said.value,
    )


def guard_sentence(warned: Warned, question: Question) -> str:
    """Return what a guard warns of, in one or two plain sentences."""
    return _GUARDS[warned.guard](warned, question)


def _spell(warned: Warned, question: Question) -> str:
    """Regression to the mean, in numbers."""
    bad = warned.guard is Guard.AFTER_BAD_SPELL
    start, usual = warned.number("start per 100"), warned.number("usual per 100")
    back = abs(warned.number("to come anyway per 100"))
    return (
        f"It began after a {'bad' if bad else 'good'} spell: {start:.0f} of 100 against the usual "
        f"{usual:.0f}. About {back:.0f} of 100 would have come {'back' if bad else 'off'} anyway, "
        f"with no change at all."
    )


def _past_aim(warned: Warned, question: Question) -> str:
    habit, change = (warned.number(f"{name} off") for name in ("habit", "change"))
    return (
        f"The change went past the aim: {question.habit} was {100 * abs(habit):.0f} cm off, "
        f"{question.change} is {100 * abs(change):.0f} cm off on the other side. A smaller change "
        "may be the better one."
    )


def _unfamiliar(warned: Warned, question: Question) -> str:
    if not switch_at_once(question.topic):
        return (
            f"{words.opened(question.change)} is technique, which takes weeks to settle: switched "
            "from block to block it may look worse than it will be."
        )
    count = int(warned.number("shots to get used to it"))
    tried = f"Only {words.plural(count, 'shot')}" if count else "No shots"
    return (
        f"{tried} to get used to the change before it was compared: it may still get better, or "
        "worse."
    )


def _two(name: str, warned: Warned, *, digits: int = 0, unit: str = "") -> str:
    habit = warned.number("habit distance" if name == "spots" else "habit")
    change = warned.number("change distance" if name == "spots" else "change")
    return f"{habit:.{digits}f}{unit} against {change:.{digits}f}{unit}"


_GUARDS: Mapping[Guard, Callable[[Warned, Question], str]] = {
    Guard.ONE_BASELINE: lambda w, q: (
        "The habit was tested on fewer than two days, which may have been good or bad ones: test "
        "it on another day before changing anything."
    ),
    Guard.AFTER_BAD_SPELL: _spell,
    Guard.AFTER_GOOD_SPELL: _spell,
    Guard.SAME_DAY: lambda w, q: (
        f"Seen on {words.plural(int(w.number('days')), 'practice day')} only. What is gained on "
        "the day is often gone a week later: wait for the cold tests."
    ),
    Guard.BEFORE_AFTER: lambda w, q: (
        "Habit came first and the change later, so practice alone may be part of what is seen."
    ),
    Guard.TWO_CHANGES: lambda w, q: (
        f"{int(w.number('changes'))} things were changed at once "
        f"({words.listed([q.change, *q.also_changed])}): nobody can say which of them did it."
    ),
    Guard.MIXED_SPOTS: lambda w, q: (
        f"The two ways were shot from different spots ({_two('spots', w, digits=1, unit=' m')} "
        "away): part of the difference may be the spot."
    ),
    Guard.MIXED_BALL: lambda w, q: f"The two ways had different balls (size {_two('ball', w)}).",
    Guard.MIXED_RING: lambda w, q: (
        f"The two ways had different rings ({_two('ring', w, digits=2, unit=' m')} high)."
    ),
    Guard.MIXED_CAMERA: lambda w, q: (
        "The two ways were filmed from different places; a camera's own error may be part of the "
        "difference."
    ),
    Guard.STOPS_ON_MAKES: lambda w, q: (
        f"{words.plural(int(w.number('sets')), 'set')} that stop on a make are left out: when to "
        "stop depends on the result, which bends the percentage."
    ),
    Guard.MANY_MEASURES: lambda w, q: (
        f"{int(w.number('measures'))} measures are watched: that one of them looks good by luck "
        f"has about {round(100 * w.number('chance that one looks good'))} chances in 100. The "
        "verdict asks for more because of it."
    ),
    Guard.UNFAMILIAR: _unfamiliar,
    Guard.OUT_OF_ORDER: lambda w, q: (
        f"{words.plural(int(w.number('blocks')), 'block')} came earlier than drawn. Keep the "
        "order: it is what makes the comparison fair."
    ),
    Guard.PAST_AIM: _past_aim,
}
