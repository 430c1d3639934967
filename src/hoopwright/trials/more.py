"""How many more players, or shots by the same players, would settle an average effect."""

import math

import numpy as np
from numpy.typing import NDArray
from scipy import special

Floats = NDArray[np.float64]

#: chance that a difference just worth knowing is found by then
POWER = 0.8
#: most further players, and shots by each, that are asked for
MOST_PLAYERS = 100
MOST_SHOTS = 2000


def wanted_precision(smallest: float, *, sure: float) -> float:
    """Return the precision (one over variance) at which a difference is found.

    Parameters
    ----------
    smallest
        The difference to be found in 8 of 10 such groups.
    sure
        Chance of being better from which it is said.
    """
    deviates = float(special.ndtri(sure) + special.ndtri(POWER))
    return (deviates / smallest) ** 2


def players_needed(sds: Floats, *, between: float, known: float, wanted: float) -> int | None:
    """Return how many more players like these are needed, at least one; None if out of reach.

    Parameters
    ----------
    sds
        Standard error of each player's effect, float64 [player].
    between
        Standard deviation between players.
    known, wanted
        Precision of the average now, and the one wanted.
    """
    each = 1.0 / (between**2 + float(np.median(sds)) ** 2)
    players = max(math.ceil((wanted - known) / each), 1)
    return players if players <= MOST_PLAYERS else None


def shots_needed(
    sds: Floats, shots: NDArray[np.int64], *, between: float, wanted: float
) -> int | None:
    """Return how many more shots by each of the same players are needed, in tens.

    None if out of reach: players differ too much, so that only more players would tell.

    Parameters
    ----------
    sds, shots
        Standard error of each player's effect, and the shots behind it, [player].
    between
        Standard deviation between players.
    wanted
        Precision of the average that is wanted.
    """
    left = len(sds) / wanted - between**2
    if left <= 0.0 or not np.all(shots > 0):
        return None
    ratio = float(np.mean(sds**2)) / left
    further = 10 * max(math.ceil(float(np.mean(shots)) * (ratio - 1.0) / 10.0), 1)
    return further if further <= MOST_SHOTS else None


def more_of(
    sds: Floats,
    shots: NDArray[np.int64],
    *,
    smallest: float,
    sure: float,
    between: float,
    known: float,
) -> tuple[int | None, int | None]:
    """Return the further players, and the further shots of each, that would settle an average.

    Parameters
    ----------
    sds, shots
        Standard error of each player's effect, and the shots behind it, [player].
    smallest, sure
        As for :func:`wanted_precision`.
    between
        Standard deviation between players.
    known
        Precision of the average now.
    """
    wanted = wanted_precision(smallest, sure=sure)
    return (
        players_needed(sds, between=between, known=known, wanted=wanted),
        shots_needed(sds, shots, between=between, wanted=wanted),
    )
