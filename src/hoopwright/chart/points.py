"""Tapped and filmed landing points, boiled down so that a draw costs the same for any number.

Where points of one block share their errors, count, mean and sum of squares say everything about
aim and spread. Whether each went in says something of the arc and the ring only: that part is
worked out once, on fine nodes of entry angle and ring restitution. For it, where the shot really
crossed is taken from its point and the block's own landings (an empirical Bayes step).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.chart import _kernel as k
from hoopwright.chart.misses import Evidence

Floats = NDArray[np.float64]

# what a block's landings are taken to be while it has few points [m], and for how many they count
_USUAL_SD, _USUAL_WEIGHT = 0.12, 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Points:
    """All points of one condition."""

    #: float64 [group, 7]: count, means, summed squares, error sds; along before across
    groups: Floats
    #: int64 [block + 1]
    group_from: NDArray[np.int64]
    #: log chance of makes and misses, float64 [block, fine entry, fine ring]
    outcomes: Floats


def summarise(
    shots: Evidence, tables: NDArray[np.float32], grid: Floats, fine: tuple[int, int]
) -> Points:
    """Boil down the points of all blocks.

    Parameters
    ----------
    shots
        The arrays of one condition.
    tables
        Make chances of each block, float32 [block, entry, ring, along, across].
    grid
        Start and step of the cells along and across [m].
    fine
        Fine nodes for each step of the entry and ring axes.
    """
    blocks = len(shots.keys)
    shape = (blocks, (tables.shape[1] - 1) * fine[0] + 1, (tables.shape[2] - 1) * fine[1] + 1)
    outcomes = np.zeros(shape)
    groups: list[Floats] = []
    starts = [0]
    for b in range(blocks):
        tapped = shots.points[shots.point_from[b] : shots.point_from[b + 1]]
        groups.extend(_groups(tapped))
        starts.append(len(groups))
        points, own, made = _with_outcome(shots, b)
        if len(points):
            usual = _usual(points, own)
            k.outcome_table(tables[b], grid, usual, points, made, np.array(fine), outcomes[b])
    return Points(
        groups=np.array(groups).reshape(-1, 7),
        group_from=np.array(starts, np.int64),
        outcomes=outcomes,
    )


def _groups(points: Floats) -> list[Floats]:
    """Return one row per pair of error sds."""
    rows = []
    for errors in np.unique(points[:, 2:], axis=0) if len(points) else []:
        same = points[np.all(points[:, 2:] == errors, axis=1), :2]
        squares = np.sum((same - same.mean(axis=0)) ** 2, axis=0)
        rows.append(np.array([len(same), *same.mean(axis=0), *squares, *errors]))
    return rows


def _with_outcome(shots: Evidence, block: int) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Return landing points of a block, their own variances and outcomes, tapped then filmed.

    The errors beside the points are whole: where one shot crossed is no surer for its camera's
    error being the same in all of them.
    """
    t0, t1 = shots.point_from[block : block + 2]
    f0, f1 = shots.film_from[block : block + 2]
    films = shots.films[f0:f1]
    own = films[:, [23, 29]]
    shared = np.sum(films[:, 45:55].reshape(-1, 2, 5) ** 2, axis=2)
    filmed = np.column_stack([films[:, 3:5], np.sqrt(own + shared)])
    return (
        np.concatenate([shots.points[t0:t1], filmed]),
        np.concatenate([shots.points[t0:t1, 2:] ** 2, own]),
        np.concatenate([shots.point_made[t0:t1], shots.film_made[f0:f1]]),
    )


def _usual(points: Floats, own: Floats) -> Floats:
    """Return mean along, sd along, mean across, sd across of a block's true landings.

    ``own``: the points' error variances along and across, without what they share.
    """
    n = len(points)
    mean = points[:, :2].mean(axis=0) * n / (n + _USUAL_WEIGHT)
    square = np.sum((points[:, :2] - mean) ** 2 - own, axis=0)
    variance = (square + _USUAL_WEIGHT * _USUAL_SD**2) / (n + _USUAL_WEIGHT)
    sd = np.sqrt(np.maximum(variance, 0.02**2))
    return np.array([mean[0], sd[0], mean[1], sd[1]])
