"""Plans in the store: one goes on at a time, and what was done of it is written beside it."""

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.actions.checks import LONGEST_NOTE, check_day, checked_text
from hoopwright.actions.editing import note_added, note_changed, note_removed
from hoopwright.errors import BadInput, Conflict
from hoopwright.plans.edits import session_of
from hoopwright.plans.nouns import PlanSession, PracticePlan, PracticeTest, TakenTest
from hoopwright.plans.progress import StageCall, call_stage
from hoopwright.records import Player
from hoopwright.store import people
from hoopwright.store import plans as stored
from hoopwright.store.plans import ItemScore, SessionLog, StoredPlan, TestRow

#: most attempts written down for one drill
MOST_ATTEMPTS = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanView:
    """A plan and what was done of it."""

    kept: StoredPlan
    player: Player
    #: what became of its sessions, in order; those to come are left out
    logs: tuple[SessionLog, ...]
    #: the tests it books, by date
    tests: tuple[TestRow, ...]
    #: what the cold tests of the stage say; None where no session is to come
    call: StageCall | None

    @property
    def plan(self) -> PracticePlan:
        """The plan itself."""
        return self.kept.plan

    @property
    def next_session(self) -> PlanSession | None:
        """The first session that nothing was written down of."""
        known = {one.number for one in self.logs}
        return next((one for one in self.plan.sessions if one.number not in known), None)

    def log_of(self, number: int) -> SessionLog | None:
        """Return what became of a session; None where nothing was written down."""
        return next((one for one in self.logs if one.number == number), None)


def keep_plan(session: Session, plan: PracticePlan, *, who: str) -> StoredPlan:
    """Keep a plan; sent twice, it is one. The player's plan before it ends on its first day.

    Raises
    ------
    BadInput
        Two tests of a kind are booked for one day.
    Conflict
        Another plan has this id.
    NotFound
        There is no such player.
    """
    people.get_player(session, plan.player_id)
    check_day(plan.start)
    _check_tests(plan)
    known = stored.known_plan(session, plan.id)
    if known is None:
        before = running_plan(session, plan.player_id)
        if before is not None:
            end_plan(session, before.id, on=max(plan.start, before.plan.start), who=who)
        kept = StoredPlan(plan=plan, made_at=datetime.now(UTC))
        stored.add_plan(session, kept)
        note_added(session, [kept], who=who, player_id=plan.player_id)
        return kept
    if known.plan != plan:
        raise Conflict("This id already stands for another plan; send it under a new id.")
    return known


def change_plan(session: Session, plan: PracticePlan, *, who: str) -> StoredPlan:
    """Store a plan anew, as ``plans.edits`` changed it; what was done of it stays.

    Raises
    ------
    BadInput
        A session or a test that was done is not in it any more, or it is another player's.
    NotFound
        There is no such plan.
    """
    before = stored.get_plan(session, plan.id, lock=True)
    if plan.player_id != before.player_id:
        raise BadInput("A plan stays its player's; make a new one for another player.")
    _check_tests(plan)
    _check_done(session, plan)
    after = replace(before, plan=plan)
    return _keep(session, before, after, who=who)


def end_plan(session: Session, plan_id: UUID, *, on: date, who: str) -> StoredPlan:
    """End a plan; its tests are no longer due, and what was done of it stays.

    Raises
    ------
    BadInput
        The day is before the plan's first.
    NotFound
        There is no such plan.
    """
    before = stored.get_plan(session, plan_id, lock=True)
    if on < before.plan.start:
        raise BadInput("A plan can't end before its first day; choose a later day.", field="day")
    if before.ended_on is not None:
        return before
    return _keep(session, before, replace(before, ended_on=on), who=who)


def remove_plan(session: Session, plan_id: UUID, *, who: str) -> StoredPlan:
    """Remove a plan with what was written down of it; shots of its tests stay in their workouts.

    Raises
    ------
    NotFound
        There is no such plan.
    """
    before = stored.get_plan(session, plan_id)
    for log in stored.logs_of(session, plan_id):
        note_removed(session, log, who=who, player_id=before.player_id)
    stored.delete_plan(session, plan_id)
    note_removed(session, before, who=who, player_id=before.player_id)
    return before


def plans_of(session: Session, player_id: UUID) -> list[StoredPlan]:
    """Return a player's plans, newest first.

    Raises
    ------
    NotFound
        There is no such player.
    """
    people.get_player(session, player_id)
    return stored.list_plans(session, player_id)


def running_plan(session: Session, player_id: UUID) -> StoredPlan | None:
    """Return the plan of a player that goes on; None where there is none.

    Raises
    ------
    NotFound
        There is no such player.
    """
    return next((one for one in plans_of(session, player_id) if one.ended_on is None), None)


def view_plan(session: Session, plan_id: UUID) -> PlanView:
    """Return a plan and what was done of it.

    Raises
    ------
    NotFound
        There is no such plan.
    """
    kept = stored.get_plan(session, plan_id)
    tests = tuple(stored.tests_of(session, plan_id))
    view = PlanView(
        kept=kept,
        player=people.get_player(session, kept.player_id),
        logs=tuple(stored.logs_of(session, plan_id)),
        tests=tests,
        call=None,
    )
    coming = view.next_session
    return view if coming is None else replace(view, call=_call(kept.plan, coming, tests))


def log_session(session: Session, log: SessionLog, *, who: str) -> SessionLog:
    """Write down what became of a session, or write it anew; the log of changes keeps both.

    Raises
    ------
    BadInput
        The plan has no such session or drill, or counts can't be right.
    NotFound
        There is no such plan.
    """
    kept = stored.get_plan(session, log.plan_id, lock=True)
    check_day(log.day)
    items = len(session_of(kept.plan, log.number).items)
    note = checked_text(log.note, what="The note", field="note", longest=LONGEST_NOTE)
    after = replace(log, note=note, scores=_checked_scores(log, items))
    before = {one.number: one for one in stored.logs_of(session, log.plan_id)}.get(log.number)
    if before == after:
        return after
    stored.set_log(session, after)
    if before is None:
        note_added(session, [after], who=who, player_id=kept.player_id)
    else:
        note_changed(session, before, who=who, player_id=kept.player_id)
    return after


def _keep(session: Session, before: StoredPlan, after: StoredPlan, *, who: str) -> StoredPlan:
    if after != before:
        stored.set_plan(session, after)
        note_changed(session, before, who=who, player_id=before.player_id)
    return after


def _check_tests(plan: PracticePlan) -> None:
    booked = [(test.day, test.kind) for test in plan.tests]
    twice = next((one for one in booked if booked.count(one) > 1), None)
    if twice is not None:
        raise BadInput(
            f"Two {twice[1].value} tests are booked for {twice[0]}; keep one of them.", field="day"
        )


def _check_done(session: Session, plan: PracticePlan) -> None:
    numbers = {one.number for one in plan.sessions}
    for log in stored.logs_of(session, plan.id):
        if log.number not in numbers:
            raise BadInput(f"Session {log.number} was written down already; leave it in the plan.")
    booked = {(test.day, test.kind) for test in plan.tests}
    for row in stored.tests_of(session, plan.id):
        if row.set_ids and (row.day, row.kind) not in booked:
            raise BadInput(
                f"The {row.kind.value} test of {row.day} was begun already; leave it on its day."
            )


def _checked_scores(log: SessionLog, items: int) -> tuple[ItemScore, ...]:
    if log.scores and not log.done:
        raise BadInput("A session that was left out has no scores; mark it done.", field="done")
    if len({one.item for one in log.scores}) < len(log.scores):
        raise BadInput("A drill has two scores; write one score for each drill.", field="scores")
    for one in log.scores:
        if not 0 <= one.item < items:
            raise BadInput(
                f"Session {log.number} has no drill {one.item + 1}; it has {items}.", field="scores"
            )
        if not 1 <= one.attempts <= MOST_ATTEMPTS or not 0 <= one.made <= one.attempts:
            raise BadInput(
                f"{one.made} made of {one.attempts} attempts can't be; correct the score of "
                f"drill {one.item + 1}.",
                field="scores",
            )
    return tuple(sorted(log.scores, key=lambda one: one.item))


def _call(plan: PracticePlan, coming: PlanSession, tests: tuple[TestRow, ...]) -> StageCall | None:
    """Return what the cold tests of the stage that the next session is of say."""
    of_stage = [one.day for one in plan.sessions if one.stage is coming.stage]
    cold = [one for one in plan.tests if one.kind is PracticeTest.COLD]
    if not cold:
        return None
    taken = [
        TakenTest(day=one.day, kind=one.kind, shots=one.attempts, made=one.made)
        for one in tests
        if one.taken
    ]
    return call_stage(cold[0].target, taken, since=min(of_stage))
