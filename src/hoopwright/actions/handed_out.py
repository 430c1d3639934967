"""Everything about a player as one archive of open formats: tables, findings, film."""

import csv
import io
import json
from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, date, datetime
from importlib.resources import files
from pathlib import Path
from typing import Any
from uuid import UUID
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile

from sqlalchemy.orm import Session

from hoopwright import __version__
from hoopwright.actions.checks import checked_who
from hoopwright.actions.columns import defused
from hoopwright.actions.editing import note_exported
from hoopwright.actions.people import get_player
from hoopwright.actions.privacy import Found
from hoopwright.actions.reports import read_player
from hoopwright.actions.tables_out import export_charts
from hoopwright.court.standards import ball, rule_book
from hoopwright.errors import NotFound
from hoopwright.records import Player
from hoopwright.reports.landing_map import Equipment
from hoopwright.reports.page import findings_pdf
from hoopwright.store import films, owned
from hoopwright.store.archive import written_whole
from hoopwright.store.engine import Database
from hoopwright.store.media import Media
from hoopwright.store.tables import films as film_table
from hoopwright.store.tables import metadata

_README = """Everything that Hoopwright {version} keeps about one player, as of {day}.

tables/          one CSV file (UTF-8, commas) for each table; texts that a spreadsheet would take
                 for a formula have a quote mark before them
everything.json  the same rows, texts as they are
dictionary.csv   what each column is, and its unit
charts.csv       the shots as one table, which Hoopwright can read back
findings.pdf     what the charts say, if they say something yet
films/           film as it came from the phone, body points seen in it, and clips made of it

Player: {player}
Films whose files are gone: {gone}
Films left out as asked: {left_out}

This is personal data, of a child perhaps. Keep it where only those can read it whom it is for.
"""


def hand_out(
    database: Database,
    media: Media,
    whom: Found,
    out: Path,
    *,
    who: str,
    with_films: bool = True,
) -> dict[str, int]:
    """Write everything about a player to one zip file, which appears once it is whole.

    Of a player who was removed, that is what the log still tells. The log keeps that it was done.

    Parameters
    ----------
    whom
        As ``privacy.find_anyone`` found.
    out
        The file; one that is there is replaced.
    with_films
        False leaves the films' files out.

    Returns
    -------
    dict
        How many rows of each table are in it, and how many ``film files``.

    Raises
    ------
    BadInput
        The file can't be written, or nobody is said to do this.
    StoreTrouble
        The films can't be read.
    """
    checked_who(who)
    with database.reading() as session:
        held = _write(session, media, whom, out, with_films=with_films)
    with database.session() as session:
        note_exported(session, whom.id, who=who)
    return held


def _write(
    session: Session, media: Media, whom: Found, out: Path, *, with_films: bool
) -> dict[str, int]:
    rows = owned.rows_of(session, whom.id)
    keys = films.media_of(session, film_table.c.player_id == whom.id)
    with (
        written_whole(out) as file,
        ZipFile(file, "w", ZIP_DEFLATED, strict_timestamps=False) as archive,
    ):
        for name, content in _texts(session, whom, rows):
            archive.writestr(name, content)
        gone = list(_put_films(archive, media, keys if with_films else ()))
        archive.writestr("README.txt", _readme(whom, gone, 0 if with_films else len(keys)))
    held = len(keys) - len(gone) if with_films else 0
    return {name: len(of) for name, of in rows.items() if of} | {"film files": held}


def dictionary() -> list[dict[str, str]]:
    """Return what each column of each table is: ``table``, ``column``, ``unit``, ``meaning``."""
    text = files("hoopwright.actions").joinpath("dictionary.csv").read_text("utf-8")
    return list(csv.DictReader(io.StringIO(text)))


def _texts(
    session: Session, whom: Found, rows: Mapping[str, Sequence[Mapping[str, Any]]]
) -> Iterator[tuple[str, bytes]]:
    for name, of in rows.items():
        yield f"tables/{name}.csv", _as_csv(list(metadata.tables[name].c.keys()), of)
    everything = {"player_id": str(whom.id), "tables": rows}
    told = json.dumps(everything, default=_plain, ensure_ascii=False, indent=1)
    yield "everything.json", told.encode()
    yield "dictionary.csv", _described(rows)
    if whom.removed:
        return
    yield "charts.csv", export_charts(session, [whom.id], kind="csv")
    pdf = _findings(session, get_player(session, whom.id))
    if pdf is not None:
        yield "findings.pdf", pdf


def _described(rows: Mapping[str, object]) -> bytes:
    told = [
        one | {"type": _type(one["table"], one["column"])}
        for one in dictionary()
        if one["table"] in rows
    ]
    return _as_csv(["table", "column", "type", "unit", "meaning"], told)


def _type(table: str, column: str) -> str:
    kind = metadata.tables[table].c[column].type
    names = {"Double": "number", "BigInteger": "whole number", "Integer": "whole number",
             "Boolean": "true or false", "Date": "day", "Instant": "moment, UTC",
             "Uuid": "id", "JSON": "JSON", "Text": "text"}  # fmt: skip
    return names[type(kind).__name__]


def _findings(session: Session, player: Player) -> bytes | None:
    reading = read_player(session, player.id)
    if reading.findings is None:
        return None
    book = rule_book(player.rules)
    equipment = Equipment(
        ring_radius=book.ring.radius, ball_radius=ball(player.ball_size, rules=book.key).radius
    )
    return findings_pdf(
        reading.findings, reading.chart.sets, day=date.today().isoformat(),
        invented=player.invented, equipment=equipment,
    )  # fmt: skip


def _put_films(archive: ZipFile, media: Media, keys: Sequence[str]) -> Iterator[str]:
    """Put films in; give the names of those whose files are gone."""
    for key in keys:
        try:
            archive.write(media.local(key), f"films/{key}", ZIP_STORED)
        except (NotFound, FileNotFoundError):
            yield key


def _readme(whom: Found, gone: Sequence[str], left_out: int) -> str:
    now = datetime.now(UTC).strftime("%Y-%m-%d %H:%M UTC")
    return _README.format(
        version=__version__, day=now, player=whom.name, gone=len(gone), left_out=left_out
    )


def _as_csv(columns: Sequence[str], rows: Sequence[Mapping[str, Any]]) -> bytes:
    out = io.StringIO()
    written = csv.writer(out)
    written.writerow(columns)
    written.writerows([_cell(row[column]) for column in columns] for row in rows)
    return out.getvalue().encode()


def _cell(value: object) -> object:
    if isinstance(value, str):
        return defused(value)
    if isinstance(value, list | dict):
        return json.dumps(value, ensure_ascii=False)
    return _plain(value) if isinstance(value, UUID | date | datetime | bool) else value


def _plain(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return value.isoformat() if isinstance(value, date | datetime) else str(value)
