"""From the shots of blocks to the numbers a verdict is drawn from.

Every measure goes the same way: each block gives one number and the variance it has from its
shots (the share made; the middle of a measure; the logarithm of its scatter), each pair gives the
difference of its two ways, each test day in phases its mean. The day drops out of a pair.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import digamma, polygamma

from hoopwright.errors import BadInput
from hoopwright.trials.nouns import (
    Arm,
    Block,
    BlockResult,
    BodyMeasure,
    Measure,
    Phase,
    TrialPlan,
)
from hoopwright.trials.posterior import Numbers

Floats = NDArray[np.float64]

#: a make counts as this much, so that means are makes per 100
_MAKE = 100.0
_DAYS_A_WEEK = 7.0
_ALONG = (Measure.ALONG, Measure.DISTANCE_CONTROL)
_ACROSS = (Measure.ACROSS, Measure.LINE_CONTROL)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scales:
    """What is known of a measure before the first shot, as standard deviations about 0.

    Weakly informative: wide enough that a handful of pairs outweighs them (common practice, no
    source; day and block as in the power table of ``docs/trials.md``).
    """

    #: change minus habit
    effect: float
    #: from one block to the next by warming up or tiring, not by the way of shooting
    order: float
    #: blocks about their day
    block: float
    #: days about the player's mean, for phases
    day: float
    #: gain a week by practice alone, for phases
    week: float


_LANDING = Scales(effect=0.15, order=0.005, block=0.015, day=0.03, week=0.005)
_SCATTER = Scales(effect=0.50, order=0.02, block=0.04, day=0.04, week=0.02)
SCALES = {
    Measure.MAKE: Scales(effect=25.0, order=1.0, block=4.0, day=6.0, week=1.0),
    Measure.ALONG: _LANDING,
    Measure.ACROSS: _LANDING,
    Measure.DISTANCE_CONTROL: _SCATTER,
    Measure.LINE_CONTROL: _SCATTER,
    Measure.ENTRY_ANGLE: Scales(effect=0.15, order=0.004, block=0.012, day=0.015, week=0.003),
}
# of a body measure, in scatter of its shots: bodies can be moved many times their own scatter
_BODY = Scales(effect=5.0, order=0.3, block=0.5, day=0.5, week=0.1)


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockNumber:
    """One block's number."""

    block: Block
    #: shots it rests on
    shots: int
    #: mean of the shots, and their sum of squares about it
    mean: float
    squares: float
    #: mean square of the shots' own measuring error
    error: float
    day: float


def shots_of_block(result: BlockResult, measure: Measure | BodyMeasure) -> Floats:
    """Return a measure of every shot, NaN where it was not taken, float64 [shot].

    Makes count 100. Scatter is drawn from the landing points themselves.
    """
    if measure is Measure.MAKE:
        return _MAKE * result.made.astype(np.float64)
    if measure in _ALONG:
        values = result.along
    else:
        values = result.across if measure in _ACROSS else result.value
    return np.full(len(result.made), np.nan) if values is None else np.asarray(values, float)


def _errors(result: BlockResult, measure: Measure | BodyMeasure) -> Floats:
    """Return the measuring error of every shot, float64 [shot]; 0 where it is not known."""
    if measure in _ALONG:
        found = result.along_sd
    elif measure in _ACROSS:
        found = result.across_sd
    else:
        found = None if measure is Measure.MAKE else result.value_sd
    none = np.zeros(len(result.made))
    return none if found is None else np.nan_to_num(np.asarray(found, float))


def washout_of(result: BlockResult, block: Block) -> int:
    """Return how many first shots are not analysed."""
    return block.washout if result.washout is None else result.washout


def block_numbers(
    plan: TrialPlan, results: Sequence[BlockResult], *, measure: Measure | BodyMeasure
) -> list[BlockNumber]:
    """Return the numbers of all blocks that can be analysed, in the order of the plan.

    Familiarisation blocks, sets that stop on makes and blocks without the measure are left out.

    Raises
    ------
    BadInput
        A result belongs to no block of the plan, or a block has two.
    """
    seen: set[int] = set()
    found = []
    for result in sorted(results, key=lambda r: r.block):
        block = plan.block(result.block)
        if result.block in seen:
            raise BadInput(f"Block {result.block} was entered twice; keep one of the two.")
        seen.add(result.block)
        number = _block_number(plan, result, measure=measure)
        if number is not None and block.phase is not Phase.FAMILIARISATION:
            found.append(number)
    return found


def _block_number(
    plan: TrialPlan, result: BlockResult, *, measure: Measure | BodyMeasure
) -> BlockNumber | None:
    block = plan.block(result.block)
    first = washout_of(result, block)
    shots, errors = shots_of_block(result, measure)[first:], _errors(result, measure)[first:]
    taken = np.isfinite(shots)
    if result.stops_on_makes or taken.sum() < (2 if _is_scatter(measure) else 1):
        return None
    shots = shots[taken]
    mean = float(shots.mean())
    return BlockNumber(
        block=block,
        shots=len(shots),
        mean=mean,
        squares=float(((shots - mean) ** 2).sum()),
        error=float((errors[taken] ** 2).mean()),
        day=float((result.day - plan.start).days),
    )


def _is_scatter(measure: Measure | BodyMeasure) -> bool:
    if isinstance(measure, BodyMeasure):
        return measure.better.value == "steadier"
    return measure in (Measure.DISTANCE_CONTROL, Measure.LINE_CONTROL)


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """Rows the verdict is drawn from, and what turns them into the measure's unit."""

    numbers: Numbers
    #: number of the last block of each row, int64 [row]
    after: NDArray[np.int64]
    #: what a pair tells, float64 [row]: does not depend on which way came first
    weight: Floats
    #: True where the numbers are logarithms of scatter
    scatter: bool
    #: scatter from shot to shot, measuring error included, and that error
    shot_sd: float
    error_sd: float

    def __len__(self) -> int:
        return len(self.after)


def pairs_compared(
    numbers: Sequence[BlockNumber], measure: Measure | BodyMeasure
) -> Compared | None:
    """Return the differences of whole pairs (or fours), in order; None without any.

    Parameters
    ----------
    numbers
        As ``block_numbers`` gives them.
    measure
        What is compared.
    """
    whole = _whole(numbers)
    kept = [one for row in whole for one in row]
    if not kept:
        return None
    scales, value, variance, freedom = _valued(kept, measure)
    arm = np.array([1.0 if n.block.arm is Arm.CHANGE else -1.0 for n in kept])
    ends = np.cumsum([len(row) for row in whole])
    starts = np.concatenate([[0], ends[:-1]])
    each = np.add.reduceat((arm > 0).astype(float), starts)
    place = np.array([float(n.block.number) for n in kept])
    shots = np.array([float(n.shots) for n in kept])
    return Compared(
        numbers=Numbers(
            value=np.add.reduceat(arm * value, starts) / each,
            variance=np.add.reduceat(variance, starts) / each**2,
            blocks=2.0 / each,
            columns=np.stack([np.ones(len(each)), np.add.reduceat(arm * place, starts) / each], 1),
            prior_sd=np.array([scales.effect, scales.order]),
            block_scale=scales.block,
            freedom=freedom,
        ),
        after=np.array([row[-1].block.number for row in whole]),
        weight=each**2 / np.add.reduceat(1.0 / shots, starts),
        scatter=_is_scatter(measure),
        **_shot_scatter(kept),
    )


def _whole(numbers: Sequence[BlockNumber]) -> list[list[BlockNumber]]:
    """Return the pairs that have as many blocks of each way."""
    rows: dict[int, list[BlockNumber]] = {}
    for one in numbers:
        if one.block.pair is not None:
            rows.setdefault(one.block.pair, []).append(one)
    size = max((len(row) for row in rows.values()), default=0)
    balanced = [r for r in rows.values() if sum(_way(n) for n in r) == 0 and len(r) == size]
    return sorted(balanced, key=lambda row: row[-1].block.number)


def _way(number: BlockNumber) -> int:
    return 1 if number.block.arm is Arm.CHANGE else -1


def _shot_scatter(kept: Sequence[BlockNumber]) -> dict[str, float]:
    """Return the scatter of shots, half way between the two ways in logarithms, and its error.

    Half way, because there it is known independently of how the two differ.
    """
    shares = []
    for arm in Arm:
        of = [n for n in kept if n.block.arm is arm]
        free = sum(n.shots - 1 for n in of)
        shares.append(sum(n.squares for n in of) / free if free else 0.0)
    error = float(np.mean([n.error for n in kept]))
    return {"shot_sd": math.prod(shares) ** 0.25, "error_sd": math.sqrt(error)}


def days_compared(
    numbers: Sequence[BlockNumber], measure: Measure | BodyMeasure, *, phase: Phase
) -> Compared | None:
    """Return the means of test days, habit tests against those of one phase; None without both.

    Parameters
    ----------
    numbers
        As ``block_numbers`` gives them.
    measure
        What is compared.
    phase
        Which tests of the change count: delayed ones, or those on practice days.
    """
    kept = [n for n in numbers if n.block.phase in (Phase.BASELINE, phase)]
    if len({n.block.arm for n in kept}) < len(Arm):
        return None
    scales, value, variance, freedom = _valued(kept, measure)
    days = np.array([n.block.day for n in kept])
    firsts = np.flatnonzero(np.diff(days, prepend=-1))
    each = np.diff(np.append(firsts, len(kept)))
    changed = np.array([float(kept[i].block.arm is Arm.CHANGE) for i in firsts])
    week = np.array([kept[i].day for i in firsts]) / _DAYS_A_WEEK
    mean = np.add.reduceat(value, firsts) / each
    far = 100.0 * (np.ptp(mean) + scales.effect)
    return Compared(
        numbers=Numbers(
            value=mean - mean[changed == 0].mean(),
            variance=np.add.reduceat(variance, firsts) / each**2,
            blocks=np.ones(len(firsts)),
            columns=np.stack([changed, np.ones(len(firsts)), week], 1),
            prior_sd=np.array([scales.effect, far, scales.week]),
            block_scale=math.hypot(scales.day, scales.block),
            freedom=freedom,
        ),
        after=np.array([kept[i + n - 1].block.number for i, n in zip(firsts, each, strict=True)]),
        weight=np.ones(len(firsts)),
        scatter=_is_scatter(measure),
        **_shot_scatter(kept),
    )


def _valued(
    kept: Sequence[BlockNumber], measure: Measure | BodyMeasure
) -> tuple[Scales, Floats, Floats, float]:
    """Return scales, and each block's value, variance and the degrees of freedom behind it."""
    shots = np.array([float(n.shots) for n in kept])
    squares = np.array([n.squares for n in kept])
    mean = np.array([n.mean for n in kept])
    if _is_scatter(measure):
        return _SCATTER, *_log_scatter(squares, shots), np.inf
    if measure is Measure.MAKE:
        return SCALES[Measure.MAKE], mean, _make_variance(kept) / shots, np.inf
    freedom = float((shots - 1).sum())
    if freedom < 1:
        raise BadInput("One shot a block says nothing of scatter; measure more shots of each.")
    variance = squares.sum() / freedom
    if not variance > 0:
        raise BadInput("All measured shots are exactly alike; check the values entered.")
    return _scales_of(measure, math.sqrt(variance)), mean, variance / shots, freedom


def _scales_of(measure: Measure | BodyMeasure, sd: float) -> Scales:
    if isinstance(measure, Measure):
        return SCALES[measure]
    return Scales(
        effect=_BODY.effect * sd, order=_BODY.order * sd, block=_BODY.block * sd,
        day=_BODY.day * sd, week=_BODY.week * sd,
    )  # fmt: skip


def _make_variance(kept: Sequence[BlockNumber]) -> Floats:
    """Return the variance of one shot by the way it was shot, float64 [block].

    One make and one miss are added to each way [AgrestiCaffo2000]_, so that a clean sweep is not
    taken for certainty.
    """
    share = {}
    for arm in Arm:
        of = [n for n in kept if n.block.arm is arm]
        made = sum(n.mean / _MAKE * n.shots for n in of)
        share[arm] = (made + 1.0) / (sum(n.shots for n in of) + 2.0)
    return np.array([_MAKE**2 * share[n.block.arm] * (1 - share[n.block.arm]) for n in kept])


def _log_scatter(squares: Floats, shots: Floats) -> tuple[Floats, Floats]:
    """Return the log of each block's scatter and its variance, float64 [block] both.

    The logarithm of a chi-squared variable has mean ψ(ν/2) + ln 2 and variance ψ′(ν/2)
    [BartlettKendall1946]_.
    """
    if not (squares > 0).all():
        raise BadInput("The shots of a block are exactly alike; check the values entered.")
    half = (shots - 1) / 2
    value: Floats = 0.5 * (np.log(squares / 2) - digamma(half))
    variance: Floats = 0.25 * polygamma(1, half)
    return value, variance
