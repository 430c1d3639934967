"""The log is a chain: whatever is altered in it is named; writers at once keep one chain."""

import hashlib
import os
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from uuid import UUID, uuid4

import pytest
from sqlalchemy import Connection, MetaData, create_engine, insert, text
from tests.store.test_schema import migrate_to, retyped

from hoopwright.actions.people import add_player, change_player, forget_player
from hoopwright.records import Player
from hoopwright.store.chain import START, LogCheck, Seal, digest_of, hash_of
from hoopwright.store.edits import check_log, last_seal
from hoopwright.store.engine import Database, open_database

KEPT = Player(id=UUID(int=1), name="Invented A")
SCRIPT = Path(__file__).with_name("log_writer.py")


def test_the_digest_is_the_keyed_hash_of_the_standard() -> None:
    """RFC 4231, test case 2 of HMAC-SHA-256 (from memory)."""
    digest = digest_of("what do ya want for nothing?", salt=b"Jefe".hex())
    assert digest == "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"


def test_the_hash_is_sha_256_of_what_the_page_on_backups_says() -> None:
    """By hand, so that anybody can check a log without Hoopwright."""
    row = {
        "id": 7, "at": datetime(2026, 11, 2, 9, 30, tzinfo=UTC), "who": "Coach Ä", "kind": "shot",
        "thing_id": UUID(int=2), "player_id": UUID(int=1), "what": "add",
    }  # fmt: skip
    said = (
        '["hoopwright log 1",7,"2026-11-02T09:30:00.000000","Coach \\u00c4","shot",'
        '"00000000-0000-0000-0000-000000000002","00000000-0000-0000-0000-000000000001",'
        f'"add","","{START}"]'
    )
    expected = hashlib.sha256(said.encode()).hexdigest()
    assert hash_of(row, digest="", previous=START) == expected


def filled(database: Database) -> Seal:
    """Five entries of one player: one added, four changed."""
    with database.session() as session:
        add_player(session, KEPT, who="coach")
        for height in (1.5, 1.6, 1.7, 1.8):
            change_player(session, replace(KEPT, height=height), who="coach")
        return last_seal(session)


def checked(database: Database, known: Seal | None = None) -> LogCheck:
    with database.reading() as session:
        return check_log(session, known)


def test_an_empty_log_and_an_honest_one_are_whole(database: Database) -> None:
    assert checked(database) == LogCheck(
        entries=0, seal=Seal(number=0, hash=START), broken=None, why=""
    )
    seal = filled(database)
    found = checked(database, seal)
    assert (found.entries, found.broken, found.seal) == (5, None, seal)


@pytest.mark.parametrize(
    ("done", "broken"),
    [
        ("UPDATE edits SET who = 'somebody' WHERE id = 3", 3),
        ("UPDATE edits SET at = '2020-01-01 00:00:00.000000' WHERE id = 1", 1),
        ("UPDATE edits SET before = replace(before, '1.5', '1.4') WHERE id = 3", 3),
        ("UPDATE edits SET before = '' WHERE id = 3", 3),
        ("UPDATE edits SET before = '', salt = '' WHERE id = 3", 3),
        ("UPDATE edits SET digest = '', before = '', salt = '' WHERE id = 3", 3),
        ("UPDATE edits SET salt = 'no digits' WHERE id = 3", 3),
        ("UPDATE edits SET hash = '' WHERE id = 5", 5),
        ("DELETE FROM edits WHERE id = 3", 4),
        ("DELETE FROM edits WHERE id = 1", 2),
        ("UPDATE edits SET id = 9 WHERE id = 3", 4),
        (
            "INSERT INTO edits (id, at, who, kind, thing_id, player_id, what, before)"
            " SELECT 6, at, who, kind, thing_id, player_id, what, before FROM edits WHERE id = 1",
            6,
        ),
    ],
)
def test_the_first_entry_that_was_altered_is_named(
    database: Database, done: str, broken: int
) -> None:
    filled(database)
    with database.session() as session:
        session.execute(text(done))
    found = checked(database)
    assert found.broken == broken
    assert found.why
    assert found.entries <= broken - 1


@pytest.mark.parametrize("gone", [1, 2])
def test_entries_missing_at_the_end_show_against_a_seal(database: Database, gone: int) -> None:
    seal = filled(database)
    with database.session() as session:
        session.execute(text(f"DELETE FROM edits WHERE id > {5 - gone}"))
    assert checked(database).broken is None
    assert checked(database, seal).broken == 5


def test_a_log_written_anew_shows_against_a_seal(tmp_path: Path) -> None:
    """Whoever can write the file can make a chain that is right in itself."""
    seals = []
    for name in ("one", "two"):
        database = open_database(f"sqlite:///{tmp_path}/{name}.db")
        seals.append(filled(database))
        assert checked(database).broken is None
        if name == "two":
            found = checked(database, seals[0])
            assert (found.broken, found.entries) == (5, 4)
        database.close()


def test_an_erasure_blanks_texts_and_the_chain_stays_whole(database: Database) -> None:
    seal = filled(database)
    other = Player(id=uuid4(), name="Invented B")
    with database.session() as session:
        add_player(session, other, who="coach")
        forget_player(session, KEPT.id, who="coach")
    found = checked(database, seal)
    assert (found.broken, found.entries) == (None, 8)
    with database.session() as session:
        left = session.execute(text("SELECT count(*) FROM edits WHERE salt != ''")).scalar_one()
        # the numbers of the erasure itself
        assert left == 1
        # blanked once more after the erasure, which explains nothing that came later
        session.execute(text("UPDATE edits SET before = '', salt = '' WHERE what = 'erase'"))
    assert checked(database).broken == 8


def test_two_processes_at_once_keep_one_chain(database_url: str) -> None:
    open_database(database_url).close()
    source = str(Path(open_database.__code__.co_filename).parents[2])
    command = [sys.executable, "-W", "error", str(SCRIPT), database_url, "40"]
    with _process(command, source) as one, _process(command, source) as two:
        for writer in (one, two):
            assert writer.stdout is not None
            assert writer.stdout.readline() == "ready\n"
        for writer in (one, two):
            assert writer.stdin is not None
            writer.stdin.write("go\n")
            writer.stdin.flush()
        for writer in (one, two):
            writer.communicate(timeout=120)
        assert (one.returncode, two.returncode) == (0, 0)
    database = open_database(database_url)
    found = checked(database)
    assert (found.broken, found.entries) == (None, 2 * 41)
    with database.reading() as session:
        owners = session.scalars(text("SELECT player_id FROM edits ORDER BY id")).all()
    database.close()
    turns = sum(a != b for a, b in pairwise(owners))
    # the test is worth something only if they wrote in between each other
    assert turns > 1


def _process(command: list[str], source: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        env=os.environ | {"PYTHONPATH": source},
    )  # fmt: skip


def test_a_log_of_the_version_before_is_chained_as_it_stands(database_url: str) -> None:
    migrate_to(database_url, "0003")
    engine = create_engine(database_url)
    with engine.begin() as connection:
        _old_entries(connection)
    engine.dispose()
    database = open_database(database_url)
    found = checked(database)
    assert (found.entries, found.broken, found.seal.number) == (3, None, 9)
    with database.session() as session:
        add_player(session, KEPT, who="coach")
        session.execute(text("UPDATE edits SET who = 'x' WHERE id = 4"))
    assert checked(database).broken == 4
    database.close()


def _old_entries(connection: Connection) -> None:
    older = MetaData()
    older.reflect(connection, only=["edits"])
    table = retyped(older.tables["edits"])
    rows = [
        {"id": number, "at": datetime(2026, 9, number, 8, tzinfo=UTC), "who": "coach",
         "kind": "player", "thing_id": KEPT.id, "player_id": KEPT.id, "what": what,
         "before": before}
        for number, what, before in ((1, "add", ""), (4, "change", '{"name": "Ä"}'),
                                     (9, "remove", ""))
    ]  # fmt: skip
    connection.execute(insert(table), rows)
