"""Cameras beside a court and the marks a coach would click, with known errors."""

import math
from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from hoopwright.film.camera import Camera, at_place, project
from hoopwright.film.landmarks import Mark, book_for, landmarks

Floats = NDArray[np.float64]
BOARD = tuple(f"board {v} {h}" for v in ("top", "bottom") for h in ("left", "right"))
INNER = tuple(f"inner rectangle {v} {h}" for v in ("top", "bottom") for h in ("left", "right"))
RING = ("ring left edge", "ring right edge")
ELBOWS = tuple(f"lane {h} corner at the free-throw line" for h in ("left", "right"))
LANE_ENDS = tuple(f"lane {h} corner at the end line" for h in ("left", "right"))
LINE_ENDS = tuple(f"free-throw line {h} end" for h in ("left", "right"))
MANY = (*BOARD, *INNER, *RING, *ELBOWS, *LINE_ENDS, *LANE_ENDS)


def rolled(camera: Camera, angle: float) -> Camera:
    """Return a camera turned about its own axis [rad]."""
    turned = cv2.Rodrigues(np.array([0.0, 0.0, angle]))[0] @ camera.turned
    rotation, shift = cv2.Rodrigues(turned)[0].ravel(), -turned @ camera.position
    return replace(
        camera,
        rotation=(float(rotation[0]), float(rotation[1]), float(rotation[2])),
        translation=(float(shift[0]), float(shift[1]), float(shift[2])),
    )


def side_camera(*, focal: float = 950.0, lens: float = 0.0) -> Camera:
    """A phone on a tripod at the sideline, 720p."""
    return at_place(
        (10.5, -2.6, 1.5), (0.0, -2.0, 2.3), width=1280, height=720, focal=focal, lens=lens
    )


def rear_camera(*, focal: float = 950.0, lens: float = 0.0) -> Camera:
    """A phone held behind a free-throw shooter, 720p."""
    return at_place(
        (0.5, -10.5, 1.8), (0.0, 0.0, 2.2), width=1280, height=720, focal=focal, lens=lens
    )


def any_camera(rng: np.random.Generator) -> Camera:
    """A camera as likely as calibration takes it to be: side or rear, any phone lens."""
    side = rng.random() < 0.5
    round_to = math.radians(rng.uniform(60.0, 120.0)) * rng.choice([-1.0, 1.0])
    away = rng.uniform(8.0, 14.0) if side else rng.uniform(6.5, 10.0)
    round_to = round_to if side else rng.uniform(-0.2, 0.2)
    place = (away * math.sin(round_to), -2.0 - away * math.cos(round_to), rng.uniform(1.0, 2.5))
    focal = 1280 * float(np.clip(0.85 * math.exp(rng.normal(0.0, 0.45)), 0.45, 1.3))
    level = at_place(
        place, (rng.normal(0, 0.3), -1.6 + rng.normal(0, 0.4), 2.1),
        width=1280, height=720, focal=focal, lens=float(rng.normal(0.0, 0.03)),
    )  # fmt: skip
    return rolled(level, rng.normal(0.0, 0.06))


def torus_edge(camera: Camera, side: int, *, around: int = 720) -> Floats:
    """Farthest left (−1) or right (+1) picture point of the ring, by looking all over its skin."""
    ring = book_for("fiba", None).ring
    out = np.array([math.cos(a) for a in np.linspace(0, 2 * math.pi, 24)])
    up = np.array([math.sin(a) for a in np.linspace(0, 2 * math.pi, 24)])
    turns = np.linspace(0.0, 2.0 * math.pi, around)
    far = ring.radius + ring.rod_radius + ring.rod_radius * out
    height = np.broadcast_to(ring.height - ring.rod_radius + ring.rod_radius * up, (around, 24))
    skin = np.stack([np.outer(np.cos(turns), far), np.outer(np.sin(turns), far), height], -1)
    drawn = project(camera, skin.reshape(-1, 3))
    best: Floats = drawn[np.argmax(side * drawn[:, 0])]
    return best


def click(
    camera: Camera, names: Sequence[str], *, rng: np.random.Generator | None = None, sd: float = 0.0
) -> list[Mark]:
    """Click landmarks where a camera shows them; those outside the picture are left out.

    With ``rng`` the gym is off by the landmarks' own errors and the clicks by ``sd`` [px].
    """
    known, marks = landmarks("fiba"), []
    for name in names:
        mark = known[name]
        seen = torus_edge(camera, mark.ring_edge) if mark.ring_edge else None
        if rng is not None:
            moved = np.array(mark.position) + np.array(mark.sd) * rng.normal(size=3)
            shift = project(camera, moved)[0] - project(camera, mark.position)[0]
            seen = project(camera, mark.position)[0] if seen is None else seen
            seen = seen + shift + sd * rng.normal(size=2)
        if seen is None:
            seen = project(camera, mark.position)[0]
        if 0.0 <= seen[0] <= camera.width - 1 and 0.0 <= seen[1] <= camera.height - 1:
            marks.append(Mark(name=name, x=float(seen[0]), y=float(seen[1])))
    return marks
