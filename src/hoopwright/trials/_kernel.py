"""Inner loop of the sequential test: arrays in, a look's index out, no checks."""

import numpy as np
from numba import njit


@njit(cache=True, nogil=True)
def first_crossing(gains, coins, budget):
    """Return the first look at which the gains pass their bound, or −1.

    ``gains`` float64 [look], weighted, + toward the claim; ``coins`` int8 [path, look], ± 1;
    ``budget`` int64 [look], paths that may have passed the bound by then. Each path is what the
    sums would have been had the coins fallen as in it and the two ways been the same.
    """
    paths, looks = coins.shape[0], len(gains)
    sums = np.zeros(paths)
    alive = np.ones(paths, np.bool_)
    total, size, gone = 0.0, 0.0, 0
    for look in range(looks):
        gain = gains[look]
        total += gain
        size += abs(gain)
        for path in range(paths):
            sums[path] += coins[path, look] * abs(gain)
        room = budget[look] - gone
        left = sums[alive]
        if room <= 0 or len(left) <= room:
            continue
        near = 1e-9 * size
        bound = np.partition(left, len(left) - room - 1)[len(left) - room - 1]
        if total > bound + near:
            return look
        for path in range(paths):
            if alive[path] and sums[path] > bound + near:
                alive[path] = False
                gone += 1
    return -1


@njit(cache=True, nogil=True)
def first_crossings(gains, coins, budget):
    """Return ``first_crossing`` of each row, int64 [trial]; ``gains`` float64 [trial, look]."""
    found = np.empty(len(gains), np.int64)
    for trial in range(len(gains)):
        found[trial] = first_crossing(gains[trial], coins, budget)
    return found
