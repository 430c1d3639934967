"""When a reading may say something, and when it must say "can't tell yet".

The thresholds are the project's own choice and are shown in the docs; each is the chance, under
the posterior, that what is said is right.
"""

import numpy as np
from numpy.typing import NDArray

from hoopwright.chart.findings import Lean

Floats = NDArray[np.float64]

#: an aim within this of ring centre is fine [m]
FINE_ALONG, FINE_ACROSS = 0.05, 0.04
#: chance needed to call an aim fine, and to name a side
FINE_CHANCE, SIDE_CHANCE = 0.80, 0.90
#: chance needed to call one change the best, and to say that it gains
BEST_CHANCE, GAIN_CHANCE = 0.70, 0.90
#: an 80 % range of make % is wide while it spans more than this share
WIDE = 0.15

#: questions asked of every chart
AIM_ALONG, AIM_ACROSS, BEST_CHANGE, MAKE, ANGLE = (
    "aim_along", "aim_across", "best_change", "make", "angle",
)  # fmt: skip


def lean_of(aim: Floats, *, fine: float, sides: tuple[Lean, Lean]) -> tuple[Lean, float]:
    """Return which way an aim leans and the chance of that, from draws of equal weight [draw].

    ``sides``: the names of the minus and the plus side.
    """
    within = float(np.mean(np.abs(aim) < fine))
    minus = float(np.mean(aim < 0))
    if max(minus, 1 - minus) >= SIDE_CHANCE and within < FINE_CHANCE:
        side = sides[0] if minus > 0.5 else sides[1]
        return side, max(minus, 1 - minus)
    if within >= FINE_CHANCE:
        return Lean.FINE, within
    return Lean.CANNOT_TELL, max(minus, 1 - minus)


def aim_decided(aim: Floats, weights: Floats, fine: float) -> NDArray[np.bool_]:
    """Return whether a lean could be named, bool [future]; weights [future, draw]."""
    minus = weights @ (aim < 0)
    within = weights @ (np.abs(aim) < fine)
    named = (np.maximum(minus, 1 - minus) >= SIDE_CHANCE) | (within >= FINE_CHANCE)
    return np.asarray(named, np.bool_)


def best_decided(gains: Floats, weights: Floats) -> NDArray[np.bool_]:
    """Return whether one change stood out, bool [future]; gains [change, draw]."""
    top = np.argmax(gains, axis=0)
    best = np.stack([weights @ (top == c) for c in range(len(gains))])
    gain = weights @ (gains > 0).T
    sure = np.take_along_axis(gain, np.argmax(best, axis=0)[:, None], axis=1)[:, 0]
    return np.asarray((best.max(axis=0) >= BEST_CHANCE) & (sure >= GAIN_CHANCE), np.bool_)


def make_decided(made: Floats, weights: Floats) -> NDArray[np.bool_]:
    """Return whether the make range was narrow, bool [future]; made [draw]."""
    order = np.argsort(made)
    running = np.cumsum(weights[:, order], axis=1)
    low = made[order][np.argmax(running >= 0.1, axis=1)]
    high = made[order][np.argmax(running >= 0.9, axis=1)]
    return np.asarray(high - low <= WIDE, np.bool_)
