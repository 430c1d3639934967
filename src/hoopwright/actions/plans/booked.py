"""Tests that a plan books become ordinary sets, marked with what they were shot for."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID, uuid5

from sqlalchemy.orm import Session

from hoopwright.actions.checks import check_day
from hoopwright.actions.editing import note_changed
from hoopwright.actions.load import check_may_practise
from hoopwright.actions.shots import add_set
from hoopwright.actions.visits import visit_on
from hoopwright.errors import BadInput, Conflict, NotFound
from hoopwright.plans.nouns import PracticeTest
from hoopwright.records import Player, Purpose, ShotSet, Spot
from hoopwright.store import people, workouts
from hoopwright.store import plans as stored
from hoopwright.store.plans import StoredPlan, TestRow

PURPOSES = {
    PracticeTest.COLD: Purpose.COLD_TEST,
    PracticeTest.RETENTION: Purpose.RETENTION_TEST,
    PracticeTest.TRANSFER: Purpose.TRANSFER_TEST,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class DueTest:
    """A test that was not taken yet."""

    player: Player
    #: what the plan is about
    focus: str
    test: TestRow


@dataclass(frozen=True, slots=True, kw_only=True)
class TestBegin:
    """What it takes to begin a test from one spot."""

    __test__ = False  # no test case, whatever pytest makes of the name

    plan_id: UUID
    kind: PracticeTest
    #: the day it was booked for
    booked: date
    #: place in the test's spots, from 0; a test from several spots has a set for each
    spot: int = 0
    #: id of the set, made by the client
    set_id: UUID
    #: the day it is taken
    on: date


def due_tests(session: Session, *, until: date) -> list[DueTest]:
    """Return the tests of all players that are due by a day and were not taken, by date."""
    found = []
    for row in stored.open_tests(session, until=until):
        if not row.taken:
            player = people.get_player(session, row.player_id)
            focus = stored.get_plan(session, row.plan_id).plan.focus.name
            found.append(DueTest(player=player, focus=focus, test=row))
    return sorted(found, key=lambda one: (one.test.day, one.player.name))


def begin_test(session: Session, begin: TestBegin, *, who: str) -> ShotSet:
    """Begin a booked test: it becomes a set of the day's workout; sent twice, it is one.

    Raises
    ------
    BadInput
        The test has no such spot, or the player is not to practise that day.
    Conflict
        The id stands for another set.
    NotFound
        There is no such plan, or it books no such test.
    """
    check_day(begin.on)
    kept = stored.get_plan(session, begin.plan_id, lock=True)
    row = _row(session, begin.plan_id, begin.kind, begin.booked)
    if begin.set_id in row.set_ids:
        return workouts.get_set(session, begin.set_id)
    check_may_practise(session, kept.player_id, begin.on)
    workout_id = visit_on(
        session, kept.player_id, begin.on, new_id=uuid5(kept.id, f"visit {begin.on}"), who=who
    )
    made = add_set(session, _set_of(session, kept, begin, workout_id), who=who)
    _check_free(session, begin.set_id)
    stored.add_test_set(session, row, made.id)
    note_changed(session, row, who=who, player_id=kept.player_id)
    return made


def skip_test(
    session: Session, plan_id: UUID, *, kind: PracticeTest, booked: date, who: str,
    skipped: bool = True,
) -> TestRow:  # fmt: skip
    """Say that a booked test will not be taken, or that it will after all.

    Raises
    ------
    BadInput
        It was begun already.
    NotFound
        There is no such plan, or it books no such test.
    """
    kept = stored.get_plan(session, plan_id, lock=True)
    row = _row(session, plan_id, kind, booked)
    if row.set_ids:
        raise BadInput("That test was begun already; remove its set first, or finish it.")
    if row.skipped is not skipped:
        stored.skip_test(session, row, skipped=skipped)
        note_changed(session, row, who=who, player_id=kept.player_id)
    return _row(session, plan_id, kind, booked)


def _row(session: Session, plan_id: UUID, kind: PracticeTest, booked: date) -> TestRow:
    for row in stored.tests_of(session, plan_id):
        if (row.kind, row.day) == (kind, booked):
            return row
    raise NotFound(f"This plan books no {kind.value} test for {booked}; look at its list of tests.")


def _check_free(session: Session, set_id: UUID) -> None:
    if stored.is_test_set(session, set_id):
        raise Conflict("This set is part of another test; send this one under a new id.")


def _set_of(session: Session, kept: StoredPlan, begin: TestBegin, workout_id: UUID) -> ShotSet:
    player = people.get_player(session, kept.player_id)
    return ShotSet(
        id=begin.set_id,
        workout_id=workout_id,
        position=0,
        spot=_spot(kept, begin),
        condition=kept.plan.focus.condition,
        ball_size=player.ball_size,
        ring_height=player.ring_height,
        purpose=PURPOSES[begin.kind],
    )


def _spot(kept: StoredPlan, begin: TestBegin) -> Spot:
    asked = (begin.kind, begin.booked)
    test = next(one for one in kept.plan.tests if (one.kind, one.day) == asked)
    spots = test.spots or kept.plan.wish.spots
    if not 0 <= begin.spot < len(spots):
        raise BadInput(f"That test has {len(spots)} spots; choose one of them.", field="spot")
    return spots[begin.spot]
