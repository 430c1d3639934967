"""Small nets on pictures: cut a square out, run it, read boxes back. LiteRT is used here only.

A square of the picture is cut out turned and scaled in one step, as in the published graphs the
models come with [MPGraph]_; places in the cut-out lead back to the picture by the same map.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from ai_edge_litert.interpreter import Interpreter
from numpy.typing import NDArray

from hoopwright.errors import ModelsMissing

Floats = NDArray[np.float64]
Picture = NDArray[np.uint8]


@dataclass(frozen=True, slots=True, kw_only=True)
class Square:
    """A turned square of the picture."""

    #: its middle [px]
    x: float
    y: float
    #: side [px]
    side: float
    #: clockwise in the picture [rad]
    turn: float = 0.0

    def matrix(self, pixels: int) -> Floats:
        """Return the map from the cut-out, drawn in that many pixels, to the picture [2, 3]."""
        step = self.side / pixels
        cos, sin = step * np.cos(self.turn), step * np.sin(self.turn)
        half = 0.5 * pixels
        return np.array(
            [
                [cos, -sin, self.x - half * (cos - sin)],
                [sin, cos, self.y - half * (sin + cos)],
            ]
        )


class Net:
    """One model, ready to run; not to be shared between threads."""

    def __init__(self, path: Path, *, threads: int = 1) -> None:
        try:
            self._interpreter = Interpreter(str(path), num_threads=threads)
            self._interpreter.allocate_tensors()
        except (ValueError, RuntimeError) as trouble:
            raise ModelsMissing from trouble
        entry = self._interpreter.get_input_details()[0]
        self._entry = entry["index"]
        #: side of the square it looks at [px]
        self.pixels = int(entry["shape"][1])
        self._outputs = {o["name"]: o["index"] for o in self._interpreter.get_output_details()}

    def run(self, tensor: NDArray[np.float32], outputs: Sequence[str]) -> list[Floats]:
        """Return the named outputs for a picture, float32 [pixels, pixels, 3]."""
        self._interpreter.set_tensor(self._entry, tensor[None])
        self._interpreter.invoke()
        return [
            np.asarray(self._interpreter.get_tensor(self._outputs[name])[0], dtype=np.float64)
            for name in outputs
        ]


def cut(picture: Picture, square: Square, *, pixels: int, beyond: int) -> Picture:
    """Return a square of a picture, turned upright, RGB uint8 [pixels, pixels, 3].

    Parameters
    ----------
    picture
        BGR uint8 [row, column, 3].
    square
        What to cut out; may reach beyond the picture.
    pixels
        Side of what is returned.
    beyond
        What stands beyond the picture: ``cv2.BORDER_REPLICATE``, or black: ``BORDER_CONSTANT``.
    """
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    cut_out = cv2.warpAffine(
        picture, square.matrix(pixels), (pixels, pixels), flags=flags, borderMode=beyond
    )
    return np.asarray(cv2.cvtColor(cut_out, cv2.COLOR_BGR2RGB), dtype=np.uint8)


def to_picture(places: Floats, square: Square, *, pixels: int) -> Floats:
    """Return where places of a cut-out [px of it], float64 […, 2], lie in the picture [px]."""
    matrix = square.matrix(pixels)
    led: Floats = places @ matrix[:, :2].T + matrix[:, 2]
    return led


def sigmoid(values: Floats) -> Floats:
    """Return the logistic function, held where the exponential would overflow."""
    share: Floats = 1.0 / (1.0 + np.exp(-np.clip(values, -80.0, 80.0)))
    return share


@dataclass(frozen=True, slots=True, kw_only=True)
class Finder:
    """How the output of a box-finding net is laid out."""

    boxes: str
    scores: str
    #: cells across per layer; a layer as fine as the one before shares its cells
    strides: tuple[int, ...]
    #: anchors per cell and layer
    per_cell: int
    #: points per find, after the box
    points: int
    #: the net wants pixels from low to 1
    low: float = -1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Find:
    """One thing a net found."""

    #: 0 to 1
    score: float
    #: left, top, right, bottom [px], float64 [4]
    box: Floats
    #: float64 [point, 2] [px]
    points: Floats


def anchors(finder: Finder, pixels: int) -> Floats:
    """Return the middles of the cells a finder's outputs are measured from, 0 to 1 [row, 2]."""
    rows = []
    for stride in sorted(set(finder.strides)):
        cells = -(-pixels // stride)
        y, x = np.divmod(np.arange(cells * cells), cells)
        middles = (np.stack([x, y], axis=1) + 0.5) / cells
        rows.append(np.repeat(middles, finder.strides.count(stride) * finder.per_cell, axis=0))
    return np.concatenate(rows)


def find(
    net: Net, picture: Picture, *, finder: Finder, square: Square, least: float
) -> tuple[Find, ...]:
    """Run a box-finding net on a square of a picture.

    Parameters
    ----------
    net, finder
        The net and how its output is laid out.
    picture
        BGR uint8 [row, column, 3].
    square
        Where to look; beyond the picture it is black.
    least
        Least score of a find.

    Returns
    -------
    tuple
        Finds in picture pixels, the surest first; those over each other are merged.
    """
    seen = cut(picture, square, pixels=net.pixels, beyond=cv2.BORDER_CONSTANT)
    tensor = (seen * np.float32((1.0 - finder.low) / 255.0) + np.float32(finder.low)).astype("f4")
    raw, scores = net.run(tensor, (finder.boxes, finder.scores))
    sure = sigmoid(scores[:, 0])
    rows = np.flatnonzero(sure >= least)
    places = raw[rows].reshape(len(rows), 2 + finder.points, 2) / net.pixels
    middles = anchors(finder, net.pixels)[rows]
    places[:, 0] += middles
    places[:, 2:] += middles[:, None]
    return tuple(
        _in_picture(s, p * net.pixels, square, net.pixels) for s, p in merge(sure[rows], places)
    )


def _in_picture(score: float, places: Floats, square: Square, pixels: int) -> Find:
    half = 0.5 * places[1]
    corners = to_picture(np.stack([places[0] - half, places[0] + half]), square, pixels=pixels)
    led = to_picture(places[2:], square, pixels=pixels)
    return Find(score=score, box=corners.ravel(), points=led)


def overlap(box: Floats, boxes: Floats) -> Floats:
    """Return the shared area over the joint area of a box [4] and others [row, 4]."""
    low = np.maximum(box[:2], boxes[:, :2])
    high = np.minimum(box[2:], boxes[:, 2:])
    shared = np.prod(np.clip(high - low, 0.0, None), axis=1)
    areas = np.prod(boxes[:, 2:] - boxes[:, :2], axis=1) + np.prod(box[2:] - box[:2])
    share: Floats = shared / np.maximum(areas - shared, 1e-12)
    return share


def merge(scores: Floats, places: Floats, *, share: float = 0.3) -> list[tuple[float, Floats]]:
    """Merge finds over each other into their mean, weighted by score, the surest first.

    Parameters
    ----------
    scores
        float64 [find].
    places
        Middle, size, then points, float64 [find, 2 + point, 2].
    share
        Shared over joint area above which two boxes are one find.
    """
    boxes = np.concatenate(
        [places[:, 0] - 0.5 * places[:, 1], places[:, 0] + 0.5 * places[:, 1]], axis=1
    )
    left = np.argsort(-scores, kind="stable")
    merged = []
    while len(left):
        same = overlap(boxes[left[0]], boxes[left]) > share
        same[0] = True
        group = left[same]
        mean = np.average(places[group], axis=0, weights=scores[group])
        merged.append((float(scores[left[0]]), mean))
        left = left[~same]
    return merged
