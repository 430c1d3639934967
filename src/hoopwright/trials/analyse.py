"""The verdict of a trial: is the change better, how sure is that, how many shots are still needed.

Side by side, "better" is claimed only where the coins of the plan would hardly ever give as much
by luck (``evidence``), so one may look after every block. In phases no coin was thrown; there the
posterior decides, at the two delayed tests only.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.errors import BadInput
from hoopwright.records import Estimate
from hoopwright.trials import evidence
from hoopwright.trials.compare import (
    Compared,
    block_numbers,
    days_compared,
    pairs_compared,
    washout_of,
)
from hoopwright.trials.guards import guards_of
from hoopwright.trials.nouns import (
    SMALLEST,
    Arm,
    BlockResult,
    BodyMeasure,
    EarlierTest,
    Effect,
    Kind,
    Look,
    Measure,
    Phase,
    Question,
    Said,
    TrialPlan,
    Verdict,
)
from hoopwright.trials.posterior import Mixture, Numbers, estimate_of, posterior

Floats = NDArray[np.float64]

#: a leaning is said from this chance of a gain on, which is where the 80 % range leaves nought out
LEANING = 0.9
#: in phases a gain is claimed from this chance on: two looks, 2.5 in 100 each
SURE = 0.975
#: normal quantiles of a two-sided 5 % test with 80 % power, added up
_POWERED = 2.8016
#: more shots than this are out of reach of one player's trial; common practice, no source
_MOST_SHOTS = 10_000
# for bodies, the smallest difference in times the scatter of shots
_SMALLEST_BODY = 0.5


def read_trial(
    plan: TrialPlan, results: Sequence[BlockResult], *, earlier: Sequence[EarlierTest] = ()
) -> Verdict:
    """Return what a trial says so far; to be asked as often as one likes.

    Parameters
    ----------
    plan
        The trial.
    results
        The blocks shot so far, in any order.
    earlier
        Tests of the habit before the trial, oldest first; they tell a bad spell from the usual.

    Raises
    ------
    BadInput
        A result belongs to no block of the plan, was entered twice, or there is nothing to
        compare yet.
    """
    compared = _compared(plan, results, measure=plan.question.measure)
    if compared is None:
        raise BadInput(_nothing_yet(plan, results))
    if compared.scatter and compared.error_sd >= compared.shot_sd:
        raise BadInput(
            "The scatter seen is no larger than the measuring error; measure more exactly, or "
            "decide on makes."
        )
    looks = (
        _in_phases(plan, compared) if plan.kind is Kind.PHASES else _side_by_side(plan, compared)
    )
    last = looks[-1]
    counts = {arm: _counts(plan, results, arm=arm) for arm in Arm}
    mixture = posterior(compared.numbers)
    return Verdict(
        said=last.said,
        effect=_effect(plan, results, compared=compared, mixture=mixture),
        chance_better=last.chance_better,
        shots_needed=_shots_needed(plan, compared, mixture=mixture, said=last.said),
        by_luck=_by_luck(plan, compared),
        guards=guards_of(plan, results, earlier=earlier),
        looks=looks,
        habit_shots=counts[Arm.HABIT][0],
        habit_made=counts[Arm.HABIT][1],
        change_shots=counts[Arm.CHANGE][0],
        change_made=counts[Arm.CHANGE][1],
    )


def _compared(
    plan: TrialPlan, results: Sequence[BlockResult], *, measure: Measure | BodyMeasure
) -> Compared | None:
    """Return the rows of the verdict; in phases those of delayed tests once there are any."""
    numbers = block_numbers(plan, results, measure=measure)
    if plan.kind is not Kind.PHASES:
        return pairs_compared(numbers, measure)
    return days_compared(numbers, measure, phase=Phase.DELAYED) or days_compared(
        numbers, measure, phase=Phase.PROBE
    )


def _nothing_yet(plan: TrialPlan, results: Sequence[BlockResult]) -> str:
    if plan.kind is Kind.PHASES:
        return "Nothing to compare yet: enter a test of the habit and one of the change."
    asked = plan.question.measure
    name = asked.name if isinstance(asked, BodyMeasure) else asked.value
    if asked is not Measure.MAKE and len(results) > 2:
        return f"No pair of blocks has its {name} measured; measure it, or ask about makes."
    return "Nothing to compare yet: enter all blocks of the first pair."


def _first(compared: Compared, rows: int) -> Numbers:
    """Return the numbers of the first rows."""
    n = compared.numbers
    return Numbers(
        value=n.value[:rows], variance=n.variance[:rows], blocks=n.blocks[:rows],
        columns=n.columns[:rows], prior_sd=n.prior_sd, block_scale=n.block_scale,
        freedom=n.freedom,
    )  # fmt: skip


def _gains(plan: TrialPlan, compared: Compared) -> Floats:
    """Return what each pair adds for the change, weighted, float64 [row]."""
    weighted: Floats = plan.question.sign * compared.numbers.value * compared.weight
    return weighted


def _side_by_side(plan: TrialPlan, compared: Compared) -> tuple[Look, ...]:
    """Return one look per pair read."""
    gains = _gains(plan, compared)
    orders = evidence.coins(len(gains), plan.seed)
    claims = evidence.first_claims(
        np.stack([gains, -gains]),
        orders,
        planned=plan.layout.pairs,
        measures=plan.question.measures_watched,
    )
    looks = []
    for row in range(len(gains)):
        mixture = posterior(_first(compared, row + 1))
        better, worse = (0 <= claim <= row for claim in claims)
        chance = _chance_better(plan.question, mixture)
        said = _said(chance, better=better, worse=worse)
        looks.append(_look(compared, row, mixture=mixture, said=said, chance=chance))
    return tuple(looks)


def _in_phases(plan: TrialPlan, compared: Compared) -> tuple[Look, ...]:
    """Return one look per delayed test; before the first, one look that claims nothing."""
    changed = np.flatnonzero(compared.numbers.columns[:, 0])
    delayed = plan.block(int(compared.after[-1])).phase is Phase.DELAYED
    sure = 1.0 - (1.0 - SURE) / plan.question.measures_watched
    looks = []
    for row in changed if delayed else changed[-1:]:
        mixture = posterior(_first(compared, int(row) + 1))
        chance = _chance_better(plan.question, mixture)
        said = _said(
            chance, better=delayed and chance >= sure, worse=delayed and chance <= 1 - sure
        )
        looks.append(_look(compared, int(row), mixture=mixture, said=said, chance=chance))
    return tuple(looks)


def _chance_better(question: Question, mixture: Mixture) -> float:
    above = mixture.chance_above(0.0)
    return above if question.sign > 0 else 1.0 - above


def _said(chance: float, *, better: bool, worse: bool) -> Said:
    """Return the word: a claim needs the posterior on its side as well."""
    if chance >= LEANING:
        return Said.BETTER if better else Said.LEANING_BETTER
    if chance <= 1 - LEANING:
        return Said.WORSE if worse else Said.LEANING_WORSE
    return Said.CANNOT_TELL


def _look(compared: Compared, row: int, *, mixture: Mixture, said: Said, chance: float) -> Look:
    return Look(
        after=int(compared.after[row]),
        value=_middle(compared, mixture),
        chance_better=chance,
        said=said,
    )


def _middle(compared: Compared, mixture: Mixture) -> float:
    """Return the middle of the effect in the measure's own unit."""
    if not compared.scatter:
        return mixture.mean
    return float(_scatter_change(compared, np.array([mixture.mean]))[0])


def _own(compared: Compared, mixture: Mixture) -> Estimate:
    """Return the effect in the measure's own unit."""
    if not compared.scatter:
        return mixture.estimate()
    logs, below = mixture.grid()
    return estimate_of(_scatter_change(compared, logs), below)


def _scatter_change(compared: Compared, logs: Floats) -> Floats:
    """Turn log ratios of scatter into a difference in its unit, measuring error taken out."""
    noise = compared.error_sd**2
    habit, change = (
        np.sqrt(np.maximum((compared.shot_sd * np.exp(0.5 * way * logs)) ** 2 - noise, 0.0))
        for way in (-1.0, 1.0)
    )
    difference: Floats = change - habit
    return difference


def _effect(
    plan: TrialPlan, results: Sequence[BlockResult], *, compared: Compared, mixture: Mixture
) -> Effect:
    own = _own(compared, mixture)
    slope = 1.0
    if compared.scatter:
        step = 0.01
        ends = _scatter_change(compared, mixture.mean + np.array([-step, step]))
        slope = float(np.diff(ends)[0]) / (2 * step)
    return Effect(
        own=own,
        own_sd=slope * mixture.sd,
        makes_per_100=_shift(plan, results, measure=Measure.MAKE),
        along=_shift(plan, results, measure=Measure.ALONG),
        across=_shift(plan, results, measure=Measure.ACROSS),
    )


def _shift(plan: TrialPlan, results: Sequence[BlockResult], *, measure: Measure) -> Estimate | None:
    """Return the difference of one measure, where it was taken."""
    try:
        compared = _compared(plan, results, measure=measure)
    except BadInput:
        # a measure that is only shown beside the verdict: too little of it says nothing
        return None
    return None if compared is None else posterior(compared.numbers).estimate()


def _counts(plan: TrialPlan, results: Sequence[BlockResult], *, arm: Arm) -> tuple[int, int]:
    """Return shots analysed and made of one way."""
    kept = [
        r.made[washout_of(r, plan.block(r.block)) :]
        for r in results
        if plan.block(r.block).arm is arm
        and plan.block(r.block).phase is not Phase.FAMILIARISATION
        and not r.stops_on_makes
    ]
    return sum(len(made) for made in kept), sum(int(made.sum()) for made in kept)


def _by_luck(plan: TrialPlan, compared: Compared) -> float | None:
    if plan.kind is Kind.PHASES:
        return None
    gains = _gains(plan, compared)
    return evidence.by_luck(gains, evidence.coins(len(gains), plan.seed))


def _smallest(question: Question, compared: Compared) -> float:
    """Return the smallest difference worth knowing on the scale of the rows."""
    if question.smallest is not None:
        smallest = question.smallest
    elif isinstance(question.measure, BodyMeasure):
        return 0.1 if compared.scatter else _SMALLEST_BODY * compared.shot_sd
    else:
        smallest = SMALLEST[question.measure]
    return smallest / max(compared.shot_sd, 1e-9) if compared.scatter else smallest


def _shots_needed(
    plan: TrialPlan, compared: Compared, *, mixture: Mixture, said: Said
) -> int | None:
    """Return shots still to take, were the true difference the one seen, or the smallest if less.

    Notes
    -----
    Derived: rows until their mean is 2.80 standard errors from nought, as in a two-sided test of
    5 % with a power of 80 % [Fleiss1981]_.
    """
    if said in (Said.BETTER, Said.WORSE):
        return None
    if plan.kind is Kind.PHASES:
        left = [b for b in plan.blocks if b.phase is Phase.DELAYED]
        shots = sum(b.total for b in left if b.number > compared.after[-1])
        return shots or None
    n = compared.numbers
    row = float(n.variance.mean() + n.blocks.mean() * mixture.block_variance)
    seen = max(abs(mixture.mean), _smallest(plan.question, compared))
    rows = max(math.ceil(row * (_POWERED / seen) ** 2) - len(compared), 1)
    side_by_side = [b for b in plan.blocks if b.pair is not None]
    a_row = side_by_side[0].total * sum(b.pair == 1 for b in side_by_side)
    shots = rows * a_row
    return shots if shots <= _MOST_SHOTS else None


@dataclass(frozen=True, slots=True, kw_only=True)
class PairSeen:
    """One pair as it came out, for the picture behind the verdict."""

    #: number of its last block
    after: int
    #: change minus habit, unit of the measure (logarithm of the ratio for scatter)
    difference: float
    #: one standard deviation from its shots
    sd: float


def pairs_seen(plan: TrialPlan, results: Sequence[BlockResult]) -> tuple[PairSeen, ...]:
    """Return the difference of each whole pair, in order; empty for phases or before the first."""
    compared = _compared(plan, results, measure=plan.question.measure)
    if compared is None or plan.kind is Kind.PHASES:
        return ()
    rows = zip(compared.after, compared.numbers.value, compared.numbers.variance, strict=True)
    return tuple(
        PairSeen(after=int(after), difference=float(value), sd=math.sqrt(variance))
        for after, value, variance in rows
    )
