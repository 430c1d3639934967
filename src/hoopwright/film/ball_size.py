"""How large the ball can look at each place of the picture."""

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hoopwright.court.equipment import Ball
from hoopwright.film.camera import Camera, pixels_per_metre, project

Floats = NDArray[np.float64]

#: where a ball may be: half a court and some room around it, low and high corner [m]
_ROOM = ((-10.0, -15.0, 0.0), (10.0, 2.5, 8.0))
#: distance between the places tried [m], and cells across the picture
_STEP, _CELLS = 0.5, 16
#: nearest to the camera that a ball is looked for [m]
_NEAREST = 1.0
#: smallest and largest radius looked for: [px], and of the picture's height
_SMALLEST, _LARGEST = 3.5, 0.12
#: room for the error of a measured radius
_ROOM_BELOW, _ROOM_ABOVE = 0.75, 1.3


class BallSize:
    """Least and greatest radius of the ball by place in the picture.

    Parameters
    ----------
    width, height
        Of the picture. [px]
    camera
        None where the scene isn't known: then any size is allowed anywhere.
    ball
        Its size.
    """

    def __init__(self, width: int, height: int, *, camera: Camera | None, ball: Ball) -> None:
        self._cell = width / _CELLS
        shape = (int(height / self._cell) + 1, _CELLS + 1)
        greatest = max(_LARGEST * height, 2.0 * _SMALLEST)
        self._low, self._high = np.full(shape, _SMALLEST), np.full(shape, greatest)
        if camera is not None:
            self._from_scene(camera, ball.radius, greatest)

    def _from_scene(self, camera: Camera, radius: float, greatest: float) -> None:
        axes = [np.arange(a, b, _STEP) for a, b in zip(*_ROOM, strict=True)]
        places = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)
        ahead = places @ camera.turned[2] + camera.translation[2]
        places = places[ahead > _NEAREST]
        drawn, size = project(camera, places), radius * pixels_per_metre(camera, places)
        rows, columns = (np.floor(drawn[:, i] / self._cell) for i in (1, 0))
        shape = self._low.shape
        seen = (rows >= 0) & (rows < shape[0]) & (columns >= 0) & (columns < shape[1])
        at = (rows[seen].astype(int), columns[seen].astype(int))
        low, high = np.full(shape, np.inf), np.zeros(shape)
        np.minimum.at(low, at, size[seen])
        np.maximum.at(high, at, size[seen])
        low, high = _with_neighbours(low, np.min, np.inf), _with_neighbours(high, np.max, 0.0)
        self._low = np.maximum(_ROOM_BELOW * low, _SMALLEST)
        self._high = np.minimum(_ROOM_ABOVE * high, greatest)

    def at(self, places: Floats) -> tuple[Floats, Floats]:
        """Return least and greatest radius [px] at places [px], float64 [place] each.

        Parameters
        ----------
        places
            float64 [place, 2].
        """
        rows = np.clip((places[:, 1] / self._cell).astype(int), 0, self._low.shape[0] - 1)
        columns = np.clip((places[:, 0] / self._cell).astype(int), 0, self._low.shape[1] - 1)
        return self._low[rows, columns], self._high[rows, columns]

    def ladder(self) -> tuple[float, ...]:
        """Return radii to look for, each 1.6 times the last [px]."""
        usable = np.isfinite(self._low) & (self._high > self._low)
        if not np.any(usable):
            return ()
        low, high = float(np.min(self._low[usable])), float(np.max(self._high[usable]))
        steps = max(1, int(np.ceil(np.log(high / low / 1.25) / np.log(1.6))))
        return tuple(low * 1.12 * 1.6**i for i in range(steps))


def _with_neighbours(cells: Floats, pick: Callable[..., Any], outside: float) -> Floats:
    """Spread each cell's value over its neighbours, so that nothing is lost between places."""
    wide = np.pad(cells, 1, constant_values=outside)
    height, width = cells.shape
    around = [wide[i : i + height, j : j + width] for i in range(3) for j in range(3)]
    return np.asarray(pick(np.stack(around), axis=0))
