"""Where tests find the body and face models, and bodies whose points are known."""

import math
import os
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from hoopwright.film.bodynet import POINTS, PoseModel, Skeleton, square_of
from hoopwright.film.models import ready
from hoopwright.film.nets import Find, Square

Pixels = NDArray[np.uint8]

ROOT = Path(__file__).parents[2]
#: where `make test` puts them
KEPT = ROOT / ".venv" / "models"


def models_folder() -> Path:
    """Return the folder of whole models; skip without them, or fail where they are required."""
    folder = Path(os.environ.get("HOOPWRIGHT_MODELS") or KEPT)
    if not ready(folder):
        said = f"no models in {folder}; run hoopwright film prepare"
        if os.environ.get("HOOPWRIGHT_REQUIRE_MODELS"):
            pytest.fail(said)
        pytest.skip(said)
    return folder


#: heights of points over stature for a standing body [Winter2009]_ Fig. 4.1 (from memory): ankle
#: 0.039, knee 0.285, hip 0.530, shoulder 0.818; eyes 0.936; sideways half widths likewise
_HEIGHTS = {
    "nose": 0.925, "eye": 0.936, "ear": 0.93, "mouth": 0.905, "shoulder": 0.818, "elbow": 0.63,
    "wrist": 0.485, "finger": 0.42, "thumb": 0.43, "hip": 0.53, "knee": 0.285, "ankle": 0.039,
    "heel": 0.01, "foot": 0.01,
}  # fmt: skip
_HALF_WIDTHS = {"shoulder": 0.129, "elbow": 0.14, "wrist": 0.15, "finger": 0.15, "thumb": 0.14}


def standing(x: float, ground: float, height: float, **changed: float) -> Skeleton:
    """Return the skeleton of a body that stands facing the camera, as the point net would.

    Parameters
    ----------
    x, ground
        Its middle and its soles [px].
    height
        Its stature [px].
    changed
        Presence by the point's name, underscores for spaces; 1 where left out.
    """
    points = np.empty((33, 2))
    for row, name in enumerate(POINTS):
        up = next(v for part, v in _HEIGHTS.items() if part in name)
        out = next((v for part, v in _HALF_WIDTHS.items() if part in name), 0.06)
        side = 0.0 if name == "nose" else 1.0 if name.startswith("left") else -1.0
        points[row] = (x + side * out * height, ground - up * height)
    presence = np.ones(33)
    for name, value in changed.items():
        presence[POINTS.index(name.replace("_", " "))] = value
    hips = points[23:25].mean(axis=0)
    ahead = square_of(hips, hips - np.array([0.0, 0.49 * height]))
    shape = np.zeros((33, 3))
    return Skeleton(points=points, presence=presence, shape=shape, surety=1.0, ahead=ahead)


def found(skeleton: Skeleton, score: float = 0.95) -> Find:
    """Return what the body finder would say of a body."""
    hips = skeleton.points[23:25].mean(axis=0)
    reach = skeleton.ahead.side / 2.5
    tips = np.array([hips, hips - (0.0, reach), hips - (0.0, 0.6 * reach), hips - (0.0, reach)])
    box = np.concatenate([skeleton.points[0] - 20.0, skeleton.points[0] + 20.0])
    return Find(score=score, box=box, points=tips)


class Scripted(PoseModel):
    """A model that knows the bodies of each moment; asked elsewhere, it lays one all the same."""

    def __init__(self, bodies: Callable[[], Sequence[Skeleton]]) -> None:
        self._bodies = bodies
        #: added to what is laid, to play a net that drifts off [px]
        self.drift = 0.0
        #: True to play a finder that sees nobody
        self.blind = False
        self.found = 0

    def find(self, picture: Pixels, square: Square, *, least: float = 0.5) -> tuple[Find, ...]:
        self.found += 1
        bodies = [] if self.blind else self._bodies()
        near = [b for b in bodies if abs(b.ahead.x - square.x) < 0.5 * square.side]
        return tuple(found(body) for body in near)

    def lay(self, picture: Pixels, square: Square) -> Skeleton:
        near = [
            b
            for b in self._bodies()
            if math.hypot(b.ahead.x - square.x, b.ahead.y - square.y) < 0.2 * square.side
        ]
        body = near[0] if near else standing(square.x, square.y + 0.42 * square.side, square.side)
        ahead = replace(body.ahead, x=body.ahead.x + self.drift)
        return replace(body, points=body.points + np.array([self.drift, 0.0]), ahead=ahead)
