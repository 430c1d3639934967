"""What makes and misses alone say of a change, pair of blocks by pair: the exact likelihood.

Within a pair, given the makes of both blocks together, how many fell to the change depends on the
log odds ratio only; how well the player shot that day drops out. So days, spots and tired legs
that both blocks of a pair share can't pass for an effect, however unequal the blocks.
"""

from dataclasses import dataclass
from uuid import UUID

import numpy as np
from numpy.typing import NDArray
from scipy import special

from hoopwright.errors import BadInput

Floats = NDArray[np.float64]

#: how far the share made wanders from block to block beside luck, one standard deviation; common
#: practice, no source
BLOCK_SD = 0.03


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayerCounts:
    """Makes and shots of one player, pair of blocks by pair; one pair where only totals are known.

    Washout shots and sets that stop on makes are left out before.
    """

    player: UUID
    habit_made: tuple[int, ...]
    habit_shots: tuple[int, ...]
    change_made: tuple[int, ...]
    change_shots: tuple[int, ...]

    def __post_init__(self) -> None:
        columns = (self.habit_made, self.habit_shots, self.change_made, self.change_shots)
        if not self.habit_made or len({len(c) for c in columns}) != 1:
            raise BadInput("Each pair needs makes and shots of habit and change; fill the gaps.")
        for made, shots in ((columns[0], columns[1]), (columns[2], columns[3])):
            if any(not 0 <= m <= n for m, n in zip(made, shots, strict=True)):
                raise BadInput("Makes go from 0 to the number of shots; correct the counts.")
        if not sum(self.habit_shots) or not sum(self.change_shots):
            raise BadInput("A player needs shots both ways; leave out who has only one so far.")

    @property
    def shots(self) -> int:
        """How many shots in all."""
        return sum(self.habit_shots) + sum(self.change_shots)

    @property
    def level(self) -> tuple[float, float]:
        """Return a and b of the Beta that says how much the player makes, both ways midway.

        Derived: Jeffreys' prior and each way's makes and misses at half of all shots' weight.
        """
        sides = ((self.habit_made, self.habit_shots), (self.change_made, self.change_shots))
        share = sum(sum(made) / sum(shots) for made, shots in sides) / 2.0
        return 0.5 + self.shots * share, 0.5 + self.shots * (1.0 - share)


def log_likelihood(counts: PlayerCounts, odds: Floats, *, block_sd: float = BLOCK_SD) -> Floats:
    """Return the log-likelihood of log odds ratios, float64 [place].

    Parameters
    ----------
    counts
        One player's makes and shots.
    odds
        Log odds ratios, change over habit, float64 [place].
    block_sd
        How far the share made wanders from block to block beside luck.

    Notes
    -----
    The noncentral hypergeometric of each pair ([Fisher1935b]_), conditional on both margins. Wander
    from block to block weakens each pair by its design effect, 1 + (n − 1)ρ ([Kish1965]_), where
    n is the shots of a block and ρ the share of the variance that the block has.
    """
    a, b = counts.level
    of_block = min(block_sd**2 / (a * b / (a + b) ** 2), 1.0)
    total = np.zeros_like(odds)
    for habit, shots, made, taken in zip(
        counts.habit_made, counts.habit_shots, counts.change_made, counts.change_shots, strict=True
    ):
        if not shots or not taken:
            continue
        weaker = 1.0 + max(0.5 * (shots + taken) - 1.0, 0.0) * of_block
        total = total + pair_log_likelihood(made, taken, habit, shots, odds) / weaker
    return total


def pair_log_likelihood(made: int, taken: int, habit: int, shots: int, odds: Floats) -> Floats:
    """Return the conditional log-likelihood of one pair, up to a constant, float64 [place].

    Parameters
    ----------
    made, taken
        Makes and shots of the change.
    habit, shots
        Makes and shots of the habit.
    odds
        Log odds ratios, change over habit, float64 [place].
    """
    both = made + habit
    could = np.arange(max(0, both - shots), min(taken, both) + 1.0)
    ways = _log_choose(taken, could) + _log_choose(shots, both - could)
    every = special.logsumexp(ways[:, None] + could[:, None] * odds, axis=0)
    return np.asarray(made * odds - every, np.float64)


def _log_choose(n: int, k: Floats) -> Floats:
    return np.asarray(
        special.gammaln(n + 1.0) - special.gammaln(k + 1.0) - special.gammaln(n - k + 1.0),
        np.float64,
    )


def gain(odds: Floats, level: Floats) -> Floats:
    """Return makes per 100 gained, change minus habit.

    Parameters
    ----------
    odds
        Log odds ratio, change over habit.
    level
        Share made midway between the two, on the log-odds scale, 0 to 1. Same shape.
    """
    middle = special.logit(level)
    return np.asarray(
        100.0 * (special.expit(middle + 0.5 * odds) - special.expit(middle - 0.5 * odds)),
        np.float64,
    )
