"""When a reading may say something, and when it must say "can't tell yet".

The thresholds are the project's own choice and are shown in the docs; each is the chance, under
the posterior, that what is said is right.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

from hoopwright.chart.findings import Lean

Floats = NDArray[np.float64]
Counts = NDArray[np.float64] | NDArray[np.int64]

#: short misses making up this share of short and long ones are fine: at the aim with most makes
#: the two about balance
EVEN = (0.35, 0.65)
#: an aim across within this of ring centre is fine [m]
FINE_ACROSS = 0.04
#: shots that would have shown a lean, from which an aim may be called fine
FEWEST_NOTED = 8
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


def along_lean(short: Floats, ways: Counts, noted: int) -> tuple[Lean, float]:
    """Return which way the misses lean along, and the chance of that.

    Parameters
    ----------
    short
        Expected share of short ones among short and long misses, in draws of equal weight,
        float64 [draw].
    ways
        Misses noted short, long, left and right, int64 [4].
    noted
        Shots that would show a lean on this axis: misses with a direction, and points.

    Notes
    -----
    Judged by the balance of misses, not by ring centre: front and back rim treat a ball
    differently, so a shot centred on the ring still misses short more often than long. A side is
    named only where the misses noted bear it out by themselves: what is likely of any player is
    not this player's habit.
    """
    sides = _sides(np.mean(short > 0.5), ways[0], ways[1])
    within = float(np.mean(_even(short))) if noted >= FEWEST_NOTED else 0.0
    return _named(sides, within, (Lean.SHORT, Lean.LONG))


def across_lean(aim: Floats, ways: Counts, noted: int) -> tuple[Lean, float]:
    """Return which way the aim leans across, and the chance; aim [draw] [m], the rest as above."""
    sides = _sides(np.mean(aim < 0), ways[2], ways[3])
    within = float(np.mean(np.abs(aim) < FINE_ACROSS)) if noted >= FEWEST_NOTED else 0.0
    return _named(sides, within, (Lean.LEFT, Lean.RIGHT))


def _sides(minus: ArrayLike, left: ArrayLike, right: ArrayLike) -> Floats:
    """Return the chance of either side, [side, …]: the model's or the plain tally's, the lower.

    The tally's is that of a Beta(2, 2) prior, so that a few misses prove nothing.
    """
    model = np.asarray(minus, np.float64)
    tally = special.betaincc(2.0 + np.asarray(left), 2.0 + np.asarray(right), 0.5)
    return np.stack([np.minimum(model, tally), np.minimum(1 - model, 1 - tally)])


def _named(sides: Floats, within: float, names: tuple[Lean, Lean]) -> tuple[Lean, float]:
    if within >= FINE_CHANCE:
        return Lean.FINE, within
    best = int(np.argmax(sides))
    if sides[best] >= SIDE_CHANCE:
        return names[best], float(sides[best])
    return Lean.CANNOT_TELL, float(sides[best])


def _even(short: Floats) -> NDArray[np.bool_]:
    return np.asarray((short > EVEN[0]) & (short < EVEN[1]), np.bool_)


def along_decided(short: Floats, weights: Floats, ways: Counts, noted: Counts) -> NDArray[np.bool_]:
    """Return whether a lean along could be named, bool [future].

    ``weights`` [future, draw]; ``ways`` [future, 4]; ``noted`` [future].
    """
    sides = _sides(weights @ (short > 0.5), ways[:, 0], ways[:, 1])
    return _decided(sides, weights @ _even(short), noted)


def across_decided(aim: Floats, weights: Floats, ways: Counts, noted: Counts) -> NDArray[np.bool_]:
    """Return whether a lean across could be named, bool [future]; arguments as above."""
    sides = _sides(weights @ (aim < 0), ways[:, 2], ways[:, 3])
    return _decided(sides, weights @ (np.abs(aim) < FINE_ACROSS), noted)


def _decided(sides: Floats, within: Floats, noted: Counts) -> NDArray[np.bool_]:
    fine = (within >= FINE_CHANCE) & (noted >= FEWEST_NOTED)
    return np.asarray((sides.max(axis=0) >= SIDE_CHANCE) | fine, np.bool_)


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
