"""Opening a database: made, brought up to date, refused in plain words; sessions keep or undo."""

import os
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from uuid import uuid4

import pytest
from sqlalchemy import text

from hoopwright.errors import Conflict, StoreTrouble
from hoopwright.records import Player
from hoopwright.store.engine import Database, open_database
from hoopwright.store.people import add_player, list_players


def player() -> Player:
    name = f"Invented {uuid4().hex[:6]}"
    return Player(id=uuid4(), name=name)


def test_kept_at_the_end_and_undone_on_error(database: Database) -> None:
    kept = player()
    with database.session() as session:
        add_player(session, kept)
    with pytest.raises(ZeroDivisionError), database.session() as session:
        add_player(session, player())
        raise ZeroDivisionError
    with database.reading() as session:
        assert list_players(session) == [kept]


def test_reading_keeps_nothing(database: Database) -> None:
    with database.reading() as session:
        add_player(session, player())
    with database.reading() as session:
        assert list_players(session) == []


def test_opened_again_it_holds_the_same(database_url: str) -> None:
    one = player()
    for expected in ([], [one]):
        database = open_database(database_url)
        with database.session() as session:
            assert list_players(session) == expected
            if not expected:
                add_player(session, one)
        database.close()


def test_many_open_it_at_once(database_url: str) -> None:
    with ThreadPoolExecutor(4) as pool:
        opened = list(pool.map(open_database, [database_url] * 4))
    for database in opened:
        with database.session() as session:
            add_player(session, player())
    with opened[0].reading() as session:
        assert len(list_players(session)) == 4
    for database in opened:
        database.close()


def test_many_write_at_once_and_all_wait_their_turn(database: Database) -> None:
    def write(_: int) -> None:
        with database.session() as session:
            # a read first: without a lock from the start, this is what fails
            list_players(session)
            add_player(session, player())

    with ThreadPoolExecutor(8) as pool:
        list(pool.map(write, range(40)))
    with database.reading() as session:
        assert len(list_players(session)) == 40


def test_a_reader_never_waits_for_a_writer(database: Database) -> None:
    with database.session() as writer:
        add_player(writer, player())
        seen: list[int] = []

        def look() -> None:
            with database.reading() as session:
                seen.append(len(list_players(session)))

        thread = threading.Thread(target=look)
        thread.start()
        thread.join(timeout=10)
        assert seen == [0]


def test_the_same_thing_stored_twice_is_a_conflict(database: Database) -> None:
    one = player()
    with database.session() as session:
        add_player(session, one)
    with pytest.raises(Conflict), database.session() as session:
        add_player(session, one)


def test_sqlite_is_set_up_for_safety(tmp_path: Path) -> None:
    """WAL, synchronous=FULL (2) and foreign keys, by the names of the SQLite manual."""
    database = open_database(f"sqlite:///{tmp_path}/hoopwright.db")
    with database.reading() as session:
        said = {
            name: session.execute(text(f"PRAGMA {name}")).scalar_one()
            for name in ("journal_mode", "synchronous", "foreign_keys")
        }
    database.close()
    assert said == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}


def test_a_new_folder_is_for_this_account_only(tmp_path: Path) -> None:
    open_database(f"sqlite:///{tmp_path}/a/b/hoopwright.db").close()
    assert (tmp_path / "a" / "b").stat().st_mode & 0o077 == 0


def test_in_memory_all_sessions_see_one_database() -> None:
    database = open_database("sqlite://")
    with database.session() as session:
        add_player(session, player())
    with database.reading() as session:
        assert len(list_players(session)) == 1
    database.close()


@pytest.mark.parametrize(
    ("url", "says"),
    [
        ("not an address", "makes no sense"),
        ("nosuch://here/there", "no driver"),
        ("sqlite:////proc/none/hoopwright.db", "folder"),
        ("postgresql+psycopg://nobody@127.0.0.1:1/none?connect_timeout=2", "can't be used"),
    ],
)
def test_a_bad_address_is_refused_in_one_sentence(url: str, says: str) -> None:
    with pytest.raises(StoreTrouble, match=says) as caught:
        open_database(url)
    assert "\n" not in caught.value.message


def test_a_file_that_is_no_database_is_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "notes.txt"
    file.write_bytes(b"dear diary, " * 1000)
    with pytest.raises(StoreTrouble, match="not a database"):
        open_database(f"sqlite:///{file}")
    assert file.read_bytes() == b"dear diary, " * 1000


def test_a_database_of_a_newer_version_is_refused(database_url: str) -> None:
    database = open_database(database_url)
    with database.session() as session:
        session.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    database.close()
    with pytest.raises(StoreTrouble, match="newer version"):
        open_database(database_url)


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_cannot_be_written_is_refused(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    with pytest.raises(StoreTrouble):
        open_database(f"sqlite:///{tmp_path}/hoopwright.db")


def test_it_opens_in_a_process_of_its_own(tmp_path: Path) -> None:
    """Found by importlib.resources: no current folder and no settings file is needed."""
    code = (
        "from hoopwright.store.engine import open_database;"
        f"open_database('sqlite:///{tmp_path}/x.db').close()"
    )
    subprocess.run([sys.executable, "-W", "error", "-c", code], cwd="/", check=True, timeout=60)
    assert (tmp_path / "x.db").exists()
