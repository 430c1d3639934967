"""What an arc means at the ring: margins seen by the ball, and the releases that need no luck.

Lengths are any one unit, the same throughout; diameters are passed as plain numbers so that any
pair of ball and ring can be asked about. All without air, spin and side error; the published
models these come from have none. ``ring.play`` is the full answer.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from hoopwright.errors import NotAShot
from hoopwright.flight._compiled import Floats
from hoopwright.flight.air import STANDARD_GRAVITY
from hoopwright.flight.arc import vacuum_crossing


def lowest_entry_angle(ball_diameter: ArrayLike, ring_diameter: ArrayLike) -> Floats:
    """Return the entry angle below which no ball fits through untouched [rad].

    Notes
    -----
    asin(ball / ring), [Brancazio1981]_ (from memory, re-derived). The path is taken as straight
    near the ring, which flatters it by about 1°.
    """
    ring = np.asarray(ring_diameter, dtype=np.float64)
    return np.arcsin(np.asarray(ball_diameter, dtype=np.float64) / ring)


def free_space(entry_angle: ArrayLike, *, ball_diameter: float, ring_diameter: float) -> Floats:
    """Return the room on either side of a ball that comes through the middle; negative: none.

    Notes
    -----
    Derived: the ring seen from the path is ring · sin φ deep, so (ring · sin φ − ball) / 2.
    """
    return 0.5 * (ring_diameter * np.sin(entry_angle) - ball_diameter)


def depth_margin(entry_angle: ArrayLike, *, ball_diameter: float, ring_diameter: float) -> Floats:
    """Return how far short or long of centre a ball may cross and still touch nothing.

    Notes
    -----
    Derived: ring / 2 − ball / (2 · sin φ), the path taken as straight near the ring.
    """
    return 0.5 * ring_diameter - 0.5 * ball_diameter / np.sin(entry_angle)


def side_margin(distance: ArrayLike, *, ball_diameter: float, ring_diameter: float) -> Floats:
    """Return how far the direction may be off either way and still touch nothing [rad].

    Notes
    -----
    Derived: asin((ring − ball) / (2 · distance)).
    """
    return np.arcsin(0.5 * (ring_diameter - ball_diameter) / np.asarray(distance, dtype=np.float64))


def lowest_clean_release(
    distance: ArrayLike, rise: ArrayLike, *, ball_diameter: float, ring_diameter: float
) -> Floats:
    """Return the lowest release angle of a shot through the middle that touches nothing [rad].

    Notes
    -----
    Derived: tan θ = tan(lowest entry angle) + 2 · rise / distance, as for any parabola.
    """
    steepest = np.tan(lowest_entry_angle(ball_diameter, ring_diameter))
    return np.arctan(steepest + 2.0 * np.asarray(rise) / np.asarray(distance, dtype=np.float64))


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """A ring as a shooter straight in front has it; any one unit of length."""

    #: floor distance from release to ring centre
    distance: float
    #: ring height less release height
    rise: float
    ball_diameter: float
    ring_diameter: float
    #: in the same unit, per second squared
    gravity: float = STANDARD_GRAVITY


def front_clearance(speed: ArrayLike, angle: ArrayLike, *, target: Target) -> Floats:
    """Return how close the ball's centre comes to the front of the ring.

    Parameters
    ----------
    speed, angle
        Release speed and angle [rad], of any shapes that broadcast.
    target
        Ring and ball.

    Notes
    -----
    Derived: Newton on d(distance²)/dt along the parabola, from when it is above the front rim.
    """
    ahead = np.asarray(speed, dtype=np.float64) * np.cos(angle)
    up = np.asarray(speed, dtype=np.float64) * np.sin(angle)
    near, g = target.distance - 0.5 * target.ring_diameter, target.gravity
    time = near / ahead
    for _ in range(30):
        x, z = ahead * time - near, up * time - 0.5 * g * time**2 - target.rise
        fall = up - g * time
        slope, bend = ahead * x + fall * z, ahead**2 + fall**2 - g * z
        time = time - np.clip(slope / np.maximum(bend, 1e-9), -0.05, 0.05)
    x, z = ahead * time - near, up * time - 0.5 * g * time**2 - target.rise
    above = up * near / ahead - 0.5 * g * (near / ahead) ** 2 > target.rise
    return np.where(above, np.hypot(x, z), -np.hypot(x, z))


def room(speed: ArrayLike, angle: ArrayLike, *, target: Target, back_touch: bool = True) -> Floats:
    """Return by how much a shot goes in; negative where it does not.

    Parameters
    ----------
    speed, angle
        Release speed and angle [rad], of any shapes that broadcast.
    target
        Ring and ball.
    back_touch
        True: the front rim is cleared by the true path, and the ball's centre comes down no deeper
        than ring / 2 − ball / 2 past centre, so that it may touch the back rim (the rule of
        [GablonskyLang2005]_). False: nothing is touched, by ``depth_margin``.

    Notes
    -----
    Derived.
    """
    crossing = vacuum_crossing(speed, angle, target.rise, gravity=target.gravity)
    past = crossing.distance - target.distance
    ball, ring = target.ball_diameter, target.ring_diameter
    if back_touch:
        front = front_clearance(speed, angle, target=target) - 0.5 * ball
        return np.minimum(front, 0.5 * (ring - ball) - past)
    margin = depth_margin(crossing.entry_angle, ball_diameter=ball, ring_diameter=ring)
    return margin - np.abs(past)


def _edges(inputs: Floats, rooms: Floats) -> tuple[float, float]:
    """Return where the first stretch of positive room begins and ends, between grid points."""
    inside = np.flatnonzero(rooms > 0.0)
    if inside.size == 0:
        raise NotAShot("No such shot goes in; change the speed, the angle or the distance.")
    first = int(inside[0])
    gaps = np.flatnonzero(np.diff(inside) > 1)
    last = int(inside[gaps[0]] if gaps.size else inside[-1])

    def zero(i: int, j: int) -> float:
        share = rooms[i] / (rooms[i] - rooms[j])
        return float(inputs[i] + share * (inputs[j] - inputs[i]))

    low = zero(first - 1, first) if first > 0 else float(inputs[0])
    high = zero(last, last + 1) if last + 1 < len(inputs) else float(inputs[-1])
    return low, high


def angle_window(speed: float, *, target: Target, back_touch: bool = True) -> tuple[float, float]:
    """Return the lowest stretch of release angles that go in at one speed [rad].

    Raises
    ------
    NotAShot
        None does.

    Notes
    -----
    Derived; ``room`` on a grid of 0.002°, straight between its points.
    """
    angles = np.radians(np.arange(20.0, 85.0, 0.002))
    rooms = np.nan_to_num(
        room(speed, angles, target=target, back_touch=back_touch), nan=-1e-9
    )  # fmt: skip
    return _edges(angles, rooms)


def speed_window(angle: float, *, target: Target, back_touch: bool = True) -> tuple[float, float]:
    """Return the speeds that go in at one release angle, in the target's unit per second.

    Raises
    ------
    NotAShot
        None does.

    Notes
    -----
    Derived; ``room`` on a fine grid around the least speed, straight between its points.
    """
    least = math.sqrt(target.gravity * (target.rise + math.hypot(target.distance, target.rise)))
    speeds = least * np.arange(0.9, 1.6, 2e-5)
    rooms = np.nan_to_num(
        room(speeds, angle, target=target, back_touch=back_touch), nan=-1e-9
    )  # fmt: skip
    return _edges(speeds, rooms)
