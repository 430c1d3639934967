"""A gym drawn with OpenCV: bricks, posters, a board, floor lines and boards, and people."""

import cv2
import numpy as np
from numpy.typing import NDArray
from tests.film.marked import side_camera

from hoopwright.film.camera import Camera, project

Picture = NDArray[np.uint8]
#: the drawing is this many times larger before it is reduced, so that edges are soft
_FINE = 2


def _quad(camera: Camera, corners: list[tuple[float, float, float]]) -> NDArray[np.int32]:
    drawn = project(camera, np.array(corners))
    return np.asarray(np.round(_FINE * (drawn + 0.5) * 16), dtype=np.int32)


def draw_gym(camera: Camera | None = None, *, people: int = 0, seed: int = 0) -> Picture:
    """Draw the far wall, floor and hoop as a camera sees them, people walking before them."""
    camera = camera or side_camera()
    rng = np.random.default_rng(5)  # the gym is always the same one
    canvas = np.full((_FINE * camera.height, _FINE * camera.width, 3), (150, 160, 165), np.uint8)

    def fill(corners: list[tuple[float, float, float]], colour: tuple[int, int, int]) -> None:
        cv2.fillPoly(canvas, [_quad(camera, corners)], colour, cv2.LINE_AA, shift=4)

    for k in range(40):  # floor boards across the hall
        y = -13.0 + 0.4 * k
        shade = int(rng.integers(-18, 18))
        wood = (95 + shade, 150 + shade, 190 + shade)
        fill([(-8, y, 0), (8, y, 0), (8, y + 0.4, 0), (-8, y + 0.4, 0)], wood)
    for _ in range(110):  # bricks, doors and posters on the far wall
        y, z = rng.uniform(-12, 5), rng.uniform(0.1, 5.5)
        w, h = rng.uniform(0.15, 1.2), rng.uniform(0.1, 0.8)
        colour = tuple(int(c) for c in rng.integers(30, 230, 3))
        fill([(-8, y, z), (-8, y + w, z), (-8, y + w, z + h), (-8, y, z + h)], colour)  # type: ignore[arg-type]
    for x in (-2.45, 2.4):
        fill([(x, -4.2, 0), (x, 1.6, 0), (x + 0.05, 1.6, 0), (x + 0.05, -4.2, 0)], (245, 245, 245))
    fill([(-0.9, 0.38, 2.9), (0.9, 0.38, 2.9), (0.9, 0.38, 3.95), (-0.9, 0.38, 3.95)], (250,) * 3)
    fill(
        [(-0.3, 0.37, 3.0), (0.3, 0.37, 3.0), (0.3, 0.37, 3.45), (-0.3, 0.37, 3.45)], (40, 40, 200)
    )
    walkers = np.random.default_rng(seed)
    for _ in range(people):
        x, y = walkers.uniform(-5, 5), walkers.uniform(-6, 1)
        colour = tuple(int(c) for c in walkers.integers(20, 230, 3))
        foot, head = project(camera, np.array([(x, y, 0.0), (x, y, 1.8)])) * _FINE
        tall = float(foot[1] - head[1])
        middle = (int(head[0]), int(head[1] + 0.55 * tall))
        cv2.ellipse(canvas, middle, (int(0.17 * tall), int(0.45 * tall)), 0, 0, 360, colour, -1)
        cv2.circle(
            canvas, (int(head[0]), int(head[1] + 0.07 * tall)), int(0.07 * tall), (90, 120, 170), -1
        )
    small = cv2.resize(canvas, (camera.width, camera.height), interpolation=cv2.INTER_AREA)
    return np.asarray(small, dtype=np.uint8)


def noisy(picture: Picture, *, gain: float = 1.0, sd: float = 3.0, seed: int = 1) -> Picture:
    """Return a picture with the light changed and sensor noise."""
    noise = np.random.default_rng(seed).normal(0.0, sd, picture.shape)
    return np.asarray(np.clip(gain * picture + noise, 0, 255), dtype=np.uint8)


def shifted(picture: Picture, matrix: NDArray[np.float64]) -> Picture:
    """Return a picture slid, turned or enlarged by a 2 × 3 matrix."""
    size = (picture.shape[1], picture.shape[0])
    moved = cv2.warpAffine(
        picture, matrix, size, flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REFLECT
    )
    return np.asarray(moved, dtype=np.uint8)
