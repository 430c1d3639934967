"""Tracks of the shooter in metres, for finding events: heights, and the reach of the arm."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.film.camera import pixels_per_metre
from hoopwright.film.shooter.local import jitter
from hoopwright.film.shooter.points import LEFT, RIGHT, TRUNK, Side, shooting_side
from hoopwright.film.shooter.stand import View
from hoopwright.film.shooter.watched import Watched

Floats = NDArray[np.float64]

#: below this presence a point counts as not seen
LEAST_PRESENCE = 0.3
#: a dip is looked for this long before release [s]; dip to release takes 0.35 to 0.55 s (memory)
DIP_BEFORE = 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """One number over time."""

    #: [s], float64 [row]
    time: Floats
    #: float64 [row]; NaN where not seen
    value: Floats
    #: float64 [row]
    sd: Floats

    def between(self, first: float, last: float) -> "Track":
        """Return the rows from one moment to another."""
        rows = (self.time >= first) & (self.time <= last)
        return Track(time=self.time[rows], value=self.value[rows], sd=self.sd[rows])

    @property
    def seen(self) -> "Track":
        """The rows that were seen."""
        rows = np.isfinite(self.value)
        return Track(time=self.time[rows], value=self.value[rows], sd=self.sd[rows])


def seen_points(watched: Watched, rows: tuple[int, ...]) -> tuple[Floats, Floats]:
    """Return picture points [row, joint, 2] and errors [row, joint], NaN where presence is low."""
    picked = list(rows)
    points, sd = watched.poses.points[:, picked], watched.poses.sd[:, picked]
    there = watched.poses.presence[:, picked] >= LEAST_PRESENCE
    return np.where(there[..., None], points, np.nan), np.where(there, sd, np.nan)


def _track(time: Floats, value: Floats, told: Floats) -> Track:
    return Track(time=time, value=value, sd=jitter(time, value, told=told))


def scale(view: View) -> float:
    """Return how many pixels a metre takes at the shooter [px/m]."""
    return float(pixels_per_metre(view.camera, view.feet + np.array([0.0, 0.0, 1.0]))[0])


def height(watched: Watched, view: View, *, rows: tuple[int, ...]) -> Track:
    """Return the mean height of some joints above the floor [m]; NaN unless all are seen."""
    points, sd = seen_points(watched, rows)
    up = view.facing(points)[..., 1].mean(axis=1)
    error = np.sqrt((sd**2).sum(axis=1)) / len(rows) / scale(view)
    return _track(watched.poses.time, up, error)


def trunk(watched: Watched, view: View) -> Track:
    """Return the height of the middle of shoulders and hips [m], the body's centre to a shift."""
    return height(watched, view, rows=TRUNK)


def hips(watched: Watched, view: View) -> Track:
    """Return the height of the middle of the hips [m]."""
    return height(watched, view, rows=(LEFT.hip, RIGHT.hip))


def toe(watched: Watched, view: View, *, side: Side) -> Track:
    """Return the height of one foot tip [m]."""
    return height(watched, view, rows=(side.toe,))


def held_ball(watched: Watched, view: View) -> Track:
    """Return the height of the held ball's centre, in the plane of its release [m]."""
    up = view.side(watched.held.middle, through=view.release)[..., 1]
    if view.yaw > math.radians(45.0):
        up = view.facing(watched.held.middle)[..., 1]
    return _track(watched.held.time, up, watched.held.sd / scale(view))


def wrist(watched: Watched, view: View) -> Track:
    """Return the height of the shooting wrist [m]."""
    return height(watched, view, rows=(shooting_side(watched.hand).wrist,))


def _apart(ends: Floats, sd: Floats, *, time: Floats, view: View) -> Track:
    """Distance of two points across the sight [m]; ends is [row, 2, 2] px."""
    flat = view.facing(ends)
    far = np.linalg.norm(flat[:, 1] - flat[:, 0], axis=1)
    return _track(time, far, np.sqrt((sd**2).sum(axis=1)) / scale(view))


def reach(watched: Watched, view: View) -> Track:
    """Return the distance from shooting shoulder to wrist across the sight [m]."""
    side = shooting_side(watched.hand)
    points, sd = seen_points(watched, (side.shoulder, side.wrist))
    return _apart(points, sd, time=watched.poses.time, view=view)


def ball_reach(watched: Watched, view: View) -> Track:
    """Return the distance from shooting shoulder to the held ball across the sight [m]."""
    shoulder, sd = seen_points(watched, (shooting_side(watched.hand).shoulder,))
    time = watched.held.time
    there = np.isfinite(shoulder[:, 0]).all(axis=1)
    if there.sum() < 2 or not len(time):
        return Track(time=time, value=np.full(len(time), np.nan), sd=watched.held.sd)
    known = watched.poses.time[there]
    ends = np.stack(
        [
            np.column_stack([np.interp(time, known, shoulder[there, 0, k]) for k in (0, 1)]),
            watched.held.middle,
        ],
        axis=1,
    )
    errors = np.column_stack([np.interp(time, known, sd[there, 0]), watched.held.sd])
    return _apart(ends, errors, time=time, view=view)


def arm_lift(watched: Watched, view: View) -> Track:
    """Return how far the shooting wrist is above its shoulder [m]."""
    side = shooting_side(watched.hand)
    points, sd = seen_points(watched, (side.shoulder, side.wrist))
    up = view.facing(points)[..., 1]
    error = np.sqrt((sd**2).sum(axis=1)) / scale(view)
    return _track(watched.poses.time, up[:, 1] - up[:, 0], error)
