"""Practice plans: kept once, changed without losing what was done, their tests when due."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from uuid import UUID, uuid5

import pytest
from sqlalchemy.orm import Session

from hoopwright.actions.games import announced_changes
from hoopwright.actions.load import raise_flag
from hoopwright.actions.people import add_player, remove_player
from hoopwright.actions.plans import (
    GroupVisit,
    TestBegin,
    begin_test,
    change_plan,
    draft_plan,
    drill_library,
    due_tests,
    end_plan,
    focus_for,
    group_sheet,
    keep_drill,
    keep_plan,
    log_session,
    plan_material,
    plan_practice,
    plans_of,
    remove_drill,
    remove_plan,
    running_plan,
    sheet_of,
    skip_test,
    view_plan,
)
from hoopwright.actions.shots import edits_of, list_workouts, record_shots, remove_set
from hoopwright.errors import BadInput, Conflict, HoopwrightError, NotFound
from hoopwright.load.nouns import Flag, FlagKind
from hoopwright.plans.drills import library
from hoopwright.plans.edits import drop_session, move_session, with_cue
from hoopwright.plans.group import Place
from hoopwright.plans.nouns import (
    Cue,
    Focus,
    FocusFrom,
    FocusKind,
    PlanItem,
    PracticePlan,
    PracticeTest,
    Wish,
)
from hoopwright.plans.progress import Step
from hoopwright.records import Player, Purpose, Shot, Spot
from hoopwright.store.engine import Database
from hoopwright.store.plans import ItemScore, SessionLog

#: a Monday
DAY = date(2026, 11, 2)
PLAYER = Player(id=UUID(int=1), name="Invented A", birth_year=2005, rules="nba")
LINE = Spot(name="free throw", x=0.0, y=4.191)
FOCUS = Focus(
    kind=FocusKind.FORM, name="feet turned", chosen_from=FocusFrom.COACH,
    reason="The coach's choice.", changes_form=True, condition="feet turned",
)  # fmt: skip
WISH = Wish(
    player_id=PLAYER.id, focus=FOCUS, cue=Cue(text="toes to the corner"), start=DAY, weeks=2,
    weekdays=(0, 3), shots=60, spots=(LINE,),
)  # fmt: skip
PLAN_ID = UUID(int=100)


def ready(session: Session, wish: Wish = WISH) -> PracticePlan:
    add_player(session, PLAYER, who="coach")
    return plan_practice(session, wish, plan_id=PLAN_ID, who="coach").plan


def cold(plan: PracticePlan, number: int = 0) -> TestBegin:
    tests = [one for one in plan.tests if one.kind is PracticeTest.COLD]
    day = tests[number].day
    return TestBegin(
        plan_id=plan.id, kind=PracticeTest.COLD, booked=day, on=day,
        set_id=uuid5(plan.id, str(day)),
    )  # fmt: skip


def shot(set_id: UUID, made: int, of: int) -> list[Shot]:
    return [Shot(id=uuid5(set_id, str(i)), made=i < made) for i in range(of)]


def test_a_plan_comes_back_whole_and_once(database: Database) -> None:
    with database.session() as session:
        plan = ready(session)
        again = plan_practice(session, WISH, plan_id=PLAN_ID, who="coach")
        (kept,) = plans_of(session, PLAYER.id)
        assert kept == again == running_plan(session, PLAYER.id)
        assert keep_plan(session, plan, who="coach") == kept
        view = view_plan(session, PLAN_ID)
        assert [one.what for one in edits_of(session, PLAN_ID)] == ["add"]
    assert (kept.plan, kept.ended_on, view.plan, view.logs) == (plan, None, plan, ())
    assert [(one.day, one.kind, one.shots) for one in view.tests] == [
        (one.day, one.kind, one.shots) for one in plan.tests
    ]
    assert view.next_session == plan.sessions[0]
    assert view.call is not None
    assert view.call.step is Step.CANNOT_TELL


def test_a_draft_is_not_kept(database: Database) -> None:
    with database.session() as session:
        add_player(session, PLAYER, who="coach")
        plan = draft_plan(session, WISH, plan_id=PLAN_ID)
        assert plans_of(session, PLAYER.id) == []
        assert focus_for(session, PLAYER.id) == ()
        material = plan_material(session, PLAYER.id, today=DAY)
    assert plan.wish.rules == "nba"
    assert material.targets.reading is None
    assert material.drills == library()


def test_a_change_of_movement_announces_its_dip(database: Database) -> None:
    with database.session() as session:
        ready(session)
        (announced,) = announced_changes(session, PLAYER.id)
    assert (announced.change.name, announced.change.day) == ("feet turned", DAY)


def test_one_plan_goes_on_at_a_time(database: Database) -> None:
    later = replace(WISH, start=DAY + timedelta(weeks=1))
    with database.session() as session:
        ready(session)
        plan_practice(session, later, plan_id=UUID(int=101), who="coach")
        newest, oldest = plans_of(session, PLAYER.id)
        running = running_plan(session, PLAYER.id)
    assert (newest.id, oldest.ended_on) == (UUID(int=101), later.start)
    assert running == newest


def test_a_session_is_written_down_and_corrected_with_a_trace(database: Database) -> None:
    log = SessionLog(
        plan_id=PLAN_ID, number=1, done=True, day=DAY, note="good day",
        scores=(ItemScore(item=0, attempts=20, made=11),),
    )  # fmt: skip
    right = replace(log, scores=(ItemScore(item=0, attempts=20, made=12),))
    missed = SessionLog(plan_id=PLAN_ID, number=2, done=False, day=DAY + timedelta(days=3))
    with database.session() as session:
        plan = ready(session)
        for one in (log, log, right, missed):
            assert log_session(session, one, who="coach") == one
        view = view_plan(session, PLAN_ID)
        assert [one.what for one in edits_of(session, log.id)] == ["add", "change"]
    assert view.logs == (right, missed)
    assert view.log_of(1) == right
    assert view.log_of(3) is None
    assert view.next_session == plan.sessions[2]


def test_a_booked_test_becomes_a_set_with_its_purpose(database: Database) -> None:
    with database.session() as session:
        plan = ready(session)
        begin = cold(plan)
        for _ in range(2):
            made = begin_test(session, begin, who="coach")
        record_shots(session, made.id, shot(made.id, 6, 10), who="coach")
        row = view_plan(session, PLAN_ID).tests[0]
        (visit,) = list_workouts(session, PLAYER.id)
        remove_set(session, made.id, who="coach")
        again = view_plan(session, PLAN_ID).tests[0]
    (one,) = visit.sets
    assert visit.day == begin.on
    assert (one.purpose, one.condition, one.spot) == (Purpose.COLD_TEST, "feet turned", LINE)
    assert (row.attempts, row.made, row.taken, row.set_ids) == (10, 6, True, (made.id,))
    assert (again.attempts, again.taken, again.set_ids) == (0, False, ())


def test_cold_tests_move_the_stage_on(database: Database) -> None:
    """From twenty cold attempts on, by ``plans.progress``."""
    with database.session() as session:
        plan = ready(session)
        for number in (0, 1):
            made = begin_test(session, cold(plan, number), who="coach")
            record_shots(session, made.id, shot(made.id, 6, 10), who="coach")
        call = view_plan(session, PLAN_ID).call
    assert call is not None
    assert (call.made, call.shots, call.step) == (12, 20, Step.GO_ON)


def test_tests_due_over_all_players_by_date(database: Database) -> None:
    other = replace(PLAYER, id=UUID(int=2), name="Invented B")
    with database.session() as session:
        plan = ready(session)
        add_player(session, other, who="coach")
        wish = replace(WISH, player_id=other.id)
        plan_practice(session, wish, plan_id=UUID(int=102), who="coach")
        first = due_tests(session, until=DAY)
        made = begin_test(session, cold(plan), who="coach")
        record_shots(session, made.id, shot(made.id, 6, 9), who="coach")
        begun = due_tests(session, until=DAY)
        record_shots(session, made.id, shot(made.id, 6, 10), who="coach")
        taken = due_tests(session, until=DAY)
        skip_test(session, UUID(int=102), kind=PracticeTest.COLD, booked=DAY, who="coach")
        skipped = due_tests(session, until=DAY)
        later = due_tests(session, until=DAY + timedelta(weeks=8))
        end_plan(session, PLAN_ID, on=DAY + timedelta(days=5), who="coach")
        ended = due_tests(session, until=DAY + timedelta(weeks=8))
    assert [one.player.name for one in first] == ["Invented A", "Invented B"]
    assert [one.test.attempts for one in begun] == [9, 0]
    assert [one.player.name for one in taken] == ["Invented B"]
    assert skipped == []
    assert [one.test.day for one in later] == sorted(one.test.day for one in later)
    kinds = {one.test.kind for one in later}
    assert kinds == {PracticeTest.COLD, PracticeTest.RETENTION, PracticeTest.TRANSFER}
    assert {one.player.id for one in ended} == {other.id}


def test_a_skipped_test_can_be_taken_after_all(database: Database) -> None:
    with database.session() as session:
        plan = ready(session)
        for skipped in (True, True, False):
            row = skip_test(
                session, PLAN_ID, kind=PracticeTest.COLD, booked=DAY, skipped=skipped, who="coach"
            )
            assert row.skipped is skipped
        begin_test(session, cold(plan), who="coach")
        with pytest.raises(BadInput, match="begun already"):
            skip_test(session, PLAN_ID, kind=PracticeTest.COLD, booked=DAY, who="coach")
        assert [one.what for one in edits_of(session, row.id)] == ["change"] * 3


def test_a_changed_plan_keeps_what_was_done(database: Database) -> None:
    with database.session() as session:
        plan = ready(session)
        begin_test(session, cold(plan), who="coach")
        log_session(session, SessionLog(plan_id=PLAN_ID, number=1, done=True, day=DAY), who="coach")
        moved = move_session(plan, 2, DAY + timedelta(days=4))
        moved = with_cue(moved, Cue(text="heels in"))
        change_plan(session, moved, who="coach")
        change_plan(session, moved, who="coach")
        view = view_plan(session, PLAN_ID)
        with pytest.raises(BadInput, match="already; leave it"):
            change_plan(session, drop_session(moved, 1), who="coach")
        with pytest.raises(BadInput, match="another player"):
            wish = replace(moved.wish, player_id=UUID(int=2))
            change_plan(session, replace(moved, wish=wish), who="coach")
        # the phone that made it sends it once more
        assert plan_practice(session, WISH, plan_id=PLAN_ID, who="coach").plan == moved
        assert [one.what for one in edits_of(session, PLAN_ID)] == ["add", "change"]
    assert view.plan == moved
    assert len(view.logs) == 1
    assert view.tests[0].set_ids != ()
    assert {one.day for one in view.tests} == {one.day for one in moved.tests}


def test_a_removed_plan_leaves_the_shots_of_its_tests(database: Database) -> None:
    log = SessionLog(plan_id=PLAN_ID, number=1, done=True, day=DAY)
    with database.session() as session:
        plan = ready(session)
        made = begin_test(session, cold(plan), who="coach")
        record_shots(session, made.id, shot(made.id, 6, 10), who="coach")
        log_session(session, log, who="coach")
        remove_plan(session, PLAN_ID, who="coach")
        assert plans_of(session, PLAYER.id) == []
        assert len(list_workouts(session, PLAYER.id)[0].sets[0].shots) == 10
        assert edits_of(session, log.id)[-1].what == "remove"


def test_a_removed_player_takes_plans_along(database: Database) -> None:
    with database.session() as session:
        ready(session)
        remove_player(session, PLAYER.id, who="coach")
        assert due_tests(session, until=DAY + timedelta(weeks=9)) == []
        add_player(session, PLAYER, who="coach")
        assert plans_of(session, PLAYER.id) == []
        assert announced_changes(session, PLAYER.id) == []


def test_a_player_who_is_stopped_is_neither_planned_nor_tested(database: Database) -> None:
    knock = Flag(id=UUID(int=60), player_id=PLAYER.id, kind=FlagKind.HEAD_KNOCK, day=DAY)
    with database.session() as session:
        plan = ready(session)
        raise_flag(session, knock, who="coach")
        with pytest.raises(BadInput, match="do not return today"):
            begin_test(session, cold(plan), who="coach")
        with pytest.raises(BadInput, match="cleared"):
            plan_practice(session, WISH, plan_id=UUID(int=103), who="coach")


def test_drills_of_ones_own(database: Database) -> None:
    first = library()[0]
    own = replace(first, key="own-line-shots", name="Own line shots")
    with database.session() as session:
        assert keep_drill(session, own, who="coach") == replace(own, own=True)
        keep_drill(session, own, who="coach")
        keep_drill(session, replace(own, name="Own  line runs"), who="coach")
        keep_drill(session, replace(first, purpose="Ours."), who="coach")
        drills = drill_library(session)
        assert len(drills) == len(library()) + 1
        assert drills[0].purpose == "Ours."
        assert drills[-1].name == "Own line runs"
        remove_drill(session, own.key, who="coach")
        remove_drill(session, first.key, who="coach")
        assert drill_library(session) == library()
        with pytest.raises(NotFound, match="your own"):
            remove_drill(session, first.key, who="coach")


def test_a_drill_in_use_is_not_removed(database: Database) -> None:
    own = replace(library()[0], key="own-line-shots")
    with database.session() as session:
        plan = ready(session)
        keep_drill(session, own, who="coach")
        item = PlanItem(drill=own.key, shots=20, minutes=5.0, spots=(LINE,))
        one = replace(plan.sessions[0], items=(item,))
        change_plan(session, replace(plan, sessions=(one, *plan.sessions[1:])), who="coach")
        with pytest.raises(BadInput, match="goes on uses this drill"):
            remove_drill(session, own.key, who="coach")


def test_sheets_for_one_and_for_a_group(database: Database) -> None:
    others = [replace(PLAYER, id=UUID(int=i), name=f"Invented {i}") for i in (2, 3, 4)]
    hurt = Flag(id=UUID(int=60), player_id=others[2].id, kind=FlagKind.PAIN, day=DAY, note="knee")
    visit = GroupVisit(
        day=DAY, player_ids=(PLAYER.id, *(one.id for one in others)),
        places=(Place(name="A", room=1), Place(name="B", room=1)), slots=3,
    )  # fmt: skip
    with database.session() as session:
        ready(session)
        for one in others:
            add_player(session, one, who="coach")
        raise_flag(session, hurt, who="coach")
        sheet = sheet_of(session, PLAN_ID, number=1)
        assert sheet_of(session, PLAN_ID, number=1) == sheet
        group = group_sheet(session, visit)
        with pytest.raises(BadInput, match="partner of Invented A"):
            pairs = {PLAYER.id: others[2].id, others[2].id: PLAYER.id}
            group_sheet(session, replace(visit, partners=pairs))
        with pytest.raises(BadInput, match="everybody"):
            group_sheet(session, replace(visit, player_ids=(others[2].id,)))
    assert sheet.rows[0].test is PracticeTest.COLD
    members = group.sheet.wish.members
    assert [one.name for one in members] == ["Invented A", "Invented 2", "Invented 3"]
    assert (members[0].test_shots, members[1].test_shots) == (10, 0)
    assert len(members[0].items) == len(sheet.session.items)
    assert [group.sheet.turns(i) for i in range(3)] == [2, 2, 2]
    ((stopped, why),) = group.stopped
    assert stopped.name == "Invented 4"
    assert "do not return today" in why


LOG = SessionLog(plan_id=PLAN_ID, number=1, done=True, day=DAY)
REFUSED: list[Callable[[Session], object]] = [
    lambda s: plan_practice(s, replace(WISH, weeks=9), plan_id=UUID(int=9), who="coach"),
    lambda s: plan_practice(s, replace(WISH, cue=Cue(text="")), plan_id=UUID(int=9), who="coach"),
    lambda s: plan_practice(s, replace(WISH, player_id=UUID(int=9)), plan_id=UUID(int=9), who="c"),
    lambda s: plan_practice(s, WISH, plan_id=UUID(int=9), who=" "),
    lambda s: log_session(s, replace(LOG, number=77), who="coach"),
    lambda s: log_session(s, replace(LOG, day=date(1900, 1, 1)), who="coach"),
    lambda s: log_session(s, replace(LOG, plan_id=UUID(int=9)), who="coach"),
    lambda s: log_session(s, scored(99, 10, 1), who="coach"),
    lambda s: log_session(s, scored(0, 10, 11), who="coach"),
    lambda s: log_session(s, scored(0, 0, 0), who="coach"),
    lambda s: log_session(s, replace(scored(0, 10, 1), done=False), who="coach"),
    lambda s: log_session(s, replace(LOG, scores=scored(0, 10, 1).scores * 2), who="coach"),
    lambda s: end_plan(s, PLAN_ID, on=DAY - timedelta(days=1), who="coach"),
    lambda s: end_plan(s, UUID(int=9), on=DAY, who="coach"),
    lambda s: remove_plan(s, UUID(int=9), who="coach"),
    lambda s: view_plan(s, UUID(int=9)),
    lambda s: plans_of(s, UUID(int=9)),
    lambda s: skip_test(s, PLAN_ID, kind=PracticeTest.COLD, booked=date(2026, 1, 1), who="coach"),
    lambda s: begin_test(s, replace(cold(view_plan(s, PLAN_ID).plan), spot=5), who="coach"),
    lambda s: keep_drill(s, replace(library()[0], purpose=""), who="coach"),
    lambda s: twice_booked(s),
]


def scored(item: int, attempts: int, made: int) -> SessionLog:
    return replace(LOG, scores=(ItemScore(item=item, attempts=attempts, made=made),))


def twice_booked(session: Session) -> object:
    plan = view_plan(session, PLAN_ID).plan
    return change_plan(session, replace(plan, tests=(*plan.tests, plan.tests[0])), who="coach")


def refused(database: Database, do: Callable[[Session], object]) -> HoopwrightError:
    with pytest.raises((BadInput, NotFound)) as caught, database.session() as session:
        do(session)
    return caught.value


def test_what_is_refused_is_said_in_one_sentence_and_changes_nothing(database: Database) -> None:
    with database.session() as session:
        ready(session)
        before = view_plan(session, PLAN_ID)
    for do in REFUSED:
        assert refused(database, do).message.endswith(".")
    with database.reading() as session:
        assert view_plan(session, PLAN_ID) == before
        assert len(plans_of(session, PLAYER.id)) == 1
        assert list_workouts(session, PLAYER.id) == []
        assert drill_library(session) == library()


def test_another_plan_or_set_under_the_same_id_is_a_conflict(database: Database) -> None:
    with database.session() as session:
        plan = ready(session)
        with pytest.raises(Conflict):
            keep_plan(session, with_cue(plan, Cue(text="another")), who="coach")
        made = begin_test(session, cold(plan), who="coach")
        with pytest.raises(Conflict):
            begin_test(session, replace(cold(plan, 1), set_id=made.id), who="coach")
