"""When a reading may say something, and when it must say "can't tell yet".

The thresholds are the project's own choice and are shown in the docs; each is the chance, under
the posterior, that what is said is right.
"""

import numpy as np
from numpy.typing import NDArray

from hoopwright.chart.findings import Lean

Floats = NDArray[np.float64]

#: short misses making up this share of short and long ones are fine: at the aim with most makes
#: the two about balance
EVEN = (0.35, 0.65)
#: an aim across within this of ring centre is fine [m]
FINE_ACROSS = 0.04
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


def along_lean(short: Floats) -> tuple[Lean, float]:
    """Return which way the misses lean along, and the chance of that.

    Parameters
    ----------
    short
        Expected share of short ones among short and long misses, in draws of equal weight,
        float64 [draw].

    Notes
    -----
    Judged by the balance of misses, not by ring centre: front and back rim treat a ball
    differently, so a shot centred on the ring still misses short more often than long.
    """
    return _named(
        float(np.mean(short > 0.5)), float(np.mean(_even(short))), (Lean.SHORT, Lean.LONG)
    )


def across_lean(aim: Floats) -> tuple[Lean, float]:
    """Return which way the aim leans across, and the chance of that; aim float64 [draw] [m]."""
    within = np.abs(aim) < FINE_ACROSS
    return _named(float(np.mean(aim < 0)), float(np.mean(within)), (Lean.LEFT, Lean.RIGHT))


def _named(minus: float, within: float, sides: tuple[Lean, Lean]) -> tuple[Lean, float]:
    sure = max(minus, 1 - minus)
    if within >= FINE_CHANCE:
        return Lean.FINE, within
    if sure >= SIDE_CHANCE:
        return (sides[0] if minus > 0.5 else sides[1]), sure
    return Lean.CANNOT_TELL, sure


def _even(short: Floats) -> NDArray[np.bool_]:
    return np.asarray((short > EVEN[0]) & (short < EVEN[1]), np.bool_)


def along_decided(short: Floats, weights: Floats) -> NDArray[np.bool_]:
    """Return whether a lean along could be named, bool [future]; weights [future, draw]."""
    return _decided(weights @ (short > 0.5), weights @ _even(short))


def across_decided(aim: Floats, weights: Floats) -> NDArray[np.bool_]:
    """Return whether a lean across could be named, bool [future]; weights [future, draw]."""
    return _decided(weights @ (aim < 0), weights @ (np.abs(aim) < FINE_ACROSS))


def _decided(minus: Floats, within: Floats) -> NDArray[np.bool_]:
    sure = np.maximum(minus, 1 - minus)
    return np.asarray((sure >= SIDE_CHANCE) | (within >= FINE_CHANCE), np.bool_)


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
