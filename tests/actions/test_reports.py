from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from uuid import uuid4

import pytest

from hoopwright.actions import people, reports, shots
from hoopwright.errors import BadInput
from hoopwright.records import Player, Shot, ShotSet, Spot, Workout
from hoopwright.store.engine import Database, open_database

SPOT = Spot(name="free throw", x=0.0, y=4.225)


@pytest.fixture
def database() -> Iterator[Database]:
    reports.forget_readings()
    database = open_database("sqlite://")
    yield database
    database.close()
    reports.forget_readings()


def add(database: Database, name: str, *, makes: int, of: int, coach: str = "") -> Player:
    """Add a player with one set of free throws."""
    player = Player(id=uuid4(), name=name, coach=coach)
    workout = uuid4()
    taken = tuple(Shot(id=uuid4(), made=i < makes) for i in range(of))
    one = ShotSet(id=uuid4(), workout_id=workout, position=0, spot=SPOT, shots=taken)
    with database.session() as session:
        people.add_player(session, player, who="test")
        visit = Workout(id=workout, player_id=player.id, day=date(2026, 11, 2), sets=(one,))
        shots.start_workout(session, visit, who="test")
    return player


def make_of(database: Database, player: Player) -> tuple[float, str]:
    with database.reading() as session:
        found = reports.make_findings(session, player.id)
    return found.conditions[0].make.value, found.prior_from


def test_nothing_charted_is_told(database: Database) -> None:
    player = add(database, "Invented Ash", makes=0, of=0)
    with database.reading() as session:
        assert reports.read_player(session, player.id).findings is None
        with pytest.raises(BadInput, match="Nothing is charted yet"):
            reports.make_findings(session, player.id)


def test_a_drill_that_stops_on_makes_alone_is_nothing_to_read(database: Database) -> None:
    player = add(database, "Invented Ash", makes=3, of=5)
    with database.session() as session:
        (visit,) = shots.list_workouts(session, player.id)
        drill = replace(visit.sets[0], stops_on_makes=True)
        shots.change_set(session, drill, who="test")
    with database.reading() as session:
        assert reports.read_player(session, player.id).findings is None


def test_a_new_shot_gives_a_new_reading(database: Database) -> None:
    player = add(database, "Invented Ash", makes=10, of=20)
    before = make_of(database, player)
    assert make_of(database, player) == before
    with database.session() as session:
        (visit,) = shots.list_workouts(session, player.id)
        more = [Shot(id=uuid4(), made=True) for _ in range(10)]
        shots.record_shots(session, visit.sets[0].id, more, who="test")
    assert make_of(database, player)[0] > before[0]


def test_a_lucky_set_is_pulled_toward_the_coachs_other_players(database: Database) -> None:
    """Regression to the mean: the same ten of ten promises less beside weak shooters.

    Published: players drawn from one population regress toward its mean (Efron & Morris 1975).
    """
    alone = add(database, "Invented Ash", makes=10, of=10, coach="Kim")
    lucky = add(database, "Invented Bo", makes=10, of=10, coach="Lee")
    for i in range(8):
        add(database, f"Invented {i}", makes=8, of=40, coach="Lee")
    free, published = make_of(database, alone)
    pulled, own = make_of(database, lucky)
    assert published == "published spreads"
    assert own == "this coach's own 9 players"
    assert pulled < free - 0.05


def test_warming_up_needs_no_store() -> None:
    reports.warm_up()
