"""A player's level through tests on several days: a hidden walk, read by exact sums on a grid.

The level is the log of the odds of a make. Between tests it wanders (a random walk whose step
grows with the root of the time) and now and then jumps; on each test day the player is a little
above or below it (day scatter); makes are binomial. How far it wanders and how large the scatter
is are not known and are summed over. This is the local-level model [DurbinKoopman2012]_ with
counts instead of normal errors, filtered and smoothed forward and backward.
"""

import functools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import linalg, special

from hoopwright.transfer.shares import Floats

#: logs of the odds that a level may have: 1 to 99 %
STEP = 0.04
LEVELS: Floats = np.arange(-4.6, 4.6 + STEP / 2, STEP)
#: where levels lie before any test; common practice, no source
_START_SD = 1.3
#: day scatter in the log of the odds, and how likely each is beforehand: around 0.24, some 6 points
#: at 50 %; common practice, no source
SCATTERS: Floats = np.array([0.0, 0.12, 0.24, 0.36, 0.50])
SCATTER_CHANCES: Floats = np.array([0.15, 0.25, 0.30, 0.20, 0.10])
#: wandering in a week, likewise; common practice, no source
DRIFTS: Floats = np.array([0.0, 0.05, 0.10, 0.20, 0.40])
DRIFT_CHANCES: Floats = np.array([0.35, 0.25, 0.20, 0.15, 0.05])
_DAYS_A_WEEK = 7.0
#: how likely a change of level is from one test day to the next; common practice, no source
HAZARD = 0.05
#: how far levels before and after a change lie apart, in the log of the odds; likewise
APART_SD = 0.6


def start() -> Floats:
    """Return how likely each level is before any test, float64 [level]."""
    chance = np.exp(-0.5 * (LEVELS / _START_SD) ** 2)
    return np.asarray(chance / chance.sum())


def likelihoods(attempts: Sequence[int], made: Sequence[int]) -> Floats:
    """Return the log chance of each test at each scatter and level, float64 [test, scatter, level].

    The part that is the same for all levels is left out.
    """
    nodes, weights = np.polynomial.hermite_e.hermegauss(9)
    odds = LEVELS + SCATTERS[:, None, None] * nodes[:, None]
    n, k = (np.array(x, float)[:, None, None, None] for x in (attempts, made))
    logs = k * odds - n * np.logaddexp(0.0, odds)
    return np.asarray(special.logsumexp(logs, axis=2, b=(weights / weights.sum())[:, None]))


@dataclass(frozen=True, slots=True, eq=False)
class Walk:
    """The level through all tests, one column of numbers for each drift and scatter."""

    #: given the tests up to and with each, float64 [test, drift, scatter, level]
    filtered: Floats
    #: given the tests before each, likewise
    foreseen: Floats
    #: given all tests, likewise
    smoothed: Floats
    #: how likely each drift and scatter is, given all tests, float64 [drift, scatter]
    weights: Floats
    #: the same, given the tests before each, float64 [test, drift, scatter]
    weights_before: Floats
    #: days from one test to the next, [test − 1]
    gaps: tuple[int, ...]

    def level(self, test: int) -> Floats:
        """Return how likely each level is at a test, given all tests, float64 [level]."""
        return np.asarray(np.einsum("ds,dsx->x", self.weights, self.smoothed[test]))

    def level_before(self, test: int) -> Floats:
        """Return how likely each level is at a test, given only those before it [level]."""
        return np.asarray(np.einsum("ds,dsx->x", self.weights_before[test], self.foreseen[test]))


def walk(logs: Floats, gaps: Sequence[int]) -> Walk:
    """Return the level through some tests.

    Parameters
    ----------
    logs
        As :func:`likelihoods` gives them, float64 [test, scatter, level].
    gaps
        Days from each test to the next.
    """
    moves = [_moves(gap) for gap in gaps]
    likely = np.exp(logs - logs.max(axis=(1, 2), keepdims=True))
    shape = (len(DRIFTS), len(SCATTERS), len(LEVELS))
    now = np.broadcast_to(start(), shape)
    foreseen, filtered, scale = [], [], []
    for i, one in enumerate(likely):
        foreseen.append(now)
        joint = now * one
        scale.append(joint.sum(axis=2))
        filtered.append(joint / scale[-1][..., None])
        now = filtered[-1] @ moves[i] if i < len(moves) else now
    prior = np.log(DRIFT_CHANCES[:, None] * SCATTER_CHANCES)
    so_far = prior + np.cumsum([np.zeros(shape[:2]), *np.log(scale)], axis=0)
    weights = np.exp(so_far - special.logsumexp(so_far, axis=(1, 2), keepdims=True))
    return Walk(
        filtered=np.array(filtered),
        foreseen=np.array(foreseen),
        smoothed=_smoothed(likely, filtered, moves),
        weights=weights[-1],
        weights_before=weights[:-1],
        gaps=tuple(gaps),
    )


def paths(
    found: Walk, one: int, other: int, *, count: int, rng: np.random.Generator
) -> NDArray[np.int64]:
    """Return levels at two tests drawn together: places in ``LEVELS``, int64 [path, 2].

    The earlier test comes first.
    """
    per_cell = rng.multinomial(count, found.weights.ravel()).reshape(found.weights.shape)
    moves = [_moves(gap) for gap in found.gaps[one:other]]
    ends = []
    for drift, scatter in zip(*np.nonzero(per_cell), strict=True):
        n = int(per_cell[drift, scatter])
        start_at = found.smoothed[other, drift, scatter]
        last = now = rng.choice(len(LEVELS), size=n, p=start_at / start_at.sum())
        for i in range(len(moves) - 1, -1, -1):
            back = found.filtered[one + i, drift, scatter] * moves[i][drift].T[now]
            now = _drawn(back, rng)
        ends.append(np.stack([now, last], axis=1))
    return np.concatenate(ends)


def _drawn(chances: Floats, rng: np.random.Generator) -> NDArray[np.int64]:
    """Return one place per row, drawn by its chances, int64 [row]."""
    below = np.cumsum(chances, axis=1)
    at = rng.random(len(chances)) * below[:, -1]
    return np.asarray(np.argmax(below > at[:, None], axis=1), np.int64)


def _smoothed(likely: Floats, filtered: Sequence[Floats], moves: Sequence[Floats]) -> Floats:
    later = np.ones_like(filtered[0])
    found = [filtered[-1]]
    for i in range(len(moves) - 1, -1, -1):
        later = (later * likely[i + 1]) @ moves[i].transpose(0, 2, 1)
        later = later / later.max(axis=2, keepdims=True)
        joint = filtered[i] * later
        found.append(joint / joint.sum(axis=2, keepdims=True))
    return np.array(found[::-1])


@functools.lru_cache(maxsize=256)
def _moves(gap: int) -> Floats:
    """Return the chance of each level after some days, by drift, float64 [drift, from, to]."""
    drifts = np.array([_move(drift * np.sqrt(gap / _DAYS_A_WEEK)) for drift in DRIFTS])
    # on one day there is one level
    return drifts if gap == 0 else (1 - HAZARD) * drifts + HAZARD * apart()


@functools.cache
def apart() -> Floats:
    """Return the chance of each level after a change, float64 [old, new]."""
    return _move(APART_SD)


def _move(sd: float) -> Floats:
    away = LEVELS - LEVELS[0]
    if sd < 0.7 * STEP:
        # too narrow for the grid: one place up or down, as often as the variance asks for
        chance = np.zeros(len(LEVELS))
        chance[1] = 0.5 * (sd / STEP) ** 2
        chance[0] = 1 - 2 * chance[1]
    else:
        chance = np.exp(-0.5 * (away / sd) ** 2)
    table = linalg.toeplitz(chance)
    return np.asarray(table / table.sum(axis=1, keepdims=True))
