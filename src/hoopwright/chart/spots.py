"""What the flight equations say of one spot, tabulated once: gains, entry angles, make chances."""

import functools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.chart import _kernel as k
from hoopwright.chart.make_table import ENTRIES, make_table
from hoopwright.court.standards import Ball, ball
from hoopwright.flight.air import Air
from hoopwright.flight.arc import cross_ring_plane, least_speed_angle, speed_to_reach
from hoopwright.records import Spot
from hoopwright.units import turns_per_second

Floats = NDArray[np.float64]

#: release angles over the least-speed angle at which a spot is tabulated [rad]
ANGLES_OVER = np.radians(np.arange(-8.0, 20.5, 1.0))
#: usual backspin [rad/s]; 2–3 rev/s in free throws (Tran & Silverberg 2008)
BACKSPIN = turns_per_second(2.0)
#: how far in front of the feet the ball leaves the hand [m]; 0.1–0.4 m, common practice, no source
REACH = 0.2
#: release height as a share of stature; 1.1–1.4 across studies, from memory
RELEASE_SHARE = 1.2
#: stature by age in years where it was not told [m]; round figures, from memory
_STATURE = ((5, 1.10), (8, 1.28), (11, 1.45), (14, 1.64), (17, 1.74), (20, 1.75))


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotFlight:
    """One spot as the likelihood needs it."""

    #: release point to ring centre, along the floor [m]
    distance: float
    #: release angle of least speed [rad]
    least_angle: float
    #: float64 [angle over least, 5]: entry angle, along per ln speed, along per angle,
    #: second derivative of along by angle, speed to ring centre
    flights: Floats
    #: float32 [entry, ring, along, across]
    table: NDArray[np.float32]


def stature(height: float | None, age: float | None) -> float:
    """Return the stature to reckon with [m]: as told, or the usual one for the age."""
    if height is not None:
        return height
    ages, sizes = zip(*_STATURE, strict=True)
    return float(np.interp(20.0 if age is None else age, ages, sizes))


def spot_flight(spot: Spot, *, ball_size: int, ring_height: float, stature: float) -> SpotFlight:
    """Return the tabulated flights from a spot.

    Parameters
    ----------
    spot
        Where the feet are.
    ball_size, ring_height
        Ball size number and top of the ring [m].
    stature
        Of the player [m].
    """
    return _tabulated(
        round(release_distance(spot), 4),
        round(spot.bearing, 4),
        ball_size,
        round(release_rise(ring_height, stature), 3),
    )


def release_distance(spot: Spot) -> float:
    """Return the floor distance from release to ring centre [m]."""
    return max(spot.distance - min(REACH, 0.3 * spot.distance), 0.3)


def release_rise(ring_height: float, stature: float) -> float:
    """Return how far the ring is above the release [m]."""
    return ring_height - RELEASE_SHARE * stature


@functools.lru_cache(maxsize=4096)
def _tabulated(distance: float, bearing: float, ball_size: int, rise: float) -> SpotFlight:
    the_ball, air, table = ball(ball_size), Air.standard(), make_table(ball_size)
    least = float(least_speed_angle(distance, rise, ball=the_ball, air=air, spin=BACKSPIN))
    angles = reachable(least + ANGLES_OVER, distance, rise)
    flights, speeds = _flights(angles, distance, rise, the_ball, air)
    return SpotFlight(
        distance=distance,
        least_angle=least,
        flights=flights,
        table=table.slices(bearing, _speeds_at(flights[:, k.ENTRY], speeds)),
    )


def reachable(angles: Floats, distance: float, rise: float) -> Floats:
    """Keep angles between just above the line to the ring and just below straight up."""
    return np.clip(angles, math.atan2(rise, distance) + math.radians(4.0), math.radians(86.0))


def _flights(
    angles: Floats, distance: float, rise: float, the_ball: Ball, air: Air
) -> tuple[Floats, Floats]:
    """Return the flight table [angle, 5] and the entry speeds [angle]."""

    def along(speed: Floats, angle: Floats) -> Floats:
        flown = cross_ring_plane(speed, angle, rise, ball=the_ball, air=air, spin=BACKSPIN)
        return flown.distance - distance

    speed = speed_to_reach(distance, angles, rise, ball=the_ball, air=air, spin=BACKSPIN)
    flown = cross_ring_plane(speed, angles, rise, ball=the_ball, air=air, spin=BACKSPIN)
    ln, turn = 1e-3, 2e-3
    by_speed = (along(speed * math.exp(ln), angles) - along(speed * math.exp(-ln), angles)) / (
        2 * ln
    )
    up, down, here = (along(speed, angles + s * turn) for s in (1, -1, 0))
    table = np.column_stack(
        [flown.entry_angle, by_speed, (up - down) / (2 * turn), (up + down - 2 * here) / turn**2,
         speed]
    )  # fmt: skip
    return _whole(table), _whole(flown.entry_speed[:, None])[:, 0]


def _whole(rows: Floats) -> Floats:
    """Put the nearest sound row where no shot comes down through the ring, as close and flat."""
    sound = np.flatnonzero(np.all(np.isfinite(rows), axis=1))
    nearest = np.abs(np.arange(len(rows))[:, None] - sound).argmin(axis=1)
    return np.asarray(rows[sound[nearest]], np.float64)


def _speeds_at(entry: Floats, speeds: Floats) -> Floats:
    """Return the ball's speed at the ring for each entry angle of the table [entry]."""
    order = np.argsort(entry)
    return np.asarray(np.interp(ENTRIES, entry[order], speeds[order]), np.float64)
