"""What is said of a trial before its first shot: how it goes, and what it can and can't tell."""

import math
from dataclasses import dataclass

from hoopwright.reports import words
from hoopwright.reports.trial_words import (
    amount,
    hoped_for,
    measure_name,
    needs_film,
    needs_landings,
)
from hoopwright.trials.design import DELAYS, switch_at_once
from hoopwright.trials.nouns import (
    SMALLEST,
    BodyMeasure,
    Kind,
    Measure,
    Question,
    TrialPlan,
)
from hoopwright.trials.power import ENOUGH, Detectable, PowerCurve

#: a gain in makes this large is rare; a trial that finds only larger ones is better decided on
#: where the ball comes down (common practice, no source)
RARE_GAIN = 0.10
#: which simulated measure stands for one that is not simulated itself
_STANDS_FOR = {
    Measure.MAKE: Measure.MAKE,
    Measure.ALONG: Measure.ALONG,
    Measure.ACROSS: Measure.ALONG,
    Measure.DISTANCE_CONTROL: Measure.DISTANCE_CONTROL,
    Measure.LINE_CONTROL: Measure.DISTANCE_CONTROL,
}
_BY = {
    Measure.MAKE: "Counting makes",
    Measure.ALONG: "By the middle of where the shots come down",
    Measure.DISTANCE_CONTROL: "By how far the landings lie apart",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanFacts:
    """What a plan is, in sentences."""

    #: habit against change, decided on what
    question: str
    layout: str
    #: shots, minutes, days
    cost: str
    #: what it can find, the measure decided on first
    can: tuple[str, ...]
    cannot: tuple[str, ...]
    #: another measure that would need fewer shots; "" where there is none
    cheaper: str
    #: the measure that ``cheaper`` names; None where there is none
    cheaper_measure: Measure | None
    #: how shots are noted for this measure; "" where makes are enough
    noted: str


def plan_facts(plan: TrialPlan, foretold: Detectable) -> PlanFacts:
    """Say in sentences what a plan is and what it can tell.

    Parameters
    ----------
    plan
        The trial.
    foretold
        What was worked out before the start.
    """
    cheaper, measure = _cheaper(plan.question, foretold)
    return PlanFacts(
        question=question_sentence(plan.question),
        layout=layout_sentence(plan),
        cost=_cost(plan, foretold),
        can=_can(plan.question, foretold),
        cannot=_cannot(plan, foretold),
        cheaper=cheaper,
        cheaper_measure=measure,
        noted=noted_sentence(plan.question.measure),
    )


def question_sentence(question: Question) -> str:
    """Return habit, change and measure in one sentence."""
    hope = "" if question.measure is Measure.MAKE else f"; hoped for: {hoped_for(question)}"
    return (
        f"{words.opened(question.habit)} against {question.change}, decided on "
        f"{measure_name(question.measure)}{hope}."
    )


def layout_sentence(plan: TrialPlan) -> str:
    """Return how the blocks lie, in words."""
    if plan.kind is Kind.PAIRED:
        pairs = words.plural(plan.layout.pairs + plan.added, "pair")
        return f"{pairs} of blocks, one each way; a coin drew which way comes first in each pair."
    if plan.kind is Kind.MIRRORED:
        fours = words.plural(plan.layout.pairs + plan.added, "four")
        return (
            f"{fours} of blocks, habit-change-change-habit or the other way round; a coin drew "
            "which."
        )
    week, weeks = DELAYS[0], DELAYS[1] // 7
    return (
        "Habit first, tested on several days; then the change is learnt and tested on the way; "
        f"cold tests {week} days and more than {weeks} weeks after the last practice test decide."
    )


def noted_sentence(measure: Measure | BodyMeasure) -> str:
    """Say what has to be noted of each shot for a measure; "" where makes are enough."""
    if needs_film(measure):
        return "Only filmed shots count for this measure: film every block from one camera place."
    if needs_landings(measure):
        return "Tap each shot on the ring from above, makes too, or film the blocks."
    return ""


def _cost(plan: TrialPlan, foretold: Detectable) -> str:
    days = len({block.day for block in plan.blocks})
    last = max((block.due for block in plan.blocks if block.due), default=plan.start)
    weeks = (last - plan.start).days / 7
    over = f", over {words.plural(round(weeks), 'week')}" if weeks >= 1.5 else ""
    return (
        f"{words.plural(len(plan.blocks), 'block')}, {words.plural(plan.shots, 'shot')} in all, "
        f"about {foretold.minutes:.0f} minutes on {words.plural(days, 'visit')}{over}; the longest "
        f"visit takes about {foretold.minutes_a_day:.0f} minutes."
    )


def _can(question: Question, foretold: Detectable) -> tuple[str, ...]:
    """Return one sentence for each measure simulated, the one decided on first."""
    asked = _stands_for(question.measure)
    curves = sorted(foretold.curves, key=lambda curve: curve.measure is not asked)
    return tuple(_found(curve) for curve in curves)


def _stands_for(measure: Measure | BodyMeasure) -> Measure | None:
    return None if isinstance(measure, BodyMeasure) else _STANDS_FOR.get(measure)


def _found(curve: PowerCurve) -> str:
    by = _BY[curve.measure]
    if curve.smallest is None:
        return f"{by}, it would often miss even {_size(curve.differences[-1], curve.measure)}."
    return (
        f"{by}, it finds {_size(curve.smallest, curve.measure)} or more in "
        f"{round(10 * ENOUGH)} of 10 such trials; a smaller one it often misses."
    )


def _size(difference: float, measure: Measure) -> str:
    """Return a simulated difference with its article, e.g. ``a gain of 14 makes per 100``."""
    if measure is Measure.MAKE:
        return f"a gain of {100 * difference:.0f} makes per 100"
    if measure is Measure.ALONG:
        return f"a shift of {100 * difference:.0f} cm"
    return f"a spread {100 * difference:.0f} % tighter"


def _cannot(plan: TrialPlan, foretold: Detectable) -> tuple[str, ...]:
    said = []
    if _stands_for(plan.question.measure) is None:
        said.append(
            f"How large a difference in {measure_name(plan.question.measure)} it finds was not "
            "worked out beforehand."
        )
    if plan.kind is Kind.PHASES:
        said.append(
            "No coin was thrown: it can't tell the change from what practice alone would have "
            "brought, or from a better month."
        )
    else:
        said.append("It can't tell whether a gain lasts until another month, or holds in games.")
    smallest = _smallest_worth(plan.question)
    if smallest:
        said.append(smallest)
    said.append(
        "Worked out by simulating this plan with days, blocks and learning that vary as usual; "
        "right to about 2 trials in 100."
    )
    return tuple(said)


def _smallest_worth(question: Question) -> str:
    if question.smallest is None:
        return ""
    size = amount(question.sign * question.smallest, question.measure)
    return f"Smallest difference worth knowing, as settled beforehand: {size}."


def _cheaper(question: Question, foretold: Detectable) -> tuple[str, Measure | None]:
    """Offer where the ball comes down where makes would need a rare gain."""
    if question.measure is not Measure.MAKE:
        return "", None
    makes, along = foretold.curve(Measure.MAKE), foretold.curve(Measure.ALONG)
    if makes.smallest is not None and makes.smallest <= RARE_GAIN:
        return "", None
    if along.smallest is None:
        return "", None
    return (
        "So large a gain in makes is rare. Where the change is about where the ball goes, decide "
        f"on that instead: the same shots find {_size(along.smallest, Measure.ALONG)}."
        f"{_by_both(foretold)} Tap each landing on the ring from above, or film.",
        Measure.ALONG,
    )


def _by_both(foretold: Detectable) -> str:
    """Return the shots that a habit off its aim takes by makes and by landings."""
    both = foretold.off_aim
    if both is None:
        return ""
    makes, landings = (f"{math.ceil(n / 10) * 10:,}" for n in (both.by_makes, both.by_landing))
    return (
        f" A habit {100 * SMALLEST[Measure.ALONG]:.0f} cm off its aim takes at least {landings} "
        f"shots each way to tell by where they land, and {makes} by makes."
    )


def kind_reason(question: Question) -> str:
    """Say why a topic is tried side by side or in phases."""
    if switch_at_once(question.topic):
        return (
            f"{words.opened(question.topic.value)} can be switched from one block to the next, so "
            "both ways are shot side by side on the same days."
        )
    return (
        "Technique has to be learnt and can't be switched off between blocks, so the habit is "
        "tested first and the change later, when it has settled."
    )
