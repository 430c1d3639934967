"""Options several commands share, each said once, and the check of a typed number."""

import math
from pathlib import Path
from typing import Annotated

import typer

from hoopwright.errors import BadInput

Json = Annotated[bool, typer.Option("--json", help="Print JSON instead of words.")]
BallSize = Annotated[int, typer.Option("--ball", help="Ball size number: 3, 5, 6 or 7.")]
RingHeight = Annotated[
    float | None,
    typer.Option(
        "--ring-height",
        help="Top of the ring above the floor, in metres; the rule book's if left out.",
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
        help="Where the shot comes from, in degrees: 0 straight in front of the board, "
        "+ to the right facing it.",
    ),
]
Data = Annotated[
    Path | None,
    typer.Option("--data", help="Folder for the database and other files; see docs/settings.md."),
]
Who = Annotated[str, typer.Option("--who", help="Who does this, for the log of changes.")]
Port = Annotated[int | None, typer.Option("--port", help="Port to serve on, 1 to 65535.")]


def plain(value: float, option: str, *, low: float, high: float) -> float:
    """Return a number if it is finite and from low to high, else raise BadInput."""
    if not math.isfinite(value) or not low <= value <= high:
        raise BadInput(f"{option} must be from {low:g} to {high:g}, not {value:g}.", field=option)
    return value
