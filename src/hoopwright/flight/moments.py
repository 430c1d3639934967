"""Where a flying ball is at given moments, before and after one at which it is known."""

import math

import numpy as np
from numpy.typing import ArrayLike

from hoopwright.flight import _moments_kernel
from hoopwright.flight._compiled import Floats
from hoopwright.flight.arc import PIECE


def backspin(velocity: ArrayLike, spin: float) -> tuple[float, float, float]:
    """Return the spin vector of a backspin about the level axis across the shot [rad/s].

    Parameters
    ----------
    velocity
        World velocity (right, ahead, up), float64 [3]; its level part gives the heading. [m/s]
    spin
        Backspin, + turning back toward the shooter over the top. [rad/s]
    """
    right, ahead = float(np.asarray(velocity)[0]), float(np.asarray(velocity)[1])
    level = math.hypot(right, ahead)
    if level == 0.0:
        return (spin, 0.0, 0.0)
    return (spin * ahead / level, -spin * right / level, 0.0)


def path_at(
    state: ArrayLike, times: ArrayLike, *, spin: tuple[float, float, float], force: Floats
) -> Floats:
    """Follow a flying ball from one moment to others, earlier and later ones.

    Parameters
    ----------
    state
        Position (right, ahead, up) [m] and velocity [m/s] at time 0, float64 [6].
    times
        Moments, in any order, float64 [moment]. [s]
    spin
        Spin vector. [rad/s]
    force
        As ``air.force_constants`` returns it.

    Returns
    -------
    ndarray
        Position and velocity, float64 [moment, 6]; NaN more than 20 s away.

    Notes
    -----
    Gravity, buoyancy, quadratic drag and spin force in Taylor pieces, as ``arc.fly``; the same way
    back and forth (tested).
    """
    when = np.ascontiguousarray(times, dtype=np.float64).reshape(-1)
    order = np.argsort(when, kind="stable")
    ahead = int(np.sum(when < 0.0))
    order = np.concatenate([order[:ahead][::-1], order[ahead:]])
    out = np.empty((len(when), 6))
    start = np.ascontiguousarray(state, dtype=np.float64)
    _moments_kernel.path(start, spin, when[order], ahead, PIECE, force, out)
    back = np.empty_like(out)
    back[order] = out
    return back
