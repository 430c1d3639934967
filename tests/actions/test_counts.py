"""Counts and quick lines become shots."""

from datetime import date
from itertools import count
from uuid import UUID, uuid4

import pytest
from sqlalchemy.orm import Session

from hoopwright.actions.people import add_player
from hoopwright.actions.shots import (
    add_set,
    enter_counts,
    enter_line,
    get_set,
    start_workout,
)
from hoopwright.errors import BadInput, Conflict
from hoopwright.records import (
    Miss,
    Player,
    Shot,
    ShotSet,
    Spot,
    Workout,
)
from hoopwright.store.engine import Database

PLAYER = Player(id=UUID(int=1), name="Invented A")
WORKOUT = Workout(id=UUID(int=2), player_id=PLAYER.id, day=date(2026, 11, 2))
LINE = Spot(name="free throw", x=0.0, y=4.225)
SET = ShotSet(id=UUID(int=3), workout_id=WORKOUT.id, position=0, spot=LINE)
_numbers = count(100)


def shot(*miss: Miss, made: bool | None = None) -> Shot:
    went_in = not miss if made is None else made
    return Shot(id=UUID(int=next(_numbers)), made=went_in, miss=miss)


def ready(session: Session, shot_set: ShotSet = SET) -> None:
    add_player(session, PLAYER, who="coach")
    start_workout(session, WORKOUT, who="coach")
    add_set(session, shot_set, who="coach")


def test_counts_become_shots_of_unknown_order(database: Database) -> None:
    entry = uuid4()
    with database.session() as session:
        ready(session)
        for expected in (10, 0):
            added = enter_counts(
                session, SET.id, made=5, attempts=10, misses={Miss.SHORT: 3, Miss.RIGHT: 1},
                who="coach", entry_id=entry,
            )  # fmt: skip
            assert added == expected
        stored = get_set(session, SET.id)
        with pytest.raises(Conflict):
            enter_counts(
                session, SET.id, made=6, attempts=10, misses={}, who="coach", entry_id=entry
            )
    assert (stored.made, len(stored.shots), stored.ordered) == (5, 10, False)
    ways = [shot.miss for shot in stored.shots if not shot.made]
    assert sorted(ways) == [(), (Miss.RIGHT,), (Miss.SHORT,), (Miss.SHORT,), (Miss.SHORT,)]


@pytest.mark.parametrize(
    ("made", "attempts", "misses", "field"),
    [
        (-1, 10, {}, "made"),
        (1, -10, {}, "attempts"),
        (0, 0, {}, "attempts"),
        (0, 1001, {}, "attempts"),
        (11, 10, {}, "made"),
        (5, 10, {Miss.SHORT: -1}, "short"),
        (5, 10, {Miss.SHORT: 4, Miss.LEFT: 2}, "misses"),
    ],
)
def test_counts_that_do_not_go_together(
    database: Database, made: int, attempts: int, misses: dict[Miss, int], field: str
) -> None:
    with database.session() as session:
        ready(session)
        with pytest.raises(BadInput) as caught:
            enter_counts(
                session, SET.id, made=made, attempts=attempts, misses=misses,
                who="coach", entry_id=uuid4(),
            )  # fmt: skip
        assert caught.value.field == field
        assert get_set(session, SET.id).shots == ()


def test_a_quick_line_becomes_shots_in_order(database: Database) -> None:
    entry = uuid4()
    with database.session() as session:
        ready(session)
        for _ in range(2):
            shots = enter_line(session, SET.id, "mms dbx", who="coach", entry_id=entry)
        stored = get_set(session, SET.id)
        with pytest.raises(Conflict):
            enter_line(session, SET.id, "mmm dbx", who="coach", entry_id=entry)
    assert stored.shots == shots
    assert stored.ordered
    assert [s.made for s in shots] == [True, True, False, False, True, False]
