"""Where the shooter stands, which way the shot goes, and planes of the world seen in the picture.

A picture point alone has no depth. Put into a plane of the world that the joint is known to lie
in, it has: the *side plane* is the vertical plane of the shot line, the *front plane* stands across
it, and the *facing plane* stands across the camera's sight. Angles taken in the side plane need no
correction for the camera's yaw; what stays is what a joint lies outside the plane, times the
tangent of the yaw.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hoopwright.film.camera import Camera, on_level, sight_lines, with_parameters
from hoopwright.film.shooter.points import FEET
from hoopwright.film.shooter.watched import Watched

Floats = NDArray[np.float64]

#: of heel and foot-tip points above the floor, shoe sole included [m]; common practice, no source
FOOT_HEIGHT = 0.03
#: the ball leaves the hand this far in front of the feet [m]; common practice, 0.1 to 0.4
REACH_AHEAD = 0.25
#: when the feet are looked at, before release [s]: after the last step, before the toes leave
STANDING = (0.60, 0.25)
#: nearer than this to below the ring there is no shot line [m]
LEAST_DISTANCE = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A camera and a shooter: what planes of the motion are, for one place of the camera."""

    camera: Camera
    #: middle of the feet on the floor [m], float64 [3]
    feet: Floats
    #: level unit vector from the feet to below the ring, float64 [3]
    ahead: Floats
    #: where the ball left the hand [m], float64 [3]; above the feet where the ball was lost
    release: Floats

    @property
    def right(self) -> Floats:
        """Level unit vector to the right of one facing the ring, float64 [3]."""
        return np.array([self.ahead[1], -self.ahead[0], 0.0])

    @property
    def sight(self) -> Floats:
        """Level unit vector from the camera to the feet, float64 [3]."""
        flat = (self.feet - self.camera.position) * (1.0, 1.0, 0.0)
        level: Floats = flat / np.linalg.norm(flat)
        return level

    @property
    def yaw(self) -> float:
        """How far the camera is off looking square at the side plane, 0 to π/2 [rad]."""
        return math.asin(min(1.0, abs(float(self.sight @ self.ahead))))

    @property
    def looks_down(self) -> float:
        """How far down the camera looks at the hips, a metre above the feet [rad]."""
        here = self.camera.position
        return math.atan2(here[2] - 1.0, float(np.linalg.norm((here - self.feet)[:2])))

    def side(self, pixels: ArrayLike, *, through: ArrayLike, out: ArrayLike = 0.0) -> Floats:
        """Return (ahead, up) of picture points in a side plane [m], float64 [..., 2].

        Parameters
        ----------
        pixels
            Picture points [px], float64 [..., 2].
        through
            A point of the plane [m], float64 [3]; ahead is counted from the feet.
        out
            How far right of that plane each point lies [m]; broadcasts with the points.
        """
        return self._in_plane(pixels, normal=self.right, along=self.ahead, through=through, out=out)

    def front(self, pixels: ArrayLike, *, through: ArrayLike, out: ArrayLike = 0.0) -> Floats:
        """Return (right, up) of picture points in a front plane [m]; as ``side``, out is ahead."""
        return self._in_plane(pixels, normal=self.ahead, along=self.right, through=through, out=out)

    def facing(self, pixels: ArrayLike) -> Floats:
        """Return (across, up) in the plane through the feet that faces the camera [m]."""
        across = np.cross(self.sight, (0.0, 0.0, 1.0))
        return self._in_plane(pixels, normal=self.sight, along=across, through=self.feet, out=0.0)

    def level(self, pixels: ArrayLike, *, height: ArrayLike) -> Floats:
        """Return (right, ahead) of picture points in level planes [m], float64 [..., 2].

        Parameters
        ----------
        pixels
            Picture points [px], float64 [..., 2].
        height
            Of each point above the floor [m]; broadcasts with the points.
        """
        seen = np.asarray(pixels, dtype=np.float64)
        lines = self._lines(seen)
        here = self.camera.position
        with np.errstate(divide="ignore", invalid="ignore"):
            far = (np.asarray(height) - here[2]) / lines[..., 2]
        met = here + np.where(far > 0.0, far, np.nan)[..., None] * lines - self.feet
        return np.stack([met @ self.right, met @ self.ahead], axis=-1)

    def _lines(self, seen: Floats) -> Floats:
        """Return unit world vectors of sight, float64 [..., 3]."""
        if not seen.size:
            return np.empty((*seen.shape[:-1], 3))
        return sight_lines(self.camera, seen.reshape(-1, 2)).reshape(*seen.shape[:-1], 3)

    def _in_plane(
        self, pixels: ArrayLike, *, normal: Floats, along: Floats, through: ArrayLike,
        out: ArrayLike,
    ) -> Floats:  # fmt: skip
        seen = np.asarray(pixels, dtype=np.float64)
        lines = self._lines(seen)
        here = self.camera.position
        to_plane = float((np.asarray(through) - here) @ normal) + np.asarray(out)
        with np.errstate(divide="ignore", invalid="ignore"):
            far = to_plane / (lines @ normal)
        met = here + np.where(far > 0.0, far, np.nan)[..., None] * lines
        return np.stack([(met - self.feet) @ along, met[..., 2]], axis=-1)


def standing_points(watched: Watched, release_time: float) -> tuple[Floats, Floats]:
    """Return where heels and foot tips stand in the picture, and their errors.

    Parameters
    ----------
    watched
        The shot.
    release_time
        When the ball left the hand [s].

    Returns
    -------
    tuple
        Picture points of ``points.FEET`` [px], float64 [4, 2], NaN where not seen; errors of each
        frame's points [px], float64 [4] (not divided by the number of frames: a pose model's error
        of a foot at rest is the same frame after frame).
    """
    poses = watched.poses
    first, last = release_time - STANDING[0], release_time - STANDING[1]
    rows = (poses.time >= first) & (poses.time <= last)
    points = poses.points[rows][:, list(FEET)]
    sd = poses.sd[rows][:, list(FEET)]
    middle, error = np.full((4, 2), np.nan), np.full(4, np.nan)
    for k in range(4):
        seen = np.flatnonzero(np.isfinite(points[:, k, 0]))
        if len(seen):
            middle[k] = np.median(points[seen, k], axis=0)
            error[k] = np.median(sd[seen, k])
    return middle, error


def _place(watched: Watched, camera: Camera, release_time: float) -> Floats | None:
    """Middle of the feet on the floor, from the feet, else from the ball; None where neither."""
    soles = on_level(camera, standing_points(watched, release_time)[0], height=FOOT_HEIGHT)
    seen = np.isfinite(soles[:, 0])
    left, right = soles[:2][seen[:2]], soles[2:][seen[2:]]
    if len(left) or len(right):
        each = [part.mean(axis=0) for part in (left, right) if len(part)]
        middle = np.mean(each, axis=0)
        return np.array([middle[0], middle[1], 0.0])
    if watched.ball is None:
        return None
    point = np.array([*watched.ball.release_point[:2], 0.0])
    away = np.linalg.norm(point)
    return point * (1.0 + REACH_AHEAD / away) if away > 0.0 else None


def _view(watched: Watched, camera: Camera, release_time: float) -> View | None:
    feet = _place(watched, camera, release_time)
    if feet is None or np.linalg.norm(feet) < LEAST_DISTANCE:
        return None
    ahead = -feet / np.linalg.norm(feet)
    above = feet + np.array([0.0, 0.0, 2.0]) + REACH_AHEAD * ahead
    release = above if watched.ball is None else np.array(watched.ball.release_point)
    return View(camera=camera, feet=feet, ahead=ahead, release=release)


def views(watched: Watched, release_time: float) -> tuple[View, ...]:
    """Return the view of a shot, then one for each way in which the camera is uncertain.

    Parameters
    ----------
    watched
        The shot.
    release_time
        When the ball left the hand [s].

    Returns
    -------
    tuple
        Nothing where neither feet nor ball give a place; else first the camera as fitted, then up
        to eight cameras one standard deviation along each axis of its covariance, so that the
        squared differences of a measure add up to its variance by the camera.
    """
    first = _view(watched, watched.camera, release_time)
    if first is None:
        return ()
    spread, axes = np.linalg.eigh(watched.camera.errors)
    found = [first]
    for variance, axis in zip(spread, axes.T, strict=True):
        if variance > 1e-18:
            moved = with_parameters(
                watched.camera,
                watched.camera.parameters + math.sqrt(variance) * axis,
                covariance=np.zeros((8, 8)),
            )
            view = _view(watched, moved, release_time)
            found += [view] if view is not None else []
    return tuple(found)
