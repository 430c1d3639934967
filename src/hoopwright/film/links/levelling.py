"""Take spots, days and slow drift out of a run of shots, so that only shot-to-shot scatter is left.

A player who tires lowers the set point and shoots short, shot by shot: two slow trends look like a
link. Each run (day, spot, condition) is centred, each day loses a straight trend, and what slow
wandering is left is modelled as a random walk whose size is fitted from the outcome (restricted
maximum likelihood), so that players who do not drift lose no shots to it.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import linalg

Floats = NDArray[np.float64]

#: step of the random walk from shot to shot, as a share of the shot's own variance: those tried
WANDERING = np.array([0.0, 3e-4, 1e-3, 3e-3, 1e-2, 3e-2, 0.1, 0.3])
#: fewest shots of a day from which its straight trend is taken
TREND_FROM = 8
#: values further from the rest than this many robust standard deviations are drawn in to it
FAR = 3.0
#: median absolute deviation to standard deviation, normal
_MAD = 1.4826


@dataclass(frozen=True, slots=True, kw_only=True)
class Runs:
    """Which shots belong together; all lists in the order the shots were taken."""

    #: what shares a centre: day, spot and condition
    where: Sequence[Hashable]
    #: what drifts as one
    day: Sequence[Hashable]


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """One outcome, levelled."""

    #: float64 [shot]: shot-to-shot scatter, of unit size about the robust spread
    values: Floats
    #: what levels another column the same way, float64 [shot, shot], symmetric
    turn: Floats
    #: columns taken out, float64 [shot, column]
    fixed: Floats
    #: weight of each shot, from its error, float64 [shot]
    weight: Floats
    #: the player's own scatter of the outcome, film error and drift taken off [SI]
    own_sd: float
    #: the same as a share of the scatter seen, 0 to 1
    own_share: float

    @property
    def free(self) -> int:
        """Degrees of freedom left."""
        return int(len(self.values) - self.fixed.shape[1])


def robust_sd(values: Floats) -> float:
    """Return 1.4826 times the median distance from the median; the plain one where that is 0."""
    spread = _MAD * _median(np.abs(values - _median(values)))
    return spread if spread > 0.0 else float(np.std(values))


def _median(values: Floats) -> float:
    """Return the median; called so often that the checks of ``numpy.median`` would cost most."""
    count = len(values)
    ordered = np.sort(values)
    return 0.5 * float(ordered[(count - 1) // 2] + ordered[count // 2])


def drawn_in(values: Floats, far: float = FAR) -> Floats:
    """Draw values further than ``far`` robust standard deviations in to that distance."""
    limit = far * robust_sd(values)
    return np.clip(values, -limit, limit)


def fixed_columns(runs: Runs) -> Floats:
    """Return the columns of centres and straight trends, orthonormal, float64 [shot, column]."""
    columns = [_indicator(runs.where, key) for key in dict.fromkeys(runs.where)]
    for key in dict.fromkeys(runs.day):
        here = _indicator(runs.day, key)
        if here.sum() >= TREND_FROM:
            columns.append(here * (np.cumsum(here) - 0.5 * (here.sum() + 1.0)))
    return np.asarray(linalg.orth(np.column_stack(columns), rcond=1e-8), np.float64)


def _indicator(keys: Sequence[Hashable], key: Hashable) -> Floats:
    return np.array([float(one == key) for one in keys])


def random_walk(runs: Runs) -> Floats:
    """Return the covariance of a walk of unit steps that starts anew each day [shot, shot]."""
    place = np.zeros(len(runs.day))
    same = np.zeros((len(place), len(place)))
    for key in dict.fromkeys(runs.day):
        here = _indicator(runs.day, key)
        place += here * np.cumsum(here)
        same += np.outer(here, here)
    return same * np.minimum.outer(place, place)


def level(values: Floats, sds: Floats, *, runs: Runs) -> Level:
    """Level one outcome.

    Parameters
    ----------
    values
        The outcome, shot by shot, float64 [shot] [SI].
    sds
        Error of each, one standard deviation, float64 [shot] [SI].
    runs
        Which shots belong together.
    """
    plain = fixed_columns(runs)
    rest = values - plain @ (plain.T @ values)
    robust = plain @ (plain.T @ values) + drawn_in(rest)
    spread = max(robust_sd(rest) ** 2 - float(np.mean(sds**2)), 0.05 * robust_sd(rest) ** 2)
    weight = np.sqrt((spread + float(np.mean(sds**2))) / (spread + sds**2))
    fixed = np.asarray(linalg.orth(weight[:, None] * plain, rcond=1e-8), np.float64)
    turn = _turned(weight * robust, fixed, np.outer(weight, weight) * random_walk(runs))
    levelled = turn @ (weight * values)
    scale = float(np.sqrt(np.sum(drawn_in(levelled) ** 2) / (len(values) - fixed.shape[1])))
    noise = float(np.sum((turn * weight) ** 2 @ sds**2)) / (len(values) - fixed.shape[1])
    own = float(np.sqrt(max(1.0 - noise / scale**2, 0.05)))
    return Level(
        values=levelled / scale,
        turn=turn,
        fixed=fixed,
        weight=weight,
        own_sd=own * scale,
        own_share=own,
    )


def _turned(values: Floats, fixed: Floats, walk: Floats) -> Floats:
    """Return the symmetric whitening matrix of the best-fitting walk, fixed columns taken out."""
    free = linalg.null_space(fixed.T)
    along, across = np.linalg.eigh(free.T @ walk @ free)
    basis = free @ across
    seen = basis.T @ values
    along = np.maximum(along, 0.0)
    fits = [_loglik(seen, 1.0 + step * along) for step in WANDERING]
    sizes = 1.0 + WANDERING[int(np.argmax(fits))] * along
    return np.asarray((basis / np.sqrt(sizes)) @ basis.T, np.float64)


def _loglik(seen: Floats, sizes: Floats) -> float:
    """Restricted log-likelihood, the scale worked out."""
    return -0.5 * float(len(seen) * np.log(np.sum(seen**2 / sizes)) + np.sum(np.log(sizes)))
