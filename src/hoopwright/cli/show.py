"""Numbers to JSON and to words for the terminal."""

import json
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, TypeVar

import typer
from rich.console import Console
from rich.progress import Progress
from rich.table import Table

from hoopwright.reports.words import sided

_Item = TypeVar("_Item")


def as_json(value: Mapping[str, Any]) -> None:
    """Print one JSON object; NaN and infinity are never written, as no reader takes them."""
    typer.echo(json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False))


def two_columns(rows: Sequence[tuple[str, str]]) -> None:
    """Print names and what was found, side by side."""
    table = Table(box=None, show_header=False, pad_edge=False)
    table.add_column(style="bold", no_wrap=True)
    table.add_column()
    for name, said in rows:
        table.add_row(name, said)
    Console(highlight=False, markup=False).print(table)


def place_words(along: float, across: float) -> str:
    """Return a place at the ring plane [m] in words, such as ``12 cm long, 6 cm left``."""
    lengthwise, sideways = sided(along, "short", "long"), sided(across, "left", "right")
    named = [
        f"{said} {axis}" if said == "0 cm" else said
        for said, axis in ((lengthwise, "along"), (sideways, "across"))
    ]
    return ", ".join(named)


def say(line: str, *, heading: bool = False) -> None:
    """Print one line; on a terminal, wrapped at its width with the indent it starts with."""
    console = Console(highlight=False, markup=False, soft_wrap=True)
    indent = " " * (len(line) - len(line.lstrip()))
    if console.is_terminal:
        line = textwrap.fill(line.strip(), console.width, initial_indent=indent,
                             subsequent_indent=indent)  # fmt: skip
    console.print(line, style="bold" if heading else None)


def notes_aside(notes: Sequence[str]) -> None:
    """Print notes on the error stream, so that results stay clean."""
    for note in notes:
        typer.echo(f"Note: {note}", err=True)


def progress_bar() -> Progress:
    """Return a progress bar on the error stream; silent where that is not a terminal."""
    console = Console(stderr=True)
    return Progress(console=console, transient=True, disable=not console.is_terminal)


def with_progress(items: Sequence[_Item], title: str) -> Iterator[_Item]:
    """Give items one by one, with a progress bar while there are more than two."""
    if len(items) < 3:
        yield from items
        return
    with progress_bar() as bar:
        yield from bar.track(items, description=title)
