"""All shots in one heap against player by player: the two can point opposite ways.

When good shooters take more of the change's shots than poor ones, the heap shows a gain that no
player has (or hides one that every player has). Both are worked out, and a flip is said.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

from hoopwright.errors import BadInput
from hoopwright.records import Estimate
from hoopwright.trials.counted import PlayerCounts
from hoopwright.trials.mixture import SHARES, estimate

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class CrudeAndWithin:
    """The change against the habit, in one heap and within players."""

    #: makes per 100, all players' shots in one heap: change minus habit
    crude: float
    #: makes per 100 within players (or pairs), weighted by shots, with its range
    within: Estimate
    #: odds ratio of a make, change over habit: in one heap, and within players
    crude_odds: float
    within_odds: Estimate
    #: True where the two point opposite ways: the heap must not be believed
    flipped: bool
    #: True where a flip is seen but the range within players still holds both ways
    flip_may_be_luck: bool


def crude_and_within(players: Sequence[PlayerCounts]) -> CrudeAndWithin:
    """Compare the heap of all shots with each player's own comparison.

    Parameters
    ----------
    players
        Each player's makes and shots; a pair of blocks is a stratum of its own.

    Raises
    ------
    BadInput
        No players, or no makes or no misses at all.

    Notes
    -----
    Within players by [MantelHaenszel1959]_; ranges of the odds ratio by [Robins1986]_, of the
    difference by [GreenlandRobins1985]_. Neither takes the players' own effects to be alike in
    earnest: it is the average of these players, and says nothing of others.
    """
    table = _strata(players)
    made = table[:, :2].sum(axis=1)
    if not len(table) or made.sum() == 0 or made.sum() == table[:, 2:].sum():
        raise BadInput("Comparing needs both makes and misses; enter more shots first.")
    change, habit, taken, shots = table.sum(axis=0)
    crude = 100.0 * (change / taken - habit / shots)
    within = _difference(table)
    flipped = bool(crude * within.value < 0.0)
    return CrudeAndWithin(
        crude=float(crude),
        within=within,
        crude_odds=_ratio(change * (shots - habit), habit * (taken - change)),
        within_odds=_odds(table),
        flipped=flipped,
        flip_may_be_luck=flipped and within.low95 < 0.0 < within.high95,
    )


def _strata(players: Sequence[PlayerCounts]) -> Floats:
    """Return makes and shots [stratum, (change made, habit made, change shots, habit shots)]."""
    rows = [
        row
        for p in players
        for row in zip(p.change_made, p.habit_made, p.change_shots, p.habit_shots, strict=True)
    ]
    table = np.array(rows, np.float64).reshape(-1, 4)
    return table[(table[:, 2] > 0) & (table[:, 3] > 0)]


def _difference(table: Floats) -> Estimate:
    """Return the Mantel–Haenszel difference with its range [makes per 100]."""
    change, habit, taken, shots = table.T
    both = taken + shots
    weight = taken * shots / both
    value = float(np.sum(weight * (change / taken - habit / shots)) / weight.sum())
    scatter = change * (taken - change) * shots**3 + habit * (shots - habit) * taken**3
    variance = float(np.sum(scatter / (taken * shots * both**2)) / weight.sum() ** 2)
    return _normal(100.0 * value, 100.0 * math.sqrt(variance))


def _odds(table: Floats) -> Estimate:
    """Return the Mantel–Haenszel odds ratio with its range."""
    change, habit, taken, shots = table.T
    both = taken + shots
    up, down = change * (shots - habit) / both, habit * (taken - change) / both
    value = _ratio(float(up.sum()), float(down.sum()))
    if not 0.0 < value < math.inf:
        return estimate(value, np.repeat([0.0, math.inf], 3))
    agree = (change + shots - habit) / both
    parts = (
        np.sum(agree * up) / (2.0 * up.sum() ** 2)
        + np.sum(agree * down + (1.0 - agree) * up) / (2.0 * up.sum() * down.sum())
        + np.sum((1.0 - agree) * down) / (2.0 * down.sum() ** 2)
    )
    ends = value * np.exp(math.sqrt(float(parts)) * special.ndtri(SHARES))
    return estimate(value, ends)


def _ratio(up: float, down: float) -> float:
    return float(up / down) if down > 0.0 else math.inf


def _normal(value: float, sd: float) -> Estimate:
    return estimate(value, value + sd * special.ndtri(SHARES))
