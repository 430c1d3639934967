"""Ways in which a trial can say more than its shots do, each with the numbers to say so plainly."""

import itertools
import math
from collections.abc import Sequence

import numpy as np
from scipy import stats

from hoopwright.trials.design import switch_at_once
from hoopwright.trials.nouns import (
    Arm,
    BlockResult,
    BodyMeasure,
    EarlierTest,
    Guard,
    Kind,
    Measure,
    Phase,
    TrialPlan,
    Warned,
)

#: farther apart than this are two spots [m]; about the width of a foot mark
_SAME_SPOT = 0.30
#: a start this many standard errors off the player's usual is a spell; common practice, no source
_SPELL = 1.0
#: shots to get used to a change before it is compared; common practice, no source
_USED_TO = 10
#: half of players' day-to-day spread of a make percentage, as in the power table
_DAY_SD = 0.06


def spell_bias(share: float, *, shots: int, tests: int) -> float:
    """Return how far the worst of several tests falls below the truth by luck alone.

    Parameters
    ----------
    share
        True share made, 0 to 1.
    shots
        Shots a test.
    tests
        Tests of which the worst is taken.

    Notes
    -----
    Derived: the mean of the smallest of some binomial counts is the sum over x ≥ 1 of the chance
    that all reach x. A next test "improves" by as much with no coaching at all.
    """
    reached = stats.binom.sf(np.arange(shots), shots, share)
    return float(share - (reached**tests).sum() / shots)


def usual_share(earlier: Sequence[EarlierTest]) -> tuple[float, float]:
    """Return the share a player usually makes, from earlier tests, and its standard error.

    Parameters
    ----------
    earlier
        Tests of the habit, at least one.

    Notes
    -----
    All shots together, one make and one miss added [AgrestiCaffo2000]_; days count as varying by
    6 makes per 100.
    """
    made, shots = sum(t.made for t in earlier), sum(t.shots for t in earlier)
    share = (made + 1.0) / (shots + 2.0)
    return share, math.sqrt(share * (1 - share) / max(shots, 1) + _DAY_SD**2 / len(earlier))


def guards_of(
    plan: TrialPlan, results: Sequence[BlockResult], *, earlier: Sequence[EarlierTest] = ()
) -> tuple[Warned, ...]:
    """Return the guards that speak, the gravest first.

    Parameters
    ----------
    plan
        The trial.
    results
        What was shot of it so far.
    earlier
        Tests of the habit before the trial, oldest first.
    """
    found = [
        *two_changes(plan), *mixed(plan, results), *stops_on_makes(results),
        *one_baseline(plan, results), *spell(plan, results, earlier=earlier),
        *same_day(plan, results), *before_after(plan), *unfamiliar(plan, results),
        *out_of_order(results), *many_measures(plan), *past_aim(plan, results),
    ]  # fmt: skip
    return tuple(found)


def two_changes(plan: TrialPlan) -> list[Warned]:
    """Warn where something else was changed too: nobody can say which of them did it."""
    count = len(plan.question.also_changed)
    return [Warned(guard=Guard.TWO_CHANGES, numbers=(("changes", count + 1.0),))] if count else []


def _of(plan: TrialPlan, results: Sequence[BlockResult], *, arm: Arm) -> list[BlockResult]:
    """Return the results of one arm that may be analysed."""
    return [
        r for r in results
        if plan.block(r.block).arm is arm
        and plan.block(r.block).phase is not Phase.FAMILIARISATION
        and not r.stops_on_makes
    ]  # fmt: skip


def mixed(plan: TrialPlan, results: Sequence[BlockResult]) -> list[Warned]:
    """Warn where the two ways were shot from other spots, with another ball, ring or camera."""
    habit, change = _of(plan, results, arm=Arm.HABIT), _of(plan, results, arm=Arm.CHANGE)
    if not habit or not change:
        return []
    found = []
    far = [np.mean([r.spot.distance for r in a if r.spot] or [0.0]) for a in (habit, change)]
    apart = _elsewhere(habit, change) or _elsewhere(change, habit)
    if apart and _whole(plan, results):
        numbers = (("habit distance", float(far[0])), ("change distance", float(far[1])))
        found.append(Warned(guard=Guard.MIXED_SPOTS, numbers=numbers))
    if {r.ball_size for r in habit} != {r.ball_size for r in change}:
        numbers = (("habit", float(habit[-1].ball_size)), ("change", float(change[-1].ball_size)))
        found.append(Warned(guard=Guard.MIXED_BALL, numbers=numbers))
    if {round(r.ring_height, 2) for r in habit} != {round(r.ring_height, 2) for r in change}:
        numbers = (("habit", habit[-1].ring_height), ("change", change[-1].ring_height))
        found.append(Warned(guard=Guard.MIXED_RING, numbers=numbers))
    if {r.camera for r in habit} != {r.camera for r in change} and _filmed(plan):
        found.append(Warned(guard=Guard.MIXED_CAMERA))
    return found


def _elsewhere(some: Sequence[BlockResult], others: Sequence[BlockResult]) -> bool:
    """Tell whether some were shot from a spot that none of the others was."""
    there = [r.spot for r in others if r.spot]
    return any(
        all(math.hypot(r.spot.x - s.x, r.spot.y - s.y) > _SAME_SPOT for s in there)
        for r in some
        if r.spot
    )


def _whole(plan: TrialPlan, results: Sequence[BlockResult]) -> bool:
    """Tell whether both ways of each pair begun are in, so that spots can be compared."""
    begun = {plan.block(r.block).pair for r in results} - {None}
    there = {r.block for r in results}
    return all(b.number in there for b in plan.blocks if b.pair in begun)


def _filmed(plan: TrialPlan) -> bool:
    return plan.question.measure is not Measure.MAKE


def stops_on_makes(results: Sequence[BlockResult]) -> list[Warned]:
    """Warn of sets left out because they ended on a make: their share made is not a fair one."""
    count = sum(r.stops_on_makes for r in results)
    return [Warned(guard=Guard.STOPS_ON_MAKES, numbers=(("sets", float(count)),))] if count else []


def one_baseline(plan: TrialPlan, results: Sequence[BlockResult]) -> list[Warned]:
    """Warn where the habit was tested on fewer than two days before the change."""
    if plan.kind is not Kind.PHASES:
        return []
    days = {r.day for r in _of(plan, results, arm=Arm.HABIT)}
    if len(days) >= 2:
        return []
    return [Warned(guard=Guard.ONE_BASELINE, numbers=(("days", float(len(days))),))]


def spell(
    plan: TrialPlan, results: Sequence[BlockResult], *, earlier: Sequence[EarlierTest]
) -> list[Warned]:
    """Warn where a trial in phases started well below or above what the player usually makes.

    Side by side both ways start from the same spell, so nothing is said there.
    """
    habit = _of(plan, results, arm=Arm.HABIT)
    shots = sum(len(r.made) for r in habit)
    if plan.kind is not Kind.PHASES or not earlier or not shots:
        return []
    start = sum(int(r.made.sum()) for r in habit) / shots
    days = len({r.day for r in habit})
    usual, error = usual_share(earlier)
    off = math.sqrt(error**2 + usual * (1 - usual) / shots + _DAY_SD**2 / days)
    if abs(start - usual) < _SPELL * off:
        return []
    guard = Guard.AFTER_BAD_SPELL if start < usual else Guard.AFTER_GOOD_SPELL
    # how much of the gap is luck that won't last: precision weights, start against earlier tests
    back = (usual - start) * (off**2 - error**2) / off**2
    numbers = (("start per 100", 100 * start), ("usual per 100", 100 * usual),
               ("to come anyway per 100", 100 * back))  # fmt: skip
    return [Warned(guard=guard, numbers=numbers)]


def same_day(plan: TrialPlan, results: Sequence[BlockResult]) -> list[Warned]:
    """Warn where a change of technique has not been tested cold a week later."""
    if switch_at_once(plan.question.topic):
        return []
    delayed = [r for r in results if plan.block(r.block).phase is Phase.DELAYED]
    if delayed:
        return []
    days = {r.day for r in _of(plan, results, arm=Arm.CHANGE)}
    return [Warned(guard=Guard.SAME_DAY, numbers=(("days", float(len(days))),))]


def before_after(plan: TrialPlan) -> list[Warned]:
    """Warn that habit first, change later leaves practice itself as another reason."""
    return [Warned(guard=Guard.BEFORE_AFTER)] if plan.kind is Kind.PHASES else []


def unfamiliar(plan: TrialPlan, results: Sequence[BlockResult]) -> list[Warned]:
    """Warn where the change was compared before the player was used to it."""
    if plan.kind is Kind.PHASES:
        return []
    tried = sum(len(r.made) for r in results if plan.block(r.block).phase is Phase.FAMILIARISATION)
    if tried >= _USED_TO and switch_at_once(plan.question.topic):
        return []
    return [Warned(guard=Guard.UNFAMILIAR, numbers=(("shots to get used to it", float(tried)),))]


def out_of_order(results: Sequence[BlockResult]) -> list[Warned]:
    """Warn where a later block of the plan was shot on an earlier day."""
    days = [r.day for r in sorted(results, key=lambda r: r.block)]
    back = sum(b < a for a, b in itertools.pairwise(days))
    return [Warned(guard=Guard.OUT_OF_ORDER, numbers=(("blocks", float(back)),))] if back else []


def many_measures(plan: TrialPlan) -> list[Warned]:
    """Warn that the best of several measures looks good by luck; the verdict allows for it."""
    count = plan.question.measures_watched
    if count <= 1:
        return []
    numbers = (("measures", float(count)), ("chance that one looks good", 1 - 0.95**count))
    return [Warned(guard=Guard.MANY_MEASURES, numbers=numbers)]


def past_aim(plan: TrialPlan, results: Sequence[BlockResult]) -> list[Warned]:
    """Warn where the change lands farther past the aim than the habit fell to the other side."""
    measure = plan.question.measure
    if isinstance(measure, BodyMeasure) or measure not in (Measure.ALONG, Measure.ACROSS):
        return []
    off = {}
    for arm in Arm:
        kept = [_landed(r, measure) for r in _of(plan, results, arm=arm)]
        shots = np.concatenate(kept) if kept else np.empty(0)
        shots = shots[np.isfinite(shots)]
        if not len(shots):
            return []
        off[arm] = float(shots.mean()) - plan.question.aim
    habit, change = off[Arm.HABIT], off[Arm.CHANGE]
    if abs(change) <= abs(habit) or (change - habit) * plan.question.sign <= 0:
        return []
    return [Warned(guard=Guard.PAST_AIM, numbers=(("habit off", habit), ("change off", change)))]


def _landed(result: BlockResult, measure: Measure) -> np.ndarray:
    values = result.along if measure is Measure.ALONG else result.across
    return np.empty(0) if values is None else np.asarray(values, float)
