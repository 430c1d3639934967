"""The body models: find bodies in a square of a picture, lay 33 points on one of them.

Run exactly as the graph they were published with does [MPGraph]_: a finder gives the hip centre and
a point whose distance from it is the body's reach; a square round the hips, turned upright, goes to
the point net; two of its outputs say where the square should be in the next picture.
"""

import math
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from hoopwright.errors import UnknownName
from hoopwright.film import models, nets
from hoopwright.film.nets import Find, Finder, Net, Picture, Square, sigmoid

Floats = NDArray[np.float64]

#: the body points, in the order of every array of points
POINTS = (
    "nose",
    "left inner eye corner", "left eye", "left outer eye corner",
    "right inner eye corner", "right eye", "right outer eye corner",
    "left ear", "right ear", "left mouth corner", "right mouth corner",
    "left shoulder", "right shoulder", "left elbow", "right elbow", "left wrist", "right wrist",
    "left little finger", "right little finger", "left index finger", "right index finger",
    "left thumb", "right thumb",
    "left hip", "right hip", "left knee", "right knee", "left ankle", "right ankle",
    "left heel", "right heel", "left foot tip", "right foot tip",
)  # fmt: skip

#: point models by name; the wheel carries one
POINT_MODELS = {"full": "pose_landmark_full.tflite"}

#: points, surety, heat, metric points
_OUTPUTS = ("Identity", "Identity_1", "Identity_3", "Identity_4")
#: layout of the body finder's output
BODY_FINDER_LAYOUT = Finder(
    boxes="Identity", scores="Identity_1", strides=(8, 16, 32, 32, 32), per_cell=2, points=4
)
#: side of the square over the distance from hip centre to reach point: twice, and a quarter more
_ROOM = 2.5
#: the net's points: ours, then hip centre and reach point
_ALL = 39
#: heat is looked at this many cells round a point
_HEAT_REACH = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Skeleton:
    """What the point net says of one body."""

    #: [px], float64 [33, 2]
    points: Floats
    #: surety that a point is in the square and not hidden: the lesser of both, float64 [33]
    presence: Floats
    #: hip-centred metres (right, down, away), float64 [33, 3]
    shape: Floats
    #: what the net itself says of there being a body, 0 to 1; not to be trusted alone
    surety: float
    #: where to look in the next picture
    ahead: Square


def square_of(hips: Floats, reach: Floats) -> Square:
    """Return the upright square round a body.

    Parameters
    ----------
    hips, reach
        Hip centre and reach point [px], float64 [2]; the reach point is straight above the hips
        in a body that stands.
    """
    x, y = reach - hips
    return Square(
        x=float(hips[0]),
        y=float(hips[1]),
        side=_ROOM * math.hypot(x, y),
        turn=math.remainder(0.5 * math.pi - math.atan2(-y, x), 2.0 * math.pi),
    )


class PoseModel:
    """The finder and the point net, ready to run; one per thread."""

    def __init__(self, folder: Path, *, name: str = "full", threads: int = 1) -> None:
        """Load the models.

        Parameters
        ----------
        folder
            Where ``models.prepare`` put them.
        name
            Which point net, of POINT_MODELS.
        threads
            For each net.

        Raises
        ------
        ModelsMissing
            They are not in the folder.
        UnknownName
            There is no such point net.
        """
        if name not in POINT_MODELS:
            raise UnknownName(
                f"There is no body model called {name!r}; choose {' or '.join(POINT_MODELS)}."
            )
        self._finder = Net(models.model_path(folder, models.BODY_FINDER), threads=threads)
        self._net = Net(models.model_path(folder, POINT_MODELS[name]), threads=threads)

    def find(self, picture: Picture, square: Square, *, least: float = 0.5) -> tuple[Find, ...]:
        """Find bodies in a square of the picture.

        Parameters
        ----------
        picture
            BGR uint8 [row, column, 3].
        square
            Where to look; a body is found if it takes about a fifth of its height or more.
        least
            Least score.

        Returns
        -------
        tuple
            Finds: the box is the head's, the points are hip centre, reach point, shoulder centre
            and its reach point.
        """
        return nets.find(
            self._finder, picture, finder=BODY_FINDER_LAYOUT, square=square, least=least
        )

    def lay(self, picture: Picture, square: Square) -> Skeleton:
        """Lay the points on the body in a square; they come even where there is none.

        Parameters
        ----------
        picture
            BGR uint8 [row, column, 3].
        square
            Round the body, as ``square_of`` gives it.
        """
        pixels = self._net.pixels
        seen = nets.cut(picture, square, pixels=pixels, beyond=cv2.BORDER_REPLICATE)
        flat, surety, heat, metric = self._net.run(seen * np.float32(1.0 / 255.0), _OUTPUTS)
        rows = flat.reshape(_ALL, 5)
        places = refine(rows[:, :2] / pixels, heat) * pixels
        led = nets.to_picture(places, square, pixels=pixels)
        return Skeleton(
            points=led[:33],
            presence=sigmoid(np.minimum(rows[:33, 3], rows[:33, 4])),
            shape=_turned(metric.reshape(_ALL, 3)[:33], square.turn),
            surety=float(surety[0]),
            ahead=square_of(led[33], led[34]),
        )


def _turned(metric: Floats, turn: float) -> Floats:
    """Return metric points with the turn of the square undone."""
    cos, sin = math.cos(turn), math.sin(turn)
    undone: Floats = metric @ np.array([[cos, sin, 0.0], [-sin, cos, 0.0], [0.0, 0.0, 1.0]])
    return undone


def refine(places: Floats, heat: Floats) -> Floats:
    """Move points to the middle of the heat round them, where it is hot enough.

    Parameters
    ----------
    places
        From 0 to 1 across the square, float64 [point, 2].
    heat
        One layer per point, before the logistic function, float64 [cell, cell, point].

    Notes
    -----
    As in the published graph [MPGraph]_: 7 × 7 cells, used where one of them is 0.5 or more.
    """
    cells = heat.shape[0]
    inside = np.all((places >= 0.0) & (places < 1.0), axis=1)
    middle = np.where(inside[:, None], places * cells, 0.0).astype(np.int64)
    step = np.arange(-_HEAT_REACH, _HEAT_REACH + 1)
    column, row = middle[:, :1] + step, middle[:, 1:] + step
    there = ((row >= 0) & (row < cells))[:, :, None] & ((column >= 0) & (column < cells))[:, None]
    near = heat[
        np.clip(row, 0, cells - 1)[:, :, None],
        np.clip(column, 0, cells - 1)[:, None],
        np.arange(len(places))[:, None, None],
    ]
    warm = np.where(there, sigmoid(near), 0.0)
    total = np.maximum(warm.sum(axis=(1, 2)), 1e-12)
    x = (warm.sum(axis=1) * column).sum(axis=1) / total
    y = (warm.sum(axis=2) * row).sum(axis=1) / total
    hot = inside & (warm.max(axis=(1, 2)) >= 0.5)
    moved: Floats = np.where(hot[:, None], np.stack([x, y], axis=1) / cells, places)
    return moved
