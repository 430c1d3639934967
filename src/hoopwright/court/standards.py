"""Rule books: ring, board, lines and balls by key, each number with its source.

The numbers live in ``standards.csv`` (one row per number: as printed, source, status); this module
turns them into frozen equipment. Where a book gives a range, the middle is used unless the row
names another figure, and ``sourced(rules, item)`` gives the range.
"""

import math
from dataclasses import dataclass, fields, replace
from functools import cache
from typing import TypeVar

from hoopwright.court.equipment import Ball, Board, Ring, check_fits
from hoopwright.court.sourced import Sourced, Status, all_sourced, sourced
from hoopwright.errors import BadInput, UnknownName

__all__ = [
    "BALL_SIZES",
    "Ball",
    "Board",
    "Lines",
    "Ring",
    "RuleBook",
    "Sourced",
    "Status",
    "at_height",
    "ball",
    "check_fits",
    "rule_book",
    "rule_books",
    "sourced",
    "youth",
]

#: every ball size there is
BALL_SIZES = (3, 5, 6, 7)

#: key → what people call it, in the order lists show them
_NAMES = {
    "fiba": "FIBA",
    "nba": "NBA",
    "wnba": "WNBA",
    "ncaa-men": "NCAA men",
    "ncaa-women": "NCAA women",
    "nfhs": "NFHS (US high school)",
    "fiba-mini": "FIBA mini (12 and under)",
}

_Part = TypeVar("_Part", Ring, Board, "Lines")


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """Floor lines, from the point below ring centre unless said; ``None``: no such line."""

    #: [m]
    court_length: float
    #: [m]
    court_width: float
    #: inner edge of the end line to the point below ring centre [m]
    end_line_to_ring: float
    #: free-throw line to the point below ring centre [m]
    free_throw: float
    #: [m]
    lane_width: float
    #: radius of the three-point arc, to its outer edge [m]
    three_point: float | None = None
    #: court axis to the straight part of the three-point line, outer edge [m]
    corner: float | None = None
    #: radius of the no-charge arc [m]
    no_charge: float | None = None
    #: length of the free-throw line [m]
    free_throw_line: float | None = None

    @property
    def arc_meets(self) -> float:
        """How far out, from the point below ring centre, arc and straight line meet [m].

        Derived: the arc's chord at the corner distance; 0 where there is no three-point line.
        """
        if self.three_point is None or self.corner is None:
            return 0.0
        return math.sqrt(max(0.0, self.three_point**2 - self.corner**2))


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleBook:
    """Everything the game is played with under one set of rules."""

    #: such as "fiba" or "ncaa-men"
    key: str
    #: what people call it
    name: str
    ring: Ring
    board: Board
    lines: Lines
    #: ball sizes the book gives numbers for, largest first
    ball_sizes: tuple[int, ...]


def _part(kind: type[_Part], prefix: str, rules: str) -> _Part:
    """Build a Ring, Board or Lines from the rows named after its fields."""
    table = all_sourced()
    values = {
        field.name: table[rules, f"{prefix}.{field.name}"].value
        for field in fields(kind)
        if (rules, f"{prefix}.{field.name}") in table
    }
    return kind(**values)


@cache
def _built(key: str) -> RuleBook:
    sizes = tuple(s for s in (7, 6, 5, 3) if (key, f"ball{s}.mass") in all_sourced())
    return RuleBook(
        key=key,
        name=_NAMES[key],
        ring=_part(Ring, "ring", key),
        board=_part(Board, "board", key),
        lines=_part(Lines, "lines", key),
        ball_sizes=sizes,
    )


def _plain_key(key: str) -> str:
    return "-".join(key.strip().lower().replace("_", " ").replace("-", " ").split())


def rule_book(key: str) -> RuleBook:
    """Return the rule book of one key.

    Parameters
    ----------
    key
        Such as ``"fiba"`` or ``"ncaa-men"``; case, spaces and underscores do not matter.

    Raises
    ------
    UnknownName
        No rule book has this key; the message lists those that do.
    """
    plain = _plain_key(key)
    if plain not in _NAMES:
        known = ", ".join(_NAMES)
        raise UnknownName(f"There is no rule book called {key!r}; choose one of {known}.")
    return _built(plain)


def rule_books() -> tuple[RuleBook, ...]:
    """Return every rule book, in the order lists show them."""
    return tuple(_built(key) for key in _NAMES)


def ball(size: int, *, rules: str = "fiba") -> Ball:
    """Return the ball of one size.

    Parameters
    ----------
    size
        3, 5, 6 or 7.
    rules
        Key of a rule book; where it prescribes no ball of this size, the FIBA-style one is given.

    Raises
    ------
    UnknownName
        There is no such size or rule book.
    """
    if size not in BALL_SIZES:
        raise UnknownName(f"There is no ball size {size}; sizes are 3, 5, 6 and 7.")
    key = rule_book(rules).key
    if (key, f"ball{size}.mass") not in all_sourced():
        key = "fiba"
    return Ball(
        size=size,
        circumference=sourced(key, f"ball{size}.circumference").value,
        mass=sourced(key, f"ball{size}.mass").value,
    )


def at_height(book: RuleBook, ring_height: float) -> RuleBook:
    """Return a rule book with its ring at another height and the board moved along with it.

    Parameters
    ----------
    book
        Whose ring and board are moved, as when the whole unit is cranked down.
    ring_height
        Top of the ring above the floor [m], 1 to 4.

    Raises
    ------
    BadInput
        The height is out of sense.
    """
    ring = replace(book.ring, height=ring_height)
    lower_edge = book.board.lower_edge + ring_height - book.ring.height
    return replace(book, ring=ring, board=replace(book.board, lower_edge=lower_edge))


def youth(
    *,
    ring_height: float,
    ball_size: int,
    free_throw: float | None = None,
    three_point: float | None = None,
) -> RuleBook:
    """Return FIBA equipment with the ring lowered and lines set by the coach.

    Parameters
    ----------
    ring_height
        Top of the ring above the floor [m], 1 to 4.
    ball_size
        3, 5, 6 or 7.
    free_throw
        Free-throw line to the point below ring centre [m]; the FIBA line where left out.
    three_point
        Radius of a three-point arc [m], all the way round; none where left out.

    Raises
    ------
    BadInput
        The ring height or a line is out of sense.
    UnknownName
        There is no such ball size.
    """
    base = at_height(rule_book("fiba"), ring_height)
    check_fits(ball(ball_size), base.ring)
    for what, line in (("free-throw line", free_throw), ("three-point line", three_point)):
        if line is not None and not 1.0 <= line <= 10.0:
            raise BadInput(f"The {what} must be 1 to 10 m from the ring, not {line:g} m.")
    lines = replace(
        base.lines,
        free_throw=base.lines.free_throw if free_throw is None else free_throw,
        three_point=three_point,
        corner=three_point,
    )
    return replace(base, key="youth", name="Youth", lines=lines, ball_sizes=(ball_size,))
