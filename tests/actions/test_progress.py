"""Progress is read from sets that were shot as a test, and from nothing else."""

from dataclasses import replace
from datetime import date, timedelta
from uuid import UUID, uuid5

from sqlalchemy.orm import Session

from hoopwright.actions.games import announce_change
from hoopwright.actions.people import add_player
from hoopwright.actions.progress import progress_of
from hoopwright.actions.shots import start_workout
from hoopwright.records import Player, Purpose, Shot, ShotSet, Spot, Workout
from hoopwright.store.engine import Database
from hoopwright.store.games import Announced
from hoopwright.transfer.nouns import AnnouncedChange, TestKind
from hoopwright.trials.nouns import Said

DAY = date(2026, 9, 7)
PLAYER = Player(id=UUID(int=1), name="Invented A")
LINE = Spot(name="free throw", x=0.0, y=4.225)


def visit(session: Session, week: int, *sets: tuple[Purpose, int, int]) -> None:
    day = DAY + timedelta(weeks=week)
    one = Workout(id=uuid5(PLAYER.id, str(day)), player_id=PLAYER.id, day=day)
    inside = tuple(
        ShotSet(
            id=uuid5(one.id, str(i)), workout_id=one.id, position=i, spot=LINE, purpose=purpose,
            shots=tuple(Shot(id=uuid5(one.id, f"{i} {n}"), made=n < made) for n in range(of)),
        )
        for i, (purpose, made, of) in enumerate(sets)
    )  # fmt: skip
    start_workout(session, replace(one, sets=inside), who="coach")


def test_only_tests_are_read_and_all_kinds_are_marked(database: Database) -> None:
    with database.session() as session:
        add_player(session, PLAYER, who="coach")
        assert progress_of(session, PLAYER.id).progress is None
        for week in range(8):
            made = 8 if week < 4 else 16
            visit(session, week, (Purpose.COLD_TEST, made, 20), (Purpose.PRACTICE, 1, 20))
        visit(session, 10, (Purpose.RETENTION_TEST, 16, 20), (Purpose.DRILL, 1, 20))
        visit(session, 11, (Purpose.TRANSFER_TEST, 4, 20), (Purpose.COLD_TEST, 0, 0))
        found = progress_of(session, PLAYER.id)
    assert found.progress is not None
    (line,) = found.progress.lines
    assert [one.kind for one in found.tests].count(TestKind.COLD) == 8
    assert sum(one.attempts for one in found.tests) == 200
    assert [one.test.kind for one in line.marks] == [TestKind.RETENTION, TestKind.TRANSFER]
    assert (line.place, line.said) == ("free throw", Said.BETTER)
    assert line.changes[0].day == DAY + timedelta(weeks=4)


def test_an_announced_dip_is_no_alarm(database: Database) -> None:
    change = AnnouncedChange(name="feet turned", day=DAY + timedelta(weeks=4), dip_days=40)
    with database.session() as session:
        add_player(session, PLAYER, who="coach")
        for week in range(8):
            visit(session, week, (Purpose.COLD_TEST, 16 if week < 4 else 6, 20))
        alarming = progress_of(session, PLAYER.id).progress
        announced = Announced(id=UUID(int=9), player_id=PLAYER.id, change=change)
        announce_change(session, announced, who="coach")
        told = progress_of(session, PLAYER.id)
    assert alarming is not None and told.progress is not None
    assert told.changes == (change,)
    assert [one.alarm for one in alarming.lines[0].changes] == [True]
    assert [one.alarm for one in told.progress.lines[0].changes] == [False]


def test_a_change_has_its_name_with_its_tests(database: Database) -> None:
    with database.session() as session:
        add_player(session, PLAYER, who="coach")
        visit(session, 0, (Purpose.COLD_TEST, 8, 20))
        (test,) = progress_of(session, PLAYER.id).tests
    assert (test.day, test.attempts, test.made, test.after_change) == (DAY, 20, 8, "")
