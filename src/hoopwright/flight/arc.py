"""One shot's flight, the ring-plane crossing of many, and the releases that reach the ring.

``fly`` follows one release; ``cross_ring_plane`` is the same for arrays; ``speed_to_reach`` and
``least_speed_angle`` go the other way. The ``vacuum_…`` functions are closed forms without air.
"""

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hoopwright.court.equipment import Ball
from hoopwright.errors import NotAShot
from hoopwright.flight import _kernel
from hoopwright.flight._compiled import Floats, columns, spread
from hoopwright.flight.air import STANDARD_AIR, STANDARD_GRAVITY, Air, force_constants

#: length of the Taylor pieces [s]; crossings are then within 0.02 mm of the exact path
PIECE = 1.0 / 24.0
#: time between the points of a path that ``fly`` returns [s]
_PATH_EVERY = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class Release:
    """How the ball leaves the hand.

    Raises
    ------
    NotAShot
        A number is not finite, or the speed or height is not above zero.
    """

    #: of the ball's centre [m/s]
    speed: float
    #: above horizontal [rad]
    angle: float
    #: + right of the line to ring centre [rad]
    direction: float = 0.0
    #: of the ball's centre above the floor [m]
    height: float
    #: backspin about the level axis across the shot [rad/s]
    spin: float = 0.0
    #: about the upright axis, + curving right [rad/s]
    sidespin: float = 0.0

    def __post_init__(self) -> None:
        values = (self.speed, self.angle, self.direction, self.height, self.spin, self.sidespin)
        if not all(math.isfinite(v) for v in values):
            raise NotAShot("A release needs plain numbers; check speed, angle, height and spin.")
        if not 0.0 < self.speed <= 40.0:
            raise NotAShot(f"Release speed must be above 0 and at most 40 m/s, not {self.speed:g}.")
        if not abs(self.angle) < 0.5 * math.pi:
            raise NotAShot("The release angle must be between −90° and 90°; check its unit.")
        if not 0.0 < self.height < 5.0:
            raise NotAShot(f"Release height must be between 0 and 5 m, not {self.height:g}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc:
    """One shot's flight, from release to the ring plane."""

    #: since release, first to last point of the path [s], float64 [point]
    times: Floats
    #: floor distance from release toward ring centre [m], float64 [point]
    ahead: Floats
    #: to the right of the line to ring centre [m], float64 [point]
    sideways: Floats
    #: of the ball's centre above the floor [m], float64 [point]
    heights: Floats
    #: highest the ball's centre gets above the floor [m]
    apex: float
    #: when it is there [s]
    apex_time: float
    #: release to ring plane [s]
    time: float
    #: where the ring plane is crossed, from ring centre, + long [m]
    along: float
    #: where the ring plane is crossed, from ring centre, + right [m]
    across: float
    #: below horizontal at the ring plane [rad]
    entry_angle: float
    #: at the ring plane [m/s]
    entry_speed: float
    #: level direction of travel at the ring plane, + right of the line to ring centre [rad]
    heading: float


class Crossing(NamedTuple):
    """Where and how shots fall through the ring plane; NaN where one never does."""

    #: floor distance from the release [m]
    distance: Floats
    #: since release [s]
    time: Floats
    #: below horizontal [rad]
    entry_angle: Floats
    #: [m/s]
    entry_speed: Floats
    #: highest point above the release [m]
    apex: Floats


def fly(
    release: Release,
    *,
    ball: Ball,
    distance: float,
    air: Air = STANDARD_AIR,
    ring_height: float = 3.05,
) -> Arc:
    """Follow one shot from the hand down to the ring plane; ring and board are not in its way.

    Parameters
    ----------
    release
        How the ball leaves the hand.
    ball
        Its size and mass.
    distance
        Floor distance from release to ring centre, above 0. [m]
    air
        Density and coefficients; ``Air.none()`` for gravity alone.
    ring_height
        Top of the ring above the floor. [m]

    Raises
    ------
    NotAShot
        The distance is not above zero, or the ball never comes down through the ring plane.

    Notes
    -----
    Gravity, buoyancy, quadratic drag and spin force; derivation in ``docs/physics.md``.
    """
    if not 0.0 < distance <= 30.0:
        raise NotAShot(f"The shot's distance must be above 0 and at most 30 m, not {distance:g}.")
    ahead = release.speed * math.cos(release.angle)
    right, straight = math.sin(release.direction), math.cos(release.direction)
    velocity = (ahead * right, ahead * straight, release.speed * math.sin(release.angle))
    spin = (release.spin * straight, -release.spin * right, -float(release.sidespin))
    rise, trail = float(ring_height - release.height), np.full((2048, 4), np.nan)
    force = force_constants(ball, air)
    time, _, _, apex, apex_time = _kernel.flight(velocity, spin, rise, _PATH_EVERY, force, trail)
    if math.isnan(time):
        raise NotAShot(
            f"This ball never comes down through the ring at {ring_height:g} m; "
            "give it more speed or a higher angle."
        )
    time, p, v, _, _ = _kernel.flight(velocity, spin, rise, PIECE, force, trail[:0])
    points = np.vstack([trail[trail[:, 0] < time], (time, *p)])
    return Arc(
        times=points[:, 0], ahead=points[:, 2], sideways=points[:, 1],
        heights=release.height + points[:, 3],
        apex=release.height + apex, apex_time=apex_time, time=time,
        along=p[1] - distance, across=p[0],
        entry_angle=math.atan2(-v[2], math.hypot(v[0], v[1])),
        entry_speed=math.hypot(*v), heading=math.atan2(v[0], v[1]),
    )  # fmt: skip


def cross_ring_plane(
    speed: ArrayLike,
    angle: ArrayLike,
    rise: ArrayLike,
    *,
    ball: Ball,
    air: Air = STANDARD_AIR,
    spin: ArrayLike = 0.0,
) -> Crossing:
    """Return where shots fall through the ring plane.

    Parameters
    ----------
    speed, angle
        Release speed [m/s] and angle above horizontal [rad], float64 of any shapes that broadcast.
    rise
        Ring height less release height; may be negative. [m]
    ball, air
        As for ``fly``.
    spin
        Backspin. [rad/s]

    Returns
    -------
    Crossing
        Arrays of the broadcast shape, NaN where the ring plane is never reached on the way down.

    Notes
    -----
    Derived; see ``docs/physics.md``. Within 0.1 mm and 0.1 ms of a DOP853 reference (tested).
    """
    shots, shape = columns(speed, angle, rise, spin)
    force, out = force_constants(ball, air), np.empty((math.prod(shape), 5))
    spread(lambda i, j: _kernel.cross_many(shots, force, PIECE, out, i, j), len(out))
    return Crossing(*(np.ascontiguousarray(column).reshape(shape) for column in out.T))


def speed_to_reach(
    distance: ArrayLike,
    angle: ArrayLike,
    rise: ArrayLike,
    *,
    ball: Ball,
    air: Air = STANDARD_AIR,
    spin: ArrayLike = 0.0,
) -> Floats:
    """Return the release speed that crosses the ring plane at a distance [m/s].

    Parameters
    ----------
    distance
        Floor distance from release to the crossing [m], float64 of any shape that broadcasts.
    angle
        Release angle above horizontal. [rad]
    rise, ball, air, spin
        As for ``cross_ring_plane``.

    Returns
    -------
    ndarray
        float64 of the broadcast shape; NaN where no speed up to 100 m/s does it, such as an angle
        below the line of sight to the ring.

    Notes
    -----
    Derived: secant steps on ``cross_ring_plane``, to 1e-12 of the speed.
    """
    shots, shape = columns(distance, angle, rise, spin)
    force, out = force_constants(ball, air), np.empty((math.prod(shape), 1))
    spread(lambda i, j: _kernel.speed_many(shots, force, PIECE, out, i, j), len(out))
    return out.reshape(shape)


def _least(
    distance: ArrayLike, rise: ArrayLike, spin: ArrayLike, *, ball: Ball, air: Air
) -> tuple[Floats, Floats]:
    shots, shape = columns(distance, rise, spin)
    force, out = force_constants(ball, air), np.empty((math.prod(shape), 2))
    spread(lambda i, j: _kernel.least_many(shots, force, PIECE, out, i, j), len(out))
    return out[:, 0].reshape(shape), out[:, 1].reshape(shape)


def least_speed_angle(
    distance: ArrayLike,
    rise: ArrayLike,
    *,
    ball: Ball,
    air: Air = STANDARD_AIR,
    spin: ArrayLike = 0.0,
) -> Floats:
    """Return the release angle that reaches the ring with the least speed [rad].

    Parameters
    ----------
    distance, rise, ball, air, spin
        As for ``speed_to_reach``.

    Notes
    -----
    Derived: the minimum of ``speed_to_reach`` over the angle, to about 1e-6 rad.
    """
    return _least(distance, rise, spin, ball=ball, air=air)[0]


def least_speed(
    distance: ArrayLike,
    rise: ArrayLike,
    *,
    ball: Ball,
    air: Air = STANDARD_AIR,
    spin: ArrayLike = 0.0,
) -> Floats:
    """Return the least release speed that reaches the ring at all [m/s].

    Parameters
    ----------
    distance, rise, ball, air, spin
        As for ``speed_to_reach``.

    Notes
    -----
    Derived; a slower ball can't have been such a shot, whatever its angle.
    """
    return _least(distance, rise, spin, ball=ball, air=air)[1]


def vacuum_least_speed_angle(distance: ArrayLike, rise: ArrayLike) -> Floats:
    """Return the least-speed release angle without air: 45° + ½·atan(rise / distance) [rad].

    Notes
    -----
    [Brancazio1981]_, re-derived.
    """
    return 0.25 * math.pi + 0.5 * np.arctan2(rise, np.asarray(distance, dtype=np.float64))


def vacuum_least_speed(
    distance: ArrayLike, rise: ArrayLike, *, gravity: float = STANDARD_GRAVITY
) -> Floats:
    """Return the least release speed without air: √(g·(rise + √(distance² + rise²))) [m/s].

    Notes
    -----
    [Brancazio1981]_, re-derived.
    """
    rises = np.asarray(rise, dtype=np.float64)
    return np.sqrt(gravity * (rises + np.hypot(distance, rises)))


def vacuum_speed(
    distance: ArrayLike, angle: ArrayLike, rise: ArrayLike, *, gravity: float = STANDARD_GRAVITY
) -> Floats:
    """Return the speed of the parabola that falls through the ring at a release angle [m/s].

    Notes
    -----
    [Brancazio1981]_, re-derived: g·L² / (2·cos²θ·(L·tanθ − h)) under the root. NaN where the
    parabola would still be rising there: tanθ ≤ 2h/L.
    """
    length, slope = np.asarray(distance, dtype=np.float64), np.tan(angle)
    rises = np.asarray(rise, dtype=np.float64)
    drop = np.where(length * slope > np.maximum(2.0 * rises, rises), length * slope - rises, np.nan)
    return length * np.sqrt(0.5 * gravity * (1.0 + slope**2) / drop)


def vacuum_entry_angle(distance: ArrayLike, angle: ArrayLike, rise: ArrayLike) -> Floats:
    """Return the entry angle of the parabola through the ring: tanφ = tanθ − 2h/L [rad].

    Notes
    -----
    [Brancazio1981]_, re-derived.
    """
    length = np.asarray(distance, dtype=np.float64)
    return np.arctan(np.tan(angle) - 2.0 * np.asarray(rise, dtype=np.float64) / length)


def vacuum_crossing(
    speed: ArrayLike, angle: ArrayLike, rise: ArrayLike, *, gravity: float = STANDARD_GRAVITY
) -> Crossing:
    """Return where parabolas fall through the ring plane; ``cross_ring_plane`` without air.

    Notes
    -----
    Closed form of uniform acceleration.
    """
    up = np.asarray(speed, dtype=np.float64) * np.sin(angle)
    ahead = np.asarray(speed, dtype=np.float64) * np.cos(angle)
    rises = np.asarray(rise, dtype=np.float64)
    under = up**2 - 2.0 * gravity * rises
    down = np.sqrt(np.where((under >= 0.0) & ((up > 0.0) | (rises < 0.0)), under, np.nan))
    time = (up + down) / gravity
    apex = np.where(up > 0.0, up**2 / (2.0 * gravity), 0.0) + 0.0 * time
    return Crossing(ahead * time, time, np.arctan2(down, ahead), np.hypot(ahead, down), apex)
