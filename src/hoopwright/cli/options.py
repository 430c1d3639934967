"""Options several commands share, each said once; and equipment from them."""

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from hoopwright.court.standards import Ball, RuleBook, at_height, ball, check_fits, rule_book
from hoopwright.errors import BadInput

Json = Annotated[bool, typer.Option("--json", help="Print JSON instead of words.")]
BallSize = Annotated[int, typer.Option("--ball", help="Ball size number: 3, 5, 6 or 7.")]
RingHeight = Annotated[
    float | None,
    typer.Option(
        "--ring-height", help="Top of the ring above the floor [m]; the rule book's if left out."
    ),
]
Rules = Annotated[
    str,
    typer.Option(
        "--rules",
        help="Rule book: fiba, nba, wnba, ncaa-men, ncaa-women, nfhs or fiba-mini.",
    ),
]
Bearing = Annotated[
    float,
    typer.Option(
        "--bearing",
        help="Where the shot comes from [degrees]: 0 straight in front of the board, "
        "+ to the right facing it.",
    ),
]
Data = Annotated[
    Path | None,
    typer.Option("--data", help="Folder for the database and other files; see docs/settings.md."),
]
Port = Annotated[int | None, typer.Option("--port", help="Port to serve on, 1 to 65535.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Equipment:
    """The ball, and the book with ring and board at the height asked for."""

    ball: Ball
    book: RuleBook


def equipment(ball_size: int, *, rules: str, ring_height: float | None) -> Equipment:
    """Return ball, ring and board from what was typed.

    Raises
    ------
    BadInput, UnknownName
        No such ball or rule book, a ring height out of sense, a ball that does not fit.
    """
    book = rule_book(rules)
    if ring_height is not None:
        book = at_height(book, ring_height)
    one = ball(ball_size, rules=rules)
    check_fits(one, book.ring)
    return Equipment(ball=one, book=book)


def plain(value: float, option: str, *, low: float, high: float) -> float:
    """Return a number if it is finite and from low to high, else raise BadInput."""
    if not math.isfinite(value) or not low <= value <= high:
        raise BadInput(f"{option} must be from {low:g} to {high:g}, not {value:g}.", field=option)
    return value
