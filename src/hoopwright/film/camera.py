"""A pinhole camera with one lens term: from places in the gym to points of the picture and back.

World axes, as in ``flight``: *right* facing the board, *ahead* toward the board, *up*; the origin
is on the floor below ring centre, metres. A spot of court axes (x, y) stands at (x, −y, 0). Picture
points are pixels of the upright picture, (0, 0) the middle of the top left pixel, y down.
"""

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from hoopwright.errors import BadInput
from hoopwright.records import Spot

Floats = NDArray[np.float64]

#: what a camera's covariance is of, in order
PARAMETERS = ("focal", "lens", "turn_1", "turn_2", "turn_3", "shift_1", "shift_2", "shift_3")


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """Where a camera stands, where it looks and how it draws."""

    #: of the upright picture [px]
    width: int
    height: int
    #: focal length, the same both ways [px]
    focal: float
    #: first radial lens term, of the distance from the middle over the focal length
    lens: float = 0.0
    #: rotation vector, world to camera (camera axes: right, down, into the picture) [rad]
    rotation: tuple[float, float, float]
    #: world to camera, after the rotation [m]
    translation: tuple[float, float, float]
    #: 8 × 8, row by row, of PARAMETERS; zeros where the camera is known exactly
    covariance: tuple[float, ...] = (0.0,) * 64

    def __post_init__(self) -> None:
        numbers = (self.focal, self.lens, *self.rotation, *self.translation, *self.covariance)
        if not all(math.isfinite(v) for v in numbers) or self.focal <= 0.0:
            raise BadInput("A camera needs plain numbers and a focal length above zero.")
        if self.width < 16 or self.height < 16 or len(self.covariance) != 64:
            raise BadInput("A camera needs a picture of 16 px or more and an 8 × 8 covariance.")

    @property
    def parameters(self) -> Floats:
        """Values of PARAMETERS, float64 [8]."""
        return np.array([self.focal, self.lens, *self.rotation, *self.translation])

    @property
    def errors(self) -> Floats:
        """Covariance of PARAMETERS, float64 [8, 8]."""
        return np.array(self.covariance).reshape(8, 8)

    @property
    def matrix(self) -> Floats:
        """The 3 × 3 matrix of the pinhole; the lens axis meets the middle of the picture."""
        middle = (0.5 * (self.width - 1), 0.5 * (self.height - 1))
        return np.array([[self.focal, 0.0, middle[0]], [0.0, self.focal, middle[1]], [0, 0, 1.0]])

    @property
    def turned(self) -> Floats:
        """Rotation matrix, world to camera, float64 [3, 3]."""
        return np.asarray(cv2.Rodrigues(np.array(self.rotation))[0], dtype=np.float64)

    @property
    def position(self) -> Floats:
        """Where the camera stands in the world [m], float64 [3]."""
        here: Floats = -self.turned.T @ np.array(self.translation)
        return here


def at_place(
    place: ArrayLike, looks_at: ArrayLike, *, width: int, height: int, focal: float, lens: float = 0
) -> Camera:
    """Return a level camera at a place in the world that looks at a point.

    Parameters
    ----------
    place, looks_at
        World points [m], float64 [3]; not one straight above the other.
    width, height, focal, lens
        As in ``Camera``.

    Raises
    ------
    BadInput
        The camera would look straight up or down.
    """
    here = np.asarray(place, dtype=np.float64)
    into = np.asarray(looks_at, dtype=np.float64) - here
    side = np.cross(into, (0.0, 0.0, 1.0))
    if np.linalg.norm(side) < 1e-9:
        raise BadInput("A camera can't be placed straight above or below what it looks at.")
    into, side = into / np.linalg.norm(into), side / np.linalg.norm(side)
    turned = np.vstack([side, np.cross(into, side), into])
    rotation = cv2.Rodrigues(turned)[0].ravel()
    shift = -turned @ here
    return Camera(
        width=width, height=height, focal=focal, lens=lens,
        rotation=(float(rotation[0]), float(rotation[1]), float(rotation[2])),
        translation=(float(shift[0]), float(shift[1]), float(shift[2])),
    )  # fmt: skip


def project(camera: Camera, points: ArrayLike) -> Floats:
    """Return where world points are drawn [px], float64 [point, 2]; NaN behind the camera.

    Parameters
    ----------
    camera
        The camera.
    points
        World points [m], float64 [point, 3].
    """
    return project_with_slopes(camera, points)[0]


def project_with_slopes(camera: Camera, points: ArrayLike) -> tuple[Floats, Floats, Floats]:
    """Return where world points are drawn, and how that moves with point and camera.

    Parameters
    ----------
    camera, points
        As for ``project``.

    Returns
    -------
    tuple
        Picture points [px], float64 [point, 2]; their derivatives by the world point,
        float64 [point, 2, 3], and by PARAMETERS, float64 [point, 2, 8].

    Notes
    -----
    Pinhole and first radial term as in the OpenCV documentation, differentiated by OpenCV.
    """
    world = np.asarray(points, dtype=np.float64).reshape(-1, 3)
    if not len(world):
        return np.empty((0, 2)), np.empty((0, 2, 3)), np.empty((0, 2, 8))
    lens = np.array([camera.lens, 0.0, 0.0, 0.0])
    shift = np.array(camera.translation)
    drawn, slopes = cv2.projectPoints(
        world.reshape(-1, 1, 3), np.array(camera.rotation), shift, camera.matrix, lens
    )
    # OpenCV's columns: rotation 3, shift 3, focal x and y, centre x and y, lens k1 …
    by = np.asarray(slopes).reshape(-1, 2, slopes.shape[1])
    focal = by[:, :, 6] + by[:, :, 7]
    by_camera = np.concatenate(
        [focal[..., None], by[:, :, 10:11], by[:, :, 0:3], by[:, :, 3:6]], axis=2
    )
    by_world = by[:, :, 3:6] @ camera.turned
    depth = (world @ camera.turned.T + shift)[:, 2]
    hidden = (depth <= 1e-6)[:, None]
    return np.where(hidden, np.nan, np.asarray(drawn).reshape(-1, 2)), by_world, by_camera


def with_parameters(camera: Camera, parameters: ArrayLike, *, covariance: ArrayLike) -> Camera:
    """Return a camera of the same picture size with other PARAMETERS and covariance.

    Parameters
    ----------
    camera
        Gives the picture size.
    parameters
        Values of PARAMETERS, float64 [8].
    covariance
        float64 [8, 8].
    """
    v = [float(p) for p in np.asarray(parameters, dtype=np.float64)]
    return Camera(
        width=camera.width, height=camera.height, focal=v[0], lens=v[1],
        rotation=(v[2], v[3], v[4]), translation=(v[5], v[6], v[7]),
        covariance=tuple(float(c) for c in np.asarray(covariance, dtype=np.float64).ravel()),
    )  # fmt: skip


def sight_lines(camera: Camera, pixels: ArrayLike) -> Floats:
    """Return the directions in which picture points are seen, as unit world vectors [point, 3].

    Parameters
    ----------
    camera
        The camera.
    pixels
        Picture points [px], float64 [point, 2].
    """
    points = np.asarray(pixels, dtype=np.float64).reshape(-1, 1, 2)
    flat = cv2.undistortPoints(points, camera.matrix, np.array([camera.lens, 0.0, 0.0, 0.0]))
    seen = np.concatenate([np.asarray(flat).reshape(-1, 2), np.ones((len(points), 1))], axis=1)
    world = seen @ camera.turned
    unit: Floats = world / np.linalg.norm(world, axis=1, keepdims=True)
    return unit


def on_level(camera: Camera, pixels: ArrayLike, *, height: float = 0.0) -> Floats:
    """Return the world points of a level plane that are seen at picture points.

    Parameters
    ----------
    camera, pixels
        As for ``sight_lines``.
    height
        Of the plane above the floor [m].

    Returns
    -------
    ndarray
        float64 [point, 3] [m]; NaN where the line of sight never meets the plane.
    """
    lines = sight_lines(camera, pixels)
    here = camera.position
    with np.errstate(divide="ignore", invalid="ignore"):
        far = (height - here[2]) / lines[:, 2]
    met: Floats = here + np.where(far > 0.0, far, np.nan)[:, None] * lines
    return met


def pixels_per_metre(camera: Camera, points: ArrayLike) -> Floats:
    """Return how many pixels a metre across the line of sight takes at world points [px/m].

    Parameters
    ----------
    camera, points
        As for ``project``.

    Returns
    -------
    ndarray
        float64 [point]; the focal length over the depth, lens left out.
    """
    world = np.asarray(points, dtype=np.float64).reshape(-1, 3)
    depth = (world @ camera.turned.T + np.array(camera.translation))[:, 2]
    scale: Floats = camera.focal / depth
    return scale


def ball_outline(camera: Camera, points: ArrayLike, radius: float) -> tuple[Floats, Floats]:
    """Return how balls are seen: their outline's middle, and its mean radius.

    Parameters
    ----------
    camera, points
        As for ``project``; the points are the balls' centres.
    radius
        Of the balls [m].

    Returns
    -------
    tuple
        The outline's middle less where the centre is drawn [px], float64 [point, 2], and the mean
        of its half axes [px], float64 [point].

    Notes
    -----
    Derived: the lines of sight that touch a sphere are a cone, and the picture cuts it in an
    ellipse, longer away from the picture's middle: 3 % longer at 20° off the axis. The lens
    stretches it further, to first order.
    """
    world = np.asarray(points, dtype=np.float64).reshape(-1, 3)
    x, y, z = (world @ camera.turned.T + np.array(camera.translation)).T
    level = np.hypot(x, y)
    aside, half = np.arctan2(level, z), np.arcsin(np.minimum(radius / np.hypot(level, z), 0.9))
    least, most = np.tan(aside - half), np.tan(aside + half)
    out = np.tan(aside)
    wide = np.sin(half) / np.sqrt(np.maximum(np.cos(aside) ** 2 - np.sin(half) ** 2, 1e-6))
    across, outward = 1.0 + camera.lens * out**2, 1.0 + 3.0 * camera.lens * out**2
    size: Floats = 0.5 * camera.focal * (0.5 * (most - least) * outward + wide * across)
    shift = camera.focal * (0.5 * (most + least) - out) * outward
    way = np.stack([x, y], axis=1) / np.maximum(level, 1e-9)[:, None]
    return shift[:, None] * way, size


def world_of(spot: Spot, *, height: float = 0.0) -> Floats:
    """Return the world point at a height above a spot [m], float64 [3]."""
    return np.array([spot.x, -spot.y, height])
