"""Counts and quick lines become shots."""

from uuid import uuid4

import pytest
from tests.actions.workout_material import SET, ready

from hoopwright.actions.shots import (
    enter_counts,
    enter_line,
    get_set,
)
from hoopwright.errors import BadInput, Conflict
from hoopwright.records import (
    Miss,
)
from hoopwright.store.engine import Database


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
