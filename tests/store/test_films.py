"""Rows of film in both databases: each comes back, and goes with what it belongs to."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from uuid import UUID, uuid4

import pytest
from alembic import command
from sqlalchemy import create_engine, func, insert, inspect, select
from sqlalchemy.orm import Session

from hoopwright.records import (
    Film,
    FilmMark,
    FilmState,
    Job,
    JobState,
    MarkKind,
    Player,
    Shot,
    ShotSet,
    Spot,
    StoredScene,
    Workout,
)
from hoopwright.store import engine, films, jobs, people, shots, workouts
from hoopwright.store.engine import Database, open_database
from hoopwright.store.tables import edits, metadata, players

AT = datetime(2026, 11, 25, 12, 0, 0, 5, tzinfo=UTC)
PLAYER = Player(id=UUID(int=1), name="Invented A")
WORKOUT = Workout(id=UUID(int=2), player_id=PLAYER.id, day=date(2026, 11, 2))
SET = ShotSet(
    id=UUID(int=3), workout_id=WORKOUT.id, position=0,
    spot=Spot(name="free throw", x=0.0, y=4.225),
)  # fmt: skip
SHOTS = tuple(Shot(id=uuid4(), made=i != 1) for i in range(4))
SCENE = StoredScene(id=UUID(int=4), gym="Old gym", place="bench", content='{"a": "ä"}', made_at=AT)
FILM = Film(
    id=UUID(int=5), player_id=PLAYER.id, workout_id=WORKOUT.id, set_id=SET.id, scene_id=SCENE.id,
    file_name="IMG ä.MOV", media_key="0" * 32 + ".mov", size=3_000_000_000, sha256="ab" * 32,
    slowed=8.0, added_at=AT,
)  # fmt: skip
MARK = FilmMark(
    film_id=FILM.id, shot_id=uuid4(), kind=MarkKind.POINT, name="right wrist", frame=9, time=0.3,
    x=1.5, y=2.5, value=None, who="coach", at=AT,
)  # fmt: skip
READ = films.StoredRead(
    film_id=FILM.id, result="{}", seen_key="1" * 32 + ".npz", reader="0.1.0", made_at=AT
)


@pytest.fixture
def session(database: Database) -> Iterator[Session]:
    with database.session() as session:
        people.add_player(session, PLAYER)
        workouts.add_workouts(session, [WORKOUT])
        workouts.add_sets(session, [SET])
        shots.append_shots(session, [(SET.id, shot) for shot in SHOTS])
        films.add_scene(session, SCENE)
        films.add_film(session, FILM, clip={"width": 1920})
        yield session


def test_every_row_comes_back(session: Session) -> None:
    films.put_mark(session, MARK)
    films.put_read(session, READ)
    assert films.get_scene(session, SCENE.id) == SCENE
    assert films.get_film(session, FILM.id) == replace(FILM, state=FilmState.MEASURED)
    assert films.clip_of(session, FILM.id) == {"width": 1920}
    assert films.list_marks(session, FILM.id) == [MARK]
    assert films.get_read(session, FILM.id) == READ
    entry = films.Entry(filmed_id=uuid4(), shot_id=SHOTS[0].id, charted=True, made=True)
    films.add_entries(session, FILM.id, [entry])
    assert films.entries_of(session, FILM.id) == {entry.filmed_id: entry}
    assert films.films_of_shots(session, [s.id for s in SHOTS]) == {SHOTS[0].id: FILM.id}
    films.set_measures(session, SHOTS[0].id, {"dip depth": (0.3, 0.02)})
    films.set_measures(session, SHOTS[0].id, {"hold": (0.8, 0.05)})
    assert films.measures_of(session, [s.id for s in SHOTS]) == {SHOTS[0].id: {"hold": (0.8, 0.05)}}


def test_a_shot_taken_out_is_remembered_as_filmed(session: Session) -> None:
    entry = films.Entry(filmed_id=uuid4(), shot_id=SHOTS[0].id, charted=False, made=True)
    films.add_entries(session, FILM.id, [entry])
    films.set_measures(session, SHOTS[0].id, {"hold": (0.8, 0.05)})
    shots.delete_shot(session, SHOTS[0].id)
    assert films.entries_of(session, FILM.id)[entry.filmed_id].shot_id is None
    assert films.measures_of(session, [SHOTS[0].id]) == {}


def test_without_its_workout_a_film_stays(session: Session) -> None:
    workouts.delete_workout(session, WORKOUT.id)
    left = films.get_film(session, FILM.id)
    assert (left.workout_id, left.set_id, left.scene_id) == (None, None, SCENE.id)


def test_all_of_a_film_goes_with_its_player_and_its_files_are_noted(session: Session) -> None:
    films.put_mark(session, MARK)
    films.put_read(session, READ)
    films.add_entries(
        session,
        FILM.id,
        [films.Entry(filmed_id=uuid4(), shot_id=SHOTS[0].id, charted=True, made=True)],
    )
    jobs.put(session, Job(id=uuid4(), kind="k", film_id=FILM.id, created_at=AT))
    films.remove_media_of(session, PLAYER.id)
    people.delete_player(session, PLAYER.id)
    for name in ("films", "film_marks", "film_reads", "filmed_shots", "jobs", "shots"):
        count = session.scalar(select(func.count()).select_from(metadata.tables[name]))
        assert count == 0, name
    assert sorted(films.media_to_remove(session)) == sorted([FILM.media_key, str(READ.seen_key)])
    assert films.list_scenes(session) == [SCENE]


def test_a_reading_replaced_lets_its_file_go(session: Session) -> None:
    films.put_read(session, READ)
    other = replace(READ, seen_key=None, result="[]")
    films.put_read(session, other)
    assert films.get_read(session, FILM.id) == other
    assert films.media_to_remove(session) == [READ.seen_key]
    films.media_removed(session, [str(READ.seen_key)])
    assert films.media_to_remove(session) == []


@pytest.mark.parametrize(
    ("state", "shown"),
    [
        (JobState.WAITING, FilmState.MEASURING),
        (JobState.RUNNING, FilmState.MEASURING),
        (JobState.FAILED, FilmState.FAILED),
        (JobState.CANCELLED, FilmState.NEW),
        (JobState.DONE, FilmState.NEW),
    ],
)
def test_the_state_follows_from_the_newest_job(
    session: Session, state: JobState, shown: FilmState
) -> None:
    old = Job(
        id=uuid4(), kind=jobs.MEASURE, film_id=FILM.id, state=JobState.FAILED, created_at=AT
    )  # fmt: skip
    later = datetime(2026, 11, 26, tzinfo=UTC)
    jobs.put(session, replace(old, id=uuid4(), state=state, created_at=later))
    jobs.put(session, old)
    # a clip that is made of it says nothing of the film
    newest = datetime(2026, 11, 27, tzinfo=UTC)
    clip = replace(old, id=uuid4(), kind=jobs.MAKE, state=JobState.RUNNING, created_at=newest)
    jobs.put(session, clip)
    assert films.get_film(session, FILM.id).state is shown


@pytest.mark.parametrize("order", [(3, 2, 1, 0), (0, 1, 2, 3), (1, 3, 0, 2)])
def test_shots_are_put_in_order(session: Session, order: tuple[int, ...]) -> None:
    shots.set_order(session, SET.id, [SHOTS[i].id for i in order])
    now = workouts.get_set(session, SET.id).shots
    assert now == tuple(SHOTS[i] for i in order)
    added = Shot(id=uuid4(), made=True)
    shots.append_shots(session, [(SET.id, added)])
    assert workouts.get_set(session, SET.id).shots[-1] == added


def test_a_database_of_before_film_is_brought_up_to_date(database_url: str) -> None:
    """Its rows stay as they are; taken back, nothing of film is left and the rows are there."""
    connected = create_engine(database_url)
    folder = Path(engine.__file__).parent / "migrations"
    with connected.begin() as connection:
        command.upgrade(engine._alembic(folder, connection), "0001")
        assert "films" not in inspect(connection).get_table_names()
        row = {
            "id": PLAYER.id, "name": "Invented A", "name_key": "invented a", "birth_year": 2012,
            "hand": "left", "height": 1.5, "ball_size": 6, "ring_height": 3.05, "rules": "fiba",
            "coach": "", "invented": True,
        }  # fmt: skip
        connection.execute(insert(players).values(row))
        connection.execute(
            insert(edits).values(
                at=AT, who="coach", kind="player", thing_id=PLAYER.id, player_id=PLAYER.id,
                what="add", before="",
            )
        )  # fmt: skip
    database = open_database(database_url)
    with database.session() as session:
        [player] = people.list_players(session)
        assert (player.birth_year, player.height) == (2012, 1.5)
        films.add_film(session, replace(FILM, workout_id=None, set_id=None, scene_id=None), clip={})
    database.close()
    with connected.begin() as connection:
        command.downgrade(engine._alembic(folder, connection), "0001")
        assert "films" not in inspect(connection).get_table_names()
        assert connection.scalar(select(func.count()).select_from(players)) == 1
    connected.dispose()
