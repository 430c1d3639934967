"""``report``: what to tell the player, the family, the team coach, the coach, or of a group."""

import os
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Annotated, NoReturn

import typer

from hoopwright.actions.people import find_player
from hoopwright.actions.reports_people import report_of, report_of_group
from hoopwright.cli import options
from hoopwright.cli.files import write_file
from hoopwright.cli.show import as_json, say
from hoopwright.errors import BadInput, NotFound
from hoopwright.reports.figures import Figure
from hoopwright.reports.people.page import report_pdf
from hoopwright.reports.people.parts import Reader, Report, Section
from hoopwright.reports.people.plain import dated
from hoopwright.reports.people.written import report_data
from hoopwright.settings import Settings
from hoopwright.store.engine import open_database

commands = typer.Typer(
    help="Tell the player, the family, the team coach, yourself, or of a whole group.",
    no_args_is_help=True,
)
#: paper by the name typed, to that of the typesetter
PAPERS = {"a4": "a4", "letter": "us-letter"}

_Name = Annotated[str, typer.Argument(help="The player's name, or Name (year of birth).")]
_Pdf = Annotated[
    Path | None, typer.Option("--pdf", help="Write the report to this file; - writes to output.")
]
_Paper = Annotated[str, typer.Option("--paper", help="Paper of the PDF: a4 or letter.")]


@commands.command()
def player(
    name: _Name,
    pdf: _Pdf = None,
    paper: _Paper = "a4",
    data: options.Data = None,
    json: options.Json = False,
) -> None:
    """Tell the player: one page with a strength, one thing to work on, and what is next.

    hoopwright report player "Sample Player" --pdf player.pdf
    """
    _of_one(Reader.PLAYER, name, pdf=pdf, paper=paper, data=data, json=json)


@commands.command()
def parent(
    name: _Name,
    pdf: _Pdf = None,
    paper: _Paper = "a4",
    data: options.Data = None,
    json: options.Json = False,
) -> None:
    """Tell the family of a young player: progress, care and load, what was not measured.

    hoopwright report parent "Sample Player" --pdf family.pdf
    """
    _of_one(Reader.PARENT, name, pdf=pdf, paper=paper, data=data, json=json)


@commands.command()
def team(
    name: _Name,
    pdf: _Pdf = None,
    paper: _Paper = "a4",
    data: options.Data = None,
    json: options.Json = False,
) -> None:
    """Tell the team coach, on half a page: what changed, the cue, from where, when to judge it.

    hoopwright report team "Sample Player" --pdf team.pdf
    """
    _of_one(Reader.TEAM, name, pdf=pdf, paper=paper, data=data, json=json)


@commands.command()
def coach(
    name: _Name,
    pdf: _Pdf = None,
    paper: _Paper = "a4",
    data: options.Data = None,
    json: options.Json = False,
) -> None:
    """Tell yourself everything: findings, trials, practice, progress, games, load.

    hoopwright report coach "Sample Player" --pdf everything.pdf
    """
    _of_one(Reader.COACH, name, pdf=pdf, paper=paper, data=data, json=json)


@commands.command()
def group(
    coach_name: Annotated[
        str,
        typer.Option("--coach", help="The coach, as written with the players; none if left out."),
    ] = "",
    names: Annotated[bool, typer.Option("--names", help="Name the players.")] = False,
    pdf: _Pdf = None,
    paper: _Paper = "a4",
    data: options.Data = None,
    json: options.Json = False,
) -> None:
    """Tell of a coach's players together: counts and pooled trials, without names.

    hoopwright report group --coach "Sample Coach" --pdf group.pdf
    """
    settings = Settings.from_env(os.environ, data=data)
    with open_database(settings.database).reading() as session:
        found = report_of_group(session, coach_name, names=names, today=date.today())
    _give(found, _no_picture, pdf=pdf, paper=paper, json=json)


def _of_one(
    reader: Reader, name: str, *, pdf: Path | None, paper: str, data: Path | None, json: bool
) -> None:
    settings = Settings.from_env(os.environ, data=data)
    with open_database(settings.database).reading() as session:
        who = find_player(session, name)
        found = report_of(session, who.id, reader=reader, today=date.today())
    _give(found.report, found.picture, pdf=pdf, paper=paper, json=json)


def _no_picture(name: str) -> NoReturn:
    raise NotFound(f"A group's report has no picture {name}.")


def _give(
    report: Report, draw: Callable[[str], Figure], *, pdf: Path | None, paper: str, json: bool
) -> None:
    """Write the file where one is asked for; else print data or words."""
    if paper not in PAPERS:
        raise BadInput(f"There is no paper {paper!r}; choose a4 or letter.", field="--paper")
    if pdf is not None:
        made = report_pdf(report, draw, day=dated(date.today()), paper=PAPERS[paper])
        write_file(pdf, made)
    if json:
        as_json(report_data(report))
    elif pdf is None:
        _say(report)


def _say(report: Report) -> None:
    say(f"{report.title} (invented)" if report.invented else report.title, heading=True)
    say(report.about)
    for one in report.sections:
        _say_section(one)
    say("")
    for line in report.closing:
        say(line)


def _say_section(one: Section) -> None:
    say("")
    say(one.title, heading=True)
    tens = [f"{row.label}: {row.words}." for row in one.tens]
    cue = [f"“{one.spoken}”"] if one.spoken else []
    for line in (*one.alert, *tens, *cue, *one.lines):
        say(line)
    for point in one.points:
        say(f"  - {point}")
    for cells in one.table[1:]:
        heads = one.table[0][1:]
        rest = "; ".join(f"{head}: {cell}" for head, cell in zip(heads, cells[1:], strict=True))
        say(f"  {cells[0]}: {rest}")
    if one.note:
        say(f"  {one.note}")
