"""Court lines, board, inner rectangle and ring drawn back on the picture, to be judged by eye."""

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.court.standards import RuleBook
from hoopwright.film.camera import Camera, project
from hoopwright.film.camera_place import Scene
from hoopwright.film.landmarks import LINE_WIDTH, book_for

Floats = NDArray[np.float64]

#: distance between the points of a drawn line [m]
_STEP = 0.05
#: beyond this tangent off the axis no phone sees, and the lens term may fold lines back
_WIDEST = 2.5


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnLine:
    """One line on the picture."""

    #: such as "lane"; a line cut by the picture's edge gives several of one name
    name: str
    #: [px], float64 [point, 2], all inside the picture
    points: Floats


def _straight(*corners: tuple[float, float, float]) -> Floats:
    """Return points along a path with corners [m]."""
    pieces = []
    for here, there in itertools.pairwise(corners):
        count = max(2, math.ceil(math.dist(here, there) / _STEP))
        pieces.append(np.linspace(here, there, count))
    return np.concatenate(pieces)


def _arc(radius: float, first: float, last: float, *, height: float = 0.0) -> Floats:
    """Return points of an arc about the origin's upright; angles from the right, + ahead [rad]."""
    count = max(24, math.ceil(radius * abs(last - first) / _STEP))
    turn = np.linspace(first, last, count)
    level = radius * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    return np.column_stack([level, np.full(count, height)])


def _floor(book: RuleBook) -> Iterator[tuple[str, Floats]]:
    lines, ahead = book.lines, book.lines.end_line_to_ring
    lane, side, out = 0.5 * lines.lane_width, 0.5 * lines.court_width, -lines.free_throw
    half_way = ahead - 0.5 * lines.court_length
    corners = [(-side, half_way, 0.0), (-side, ahead, 0.0), (side, ahead, 0.0)]
    yield "court", _straight(*corners, (side, half_way, 0.0))
    yield "lane", _straight((-lane, ahead, 0), (-lane, out, 0), (lane, out, 0), (lane, ahead, 0))
    if lines.three_point is not None and lines.corner is not None:
        meets, wide = lines.arc_meets, lines.corner
        bend = math.atan2(-meets, wide)
        yield (
            "three-point line",
            np.concatenate(
                [
                    _straight((wide, ahead, 0.0), (wide, -meets, 0.0)),
                    _arc(lines.three_point, bend, -math.pi - bend),
                    _straight((-wide, -meets, 0.0), (-wide, ahead, 0.0)),
                ]
            ),
        )
    if lines.no_charge is not None:
        yield "no-charge arc", _arc(lines.no_charge, 0.0, -math.pi)


def _upright(width: float, *, low: float, high: float, face: float) -> Floats:
    left, right = -0.5 * width, 0.5 * width
    corners = [(left, face, low), (right, face, low), (right, face, high), (left, face, high)]
    return _straight(*corners, corners[0])


def _hoop(book: RuleBook) -> Iterator[tuple[str, Floats]]:
    board, ring = book.board, book.ring
    top = board.lower_edge + board.height
    yield "board", _upright(board.width, low=board.lower_edge, high=top, face=board.setback)
    if board.target_width is not None and board.target_height is not None:
        low = ring.height - LINE_WIDTH
        yield (
            "inner rectangle",
            _upright(
                board.target_width, low=low, high=low + board.target_height, face=board.setback
            ),
        )
    level = ring.height - ring.rod_radius
    yield "ring", _arc(ring.radius + ring.rod_radius, 0.0, 2.0 * math.pi, height=level)


def _seen(camera: Camera, world: Floats) -> Floats:
    """Draw world points [px]; NaN for those that no phone could show."""
    local = world @ camera.turned.T + np.array(camera.translation)
    wide = np.hypot(local[:, 0], local[:, 1]) > _WIDEST * local[:, 2]
    drawn: Floats = np.where(wide[:, None], np.nan, project(camera, world))
    return drawn


def _inside_part(start: Floats, step: Floats, far: Floats) -> tuple[Floats, Floats]:
    """Return where segments enter and leave the rectangle from (0, 0) to a corner, 0 to 1.

    Derived: Liang-Barsky clipping; entering beyond leaving means that it never is inside.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        one, other = -start / step, (far - start) / step
    outside = (step == 0.0) & ((start < 0.0) | (start > far))
    enter = np.where(step == 0.0, np.where(outside, 2.0, 0.0), np.minimum(one, other))
    leave = np.where(step == 0.0, 1.0, np.maximum(one, other))
    return np.maximum(enter.max(axis=1), 0.0), np.minimum(leave.min(axis=1), 1.0)


def clipped(points: Floats, width: int, height: int) -> list[Floats]:
    """Return the parts of a polyline that lie inside a picture.

    Parameters
    ----------
    points
        [px], float64 [point, 2]; NaN where there is no point.
    width, height
        Of the picture [px].
    """
    start, step = points[:-1], np.diff(points, axis=0)
    enter, leave = _inside_part(start, step, np.array([width - 1.0, height - 1.0]))
    parts: list[list[Floats]] = []
    for i in np.flatnonzero(enter < leave):  # False for NaN too
        if not (parts and enter[i] == 0.0 and np.array_equal(parts[-1][-1], start[i])):
            parts.append([start[i] + enter[i] * step[i]])
        parts[-1].append(points[i + 1] if leave[i] == 1.0 else start[i] + leave[i] * step[i])
    return [np.array(part) for part in parts]


def drawn_back(scene: Scene) -> tuple[DrawnLine, ...]:
    """Return the lines a scene's camera should show, clipped to the picture.

    Parameters
    ----------
    scene
        Its rules and ring height say which lines there are.

    Notes
    -----
    Lines run along the edge the rule book measures to; straight lines bend by the lens term.
    """
    book = book_for(scene.rules, scene.ring_height)
    return tuple(
        DrawnLine(name=name, points=part)
        for lines in (_floor(book), _hoop(book))
        for name, world in lines
        for part in clipped(_seen(scene.camera, world), scene.width, scene.height)
    )
