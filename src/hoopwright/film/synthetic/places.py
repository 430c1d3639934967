"""Where a coach would put a phone: beside the shot line or behind the shooter, as cameras."""

import math

import numpy as np
from numpy.typing import NDArray

from hoopwright.court.standards import ball as ball_of
from hoopwright.errors import BadInput
from hoopwright.film.camera import Camera, at_place, world_of
from hoopwright.film.synthetic.shots import ahead_of
from hoopwright.flight.arc import Release, fly, speed_to_reach
from hoopwright.records import Spot

Floats = NDArray[np.float64]

#: horizontal field of view of a phone's main camera held level [rad]; common practice, no source
VIEW = math.radians(65.0)
UP = np.array([0.0, 0.0, 1.0])
#: a camera behind the shooter looks no lower than this below ring centre [m]
LOW_AIM = 2.4


def _focal(width: int, height: int, view: float) -> float:
    """Return the focal length that spans the longer edge with the field of view [px]."""
    if not math.radians(20.0) <= view <= math.radians(110.0):
        raise BadInput("A field of view must be from 20° to 110°.")
    return 0.5 * max(width, height) / math.tan(0.5 * view)


def beside(
    spot: Spot,
    *,
    angle: float = 0.5 * math.pi,
    away: float = 9.0,
    height: float = 1.5,
    size: tuple[int, int] = (1920, 1080),
    view: float = VIEW,
    lens: float = 0.0,
) -> Camera:
    """Return a camera beside the shot line, on the shooter's right for an angle above zero.

    Parameters
    ----------
    spot
        Where the shooter stands.
    angle
        From the shot's direction to the line from its middle to the camera, turning right; 90° is
        square on, less is nearer the board; below zero on the shooter's left [rad].
    away
        From the middle of the shot line [m].
    height
        Of the lens above the floor [m].
    size
        Width and height of the picture [px].
    view
        Field of view along the longer edge [rad].
    lens
        First radial lens term.

    Raises
    ------
    BadInput
        The field of view is out of sense.
    """
    ahead = ahead_of(spot)
    right = np.array([ahead[1], -ahead[0], 0.0])
    middle = 0.5 * world_of(spot)
    place = middle + away * (math.cos(angle) * ahead + math.sin(angle) * right)
    return at_place(
        place + height * UP, middle + 2.35 * UP, width=size[0], height=size[1],
        focal=_focal(*size, view), lens=lens,
    )  # fmt: skip


def behind(  # noqa: PLR0913 — a place and a lens are this many things
    spot: Spot,
    *,
    back: float = 3.5,
    aside: float = 0.35,
    height: float = 1.7,
    aim: float | None = None,
    size: tuple[int, int] = (1920, 1080),
    view: float = VIEW,
    lens: float = 0.0,
) -> Camera:
    """Return a camera behind the shooter, looking toward the ring.

    Parameters
    ----------
    spot
        Where the shooter stands.
    back, aside
        Behind the spot, and to the right of the shot line, facing the ring [m].
    height
        Of the lens above the floor [m].
    aim
        The lens looks at the point so high below ring centre [m]; None for as high as the arc of
        a usual shot needs, at least ``LOW_AIM``.
    size, view, lens
        As for ``beside``.

    Raises
    ------
    BadInput
        The field of view is out of sense.
    """
    ahead, focal = ahead_of(spot), _focal(*size, view)
    right = np.array([ahead[1], -ahead[0], 0.0])
    lens_at = world_of(spot) - back * ahead + aside * right + height * UP
    half = math.atan(0.5 * size[1] / focal)
    looks_at = _aim(spot, lens_at, half) if aim is None else aim
    return at_place(lens_at, looks_at * UP, width=size[0], height=size[1], focal=focal, lens=lens)


def _aim(spot: Spot, lens_at: Floats, half: float) -> float:
    """Return how high below ring centre a lens must look to see a usual shot's whole arc [m]."""
    released, angle, ball = 2.2, math.radians(54.0), ball_of(7)
    speed = float(speed_to_reach(spot.distance, angle, 3.05 - released, ball=ball))
    arc = fly(Release(speed=speed, angle=angle, height=released), ball=ball, distance=spot.distance)
    way = world_of(spot) + arc.ahead[:, None] * ahead_of(spot) + arc.heights[:, None] * UP - lens_at
    highest = float(np.arctan2(way[:, 2], np.hypot(way[:, 0], way[:, 1])).max())
    rise = math.tan(highest - 0.85 * half) * math.hypot(lens_at[0], lens_at[1])
    return max(LOW_AIM, float(lens_at[2]) + rise)
