"""Practice plans, what was done of them, the tests they book, and drills of the coach's own."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID, uuid5

from sqlalchemy import Row, Select, delete, func, insert, select, update
from sqlalchemy.orm import Session

from hoopwright.errors import NotFound
from hoopwright.plans.nouns import Drill, PracticePlan, PracticeTest
from hoopwright.plans.written import drill_from_json, drill_to_json, plan_from_json, plan_to_json
from hoopwright.store.tables import (
    drills,
    plan_scores,
    plan_sessions,
    plan_test_sets,
    plan_tests,
    plans,
    shots,
)

#: one name space for the ids under which drills are logged
_DRILLS = UUID("0c4a2f0e-6d5b-4c53-9f6b-2a7a1f3e8d90")


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredPlan:
    """One player's plan; its id is the plan's."""

    plan: PracticePlan
    made_at: datetime
    #: None while it goes on
    ended_on: date | None = None

    @property
    def id(self) -> UUID:
        """Id of the plan."""
        return self.plan.id

    @property
    def player_id(self) -> UUID:
        """Whose plan it is."""
        return self.plan.player_id


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemScore:
    """What came of one drill of a session."""

    #: place of the drill within the session, from 0
    item: int
    attempts: int
    made: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionLog:
    """What became of one session of a plan."""

    plan_id: UUID
    #: of the session, from 1
    number: int
    #: False where it was left out
    done: bool
    day: date
    note: str = ""
    scores: tuple[ItemScore, ...] = ()

    @property
    def id(self) -> UUID:
        """An id for the log of changes, the same each time."""
        return uuid5(self.plan_id, f"session {self.number}")


@dataclass(frozen=True, slots=True, kw_only=True)
class TestRow:
    """A booked test, and the sets it was taken in."""

    __test__ = False  # no test case, whatever pytest makes of the name

    plan_id: UUID
    player_id: UUID
    day: date
    kind: PracticeTest
    #: attempts booked
    shots: int
    #: somebody said that it will not be taken
    skipped: bool = False
    set_ids: tuple[UUID, ...] = ()
    #: what was shot of it so far
    attempts: int = 0
    made: int = 0

    @property
    def id(self) -> UUID:
        """An id for the log of changes, the same each time."""
        return uuid5(self.plan_id, f"{self.kind.value} test {self.day}")

    @property
    def taken(self) -> bool:
        """Tell whether all its shots are there."""
        return self.attempts >= self.shots


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredDrill:
    """A drill that a coach added or changed."""

    drill: Drill

    @property
    def id(self) -> UUID:
        """An id for the log of changes, the same each time."""
        return uuid5(_DRILLS, self.drill.key)


def get_plan(session: Session, plan_id: UUID, *, lock: bool = False) -> StoredPlan:
    """Return one plan.

    Parameters
    ----------
    lock
        Make other writers of this plan wait until this transaction ends.

    Raises
    ------
    NotFound
        There is no such plan.
    """
    found = known_plan(session, plan_id, lock=lock)
    if found is None:
        raise NotFound("That practice plan is not in the store; it may have been removed.")
    return found


def known_plan(session: Session, plan_id: UUID, *, lock: bool = False) -> StoredPlan | None:
    """Return one plan, or None where it is not stored; ``lock`` as :func:`get_plan`."""
    asked = select(plans).where(plans.c.id == plan_id)
    row = session.execute(asked.with_for_update() if lock else asked).one_or_none()
    return None if row is None else _plan(row)


def list_plans(session: Session, player_id: UUID) -> list[StoredPlan]:
    """Return a player's plans, newest first."""
    asked = select(plans).where(plans.c.player_id == player_id)
    rows = session.execute(asked.order_by(plans.c.made_at.desc(), plans.c.id))
    return [_plan(row) for row in rows]


def running_plans(session: Session) -> list[StoredPlan]:
    """Return the plans of all players that go on."""
    rows = session.execute(select(plans).where(plans.c.ended_on.is_(None)).order_by(plans.c.id))
    return [_plan(row) for row in rows]


def add_plan(session: Session, plan: StoredPlan) -> None:
    """Add a plan with the tests it books."""
    session.execute(insert(plans).values(_plan_row(plan)))
    _book(session, plan.plan, known=set())


def set_plan(session: Session, plan: StoredPlan) -> None:
    """Write a plan anew; tests it no longer books go, the others keep their sets."""
    session.execute(update(plans).where(plans.c.id == plan.id).values(_plan_row(plan)))
    booked = {(test.day, test.kind): test for test in plan.plan.tests}
    known = {(one.day, one.kind) for one in tests_of(session, plan.id)}
    for day, kind in known:
        here = _test_at(plan.id, day, kind)
        test = booked.get((day, kind))
        if test is None:
            session.execute(delete(plan_tests).where(*here))
        else:
            session.execute(update(plan_tests).where(*here).values(shots=test.shots))
    _book(session, plan.plan, known=known)


def delete_plan(session: Session, plan_id: UUID) -> None:
    """Delete a plan with what was done of it; the sets of its tests stay."""
    session.execute(delete(plans).where(plans.c.id == plan_id))


def logs_of(session: Session, plan_id: UUID) -> list[SessionLog]:
    """Return what became of a plan's sessions, in order; those to come are left out."""
    scores: dict[int, list[ItemScore]] = {}
    asked = select(plan_scores).where(plan_scores.c.plan_id == plan_id)
    for row in session.execute(asked.order_by(plan_scores.c.item)):
        score = ItemScore(item=row.item, attempts=row.attempts, made=row.made)
        scores.setdefault(row.number, []).append(score)
    rows = session.execute(
        select(plan_sessions).where(plan_sessions.c.plan_id == plan_id).order_by("number")
    )
    return [SessionLog(**row._mapping, scores=tuple(scores.get(row.number, ()))) for row in rows]


def set_log(session: Session, log: SessionLog) -> None:
    """Write down what became of a session, in place of what was there."""
    here = (plan_sessions.c.plan_id == log.plan_id, plan_sessions.c.number == log.number)
    session.execute(delete(plan_sessions).where(*here))
    of = {"plan_id": log.plan_id, "number": log.number}
    about = {"done": log.done, "day": log.day, "note": log.note}
    session.execute(insert(plan_sessions).values(of | about))
    rows = [of | {"item": s.item, "attempts": s.attempts, "made": s.made} for s in log.scores]
    if rows:
        session.execute(insert(plan_scores), rows)


def tests_of(session: Session, plan_id: UUID) -> list[TestRow]:
    """Return the tests a plan books, by date."""
    return _tests(session, _all_tests().where(plan_tests.c.plan_id == plan_id))


def open_tests(session: Session, *, until: date) -> list[TestRow]:
    """Return the tests of all running plans that are due by a day and not skipped, by date."""
    asked = _all_tests().where(
        plans.c.ended_on.is_(None), plan_tests.c.day <= until, plan_tests.c.skipped.is_(False)
    )
    return _tests(session, asked)


def skip_test(session: Session, test: TestRow, *, skipped: bool) -> None:
    """Write down whether a test is left out."""
    here = _test_at(test.plan_id, test.day, test.kind)
    session.execute(update(plan_tests).where(*here).values(skipped=skipped))


def add_test_set(session: Session, test: TestRow, set_id: UUID) -> None:
    """Note that a set is part of a test."""
    row = {"set_id": set_id, "plan_id": test.plan_id, "day": test.day, "kind": test.kind.value}
    session.execute(insert(plan_test_sets).values(row))


def is_test_set(session: Session, set_id: UUID) -> bool:
    """Tell whether a set is part of a test."""
    asked = select(plan_test_sets.c.set_id).where(plan_test_sets.c.set_id == set_id)
    return session.scalars(asked).one_or_none() is not None


def list_drills(session: Session) -> list[StoredDrill]:
    """Return the drills that were added or changed, by name."""
    texts = session.scalars(select(drills.c.drill))
    found = [StoredDrill(drill=drill_from_json(text)) for text in texts]
    return sorted(found, key=lambda one: one.drill.name)


def set_drill(session: Session, drill: Drill) -> None:
    """Write a drill, in place of one of the same key."""
    delete_drill(session, drill.key)
    row = {"key": drill.key, "drill": drill_to_json(drill)}
    session.execute(insert(drills).values(row))


def delete_drill(session: Session, key: str) -> None:
    """Delete one drill."""
    session.execute(delete(drills).where(drills.c.key == key))


def _book(session: Session, plan: PracticePlan, *, known: set[tuple[date, PracticeTest]]) -> None:
    rows = [
        {
            "plan_id": plan.id, "day": test.day, "kind": test.kind.value,
            "shots": test.shots, "skipped": False,
        }
        for test in plan.tests
        if (test.day, test.kind) not in known
    ]  # fmt: skip
    if rows:
        session.execute(insert(plan_tests), rows)


def _test_at(plan_id: UUID, day: date, kind: PracticeTest) -> Sequence[Any]:
    columns = plan_tests.c
    return (columns.plan_id == plan_id, columns.day == day, columns.kind == kind.value)


def _all_tests() -> Select[Any]:
    return select(plan_tests, plans.c.player_id).join(plans, plans.c.id == plan_tests.c.plan_id)


def _tests(session: Session, asked: Select[Any]) -> list[TestRow]:
    in_order = asked.order_by(plan_tests.c.day, plan_tests.c.kind, plan_tests.c.plan_id)
    rows = session.execute(in_order).all()
    keys = asked.with_only_columns(plan_tests.c.plan_id)
    taken = _taken(session, keys)
    return [_test(row, taken.get((row.plan_id, row.day, row.kind), [])) for row in rows]


def _taken(
    session: Session, plan_ids: Select[Any]
) -> dict[tuple[UUID, date, str], list[tuple[UUID, int, int]]]:
    """Return set id, shots and makes of the sets of each test."""
    made = func.count().filter(shots.c.made)
    asked = (
        select(plan_test_sets, func.count(shots.c.id).label("attempts"), made.label("went_in"))
        .outerjoin(shots, shots.c.set_id == plan_test_sets.c.set_id)
        .where(plan_test_sets.c.plan_id.in_(plan_ids))
        .group_by(*plan_test_sets.c)
        .order_by(plan_test_sets.c.set_id)
    )
    found: dict[tuple[UUID, date, str], list[tuple[UUID, int, int]]] = {}
    for row in session.execute(asked):
        key = (row.plan_id, row.day, row.kind)
        found.setdefault(key, []).append((row.set_id, row.attempts, row.went_in))
    return found


def _test(row: Row[Any], taken: Sequence[tuple[UUID, int, int]]) -> TestRow:
    return TestRow(
        plan_id=row.plan_id, player_id=row.player_id, day=row.day, kind=PracticeTest(row.kind),
        shots=row.shots, skipped=row.skipped, set_ids=tuple(one for one, _, _ in taken),
        attempts=sum(n for _, n, _ in taken), made=sum(n for _, _, n in taken),
    )  # fmt: skip


def _plan_row(plan: StoredPlan) -> dict[str, object]:
    return {
        "id": plan.id,
        "player_id": plan.player_id,
        "start": plan.plan.start,
        "plan": plan_to_json(plan.plan),
        "made_at": plan.made_at,
        "ended_on": plan.ended_on,
    }


def _plan(row: Row[Any]) -> StoredPlan:
    return StoredPlan(plan=plan_from_json(row.plan), made_at=row.made_at, ended_on=row.ended_on)
