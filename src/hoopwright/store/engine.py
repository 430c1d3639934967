"""Open a database, bring its schema up to date, hand out sessions."""

from collections.abc import Iterator
from contextlib import closing, contextmanager
from importlib.resources import as_file, files
from pathlib import Path
from sqlite3 import DatabaseError

from alembic import command
from alembic.config import Config
from alembic.util import CommandError
from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.exc import ArgumentError, IntegrityError, NoSuchModuleError, SQLAlchemyError
from sqlalchemy.orm import Session
from sqlalchemy.pool import ConnectionPoolEntry, StaticPool

from hoopwright.errors import Conflict, StoreTrouble

#: how long a writer waits for another one [s]
PATIENCE = 30
#: any number will do, as long as it never changes: held while the schema is changed
MIGRATION_LOCK = 0x686F6F70
#: likewise: held while anything is written
WRITING_LOCK = 0x686F6F71


class Database:
    """An open database with an up-to-date schema."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._reader = engine.execution_options(hoopwright_begin="BEGIN")

    @contextmanager
    def session(self) -> Iterator[Session]:
        """Read and write; everything inside is kept at the end, or, on any error, nothing.

        Raises
        ------
        Conflict
            Somebody else stored the same thing at the same moment.
        StoreTrouble
            The database can't be read or written.
        """
        with _plain_errors(), Session(self._engine) as session, session.begin():
            yield session

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """Only read; never waits for a writer, and keeps nothing.

        Raises
        ------
        StoreTrouble
            The database can't be read.
        """
        with _plain_errors(), Session(self._reader) as session:
            yield session

    def scrub(self) -> bool:
        """Write the file anew, so that nothing of deleted rows is left in it.

        Returns
        -------
        bool
            False where somebody else works on it at this moment, or where the database is a server,
            which sees to it by itself.
        """
        if self._engine.dialect.name != "sqlite":
            return False
        try:
            with closing(self._engine.raw_connection()) as held:
                cursor = held.cursor()
                cursor.execute("VACUUM")
                # the copy of every change beside the file goes too; 0: nobody was in the way
                cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
                return bool(cursor.fetchall()[0][0] == 0)
        except DatabaseError:
            return False

    def close(self) -> None:
        """Let go of all connections."""
        self._engine.dispose()


def open_database(url: str) -> Database:
    """Open a database, making it or bringing its schema up to date where needed.

    Parameters
    ----------
    url
        SQLAlchemy address, e.g. ``sqlite:///data/hoopwright.db`` or
        ``postgresql+psycopg://user@host/name``.

    Raises
    ------
    StoreTrouble
        The address makes no sense, the folder can't be written, the file is no database, or it
        was made by a newer version.
    """
    with _plain_errors():
        engine = _engine(address_of(url))
        try:
            migrate(engine)
        except BaseException:
            engine.dispose()
            raise
    return Database(engine)


def migrate(engine: Engine) -> None:
    """Bring the schema up to date in one transaction; two processes may do so at once."""
    with as_file(files("hoopwright.store") / "migrations") as folder, engine.begin() as connection:
        if connection.dialect.name == "postgresql":
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({MIGRATION_LOCK})")
        command.upgrade(_alembic(folder, connection), "head")


def _alembic(folder: Path, connection: Connection) -> Config:
    config = Config()
    config.set_main_option("script_location", str(folder).replace("%", "%%"))
    config.attributes["connection"] = connection
    return config


def address_of(url: str) -> URL:
    """Return an address in its parts.

    Raises
    ------
    StoreTrouble
        It makes no sense.
    """
    try:
        return make_url(url)
    except ArgumentError as trouble:
        raise StoreTrouble(
            f"The database address {url!r} makes no sense; "
            "write it like sqlite:///data/hoopwright.db."
        ) from trouble


def _engine(url: URL) -> Engine:
    try:
        return _sqlite(url) if url.get_backend_name() == "sqlite" else _server(url)
    except (NoSuchModuleError, ImportError) as trouble:
        raise StoreTrouble(
            f"There is no driver for {url.drivername!r} here; "
            "use sqlite:///… or install hoopwright[postgres]."
        ) from trouble


def _server(url: URL) -> Engine:
    engine = create_engine(url)
    if url.get_backend_name() == "postgresql":
        event.listen(engine, "begin", _await_turn)
    return engine


def _await_turn(connection: Connection) -> None:
    # one writer at a time, as in SQLite: each entry of the log follows on the one before. Taken
    # first of all, so that no two writers can hold what the other one waits for
    if "hoopwright_begin" not in connection.get_execution_options():
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({WRITING_LOCK})")


def _sqlite(url: URL) -> Engine:
    if url.database in (None, "", ":memory:"):
        # one connection for all, or each would see an empty database of its own
        engine = create_engine(url, poolclass=StaticPool, connect_args={"check_same_thread": False})
    else:
        _make_folder(Path(str(url.database)).parent)
        engine = create_engine(url, connect_args={"timeout": PATIENCE})
    event.listen(engine, "connect", _set_pragmas)
    event.listen(engine, "begin", _begin)
    return engine


def _make_folder(folder: Path) -> None:
    try:
        # children's data: a new folder is for this account only
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as trouble:
        raise StoreTrouble(
            f"The folder {str(folder)!r} can't be made; choose another folder for the data."
        ) from trouble


def _set_pragmas(connection: DBAPIConnection, entry: ConnectionPoolEntry) -> None:
    # the driver must not open transactions by its own rules: ``_begin`` does
    connection.isolation_level = None
    cursor = connection.cursor()
    for pragma in (
        "journal_mode = WAL",
        # an acknowledged shot is on the disk, also when the power goes
        "synchronous = FULL",
        "fullfsync = ON",
        "foreign_keys = ON",
    ):
        cursor.execute(f"PRAGMA {pragma}")
    cursor.close()


def _begin(connection: Connection) -> None:
    # IMMEDIATE: a transaction that reads before it writes would else fail, not wait, when
    # another one wrote in between
    how = connection.get_execution_options().get("hoopwright_begin", "BEGIN IMMEDIATE")
    connection.exec_driver_sql(how)


@contextmanager
def _plain_errors() -> Iterator[None]:
    try:
        yield
    except IntegrityError as trouble:
        raise Conflict(
            "Somebody else stored the same thing at this moment; look, and send it again."
        ) from trouble
    except CommandError as trouble:
        raise StoreTrouble(
            "This database was made by a newer version of Hoopwright; update Hoopwright first."
        ) from trouble
    except SQLAlchemyError as trouble:
        raise StoreTrouble(_in_words(trouble)) from trouble


def _in_words(trouble: SQLAlchemyError) -> str:
    said = str(getattr(trouble, "orig", None) or trouble).strip().splitlines()
    reason = said[0] if said else type(trouble).__name__
    return f"The database can't be used ({reason}); check its address, folder and free space."
