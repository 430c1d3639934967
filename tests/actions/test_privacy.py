"""Everything about a player: handed out whole, erased whole, and the log tells of both."""

import csv
import io
import json
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from uuid import UUID, uuid4
from zipfile import ZipFile

import pytest
from sqlalchemy import func, select
from tests.actions.film_material import CLIP

from hoopwright.actions import films
from hoopwright.actions.films import kept
from hoopwright.actions.games import add_game, get_game
from hoopwright.actions.handed_out import hand_out
from hoopwright.actions.people import add_player, list_players, remove_player
from hoopwright.actions.privacy import (
    check_log,
    erase_player,
    find_anyone,
    receipt_data,
    would_go,
)
from hoopwright.actions.shots import add_set, edits_of, start_workout
from hoopwright.errors import BadInput, NotFound, StoreTrouble
from hoopwright.film.results import ClipFacts
from hoopwright.records import Miss, Player, Shot, ShotSet, Spot, Workout
from hoopwright.store.engine import Database, open_database
from hoopwright.store.media import Media, open_media
from hoopwright.store.owned import counts_of
from hoopwright.store.tables import metadata
from hoopwright.transfer.nouns import Game, GameLine, ShotType

#: a name that nothing else in a database file could hold by chance
CHILD = Player(id=UUID(int=1), name="Invented Quillfeather", birth_year=2014)
OTHER = Player(id=UUID(int=2), name="Invented B")
NOTE = "=a note that only this child has"


@pytest.fixture
def database(tmp_path: Path) -> Iterator[Database]:
    opened = open_database(f"sqlite:///{tmp_path}/hoopwright.db")
    yield opened
    opened.close()


@pytest.fixture
def media(database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Media:
    """Films; and in the database two players alike, each with twelve shots and a film."""

    def look_at(path: Path) -> ClipFacts:
        return CLIP

    monkeypatch.setattr(kept, "look_at", look_at)
    place = open_media(str(tmp_path / "films"), copies=tmp_path / "copies")
    for one in (CHILD, OTHER):
        with database.session() as session:
            add_player(session, one, who="coach")
            visit = Workout(
                id=uuid4(), player_id=one.id, day=date(2026, 11, 2),
                note=NOTE if one is CHILD else "",
            )  # fmt: skip
            start_workout(session, visit, who="coach")
            add_set(session, set_of(visit), who="coach")
            films.add_film(
                session, place, io.BytesIO(one.name.encode()), player_id=one.id,
                file_name="x.mp4", who="coach",
            )  # fmt: skip
    return place


def set_of(visit: Workout) -> ShotSet:
    shots = tuple(
        Shot(id=uuid4(), made=i % 3 > 0, miss=() if i % 3 else (Miss.SHORT,)) for i in range(12)
    )
    spot = Spot(name="free throw", x=0.0, y=4.225)
    return ShotSet(id=uuid4(), workout_id=visit.id, position=0, spot=spot, shots=shots)


def find(database: Database, said: str) -> UUID:
    with database.reading() as session:
        return find_anyone(session, said).id


def all_rows(database: Database) -> dict[str, int]:
    with database.reading() as session:
        return {
            name: session.scalars(select(func.count()).select_from(table)).one()
            for name, table in metadata.tables.items()
        }


def test_what_is_handed_out_is_all_rows_and_files(
    database: Database, media: Media, tmp_path: Path
) -> None:
    out = tmp_path / "all.zip"
    with database.reading() as session:
        whom = find_anyone(session, "invented quillfeather")
        counts = {name: n for name, n in counts_of(session, CHILD.id).items() if n}
    held = hand_out(database, media, whom, out, who="coach")
    assert held == counts | {"film files": 1}
    assert (held["shots"], held["films"]) == (12, 1)
    assert out.stat().st_mode & 0o077 == 0
    with ZipFile(out) as archive:
        everything = json.loads(archive.read("everything.json"))
        assert {n: len(rows) for n, rows in everything["tables"].items() if rows} == counts
        for name, n in counts.items():
            rows = list(csv.DictReader(io.StringIO(archive.read(f"tables/{name}.csv").decode())))
            assert len(rows) == n
        (visit,) = csv.DictReader(io.StringIO(archive.read("tables/workouts.csv").decode()))
        # no formula for a spreadsheet; the text itself is in the JSON
        assert visit["note"] == f"'{NOTE}"
        assert everything["tables"]["workouts"][0]["note"] == NOTE
        (film,) = [one for one in archive.namelist() if one.startswith("films/")]
        assert archive.read(film) == CHILD.name.encode()
        assert archive.read("findings.pdf").startswith(b"%PDF")
        assert all(OTHER.name.encode() not in archive.read(one) for one in archive.namelist())
        told = csv.DictReader(io.StringIO(archive.read("dictionary.csv").decode()))
        assert all(one["type"] and one["meaning"] for one in told)
    with database.reading() as session:
        assert [e.what for e in edits_of(session, CHILD.id)] == ["add", "export"]


def test_films_are_left_out_where_asked(database: Database, media: Media, tmp_path: Path) -> None:
    with database.reading() as session:
        whom = find_anyone(session, str(CHILD.id))
    hand_out(database, media, whom, tmp_path / "a.zip", who="coach", with_films=False)
    with ZipFile(tmp_path / "a.zip") as archive:
        assert not any(one.startswith("films/") for one in archive.namelist())
        assert "left out as asked: 1" in archive.read("README.txt").decode()


def test_nobody_to_answer_for_it_writes_nothing(
    database: Database, media: Media, tmp_path: Path
) -> None:
    with database.reading() as session:
        whom = find_anyone(session, CHILD.name)
    with pytest.raises(BadInput):
        hand_out(database, media, whom, tmp_path / "a.zip", who=" ")
    with pytest.raises(BadInput):
        erase_player(database, media, CHILD.id, who=" ")
    assert not list(tmp_path.glob("a.zip*"))
    with database.reading() as session:
        assert len(list_players(session)) == 2


def test_an_erasure_removes_the_player_and_nothing_else(
    database: Database, media: Media, tmp_path: Path
) -> None:
    before = all_rows(database)
    with database.reading() as session:
        going = would_go(session, CHILD.id)
        seal = str(check_log(session).seal)
    receipt = erase_player(database, media, CHILD.id, who="Coach N")
    assert receipt.removed == going | {"log texts": 1}
    assert (receipt.files, receipt.files_left, receipt.scrubbed) == (1, 0, True)
    assert (receipt.player_id, receipt.who) == (CHILD.id, "Coach N")
    after = all_rows(database)
    for name in ("players", "workouts", "sets", "shots", "films"):
        assert after[name] == before[name] // 2
    # the log: the removal and the erasure
    assert after["edits"] == before["edits"] + 2
    (film,) = (tmp_path / "films").iterdir()
    assert film.read_bytes() == OTHER.name.encode()
    assert CHILD.name not in json.dumps(receipt_data(receipt))
    with database.reading() as session:
        found = check_log(session, seal=seal)
        assert (found.broken, found.seal) == (None, receipt.seal)
        assert check_log(session, seal=str(receipt.seal)).broken is None


def test_nothing_of_the_player_is_left_in_the_database_files(
    database: Database, media: Media, tmp_path: Path
) -> None:
    """Not in the free space of the file either, nor in the copy of changes beside it."""

    def all_bytes() -> bytes:
        return b"".join(one.read_bytes() for one in tmp_path.glob("hoopwright.db*"))

    assert CHILD.name.encode() in all_bytes()
    erase_player(database, media, CHILD.id, who="coach")
    for trace in (CHILD.name, CHILD.name.casefold(), NOTE):
        assert trace.encode() not in all_bytes()


def test_a_game_that_others_played_in_stays(database: Database, media: Media) -> None:
    day = date(2026, 11, 3)
    for number, players in ((10, (CHILD, OTHER)), (20, (CHILD,))):
        lines = tuple(
            GameLine(
                id=UUID(int=number + one.id.int), player_id=one.id, game_id=UUID(int=number),
                day=day, shot_type=ShotType.FREE_THROW, attempts=4, made=2,
            )
            for one in players
        )  # fmt: skip
        with database.session() as session:
            add_game(session, Game(id=UUID(int=number), day=day, lines=lines), who="coach")
    removed = erase_player(database, media, CHILD.id, who="coach").removed
    assert (removed["games"], removed["game_lines"]) == (1, 2)
    with database.reading() as session:
        (left,) = get_game(session, UUID(int=10)).lines
        assert left.player_id == OTHER.id
        assert check_log(session).broken is None


def test_who_was_removed_before_can_still_be_erased(database: Database, media: Media) -> None:
    with database.session() as session:
        remove_player(session, CHILD.id, who="coach")
    assert find(database, "invented  QUILLFEATHER") == find(database, str(CHILD.id)) == CHILD.id
    receipt = erase_player(database, media, CHILD.id, who="coach")
    assert receipt.removed == {"log texts": 1}
    for said in (CHILD.name, str(CHILD.id)):
        with pytest.raises(NotFound):
            find(database, said)
    with pytest.raises(NotFound):
        erase_player(database, media, CHILD.id, who="coach")
    with database.reading() as session:
        assert check_log(session).broken is None


def test_files_that_cannot_be_deleted_are_told_and_tried_again(
    database: Database, media: Media, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(self: Media, key: str) -> None:
        raise StoreTrouble

    with monkeypatch.context() as patched:
        patched.setattr(Media, "delete", refuse)
        receipt = erase_player(database, media, CHILD.id, who="coach")
    assert (receipt.files, receipt.files_left) == (0, 1)
    with database.session() as session:
        assert films.clear_removed(session, media) == 1


@pytest.mark.parametrize("seal", ["x", "12", "12-abc", "-" + "a" * 64, "²-" + "a" * 64])
def test_a_seal_that_is_none_is_refused(database: Database, seal: str) -> None:
    with pytest.raises(BadInput, match="seal"), database.reading() as session:
        check_log(session, seal=seal)
