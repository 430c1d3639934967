"""Changes to a plan, each a function that gives a new plan or says in a sentence what is wrong."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from hoopwright.errors import BadInput
from hoopwright.plans.dates import WEEK, said_day
from hoopwright.plans.drills import drill_of
from hoopwright.plans.nouns import (
    BookedTest,
    Cue,
    Drill,
    PlanItem,
    PlanSession,
    PracticePlan,
    PracticeTest,
    Target,
)
from hoopwright.plans.plan import item_of
from hoopwright.plans.targets import Targets
from hoopwright.plans.wish import MOST_SHOTS, checked_cue
from hoopwright.records import Spot

MOST_ITEMS = 12


def with_cue(plan: PracticePlan, cue: Cue) -> PracticePlan:
    """Return the plan with another cue.

    Raises
    ------
    BadInput
        The cue is empty, too long or more than one line.
    """
    return replace(plan, wish=replace(plan.wish, cue=checked_cue(cue)))


def session_of(plan: PracticePlan, number: int) -> PlanSession:
    """Return a session by its number.

    Raises
    ------
    BadInput
        The plan has no such session.
    """
    for one in plan.sessions:
        if one.number == number:
            return one
    numbers = ", ".join(str(one.number) for one in plan.sessions)
    raise BadInput(f"This plan has no session {number}; it has {numbers}.", field="session")


def move_session(plan: PracticePlan, number: int, day: date) -> PracticePlan:
    """Return the plan with a session, and its cold test, on another day.

    Raises
    ------
    BadInput
        There is no such session, or the day is blocked, taken or outside the plan.
    """
    session = session_of(plan, number)
    if day == session.day:
        return plan
    _check_day(plan, day)
    week = (day - plan.start).days // WEEK + 1
    sessions = [
        replace(one, day=day, week=week) if one.number == number else one for one in plan.sessions
    ]
    tests = [
        replace(t, day=day) if t.kind is PracticeTest.COLD and t.day == session.day else t
        for t in plan.tests
    ]
    return replace(
        plan,
        sessions=tuple(sorted(sessions, key=lambda one: one.day)),
        tests=tuple(sorted(tests, key=_order)),
    )


def _order(test: BookedTest) -> tuple[date, int]:
    return test.day, list(PracticeTest).index(test.kind)


def _check_day(plan: PracticePlan, day: date) -> None:
    if day in plan.wish.blocked_days:
        raise BadInput(f"{said_day(day)} is blocked; choose another day.", field="day")
    if any(one.day == day for one in plan.sessions):
        raise BadInput(f"{said_day(day)} has a session already; choose another day.", field="day")
    later = [t.day for t in plan.tests if t.kind is not PracticeTest.COLD]
    if not plan.start <= day < min(later):
        raise BadInput(
            f"Choose a day from {said_day(plan.start)} to before the retention test on "
            f"{said_day(min(later))}.",
            field="day",
        )


def drop_session(plan: PracticePlan, number: int) -> PracticePlan:
    """Return the plan without a session and its cold test; the other numbers stay.

    Raises
    ------
    BadInput
        There is no such session, or it is the only one.
    """
    session = session_of(plan, number)
    if len(plan.sessions) == 1:
        raise BadInput("This is the plan's only session; end the plan instead.", field="session")
    cold = [t for t in plan.tests if t.kind is PracticeTest.COLD and t.day == session.day]
    return replace(
        plan,
        sessions=tuple(one for one in plan.sessions if one is not session),
        tests=tuple(t for t in plan.tests if t not in cold),
    )


def move_test(plan: PracticePlan, kind: PracticeTest, booked: date, *, to: date) -> PracticePlan:
    """Return the plan with a retention or transfer test on another day.

    Parameters
    ----------
    plan
        The plan.
    kind, booked
        Which test: its kind and the day it is booked for.
    to
        The new day.

    Raises
    ------
    BadInput
        There is no such test, it is a cold test, or the day is blocked, taken or too early.
    """
    if kind is PracticeTest.COLD:
        raise BadInput("A cold test goes with its session; move the session.", field="day")
    if not any((t.kind, t.day) == (kind, booked) for t in plan.tests):
        raise BadInput(f"This plan has no {kind.value} test on {said_day(booked)}.", field="day")
    if to == booked:
        return plan
    if to in plan.wish.blocked_days:
        raise BadInput(f"{said_day(to)} is blocked; choose another day.", field="day")
    if any((t.kind, t.day) == (kind, to) for t in plan.tests):
        raise BadInput(f"{said_day(to)} has a {kind.value} test already.", field="day")
    last = max(one.day for one in plan.sessions)
    if to <= last:
        raise BadInput(f"Choose a day after the last visit on {said_day(last)}.", field="day")
    tests = [replace(t, day=to) if (t.kind, t.day) == (kind, booked) else t for t in plan.tests]
    return replace(plan, tests=tuple(sorted(tests, key=_order)))


def block_days(plan: PracticePlan, days: Sequence[date]) -> tuple[PracticePlan, tuple[str, ...]]:
    """Return the plan with days blocked, as when a player stops, and what that did.

    Sessions on those days move to the nearest later free day before the next session, and are
    dropped where there is none. Retention and transfer tests move to the next free day.
    """
    blocked = tuple(sorted({*plan.wish.blocked_days, *days}))
    plan = replace(plan, wish=replace(plan.wish, blocked_days=blocked))
    said: list[str] = []
    for session in [one for one in plan.sessions if one.day in blocked]:
        plan, word = _off(plan, session)
        said.append(word)
    tests = _tests_off(plan.tests, blocked)
    moved = {(a.day, b.day) for a, b in zip(plan.tests, tests, strict=True) if a.day != b.day}
    said += [f"The tests of {said_day(a)} are on {said_day(b)}." for a, b in sorted(moved)]
    return replace(plan, tests=tests), tuple(said)


def _tests_off(tests: Sequence[BookedTest], blocked: Sequence[date]) -> tuple[BookedTest, ...]:
    """Move later tests to the next free day, no two of a kind to the same one."""
    found: list[BookedTest] = []
    for test in tests:
        if test.kind is not PracticeTest.COLD:
            taken = [one.day for one in found if one.kind is test.kind]
            test = replace(test, day=_free_from(test.day, [*blocked, *taken]))
        found.append(test)
    return tuple(found)


def _off(plan: PracticePlan, session: PlanSession) -> tuple[PracticePlan, str]:
    ahead = [one.day for one in plan.sessions if one.day > session.day]
    later = [t.day for t in plan.tests if t.kind is not PracticeTest.COLD]
    day = _free_from(session.day, plan.wish.blocked_days)
    if day < min([*ahead, *later]):
        return move_session(plan, session.number, day), (
            f"Session {session.number} moved from {said_day(session.day)} to {said_day(day)}."
        )
    if len(plan.sessions) == 1:
        raise BadInput(
            "No day is left for the plan's only session; end the plan and make a new one later.",
            field="day",
        )
    return drop_session(plan, session.number), (
        f"Session {session.number} of {said_day(session.day)} is left out: no free day before the "
        "next one."
    )


def _free_from(day: date, blocked: Sequence[date]) -> date:
    while day in blocked:
        day = date.fromordinal(day.toordinal() + 1)
    return day


def with_items(
    plan: PracticePlan, number: int, items: Sequence[PlanItem], *, drills: Sequence[Drill]
) -> PracticePlan:
    """Return the plan with other drills in a session.

    Raises
    ------
    BadInput
        There is no such session, there are no or too many drills, or one has no shots.
    UnknownName
        A drill is not in the library.
    """
    session = session_of(plan, number)
    if not 1 <= len(items) <= MOST_ITEMS:
        raise BadInput(f"A session has 1 to {MOST_ITEMS} drills.", field="items")
    for item in items:
        drill_of(drills, item.drill)
        if not 1 <= item.shots <= MOST_SHOTS:
            raise BadInput(f"A drill has 1 to {MOST_SHOTS} shots.", field="shots")
    changed = replace(session, items=tuple(items))
    return replace(
        plan, sessions=tuple(changed if one is session else one for one in plan.sessions)
    )


def with_item(
    plan: PracticePlan, number: int, place: int, *, item: PlanItem, drills: Sequence[Drill]
) -> PracticePlan:
    """Return the plan with the drill at a place of a session replaced, or added at its end.

    Parameters
    ----------
    plan, number
        The plan and the session.
    place
        From 0; the number of drills adds one.
    item
        What stands there now; see ``made_item``.
    drills
        The library.

    Raises
    ------
    BadInput
        There is no such session or place, or the drill has no shots.
    UnknownName
        The drill is not in the library.
    """
    items = list(session_of(plan, number).items)
    if not 0 <= place <= len(items):
        raise BadInput(f"Session {number} has no drill {place + 1} to change.", field="item")
    items[place : place + 1] = [item]
    return with_items(plan, number, items, drills=drills)


def without_item(
    plan: PracticePlan, number: int, place: int, *, drills: Sequence[Drill]
) -> PracticePlan:
    """Return the plan without the drill at a place, from 0, of a session.

    Raises
    ------
    BadInput
        There is no such session or drill, or it is the session's only one.
    """
    items = list(session_of(plan, number).items)
    if not 0 <= place < len(items):
        raise BadInput(f"Session {number} has no drill {place + 1} to leave out.", field="item")
    del items[place]
    return with_items(plan, number, items, drills=drills)


def made_item(
    plan: PracticePlan,
    drill: Drill,
    shots: int,
    *,
    targets: Targets,
    spots: Sequence[Spot] = (),
    note: str = "",
) -> PlanItem:
    """Return a drill with a number of shots as it stands in a plan, for ``with_item``.

    Parameters
    ----------
    plan
        Gives the spots where none are told.
    drill, shots
        What, and how often.
    targets
        What the player's own chart expects.
    spots
        Where from, if not as the drill and the plan say.
    note
        What the coach adds.
    """
    item = item_of(drill, shots, plan.wish, targets=targets)
    if spots:
        told = item.target.expected is not None or item.target.shots_needed is not None
        target = targets.at(spots) if told else Target()
        item = replace(item, spots=tuple(spots), target=target)
    return replace(item, note=" ".join(note.split()))
