"""Where a coach would put a phone: beside the shot line or behind the shooter, as cameras."""

import math

import numpy as np

from hoopwright.errors import BadInput
from hoopwright.film.camera import Camera, at_place, world_of
from hoopwright.film.synthetic.shots import ahead_of
from hoopwright.records import Spot

#: horizontal field of view of a phone's main camera held level [rad]; common practice, no source
VIEW = math.radians(65.0)
UP = np.array([0.0, 0.0, 1.0])


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
    aim: float = 2.5,
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
        The lens looks at the point so high below ring centre [m].
    size, view, lens
        As for ``beside``.

    Raises
    ------
    BadInput
        The field of view is out of sense.
    """
    ahead = ahead_of(spot)
    right = np.array([ahead[1], -ahead[0], 0.0])
    place = world_of(spot) - back * ahead + aside * right
    return at_place(
        place + height * UP, aim * UP, width=size[0], height=size[1],
        focal=_focal(*size, view), lens=lens,
    )  # fmt: skip
