"""The still gym as one camera sees it, drawn once a clip."""

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from hoopwright.court.standards import RuleBook
from hoopwright.film.camera import Camera, pixels_per_metre, project
from hoopwright.film.synthetic import _gym_kernel as kernel

Floats = NDArray[np.float64]
Small = NDArray[np.float32]
Picture = NDArray[np.uint8]

#: net: levels of knots from ring to bottom, knots around, radius at the bottom [m], length [m]
_LEVELS, _AROUND, _BOTTOM, _NET = 6, 12, 0.17, 0.42
#: thickness of the net's cord [m]
_CORD = 0.006

#: colours, blue green red; rows as ``_gym_kernel`` names them by number
_WOODS = ((120, 172, 210), (96, 150, 198), (140, 186, 214))
_LANES = ((60, 60, 150), (130, 80, 40), (90, 130, 180), (70, 110, 60))
_WALLS = ((205, 215, 222), (190, 205, 200), (214, 210, 198))
_BASES = ((150, 100, 60), (70, 70, 130), (90, 120, 90), (120, 120, 120))
_SHEETS = (
    (40, 60, 190), (160, 90, 30), (60, 150, 60), (40, 170, 220), (140, 60, 130), (70, 70, 70),
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Still:
    """Everything that does not move, for one camera."""

    #: with ring and net, uint8 [row, column, BGR]
    image: Picture
    #: without them
    under: Picture
    #: along the camera's axis [m], float32 [row, column]
    depth: Small
    #: colour of ring and net, float32 [row, column, BGR]
    over: Small
    #: how much of a pixel they cover, float32 [row, column]
    cover: Small
    #: their depth [m], infinity where there are none, float32 [row, column]
    near: Small
    #: directions (x/z, y/z) in camera axes, float32 [row, column, 2]
    rays: Small


def rays_of(camera: Camera) -> Small:
    """Return every pixel's line of sight as (x/z, y/z) in camera axes, float32 [row, column, 2]."""
    across, down = np.meshgrid(np.arange(camera.width), np.arange(camera.height))
    if camera.lens == 0.0:
        middle = camera.matrix[:2, 2]
        rays = np.stack([across - middle[0], down - middle[1]], axis=-1) / camera.focal
        return rays.astype(np.float32)
    points = np.stack([across, down], axis=-1).reshape(-1, 1, 2).astype(np.float64)
    lens = np.array([camera.lens, 0.0, 0.0, 0.0])
    flat = cv2.undistortPoints(points, camera.matrix, lens)
    return np.asarray(flat, dtype=np.float32).reshape(camera.height, camera.width, 2)


def _paint(rng: np.random.Generator) -> Floats:
    """Choose the gym's colours, float64 [row, BGR]."""

    def one(of: tuple[tuple[int, int, int], ...]) -> tuple[int, int, int]:
        return of[int(rng.integers(len(of)))]

    sheets = [_SHEETS[i] for i in rng.permutation(len(_SHEETS))[:3]]
    edge = ((30, 30, 30), (40, 40, 190), (150, 70, 20))
    return np.array(
        [
            one(_WOODS), one(_LANES), one(_LANES), (240, 244, 246), one(_WALLS), one(_BASES),
            (70, 66, 64), *sheets, (235, 235, 235), (250, 246, 236), one(_SHEETS), (80, 84, 90),
            (120, 150, 200), (40, 50, 70), (236, 238, 240), one(edge), (130, 126, 122),
            one(_SHEETS),
        ],
        dtype=np.float64,
    )  # fmt: skip


def _sizes(book: RuleBook) -> Floats:
    """Return the numbers of ring, board and floor in the kernel's order."""
    ring, board, lines = book.ring, book.board, book.lines
    return np.array(
        [
            ring.height, board.setback, 0.5 * board.width, board.lower_edge,
            board.lower_edge + board.height, 0.5 * (board.target_width or 0.0),
            board.target_height or 0.0, lines.end_line_to_ring, 0.5 * lines.court_width,
            lines.free_throw, 0.5 * lines.lane_width, lines.three_point or 0.0,
            lines.corner or 0.0, 1.8, lines.court_length - lines.end_line_to_ring,
        ]
    )  # fmt: skip


def _hall(camera: Camera) -> Floats:
    """Return left, right, near and far wall, floor and ceiling [m], the camera well inside."""
    x, y, z = camera.position
    return np.array(
        [
            min(-15.0, x - 1.5), max(15.0, x + 1.5), min(-24.0, y - 1.5), max(5.0, y + 1.5), 0.0,
            max(8.5, z + 1.5),
        ]
    )  # fmt: skip


def _boxes(book: RuleBook) -> Floats:
    """Return board, bracket, arm, pole and pad as boxes with their paint [box, 7]."""
    ring, board = book.ring, book.board
    back, top = board.setback + 0.04, board.lower_edge + board.height
    near = ring.radius + 2.0 * ring.rod_radius
    high = ring.height
    return np.array(
        [
            (-0.5 * board.width, board.setback, board.lower_edge, 0.5 * board.width, back, top, 16),
            (-0.06, near, high - 0.10, 0.06, board.setback, high - 0.015, 20),
            (-0.07, back, high + 0.1, 0.07, 2.9, high + 0.3, 18),
            (-0.11, 2.7, 0.0, 0.11, 2.95, high + 0.35, 18),
            (-0.3, 2.45, 0.0, 0.3, 3.3, 1.9, 19),
        ]
    )  # fmt: skip


def hoop_lines(book: RuleBook) -> tuple[Floats, Floats, Floats]:
    """Return ring and net as world lines: ends [line, 2, 3] [m], widths [m], colours BGR."""
    ring = book.ring
    turn = np.linspace(0.0, 2.0 * math.pi, 73)
    radius, level = ring.radius + ring.rod_radius, ring.height - ring.rod_radius
    around = np.stack(
        [radius * np.sin(turn), radius * np.cos(turn), np.full(73, level)], axis=-1
    )  # fmt: skip
    rod = np.stack([around[:-1], around[1:]], axis=1)
    net = _net(radius, level)
    ends = np.concatenate([net, rod])
    widths = np.concatenate([np.full(len(net), _CORD), np.full(72, ring.rod_diameter)])
    colours = np.concatenate(
        [np.tile([238.0, 240, 240], (len(net), 1)), np.tile([30.0, 80, 225], (72, 1))]
    )
    return ends, widths, colours


def _net(radius: float, level: float) -> Floats:
    """Return the net's cords, float64 [cord, 2, 3]."""
    knots = np.empty((_LEVELS, _AROUND, 3))
    for row in range(_LEVELS):
        share = row / (_LEVELS - 1)
        turn = 2.0 * math.pi * (np.arange(_AROUND) + 0.5 * (row % 2)) / _AROUND
        wide = radius + (_BOTTOM - radius) * share**0.7
        knots[row, :, 0], knots[row, :, 1] = wide * np.sin(turn), wide * np.cos(turn)
        knots[row, :, 2] = level - _NET * share
    cords = []
    for row in range(_LEVELS - 1):
        other = np.roll(knots[row + 1], 1 if row % 2 == 0 else -1, axis=0)
        cords += [
            np.stack([knots[row], knots[row + 1]], axis=1),
            np.stack([knots[row], other], axis=1),
        ]
    return np.concatenate(cords)


def _strands(camera: Camera, book: RuleBook) -> Floats:
    """Return ring and net as picture lines, far ones first [line, 10]."""
    ends, widths, colours = hoop_lines(book)
    flat = ends.reshape(-1, 3)
    drawn = project(camera, flat).reshape(-1, 2, 2)
    scale = pixels_per_metre(camera, flat).reshape(-1, 2)
    depth = camera.focal / scale
    rows = np.column_stack(
        [drawn[:, 0], depth[:, 0], drawn[:, 1], depth[:, 1], widths * scale.mean(axis=1), colours]
    )
    seen = np.isfinite(rows).all(axis=1) & (depth > 0.1).all(axis=1)
    return np.ascontiguousarray(rows[seen][np.argsort(-depth[seen].mean(axis=1), kind="stable")])


def still_gym(
    camera: Camera, book: RuleBook, rng: np.random.Generator, *, samples: int = 3
) -> Still:
    """Draw the still gym.

    Parameters
    ----------
    camera
        Who looks; the hall is as large as it needs to be.
    book
        Whose ring, board and lines are drawn.
    rng
        Chooses colours and textures.
    samples
        Lines of sight per pixel, each way.
    """
    rays = rays_of(camera)
    table = cv2.GaussianBlur(rng.uniform(-1.0, 1.0, (256, 256)), (0, 0), 0.6)
    table = np.asarray(table, dtype=np.float64) / np.abs(table).max()
    paint = np.vstack([_paint(rng), (30.0, 80.0, 225.0)])
    image = np.empty((camera.height, camera.width, 3), np.float32)
    depth = np.empty((camera.height, camera.width), np.float32)
    kernel.cast(
        camera.position, camera.turned, rays, _hall(camera), _boxes(book), _sizes(book), table,
        paint, float(rng.integers(40)), samples, image, depth,
    )  # fmt: skip
    over, cover = np.zeros_like(image), np.zeros_like(depth)
    near = np.full_like(depth, np.inf)
    kernel.strands(_strands(camera, book), over, cover, near)
    hidden = near > depth
    cover[hidden], near[hidden] = 0.0, np.inf
    both = image + cover[..., None] * (over - image)
    return Still(
        image=np.rint(both).astype(np.uint8), under=np.rint(image).astype(np.uint8), depth=depth,
        over=over, cover=cover, near=near, rays=rays,
    )  # fmt: skip
