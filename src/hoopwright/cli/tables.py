"""``import`` and ``export``: chart tables into the store and out of it."""

import os
from pathlib import Path
from typing import Annotated, Literal

import typer
from sqlalchemy.orm import Session

from hoopwright.actions.people import find_player
from hoopwright.actions.tables_in import LARGEST, ImportReport, import_file
from hoopwright.actions.tables_out import export_charts
from hoopwright.cli import options
from hoopwright.cli.files import read_file, write_file
from hoopwright.cli.show import as_json, notes_aside, say, with_progress
from hoopwright.errors import BadInput
from hoopwright.settings import Settings
from hoopwright.store.engine import open_database

#: what the report counts, as keys and as words
_COUNTED = {
    "players": "players added",
    "workouts": "workouts added",
    "sets": "sets added",
    "shots": "shots added",
    "shots_already": "shots that were stored already",
}


def import_tables(
    files: Annotated[
        list[Path],
        typer.Argument(
            help="CSV, XLSX, XLS or ODS files of shots, see docs/chart-csv.md; - reads a CSV from "
            "the input stream."
        ),
    ],
    who: Annotated[
        str, typer.Option("--who", help="Who does this, for the log of changes.")
    ] = "command line",
    data: options.Data = None,
    json: options.Json = False,
) -> None:
    """Store chart tables; all of them or, if a row of one can't be read, none.

    hoopwright import examples/three_spots.csv
    """
    read = [(path, read_file(path, largest=LARGEST)) for path in files]
    settings = Settings.from_env(os.environ, data=data)
    with open_database(settings.database).session() as session:
        reports = _store(session, read, who=who)
    total = {key: sum(getattr(one, key) for one in reports) for key in _COUNTED}
    notes = list(dict.fromkeys(note for one in reports for note in one.notes))
    if json:
        as_json({**total, "notes": notes})
        return
    notes_aside(notes)
    for key, words in _COUNTED.items():
        say(f"{total[key]} {words}")


def _store(session: Session, read: list[tuple[Path, bytes]], *, who: str) -> list[ImportReport]:
    return [
        import_file(session, data, name=path.name, who=who)
        for path, data in with_progress(read, "Storing")
    ]


def export_table(
    file: Annotated[
        Path, typer.Argument(help="File to write, ending in .csv or .xlsx; - writes CSV.")
    ],
    player: Annotated[
        list[str] | None,
        typer.Option("--player", help="Only this player; may be given several times."),
    ] = None,
    overwrite: Annotated[
        bool, typer.Option("--overwrite", help="Replace the file if it is there.")
    ] = False,
    data: options.Data = None,
) -> None:
    """Write the stored charts as a table that import and findings read.

    hoopwright export charts.xlsx
    """
    kind = _kind(file)
    if str(file) != "-" and file.exists() and not overwrite:
        raise BadInput(f"{file} is there already; choose another name or add --overwrite.")
    settings = Settings.from_env(os.environ, data=data)
    with open_database(settings.database).reading() as session:
        ids = [find_player(session, name).id for name in player] if player else None
        table = export_charts(session, ids, kind=kind)
    write_file(file, table)
    if str(file) != "-":
        say(f"Written: {file}")


def _kind(file: Path) -> Literal["csv", "xlsx"]:
    if str(file) == "-" or file.suffix.lower() == ".csv":
        return "csv"
    if file.suffix.lower() == ".xlsx":
        return "xlsx"
    raise BadInput(f"{file} must end in .csv or .xlsx, so that the kind of table is clear.")
