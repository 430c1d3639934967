"""Backups: of one moment while others write, whole or not there, restored to the same."""

import io
import os
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from uuid import UUID, uuid4

import pytest
from sqlalchemy import MetaData, create_engine, insert, select, text
from tests.actions.film_material import CLIP
from tests.store.test_schema import OLD_PLAYER, OLD_SET, migrate_to, retyped

from hoopwright.actions import films
from hoopwright.actions.backup import Place, make_backup, prove_backup, restore_backup
from hoopwright.actions.films import kept
from hoopwright.actions.people import add_player, forget_player, list_players
from hoopwright.actions.privacy import check_log
from hoopwright.errors import BadInput, StoreTrouble
from hoopwright.film.results import ClipFacts
from hoopwright.records import Player
from hoopwright.store import archive
from hoopwright.store.engine import open_database
from hoopwright.store.media import open_media
from hoopwright.store.tables import metadata

A, B = (Player(id=UUID(int=n), name=f"Invented {name}") for n, name in ((1, "A"), (2, "B")))
STORE_TESTS = Path(__file__).parents[1] / "store"
KILLED = Path(__file__).with_name("killed_backup.py")
ENVIRON = os.environ | {"PYTHONPATH": str(Path(open_database.__code__.co_filename).parents[2])}


def at(data: Path) -> Place:
    media = open_media(str(data / "films"), copies=data / "film-copies")
    return Place(database=f"sqlite:///{data}/hoopwright.db", media=media, data=data)


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Place:
    """A store with two players and a film of one; bytes stand for a film."""

    def look_at(path: Path) -> ClipFacts:
        return CLIP

    monkeypatch.setattr(kept, "look_at", look_at)
    made = at(tmp_path / "data")
    database = open_database(made.database)
    with database.session() as session:
        for one in (A, B):
            add_player(session, one, who="coach")
        films.add_film(
            session, made.media, io.BytesIO(b"a film"), player_id=A.id, file_name="x.mp4",
            who="coach",
        )  # fmt: skip
    database.close()
    return made


def contents(data: Path) -> dict[str, list[tuple[object, ...]]]:
    """Return every row of every table, read without Hoopwright."""
    with closing(sqlite3.connect(data / "hoopwright.db")) as connection:
        tables = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        return {
            name: sorted(connection.execute(f'SELECT * FROM "{name}"'), key=repr)
            for (name,) in tables.fetchall()
        }


def files_in(data: Path) -> dict[str, bytes]:
    return {one.name: one.read_bytes() for one in (data / "films").glob("*")}


def names_in(data: Path) -> list[str]:
    return sorted(one.name for one in data.iterdir()) if data.exists() else []


def test_a_restored_store_is_the_same(place: Place, tmp_path: Path) -> None:
    out = tmp_path / "b"
    manifest = make_backup(place, out)
    assert (manifest.rows["players"], len(manifest.films), manifest.missing) == (2, 1, ())
    proof = prove_backup(out)
    assert proof.manifest == manifest
    assert proof.log is not None
    there = tmp_path / "there"
    restore_backup(out, at(there))
    assert contents(there) == contents(place.data)
    assert files_in(there) == files_in(place.data) != {}
    assert names_in(there) == ["films", "hoopwright.db"]
    assert (there / "hoopwright.db").stat().st_mode & 0o077 == 0
    assert names_in(tmp_path) == ["b", "data", "there"]


def test_it_is_of_one_moment_while_another_process_writes(tmp_path: Path) -> None:
    """Each transaction there adds a set of twelve shots with thirteen entries of the log."""
    place = at(tmp_path / "data")
    with subprocess.Popen(
        [sys.executable, str(STORE_TESTS / "killed_writer.py"), place.database],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1, env=ENVIRON,
    ) as writer:  # fmt: skip
        assert writer.stdin is not None
        assert writer.stdout is not None
        writer.stdin.write("go\n")
        child = int(writer.stdout.readline())
        sets = []
        try:
            for number in range(4):
                # some are acknowledged first: those must be in
                writer.stdout.readline()
                rows = make_backup(place, tmp_path / f"b{number}").rows
                sets.append(rows["sets"])
                assert rows["shots"] == 12 * rows["sets"]
                assert rows["edits"] == 2 + 13 * rows["sets"]
                assert rows["sets"] >= number + 1
        finally:
            os.kill(child, signal.SIGKILL)
            writer.stdin.close()
            writer.stdout.read()
    assert sets == sorted(set(sets))
    for number in (0, 3):
        proof = prove_backup(tmp_path / f"b{number}")
        assert proof.log is not None
        assert proof.log.broken is None


def run_and_die(*words: object) -> None:
    done = subprocess.run(
        [sys.executable, str(KILLED), *map(str, words)], env=ENVIRON, check=False, timeout=120
    )
    assert done.returncode == -signal.SIGKILL


def test_killed_while_making_it_leaves_the_earlier_one(place: Place, tmp_path: Path) -> None:
    out = tmp_path / "b"
    make_backup(place, out)
    before = out.read_bytes()
    run_and_die("make", "hoopwright.store.archive:Writer.finish", out, place.data)
    assert out.read_bytes() == before
    with pytest.raises(BadInput):
        prove_backup(tmp_path / "b.part")
    make_backup(place, out)
    prove_backup(out)
    assert names_in(tmp_path) == ["b", "data"]


@pytest.mark.parametrize("step", ["_brought_up_to_date", "_swapped_in"])
def test_killed_while_restoring_there_is_no_half_store(
    place: Place, tmp_path: Path, step: str
) -> None:
    out, there = tmp_path / "b", tmp_path / "there"
    make_backup(place, out)
    run_and_die("restore", f"hoopwright.actions.backup:{step}", out, there)
    assert not (there / "hoopwright.db").exists()
    restore_backup(out, at(there))
    assert contents(there) == contents(place.data)
    assert files_in(there) == files_in(place.data)
    assert names_in(there) == ["films", "hoopwright.db"]


def test_data_that_is_there_is_kept_unless_told(place: Place, tmp_path: Path) -> None:
    out = tmp_path / "b"
    make_backup(place, out)
    before = contents(place.data)
    with pytest.raises(BadInput, match="--replace"):
        restore_backup(out, place)
    assert contents(place.data) == before
    database = open_database(place.database)
    with database.session() as session:
        add_player(session, Player(id=uuid4(), name="Invented C"), who="coach")
    with pytest.raises(StoreTrouble, match="stop it"):
        restore_backup(out, place, replace=True)
    database.close()
    done = restore_backup(out, place, replace=True)
    assert contents(place.data) == before
    assert done.aside is not None
    with closing(sqlite3.connect(done.aside)) as aside:
        assert aside.execute("SELECT count(*) FROM players").fetchone() == (3,)
    assert names_in(place.data) == ["films", "hoopwright.db", done.aside.name]


def test_who_was_erased_since_is_erased_again(place: Place, tmp_path: Path) -> None:
    out = tmp_path / "b"
    make_backup(place, out)
    database = open_database(place.database)
    with database.session() as session:
        forget_player(session, A.id, who="coach")
    database.close()
    assert restore_backup(out, place, replace=True).erased_again == 1
    database = open_database(place.database)
    with database.session() as session:
        assert list_players(session) == [B]
        assert check_log(session).broken is None
        assert films.clear_removed(session, place.media) == 1
    database.close()
    assert files_in(place.data) == {}
    assert b"Invented A" not in (place.data / "hoopwright.db").read_bytes()


def test_a_film_whose_file_is_gone_is_told(place: Place, tmp_path: Path) -> None:
    (name,) = files_in(place.data)
    (place.data / "films" / name).unlink()
    manifest = make_backup(place, tmp_path / "b")
    assert manifest.missing == (name,)
    restore_backup(tmp_path / "b", at(tmp_path / "there"))
    assert contents(tmp_path / "there") == contents(place.data)


@pytest.mark.parametrize("revision", ["0001", "0002", "0003"])
def test_a_backup_of_an_older_store_is_brought_up_to_date(tmp_path: Path, revision: str) -> None:
    """It is made without changing the older store, which an older version may still serve."""
    place = at(tmp_path / "data")
    place.data.mkdir()
    migrate_to(place.database, revision)
    fill_old(place.database)
    out = tmp_path / "b"
    assert make_backup(place, out).revision == revision
    engine = create_engine(place.database)
    with engine.connect() as connection:
        assert connection.scalar(text("SELECT version_num FROM alembic_version")) == revision
    engine.dispose()
    prove_backup(out)
    there = at(tmp_path / "there")
    restore_backup(out, there)
    database = open_database(there.database)
    with database.reading() as session:
        assert [one.name for one in list_players(session)] == ["Invented A"]
        assert session.scalars(select(metadata.tables["shots"].c.made)).all() == [True]
        found = check_log(session)
        assert (found.entries, found.broken) == (1, None)
    database.close()


def fill_old(url: str) -> None:
    """A player with one shot and an entry of the log, in tables of an older version."""
    player, workout, one, shot = (uuid4() for _ in range(4))
    engine = create_engine(url)
    with engine.begin() as connection:
        older = MetaData()
        older.reflect(connection, only=["players", "workouts", "sets", "shots", "edits"])
        for name, row in (
            ("players", OLD_PLAYER | {"id": player}),
            ("workouts", {"id": workout, "player_id": player, "day": date(2026, 9, 1), "note": ""}),
            ("sets", OLD_SET | {"id": one, "workout_id": workout}),
            ("shots", {"id": shot, "set_id": one, "position": 0, "made": True}),
            ("edits", {
                "id": 1, "at": datetime(2026, 9, 1, tzinfo=UTC), "who": "coach", "kind": "player",
                "thing_id": player, "player_id": player, "what": "add", "before": "",
            }),
        ):  # fmt: skip
            connection.execute(insert(retyped(older.tables[name])).values(row))
    engine.dispose()


@contextmanager
def spoiled(out: Path, statement: str) -> Iterator[Path]:
    """Give a backup whose database was altered, with checksums that fit again."""
    bad = out.with_name("spoiled")
    with archive.reading(out) as found:
        copy = out.with_name("copy.sqlite")
        found.copy(found.manifest.database, copy)
        with closing(sqlite3.connect(copy, isolation_level=None)) as connection:
            connection.execute(statement)
        with archive.writing(bad) as writer:
            writer.add("database.sqlite", copy)
            old = found.manifest
            writer.finish(
                archive.Manifest(
                    made_at=old.made_at, made_by=old.made_by, kind=old.kind, place=old.place,
                    revision=old.revision, rows=old.rows, parts=writer.parts, missing=(),
                )
            )  # fmt: skip
        copy.unlink()
    yield bad
    bad.unlink()


@pytest.mark.parametrize(
    ("statement", "says"),
    [
        ("DELETE FROM removed_media", ""),
        ("DELETE FROM film_reads; ", ""),
        ("DELETE FROM players", "not the one|don't fit"),
        ("UPDATE alembic_version SET version_num = '0003'", "not the one"),
        ("UPDATE films SET player_id = 'nobody'", "don't fit"),
        ("UPDATE edits SET who = 'x' WHERE id = 2", "entry 2"),
        ("DROP TABLE alembic_version", "no Hoopwright database"),
    ],
)
def test_a_database_that_was_altered_is_told(
    place: Place, tmp_path: Path, statement: str, says: str
) -> None:
    out = tmp_path / "b"
    make_backup(place, out)
    with spoiled(out, statement) as bad:
        if not says:
            prove_backup(bad)
            return
        with pytest.raises(BadInput, match=says):
            prove_backup(bad)


def test_no_database_and_one_in_memory_are_refused(tmp_path: Path) -> None:
    nowhere = at(tmp_path / "nowhere")
    with pytest.raises(BadInput, match="no Hoopwright database"):
        make_backup(nowhere, tmp_path / "b")
    within = Place(database="sqlite://", media=nowhere.media, data=tmp_path)
    with pytest.raises(BadInput, match="in memory"):
        make_backup(within, tmp_path / "b")
    assert names_in(tmp_path) == []


def test_of_a_newer_version_it_is_refused(
    place: Place, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out, there = tmp_path / "b", tmp_path / "there"
    make_backup(place, out)
    monkeypatch.setattr("hoopwright.store.copies.known_revisions", lambda: {"0001"})
    for refused in (lambda: prove_backup(out), lambda: restore_backup(out, at(there))):
        with pytest.raises(BadInput, match="newer version"):
            refused()
    assert names_in(there) == []


def test_of_another_kind_it_is_refused(place: Place, tmp_path: Path) -> None:
    make_backup(place, tmp_path / "b")
    other = Place(
        database="postgresql+psycopg://nobody@127.0.0.1:1/none", media=place.media, data=tmp_path
    )
    with pytest.raises(BadInput, match="HOOPWRIGHT_DATABASE"):
        restore_backup(tmp_path / "b", other)


@pytest.mark.postgres
def test_postgres_is_backed_up_and_restored(postgres_url: str, tmp_path: Path) -> None:
    media = at(tmp_path / "data").media
    place = Place(database=postgres_url, media=media, data=tmp_path / "data")
    database = open_database(postgres_url)
    with database.session() as session:
        for one in (A, B):
            add_player(session, one, who="coach")
    out = tmp_path / "b"
    assert make_backup(place, out).rows["players"] == 2
    prove_backup(out)
    with pytest.raises(BadInput, match="holds data"):
        restore_backup(out, place)
    database.close()
    engine = create_engine(postgres_url)
    with engine.begin() as connection:
        metadata.drop_all(connection)
        connection.execute(text("DROP TABLE alembic_version"))
    engine.dispose()
    restore_backup(out, place)
    database = open_database(postgres_url)
    with database.session() as session:
        assert list_players(session) == [A, B]
        add_player(session, Player(id=uuid4(), name="Invented C"), who="coach")
        assert check_log(session).broken is None
    database.close()
