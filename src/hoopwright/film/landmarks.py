"""Points of a hoop and its floor that can be marked on a still, and where they are in the gym.

Left and right are as seen by a player who faces the board, except for the ring: its two edges are
the points farthest left and right *in the picture*, because round rod has no corner to mark.
World axes as in ``camera``.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from hoopwright.court.sourced import all_sourced
from hoopwright.court.standards import RuleBook, at_height, rule_book

Point = tuple[float, float, float]

#: error of bolted equipment, beyond the rule book's tolerance [m]; common practice, no source
_BUILT = 0.005
#: error of a corner of painted lines on a floor [m]; common practice, no source
_PAINTED = 0.010
#: error of the board's lower corners, which padding covers [m]; common practice, no source
_PADDED = 0.020
#: width of painted lines [m]; FIBA 50 mm, elsewhere 2 in, which is within a millimetre
LINE_WIDTH = 0.05
#: a joint of arc and straight line is marked only where they meet at this angle or more [rad]
_LEAST_KINK = math.radians(8.0)
#: how far along the line such a joint may be missed [m]; common practice, no source
_JOINT = 0.06


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """Where a coach saw a landmark in a picture."""

    #: name of a Landmark
    name: str
    #: of the upright picture, from the middle of its top left pixel [px]
    x: float
    y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Landmark:
    """A point that can be marked, with its place in the world."""

    name: str
    #: (right, ahead, up) [m]; for a ring edge the point of the rod's outside that a camera
    #: straight behind the shooter sees there
    position: Point
    #: error of each, one standard deviation [m]
    sd: Point
    #: what to click, in words
    where: str
    #: −1: the leftmost point of the ring in the picture, +1 the rightmost, 0 a fixed point
    ring_edge: int = 0


def _spread(book: RuleBook, item: str) -> float:
    """Error that a rule book's tolerance leaves, as of an even spread [m]."""
    row = all_sourced().get((book.key, item))
    return 0.0 if row is None else (row.high - row.low) / math.sqrt(12.0)


def _sides(name: str, right: Point, sd: Point, where: str) -> Iterator[Landmark]:
    """Give the left and the right one of a pair; ``{}`` in the texts becomes the side."""
    for side, sign in (("left", -1.0), ("right", 1.0)):
        yield Landmark(
            name=name.format(side),
            position=(sign * right[0], right[1], right[2]),
            sd=sd,
            where=where.format(side),
        )


def _board(book: RuleBook) -> Iterator[Landmark]:
    board = book.board
    half, top = 0.5 * board.width, board.lower_edge + board.height
    face = math.hypot(_BUILT, _spread(book, "board.setback"))
    yield from _sides(
        "board top {}", (half, board.setback, top), (_BUILT, face, _BUILT),
        "the board's top {} corner",
    )  # fmt: skip
    yield from _sides(
        "board bottom {}", (half, board.setback, board.lower_edge), (_PADDED, face, _PADDED),
        "the bottom {} corner of the board itself, not of its padding",
    )  # fmt: skip


def _inner_rectangle(book: RuleBook) -> Iterator[Landmark]:
    board = book.board
    if board.target_width is None or board.target_height is None:
        return
    # the top of the lower line is level with the ring
    bottom = book.ring.height - LINE_WIDTH
    sd = (_BUILT, math.hypot(_BUILT, _spread(book, "board.setback")), _BUILT)
    for level, height in (("top", bottom + board.target_height), ("bottom", bottom)):
        yield from _sides(
            f"inner rectangle {level} {{}}", (0.5 * board.target_width, board.setback, height), sd,
            f"the outer {level} {{}} corner of the painted rectangle on the board",
        )  # fmt: skip


def _ring(book: RuleBook) -> Iterator[Landmark]:
    ring = book.ring
    outside = ring.radius + ring.rod_diameter
    sd = math.hypot(_BUILT, 0.5 * _spread(book, "ring.inside_diameter"))
    for side, sign in (("left", -1), ("right", 1)):
        yield Landmark(
            name=f"ring {side} edge",
            position=(sign * outside, 0.0, ring.height - ring.rod_radius),
            sd=(sd, sd, _BUILT),
            where=f"the point of the ring's rod that is farthest {side} in the picture",
            ring_edge=sign,
        )


def _free_throw_line(book: RuleBook) -> Iterator[Landmark]:
    lines = book.lines
    out, edge = -lines.free_throw, 0.5 * lines.lane_width
    length = lines.free_throw_line
    if length is not None:
        # the end's middle is marked, half a line nearer the board than the edge the book measures
        yield from _sides(
            "free-throw line {} end", (0.5 * length, out + 0.5 * LINE_WIDTH, 0.0),
            (2 * _PAINTED, math.hypot(_PAINTED, LINE_WIDTH / math.sqrt(12.0)), _PAINTED),
            "the {} end of the free-throw line, halfway across the line's width",
        )  # fmt: skip
    if length is None or abs(0.5 * length - edge) > LINE_WIDTH:
        yield from _sides(
            "lane {} corner at the free-throw line", (edge, out, 0.0), (_PAINTED,) * 3,
            "the lane's outer {} corner at the free-throw line, on the side of mid-court",
        )  # fmt: skip


def _end_line(book: RuleBook) -> Iterator[Landmark]:
    """Where lane, three-point line and sideline meet the end line's inner edge."""
    lines, ahead = book.lines, book.lines.end_line_to_ring
    deep = math.hypot(_PAINTED, _spread(book, "lines.end_line_to_ring"))
    yield from _sides(
        "lane {} corner at the end line", (0.5 * lines.lane_width, ahead, 0.0),
        (_PAINTED, deep, _PAINTED),
        "where the outer edge of the lane's {} line meets the inner edge of the end line",
    )  # fmt: skip
    if lines.corner is not None:
        wide = math.hypot(_PAINTED, _spread(book, "lines.corner"))
        yield from _sides(
            "three-point line {} end", (lines.corner, ahead, 0.0), (wide, deep, _PAINTED),
            "where the outer edge of the {} straight part of the three-point line meets the "
            "inner edge of the end line",
        )  # fmt: skip
    yield from _sides(
        "court {} corner", (0.5 * lines.court_width, ahead, 0.0), (_PAINTED, deep, _PAINTED),
        "where the inner edges of the {} sideline and the end line meet",
    )  # fmt: skip


def _arc_joints(book: RuleBook) -> Iterator[Landmark]:
    lines = book.lines
    if lines.corner is None or lines.three_point is None:
        return
    if math.atan2(lines.arc_meets, lines.corner) < _LEAST_KINK:
        return  # the line runs on smoothly: there is nothing to click
    wide = math.hypot(_PAINTED, _spread(book, "lines.corner"))
    yield from _sides(
        "three-point line {} joint", (lines.corner, -lines.arc_meets, 0.0),
        (wide, _JOINT, _PAINTED),
        "where the arc of the three-point line meets its {} straight part, at the outer edge",
    )  # fmt: skip


def book_for(rules: RuleBook | str, ring_height: float | None) -> RuleBook:
    """Return a rule book with ring and board at a height, or at the book's own where it is None.

    Raises
    ------
    UnknownName
        There is no such rule book.
    BadInput
        The ring height is out of sense.
    """
    book = rule_book(rules) if isinstance(rules, str) else rules
    return book if ring_height is None else at_height(book, ring_height)


def landmarks(
    rules: RuleBook | str = "fiba", ring_height: float | None = None
) -> dict[str, Landmark]:
    """Return every point that can be marked under a rule book, by name.

    Parameters
    ----------
    rules
        A rule book or its key.
    ring_height
        Top of the ring above the floor [m]; the book's where left out. The board moves along.

    Raises
    ------
    UnknownName, BadInput
        As ``book_for``.

    Notes
    -----
    Places follow from the rows of ``court.standards``; errors join the rows' tolerances with what
    bolting and painting leave. An error that all marks share, such as a ring that hangs too low as
    a whole, is not in them.
    """
    book = book_for(rules, ring_height)
    parts = (_board, _inner_rectangle, _ring, _free_throw_line, _end_line, _arc_joints)
    return {mark.name: mark for part in parts for mark in part(book)}
