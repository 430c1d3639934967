"""How a coach's call of a miss follows from where the ball crossed the ring plane.

The coach sees the crossing with an error, then calls the one direction that is most wrong, or
two where the miss is diagonal. Chances of each call are worked out once, on the make table's
grid. The size of the error and the share of plain slips are common practice, no source; the
reading is checked with other sizes in the tests.
"""

import functools
import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from hoopwright.chart.make_table import ACROSS, ALONG
from hoopwright.chart.misses import STYLES, WAYS
from hoopwright.records import Miss, MissDetail, ShotSet

Floats = NDArray[np.float64]

_ONE_WAY = {way[0]: i for i, way in enumerate(WAYS) if len(way) == 1}
#: how far off a coach sees the crossing, one standard deviation [m]
SEEING_SD = 0.03
#: share of calls that are slips, spread evenly over the calls in use
SLIPS = 0.02


def call_way(along: Floats, across: Floats, style: MissDetail) -> NDArray[np.int64]:
    """Return which of ``misses.WAYS`` a miss seen at these points is called, same shape."""
    long, right = along > 0, across > 0
    if style is MissDetail.ALONG:
        return np.where(long, WAYS.index((Miss.LONG,)), WAYS.index((Miss.SHORT,)))
    one_along = np.where(long, 1, 0)
    one_across = np.where(right, 3, 2)
    single = np.where(np.abs(along) >= np.abs(across), one_along, one_across)
    if style is MissDetail.ONE:
        return single
    off_axis = np.minimum(np.abs(along), np.abs(across))
    diagonal = off_axis > math.tan(math.pi / 8) * np.maximum(np.abs(along), np.abs(across))
    return np.where(diagonal, 4 + 2 * long.astype(int) + right.astype(int), single)


def _smeared(along: Floats, across: Floats) -> tuple[Floats, Floats, Floats]:
    """Return seen points and their weights around each grid point [along, across, node]."""
    nodes, weights = np.polynomial.hermite_e.hermegauss(16)
    weights = weights / weights.sum()
    step = SEEING_SD * nodes
    seen_a = along[:, None, None, None] + step[:, None]
    seen_c = across[None, :, None, None] + step[None, :]
    seen_a, seen_c = np.broadcast_arrays(seen_a, seen_c)
    return seen_a, seen_c, np.outer(weights, weights)


def call_chances(along: Floats, across: Floats) -> NDArray[np.float32]:
    """Return the chance of each call on a grid, float32 [style, way, along, across]."""
    seen_a, seen_c, weights = _smeared(along, across)
    out = np.zeros((len(STYLES), len(WAYS), len(along), len(across)), np.float32)
    for s, style in enumerate(STYLES):
        called = call_way(seen_a, seen_c, style)
        used = np.unique(called)
        for way in used:
            share = np.sum(weights * (called == way), axis=(2, 3))
            out[s, way] = (1 - SLIPS) * share + SLIPS / len(used)
    return out


def front_chances(along: Floats) -> NDArray[np.float32]:
    """Return the chance that a make is called front half, float32 [along]."""
    share = np.array([0.5 * math.erfc(x / (SEEING_SD * math.sqrt(2))) for x in along])
    return ((1 - SLIPS) * share + SLIPS / 2).astype(np.float32)


@functools.cache
def table_calls() -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Return :func:`call_chances` and :func:`front_chances` on the make table's grid."""
    return call_chances(ALONG, ACROSS), front_chances(ALONG)


def missed_ways(sets: Sequence[ShotSet]) -> NDArray[np.int64]:
    """Count misses short, long, left and right, int64 [4]: called so, or placed so by their point.

    A diagonal call counts in both its directions; a point counts in the one most wrong.
    """
    counts = np.zeros(4, np.int64)
    points: list[tuple[float, float]] = []
    for shot in (shot for one in sets for shot in one.shots if not shot.made):
        spot = shot.release or shot.landing
        for way in shot.miss:
            counts[_ONE_WAY[way]] += 1
        if not shot.miss and spot is not None:
            points.append((spot.along, spot.across))
    along, across = np.array(points).reshape(-1, 2).T
    return counts + np.bincount(call_way(along, across, MissDetail.ONE), minlength=4)


def noted(sets: Sequence[ShotSet]) -> tuple[int, int]:
    """Count the shots that would show a lean along, and across: directed misses, and points."""
    along = across = 0
    for one in sets:
        told = sum(
            bool(s.miss) or s.landing is not None or s.release is not None for s in one.shots
        )
        along += told
        across += 0 if one.miss_detail is MissDetail.ALONG else told
    return along, across
