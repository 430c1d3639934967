"""The half court as simple shapes, for a picture to tap a spot on.

The ring is on top, as a shooter sees it. Picture units are centimetres: x to the right, y down,
away from the board.
"""

from dataclasses import dataclass

from hoopwright.court.frame import spot_named, spot_names
from hoopwright.court.standards import RuleBook, rule_book
from hoopwright.records import Spot


@dataclass(frozen=True, slots=True, kw_only=True)
class CourtPicture:
    """Everything a template needs to draw a half court."""

    rules: str
    #: x, y, width, height of the part shown [cm]
    view: tuple[int, int, int, int]
    #: half the lane's width [cm]
    lane: int
    #: free-throw line from ring centre [cm]
    free_throw: int
    #: end line from ring centre [cm]
    end_line: int
    #: half the court's width [cm]
    sideline: int
    #: ring centre to board, half the board's width [cm]
    board: tuple[int, int]
    ring: int
    #: path of the three-point line, "" where there is none
    three_point: str
    spots: tuple[Spot, ...]


def court_picture(key: str) -> CourtPicture:
    """Return the shapes of one rule book's half court.

    Raises
    ------
    UnknownName
        There is no such rule book.
    """
    book = rule_book(key)
    lines = book.lines
    far = max(lines.three_point or 0.0, lines.free_throw) + 1.6
    end, side = _cm(lines.end_line_to_ring), _cm(0.5 * lines.court_width)
    return CourtPicture(
        rules=book.key,
        view=(-side, -end, 2 * side, end + _cm(far)),
        lane=_cm(0.5 * lines.lane_width),
        free_throw=_cm(lines.free_throw),
        end_line=end,
        sideline=side,
        board=(_cm(book.board.setback), _cm(0.5 * book.board.width)),
        ring=_cm(book.ring.radius),
        three_point=_three_point(book),
        spots=tuple(spot_named(name, book) for name in spot_names(book)),
    )


def _cm(metres: float) -> int:
    return round(100 * metres)


def _three_point(book: RuleBook) -> str:
    lines = book.lines
    if lines.three_point is None or lines.corner is None:
        return ""
    corner, meets, radius = _cm(lines.corner), _cm(lines.arc_meets), _cm(lines.three_point)
    end = _cm(lines.end_line_to_ring)
    return f"M{-corner} {-end}V{meets}A{radius} {radius} 0 0 0 {corner} {meets}V{-end}"
