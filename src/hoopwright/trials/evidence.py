"""Looking as often as one likes without fooling oneself, by the coins the plan threw.

Were habit and change the same, a pair would have come out the same whichever was shot first, so
its difference would have had the other sign had the coin fallen the other way. Every order the
coins could have given is as likely as the one they gave [Fisher1935]_; that holds whatever the
day, the block or the learning does to the shots, for they don't know of the coin. The test walks
through all those orders look by look and claims a difference only where the true order is among
the few farthest out. How many may count as far out by each look is laid down beforehand: five in
a hundred over all looks ever [LanDeMets1983]_, four of them by the last pair planned, the last
one for pairs that are added later.
"""

import numpy as np
from numpy.typing import NDArray

from hoopwright.trials import _kernel
from hoopwright.trials.design import PLANNED_ERROR

Floats = NDArray[np.float64]
Coins = NDArray[np.int8]

#: chance of saying "better" at any look ever, where nothing differs; "worse" likewise
ERROR = 0.05
#: part of it kept for pairs added after those planned
LATE = ERROR - PLANNED_ERROR
#: how the other part is spent over the planned pairs: as their share to this power
SPENDING = 2.0
#: orders walked through: all of them up to twelve pairs, a fair sample beyond
_BITS = 12
#: fewest pairs from which a share of orders says something
FEWEST_ORDERS = 5


def spent(look: Floats, planned: int) -> Floats:
    """Return the chance of a wrong claim allowed by each look.

    Parameters
    ----------
    look
        Pairs read, from 1, float64 [look].
    planned
        Pairs planned before the first shot.

    Notes
    -----
    Of [LanDeMets1983]_ in kind: a power of the share of pairs read; 1 − planned ÷ read of the part
    kept for later beyond them.
    """
    share = np.minimum(look / planned, 1.0)
    late = np.maximum(1.0 - planned / look, 0.0)
    allowed: Floats = (ERROR - LATE) * share**SPENDING + LATE * late
    return allowed


def coins(looks: int, seed: int, *, bits: int = _BITS) -> Coins:
    """Return orders the coins could have given, int8 [order, look], ± 1.

    Parameters
    ----------
    looks
        Pairs read.
    seed
        For the sample beyond the first ``bits`` pairs. Orders of fewer pairs are the first columns
        of those of more, so a look says the same however many follow.
    bits
        All orders of so many pairs are gone through.
    """
    number = np.arange(2**bits)
    first = [(number >> bit) & 1 for bit in range(min(looks, bits))]
    later = [
        np.random.default_rng([seed, look]).integers(0, 2, len(number))
        for look in range(bits, looks)
    ]
    columns = np.array(first + later, dtype=np.int8).reshape(looks, len(number))
    return np.ascontiguousarray(2 * columns.T - 1)


def first_claims(
    gains: Floats, orders: Coins, *, planned: int, measures: int = 1
) -> NDArray[np.int64]:
    """Return the look from which each trial may claim a gain, int64 [trial]; − 1: not yet.

    Parameters
    ----------
    gains
        Change minus habit of each pair, + where the change did better, weighted by what the pair
        tells, float64 [trial, look].
    orders
        As ``coins`` gives them, for that many looks.
    planned
        Pairs planned before the first shot.
    measures
        Measures watched; the error allowed is shared out among them.
    """
    look = np.arange(1.0, gains.shape[1] + 1)
    # a hair more than the product, which rounding may leave under a whole number of orders
    budget = np.floor(spent(look, planned) / measures * len(orders) + 1e-9).astype(np.int64)
    found: NDArray[np.int64] = _kernel.first_crossings(np.ascontiguousarray(gains), orders, budget)
    return found


def by_luck(gains: Floats, orders: Coins) -> float | None:
    """Return the share of orders with as large a difference, either way; None with too few pairs.

    Parameters
    ----------
    gains
        Change minus habit of each pair, weighted by what the pair tells, float64 [look].
    orders
        As ``coins`` gives them, for that many looks.
    """
    if len(gains) < FEWEST_ORDERS:
        return None
    sums = np.abs(orders @ np.abs(gains))
    return float(np.mean(sums >= abs(gains.sum()) * (1.0 - 1e-9)))
