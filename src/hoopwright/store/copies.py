"""A copy of a database that is in use, as one file; what is in such a file; and the way back.

SQLite is copied through its own backup interface, PostgreSQL by ``pg_dump`` in the same moment
(snapshot) as its rows are counted. Neither changes the tables: an older store is copied as it is.
"""

import os
import re
import sqlite3
import subprocess
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from importlib.resources import as_file, files
from pathlib import Path
from typing import Literal
from urllib.parse import quote

from alembic.script import ScriptDirectory
from sqlalchemy import URL, Connection, create_engine, inspect, text
from sqlalchemy.exc import SQLAlchemyError

from hoopwright.errors import BadInput, StoreTrouble
from hoopwright.store.engine import PATIENCE
from hoopwright.store.tables import metadata

_REVISION = "alembic_version"
#: tables and columns that name files to keep; absent in the oldest stores
_MEDIA = (("films", "media_key"), ("film_reads", "seen_key"))
#: longest that the programs of PostgreSQL may take [s]
LONGEST = 6 * 3600
_NOT_OURS = "There is no Hoopwright database in {}; check the data folder and the address."
_COPY = re.compile(rb'COPY (?:\S+\.)?"?(\w+)"? \(')


@dataclass(frozen=True, slots=True, kw_only=True)
class Copied:
    """What is in a copy."""

    kind: Literal["sqlite", "postgresql"]
    revision: str
    #: PostgreSQL's name for the place of the tables; ""
    place: str
    rows: Mapping[str, int]
    #: files that the rows name
    media: Sequence[str]


def sqlite_file(url: URL) -> Path | None:
    """Return the file of an SQLite address; None for any other.

    Raises
    ------
    BadInput
        The database is in memory.
    """
    if url.get_backend_name() != "sqlite":
        return None
    if url.database in (None, "", ":memory:"):
        raise BadInput("A database in memory can't be backed up; give it a file.")
    return Path(str(url.database))


def known_revisions() -> set[str]:
    """Return the revisions of the tables that this version can bring up to date."""
    with as_file(files("hoopwright.store") / "migrations") as folder:
        return {one.revision for one in ScriptDirectory(str(folder)).walk_revisions()}


def copy_sqlite(source: Path, to: Path) -> Copied:
    """Copy a database file that others read and write meanwhile.

    Raises
    ------
    BadInput
        There is no such file, or it is no database of ours.
    StoreTrouble
        It can't be read, or there is no room.
    """
    if not source.is_file():
        raise BadInput(_NOT_OURS.format(source))
    os.close(os.open(to, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600))
    with _sqlite_errors(source), closing(_opened(source)) as live, closing(_opened(to)) as copy:
        # in one go: the copy is of one moment, and writers don't wait
        live.backup(copy)
        # one file alone, without the log beside it
        copy.execute("PRAGMA journal_mode = DELETE")
        return _looked_at(copy, source)


def look_at_sqlite(file: Path) -> Copied:
    """Return what is in a copy, having checked that it is sound.

    Raises
    ------
    BadInput
        It is no database of ours, or it is damaged.
    """
    with _sqlite_errors(file), closing(_opened(file)) as copy:
        if [row[0] for row in copy.execute("PRAGMA integrity_check")] != ["ok"]:
            raise BadInput("The database in this backup is damaged; use another backup.")
        if copy.execute("PRAGMA foreign_key_check").fetchall():
            raise BadInput("Rows in this backup don't fit together; use another backup.")
        return _looked_at(copy, file)


@contextmanager
def alone(file: Path) -> Iterator[None]:
    """Hold a database file for oneself, all of it in this one file, so that it can be replaced.

    Raises
    ------
    StoreTrouble
        Somebody else has it open.
    """
    with closing(_opened(file)) as held:
        try:
            held.execute("PRAGMA busy_timeout = 1000")
            held.execute("PRAGMA journal_mode = DELETE")
            held.execute("PRAGMA locking_mode = EXCLUSIVE")
            held.execute("BEGIN EXCLUSIVE")
        except sqlite3.OperationalError as trouble:
            raise StoreTrouble(
                "Hoopwright is running on this data; stop it, then restore again."
            ) from trouble
        except sqlite3.DatabaseError:
            # broken, or no database: nobody works on it
            pass
        yield


def dump_postgres(url: URL, to: Path) -> Copied:
    """Write a dump of our tables to a file; as ``copy_sqlite``."""
    engine = create_engine(url, isolation_level="REPEATABLE READ")
    try:
        with engine.connect() as connection:
            found = _our_tables(connection)
            snapshot = connection.scalar(text("SELECT pg_export_snapshot()"))
            os.close(os.open(to, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600))
            named = [f'--table="{found.place}"."{name}"' for name in found.rows]
            _run_program(
                ["pg_dump", "--format=custom", "--no-owner", "--no-privileges", *named,
                 f"--snapshot={snapshot}", f"--file={to}"],
                url,
            )  # fmt: skip
    except SQLAlchemyError as trouble:
        raise StoreTrouble(
            "The PostgreSQL database can't be read; check its address and that it runs."
        ) from trouble
    finally:
        engine.dispose()
    return found


def count_in_dump(file: Path) -> dict[str, int]:
    """Return how many rows of each table are in a dump; no server is asked.

    Raises
    ------
    BadInput
        It can't be read.
    StoreTrouble
        PostgreSQL's programs are not here.
    """
    command = ["pg_restore", "--data-only", "--file=-", str(file)]
    with _found(command), subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
    ) as program:  # fmt: skip
        assert program.stdout is not None
        counted = _counted(program.stdout)
    if program.returncode:
        raise BadInput("The database in this backup is damaged; use another backup.")
    return counted


def restore_postgres(url: URL, file: Path, *, place: str) -> None:
    """Fill an empty database from a dump: all of it, or nothing.

    Raises
    ------
    BadInput
        Tables of ours are there already, or the dump is for another schema.
    StoreTrouble
        The server or its programs can't be used.
    """
    engine = create_engine(url)
    try:
        with engine.connect() as connection:
            here = connection.scalar(text("SELECT current_schema()"))
            there = set(inspect(connection).get_table_names())
    except SQLAlchemyError as trouble:
        raise StoreTrouble(
            "The PostgreSQL database can't be reached; check its address and that it runs."
        ) from trouble
    finally:
        engine.dispose()
    if there & {*metadata.tables, _REVISION}:
        raise BadInput(
            "This PostgreSQL database holds data; a backup is restored into an empty one, "
            "so make a new database and name it in HOOPWRIGHT_DATABASE."
        )
    if here != place:
        raise BadInput(
            f"This backup is for the schema {place!r}, but the address leads to {here!r}; "
            "change the address."
        )
    _run_program(
        ["pg_restore", "--single-transaction", "--exit-on-error", "--no-owner",
         "--no-privileges", str(file)],
        url,
    )  # fmt: skip


def _opened(file: Path) -> sqlite3.Connection:
    # "rw": never makes a database where there is none
    address = f"file:{quote(str(file))}?mode=rw"
    return sqlite3.connect(address, uri=True, timeout=PATIENCE, isolation_level=None)


@contextmanager
def _sqlite_errors(file: Path) -> Iterator[None]:
    try:
        yield
    except sqlite3.DatabaseError as trouble:
        if isinstance(trouble, sqlite3.OperationalError):
            raise StoreTrouble(
                f"The database can't be copied ({trouble}); check its folder and free space."
            ) from trouble
        raise BadInput(_NOT_OURS.format(file)) from trouble


def _looked_at(copy: sqlite3.Connection, source: Path) -> Copied:
    asked = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
    tables = sorted(row[0] for row in copy.execute(asked))
    if _REVISION not in tables or "players" not in tables:
        raise BadInput(_NOT_OURS.format(source))
    (revision,) = copy.execute(f"SELECT version_num FROM {_REVISION}").fetchone()
    rows = {name: _one(copy, f'SELECT count(*) FROM "{name}"') for name in tables}
    media = [
        row[0]
        for table, column in _MEDIA
        if table in tables
        for row in copy.execute(f"SELECT {column} FROM {table} WHERE {column} IS NOT NULL")
    ]
    return Copied(kind="sqlite", revision=revision, place="", rows=rows, media=media)


def _one(copy: sqlite3.Connection, asked: str) -> int:
    return int(copy.execute(asked).fetchone()[0])


def _our_tables(connection: Connection) -> Copied:
    place = str(connection.scalar(text("SELECT current_schema()")))
    there = set(inspect(connection).get_table_names())
    if not {_REVISION, "players"} <= there:
        raise BadInput(_NOT_OURS.format("this PostgreSQL database"))
    ours = sorted(there & {*metadata.tables, _REVISION})
    rows = {name: int(connection.scalar(text(f'SELECT count(*) FROM "{name}"'))) for name in ours}
    media = [
        key
        for table, column in _MEDIA
        if table in there
        for key in connection.scalars(
            text(f"SELECT {column} FROM {table} WHERE {column} IS NOT NULL")
        )
    ]
    revision = str(connection.scalar(text(f"SELECT version_num FROM {_REVISION}")))
    return Copied(kind="postgresql", revision=revision, place=place, rows=rows, media=media)


def _counted(lines: Iterator[bytes] | object) -> dict[str, int]:
    counted: dict[str, int] = {}
    table: str | None = None
    for line in lines:  # type: ignore[union-attr]
        if table is None:
            if found := _COPY.match(line):
                table = found[1].decode()
                counted[table] = 0
        elif line == b"\\.\n":
            table = None
        else:
            counted[table] += 1
    return counted


def _run_program(command: Sequence[str], url: URL) -> None:
    """Run a program of PostgreSQL's; the password goes through its environment, seen by nobody."""
    from psycopg.conninfo import make_conninfo

    _, options = url.get_dialect()().create_connect_args(url)
    options = dict(options)
    password = options.pop("password", None)
    program, *rest = command
    environ = os.environ | ({"PGPASSWORD": str(password)} if password else {})
    with _found(command):
        done = subprocess.run(
            [program, f"--dbname={make_conninfo(**options)}", *rest],
            env=environ, capture_output=True, text=True, timeout=LONGEST, check=False,
        )  # fmt: skip
    if done.returncode:
        said = (done.stderr.strip().splitlines() or ["it did not say why"])[0]
        raise StoreTrouble(f"{program} could not do it ({said}); check address, rights and room.")


@contextmanager
def _found(command: Sequence[str]) -> Iterator[None]:
    try:
        yield
    except FileNotFoundError as trouble:
        raise StoreTrouble(
            f"{command[0]} is not on this machine; install PostgreSQL's client programs."
        ) from trouble
