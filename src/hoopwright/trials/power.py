"""What a trial can and can't detect, before its first shot: by simulation of the plan itself.

The simulated player varies from day to day, from block to block and with practice; the simulated
verdict is the one ``analyse`` would give, looks after every block included.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import polygamma
from scipy.stats import t as student

from hoopwright.trials import evidence
from hoopwright.trials.analyse import SURE
from hoopwright.trials.compare import SCALES, Scales
from hoopwright.trials.nouns import SMALLEST, Arm, Block, Kind, Measure, Phase, TrialPlan
from hoopwright.trials.posterior import Numbers, chances_above
from hoopwright.trials.sample_size import Cheaper, cheaper_for_scatter, cheaper_for_shift
from hoopwright.trials.simulate import LANDING_VARIATION, Variation

Floats = NDArray[np.float64]

#: a shot alone with a rebounder, and settling in for a block [s]; common practice, no source
SECONDS_A_SHOT, SECONDS_A_BLOCK = 12.0, 45.0
#: a difference counts as detectable where the trial finds it this often
ENOUGH = 0.80
_MAKES = Variation()
#: differences tried: share made, metres, share of the scatter
TRIED = {
    Measure.MAKE: (0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.40),
    Measure.ALONG: (0.02, 0.03, 0.04, 0.06, 0.08, 0.12, 0.16),
    Measure.DISTANCE_CONTROL: (0.10, 0.15, 0.20, 0.25, 0.30, 0.40, 0.50),
}
# above this share made nothing is left to gain
_MOST_SHARE = 0.97
# orders walked through in each simulated trial: all of ten pairs, a sample beyond
_BITS = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Player:
    """What is known or guessed of the player before the trial."""

    #: share made by habit
    share: float = 0.5
    makes: Variation = _MAKES
    #: scatter of landing points along, and their measuring error [m]
    scatter: float = 0.12
    noise: float = 0.0
    landing: Variation = LANDING_VARIATION
    #: how the scatter varies from block to block, one standard deviation of its logarithm
    unsteady: float = 0.04


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerCurve:
    """How often a trial finds a difference of one measure."""

    measure: Measure
    #: true differences: makes per shot, metres, or the share by which the scatter shrinks
    differences: tuple[float, ...]
    #: how often the trial says "better" at some look, and how often a single t-test at its end
    #: (two-sided, 5 %) would; NaN for a t-test of phases
    found: tuple[float, ...]
    found_once: tuple[float, ...]
    #: smallest difference found four times in five; None: none of those tried
    smallest: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Detectable:
    """What a plan can detect, and what it costs."""

    curves: tuple[PowerCurve, ...]
    #: shots to take in all, washout and familiarisation among them
    shots: int
    #: shots that count, each way
    shots_each: int
    #: shots each way by makes and by landing points, were every shot independent: for a habit
    #: that is 4 cm off and gets onto the aim, and for scatter that falls until 5 more per 100 go
    #: in; None where the player makes too many for that
    off_aim: Cheaper | None
    scattered: Cheaper | None
    #: minutes in all, and on the longest day
    minutes: float
    minutes_a_day: float

    def curve(self, measure: Measure) -> PowerCurve:
        """Return the curve of a measure."""
        return next(c for c in self.curves if c.measure is measure)


def detectable(
    plan: TrialPlan, player: Player | None = None, *, trials: int = 400, seed: int = 1
) -> Detectable:
    """Return what a plan can detect by makes, by the middle and by the scatter of landings.

    Parameters
    ----------
    plan
        The plan.
    player
        Who shoots; a middling one where left out.
    trials
        Trials simulated for each difference; 400 give a power within about 2 points.
    seed
        Same seed, same answer.
    """
    shooter = player or Player()
    rng = np.random.default_rng(seed)
    by_day: dict[int, float] = {}
    for block in plan.blocks:
        by_day[block.day] = by_day.get(block.day, 0.0) + _seconds(block)
    counted = [b for b in plan.blocks if b.phase in (Phase.COMPARE, Phase.BASELINE, Phase.DELAYED)]
    return Detectable(
        curves=tuple(power_curve(plan, m, player=shooter, trials=trials, rng=rng) for m in TRIED),
        shots=plan.shots,
        off_aim=_off_aim(shooter),
        scattered=_scattered(shooter),
        shots_each=sum(b.shots for b in counted if b.arm is Arm.CHANGE),
        minutes=sum(by_day.values()) / 60.0,
        minutes_a_day=max(by_day.values()) / 60.0,
    )


def _off_aim(player: Player) -> Cheaper | None:
    if not 0 < player.share < _MOST_SHARE:
        return None
    return cheaper_for_shift(
        SMALLEST[Measure.ALONG], share=player.share, scatter=player.scatter, noise=player.noise
    )


def _scattered(player: Player) -> Cheaper | None:
    better = player.share + SMALLEST[Measure.MAKE] / 100.0
    if not (player.share > 0 and better < _MOST_SHARE):
        return None
    return cheaper_for_scatter(player.share, better)


def _seconds(block: Block) -> float:
    return SECONDS_A_BLOCK + SECONDS_A_SHOT * block.total


def power_curve(
    plan: TrialPlan,
    measure: Measure,
    *,
    player: Player,
    trials: int,
    rng: np.random.Generator,
    differences: tuple[float, ...] | None = None,
) -> PowerCurve:
    """Return how often a plan finds each difference.

    Parameters
    ----------
    plan
        The plan.
    measure
        ``MAKE``, ``ALONG`` or ``DISTANCE_CONTROL``.
    player
        Who shoots.
    trials
        Trials simulated for each difference.
    rng
        Source of luck.
    differences
        True differences; those of ``TRIED`` where left out.
    """
    tried = TRIED[measure] if differences is None else differences
    ways = _found_in_phases if plan.kind is Kind.PHASES else _found_side_by_side
    found, once = zip(
        *(ways(plan, measure, player=player, size=trials, difference=d, rng=rng) for d in tried),
        strict=True,
    )
    return PowerCurve(
        measure=measure,
        differences=tried,
        found=found,
        found_once=once,
        smallest=_smallest(tried, found),
    )


def _smallest(tried: tuple[float, ...], found: tuple[float, ...]) -> float | None:
    """Return the difference found four times in five, between those tried."""
    rising = np.maximum.accumulate(found)
    if rising[-1] < ENOUGH:
        return None
    first = int(np.argmax(rising >= ENOUGH))
    if first == 0:
        return tried[0]
    low, high = rising[first - 1], rising[first]
    step = (ENOUGH - low) / (high - low)
    return float(tried[first - 1] + step * (tried[first] - tried[first - 1]))


def _found_side_by_side(
    plan: TrialPlan, measure: Measure, *, player: Player, size: int, difference: float,
    rng: np.random.Generator,
) -> tuple[float, float]:  # fmt: skip
    gains = pair_gains(plan, measure, player=player, size=size, difference=difference, rng=rng)
    orders = evidence.coins(gains.shape[1], plan.seed, bits=_BITS)
    claims = evidence.first_claims(
        gains, orders, planned=plan.layout.pairs, measures=plan.question.measures_watched
    )
    return float(np.mean(claims >= 0)), float(np.mean(_t_test(gains)))


def _t_test(gains: Floats) -> NDArray[np.bool_]:
    """Tell in which trials a two-sided paired t-test at the end finds a gain."""
    rows = gains.shape[1]
    error = gains.std(axis=1, ddof=1) / np.sqrt(rows)
    found: NDArray[np.bool_] = gains.mean(axis=1) > student.ppf(0.975, rows - 1) * error
    return found


def pair_gains(
    plan: TrialPlan, measure: Measure, *, player: Player, size: int, difference: float,
    rng: np.random.Generator,
) -> Floats:  # fmt: skip
    """Return what each pair would show for the change in many trials, float64 [trial, pair].

    The coins are thrown anew in every trial, so that the answer is not that of one order.
    """
    side_by_side = [b for b in plan.blocks if b.pair is not None]
    pairs = max(b.pair or 0 for b in side_by_side)
    each = len(side_by_side) // pairs
    day = np.array([b.day for b in side_by_side[::each]])
    order = np.array([1.0, -1.0] if each == 2 else [1.0, -1.0, -1.0, 1.0])
    change = rng.choice([-1.0, 1.0], (size, pairs, 1)) * order
    number = np.array([b.number for b in side_by_side], dtype=float).reshape(pairs, each)
    luck = rng.standard_normal((size, int(day.max()) + 1))[:, day, None]
    blocks = _Blocks(
        changed=change > 0,
        luck=luck,
        number=number,
        shots=plan.layout.shots_per_block,
        difference=difference,
    )
    values = blocks.values(measure, player=player, rng=rng)
    gains: Floats = (change * values).sum(axis=2) / (each / 2)
    return gains


@dataclass(frozen=True, slots=True, kw_only=True)
class _Blocks:
    """Many simulated trials' blocks; arrays broadcast over trial and block."""

    changed: NDArray[np.bool_]
    #: how the day was, in standard deviations
    luck: Floats
    #: number of the block in the plan
    number: Floats
    #: shots that count in a block
    shots: int
    #: what the change does
    difference: float

    def values(self, measure: Measure, *, player: Player, rng: np.random.Generator) -> Floats:
        """Return each block's number, + where better: share made, middle, minus log scatter."""
        shape, shots = self.changed.shape, self.shots
        own = rng.standard_normal(shape)
        if measure is Measure.DISTANCE_CONTROL:
            scatter = player.scatter * np.where(self.changed, 1.0 - self.difference, 1.0)
            scatter = np.hypot(scatter * np.exp(player.unsteady * own), player.noise)
            drawn: Floats = 0.5 * np.log(rng.chisquare(shots - 1, shape) / (shots - 1))
            return -(np.log(scatter) + drawn)
        varies = player.makes if measure is Measure.MAKE else player.landing
        level = varies.day * self.luck + varies.block * own + varies.learning * self.number
        level = level + self.changed * self.difference
        if measure is Measure.MAKE:
            made: Floats = rng.binomial(shots, np.clip(player.share + level, 0.0, 1.0)) / shots
            return made
        error = np.hypot(player.scatter, player.noise) / np.sqrt(shots)
        middle: Floats = level + error * rng.standard_normal(shape)
        return middle


def _found_in_phases(
    plan: TrialPlan, measure: Measure, *, player: Player, size: int, difference: float,
    rng: np.random.Generator,
) -> tuple[float, float]:  # fmt: skip
    """Return how often either delayed test lets the posterior claim a gain."""
    tests = [b for b in plan.blocks if b.phase in (Phase.BASELINE, Phase.DELAYED) and b.spot == 0]
    shots = plan.layout.shots_per_block * len(plan.question.spots)
    changed = np.array([b.arm is Arm.CHANGE for b in tests])
    number = np.array([b.number for b in tests], dtype=float)
    blocks = _Blocks(
        changed=np.broadcast_to(changed, (size, len(tests))),
        luck=rng.standard_normal((size, len(tests))),
        number=number,
        shots=shots,
        difference=difference,
    )
    values = blocks.values(measure, player=player, rng=rng)
    week = np.array([(b.due or plan.start).toordinal() - plan.start.toordinal() for b in tests]) / 7
    rows = _Rows(changed=changed.astype(float), week=week, measure=measure)
    claimed = np.zeros(size, dtype=bool)
    sure = 1.0 - (1.0 - SURE) / plan.question.measures_watched
    for count in (len(tests) - 1, len(tests)):
        numbers, scale = rows.numbers(count, player=player, shots=shots)
        seen = scale * (values[:, :count] - values[:, :1])
        claimed |= chances_above(numbers, seen) >= sure
    return float(np.mean(claimed)), float("nan")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rows:
    """Test days of a trial in phases."""

    changed: Floats
    week: Floats
    measure: Measure

    def numbers(self, count: int, *, player: Player, shots: int) -> tuple[Numbers, float]:
        """Return what the posterior needs of the first days, and what a value counts in it."""
        scales: Scales = SCALES[self.measure]
        variance, scale = _shot_variance(self.measure, player, shots=shots)
        return Numbers(
            value=np.zeros(count),
            variance=np.full(count, variance),
            blocks=np.ones(count),
            columns=np.stack([self.changed, np.ones(len(self.week)), self.week], 1)[:count],
            prior_sd=np.array([scales.effect, 1e3 * scales.effect, scales.week]),
            block_scale=float(np.hypot(scales.day, scales.block)),
        ), scale


def _shot_variance(measure: Measure, player: Player, *, shots: int) -> tuple[float, float]:
    """Return the variance of a day's number, and what a value counts in the model's numbers."""
    if measure is Measure.MAKE:
        return 1e4 * player.share * (1 - player.share) / shots, 100.0
    if measure is Measure.DISTANCE_CONTROL:
        return 0.25 * float(polygamma(1, (shots - 1) / 2)), 1.0
    return (player.scatter**2 + player.noise**2) / shots, 1.0
