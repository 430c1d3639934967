from dataclasses import replace
from datetime import date, timedelta

import pytest
from tests.plans.plan_samples import PLAN, ROOMY, SPOTS, TARGETS, WISH, plan_of
from tests.plans.test_plan import check_tests

from hoopwright.errors import BadInput, UnknownName
from hoopwright.plans.drills import drill_of, library
from hoopwright.plans.edits import (
    block_days,
    drop_session,
    made_item,
    move_session,
    move_test,
    session_of,
    with_cue,
    with_item,
    with_items,
    without_item,
)
from hoopwright.plans.notes import with_notes
from hoopwright.plans.nouns import Cue, PracticePlan, PracticeTest
from hoopwright.plans.written import drill_from_json, drill_to_json, plan_from_json

DRILLS = library()
PLANNED = plan_of()
DAY = timedelta(days=1)


def days_of(plan: PracticePlan, kind: PracticeTest) -> list[date]:
    return [t.day for t in plan.tests if t.kind is kind]


def test_another_cue() -> None:
    assert with_cue(PLANNED, Cue(text=" reach  in ")).cue == Cue(text="reach in")
    with pytest.raises(BadInput, match="Write the cue"):
        with_cue(PLANNED, Cue(text=""))


def test_a_moved_session_takes_its_cold_test_along() -> None:
    moved = move_session(PLANNED, 2, WISH.start + 5 * DAY)
    assert [one.number for one in moved.sessions[:3]] == [1, 3, 2]
    check_tests(moved)
    assert move_session(moved, 2, WISH.start + 2 * DAY) == PLANNED
    assert move_session(PLANNED, 2, PLANNED.sessions[1].day) is PLANNED
    into_next_week = move_session(PLANNED, 3, WISH.start + 8 * DAY)
    assert session_of(into_next_week, 3).week == 2


@pytest.mark.parametrize(
    ("number", "day", "said"),
    [
        (10, date(2026, 12, 1), "no session 10; it has 1, 2"),
        (1, WISH.start + 2 * DAY, "has a session already"),
        (1, WISH.start - DAY, "Choose a day from Mon 30 November"),
        (1, date(2026, 12, 25), "before the retention test on Fri 25 December"),
        (1, WISH.start + DAY, "is blocked"),
    ],
)
def test_a_day_that_cannot_be_is_refused(number: int, day: date, said: str) -> None:
    plan = replace(PLANNED, wish=replace(WISH, blocked_days=(WISH.start + DAY,)))
    with pytest.raises(BadInput, match=said):
        move_session(plan, number, day)


def test_a_later_test_can_be_moved_and_the_notes_follow() -> None:
    first = date(2026, 12, 25)
    later = move_test(PLANNED, PracticeTest.RETENTION, first, to=first + 2 * DAY)
    assert days_of(later, PracticeTest.RETENTION)[0] == first + 2 * DAY
    assert days_of(later, PracticeTest.TRANSFER)[0] == first
    assert move_test(later, PracticeTest.RETENTION, first + 2 * DAY, to=first) == PLANNED
    assert move_test(PLANNED, PracticeTest.TRANSFER, first, to=first) is PLANNED
    early = move_test(PLANNED, PracticeTest.RETENTION, first, to=first - 3 * DAY)
    said = " ".join(with_notes(early, ROOMY).notes)
    assert "only 4 days after it: move it to a later day" in said
    late = move_test(PLANNED, PracticeTest.RETENTION, first, to=first + 5 * DAY)
    assert "12 days after it, as the days before" in " ".join(with_notes(late, ROOMY).notes)


@pytest.mark.parametrize(
    ("kind", "booked", "to", "said"),
    [
        (PracticeTest.COLD, date(2026, 11, 30), date(2026, 12, 1), "goes with its session"),
        (PracticeTest.RETENTION, date(2026, 12, 24), date(2026, 12, 26), "no retention test on"),
        (PracticeTest.RETENTION, date(2026, 12, 25), date(2027, 1, 11), "has a retention test"),
        (PracticeTest.RETENTION, date(2026, 12, 25), date(2026, 12, 18), "after the last visit"),
        (PracticeTest.RETENTION, date(2026, 12, 25), date(2026, 12, 26), "is blocked"),
    ],
)
def test_a_test_day_that_cannot_be_is_refused(
    kind: PracticeTest, booked: date, to: date, said: str
) -> None:
    plan = replace(PLANNED, wish=replace(WISH, blocked_days=(date(2026, 12, 26),)))
    with pytest.raises(BadInput, match=said):
        move_test(plan, kind, booked, to=to)


def test_a_changed_plan_is_held_against_the_limits_again() -> None:
    item = replace(PLANNED.sessions[0].items[0], shots=300)
    more = with_item(PLANNED, 1, 0, item=item, drills=DRILLS)
    assert not any("shots a visit" in note for note in with_notes(PLANNED, ROOMY).notes)
    assert any("more than the 300 from which" in note for note in with_notes(more, ROOMY).notes)
    # a session moved beyond the last week still counts
    beyond = move_session(more, 1, date(2026, 12, 22))
    assert session_of(beyond, 1).week == 4
    tight = replace(ROOMY, hours_a_week=1.0, hours_source="a paper")
    assert any("hours of drills a week" in note for note in with_notes(beyond, tight).notes)


def test_a_dropped_session_takes_its_cold_test_along_and_numbers_stay() -> None:
    fewer = drop_session(PLANNED, 1)
    assert [one.number for one in fewer.sessions] == list(range(2, 10))
    assert len(fewer.tests) == len(PLANNED.tests) - 1
    single = replace(PLANNED, sessions=PLANNED.sessions[:1])
    with pytest.raises(BadInput, match="only session"):
        drop_session(single, 1)


def test_blocked_days_move_or_drop_what_lies_on_them() -> None:
    monday = WISH.start
    plan, said = block_days(PLANNED, [monday])
    assert plan.sessions[0].day == monday + DAY
    assert said == ("Session 1 moved from Mon 30 November to Tue 1 December.",)
    plan, said = block_days(PLANNED, [monday, monday + DAY])
    assert len(plan.sessions) == 8 and "Session 1 of Mon 30 November is left out" in said[0]
    week = [monday + n * DAY for n in range(80)]
    with pytest.raises(BadInput, match="No day is left"):
        block_days(PLANNED, week)


def test_later_tests_never_fall_on_a_blocked_day_nor_together() -> None:
    retention = [t.day for t in PLANNED.tests if t.kind is PracticeTest.RETENTION]
    between = [retention[0] + n * DAY for n in range((retention[1] - retention[0]).days)]
    plan, said = block_days(PLANNED, between)
    days = [t.day for t in plan.tests if t.kind is PracticeTest.RETENTION]
    assert days == [retention[1], retention[1] + DAY] and not set(days) & set(between)
    assert len({(t.kind, t.day) for t in plan.tests}) == len(plan.tests)
    assert len(said) == 2


def test_drills_of_a_session_are_changed_added_and_left_out() -> None:
    items = PLANNED.sessions[0].items
    drill = drill_of(DRILLS, "free-throws-in-pairs")
    item = made_item(PLANNED, drill, 20, targets=TARGETS, note="  slowly ")
    assert (item.minutes, item.note) == (8.0, "slowly")  # 20 shots at 2.5 a minute
    assert [spot.name for spot in item.spots] == ["free throw"]
    assert item.target == TARGETS.at(SPOTS[:1])
    changed = with_item(PLANNED, 1, 0, item=item, drills=DRILLS)
    assert changed.sessions[0].items == (item, *items[1:])
    added = with_item(PLANNED, 1, len(items), item=item, drills=DRILLS)
    assert added.sessions[0].items == (*items, item)
    assert without_item(added, 1, len(items), drills=DRILLS) == PLANNED
    elsewhere = made_item(PLANNED, drill, 20, targets=TARGETS, spots=SPOTS[1:2])
    assert elsewhere.spots == SPOTS[1:2] and elsewhere.target == TARGETS.at(SPOTS[1:2])
    close = made_item(
        PLANNED, drill_of(DRILLS, "one-hand-form"), 20, targets=TARGETS, spots=SPOTS[:1]
    )
    assert close.target.expected is None


def test_a_session_that_cannot_be_is_refused() -> None:
    item = PLANNED.sessions[0].items[0]
    with pytest.raises(BadInput, match="1 to 12 drills"):
        with_items(PLANNED, 1, [], drills=DRILLS)
    with pytest.raises(BadInput, match="1 to 1000 shots"):
        with_item(PLANNED, 1, 0, item=replace(item, shots=0), drills=DRILLS)
    with pytest.raises(UnknownName, match="no-such"):
        with_item(PLANNED, 1, 0, item=replace(item, drill="no-such"), drills=DRILLS)
    with pytest.raises(BadInput, match="no drill 9 to change"):
        with_item(PLANNED, 1, 8, item=item, drills=DRILLS)
    with pytest.raises(BadInput, match="no drill 9 to leave out"):
        without_item(PLANNED, 1, 8, drills=DRILLS)


@pytest.mark.parametrize("text", ["", "{}", "[1]", '{"version":99,"plan":{}}', "\x00"])
def test_what_is_no_plan_or_drill_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="plan"):
        plan_from_json(text)
    with pytest.raises(BadInput, match="drill"):
        drill_from_json(text)


def test_a_drill_and_its_text() -> None:
    assert all(drill_from_json(drill_to_json(one)) == one for one in DRILLS)
    assert PLANNED.id == PLAN
