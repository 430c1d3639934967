from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.plans.plan_samples import PLAN, ROOMY, SPOTS, TARGETS, WISH, plan_of, turned

from hoopwright.errors import BadInput
from hoopwright.plans.drills import drill_of, library
from hoopwright.plans.nouns import (
    Cue,
    FocusKind,
    PracticePlan,
    PracticeTest,
    Season,
    Stage,
    Wish,
)
from hoopwright.plans.plan import make_plan, restage
from hoopwright.plans.stages import SHARES, shared_out, stages_of
from hoopwright.plans.written import plan_from_json, plan_to_json
from hoopwright.records import Spot

DRILLS = library()
DAY = timedelta(days=1)


def offsets(days: set[int], start: date) -> tuple[date, ...]:
    return tuple(start + n * DAY for n in sorted(days))


@st.composite
def wishes(draw: st.DrawFn) -> Wish:
    start = draw(st.dates(date(2024, 1, 1), date(2032, 12, 31)))
    test_shots = draw(st.integers(10, 30))
    focus = replace(
        turned().focus if draw(st.booleans()) else WISH.focus,
        kind=draw(st.sampled_from(list(FocusKind))),
    )
    return replace(
        WISH,
        focus=focus,
        start=start,
        weeks=draw(st.integers(1, 6)),
        weekdays=tuple(draw(st.sets(st.integers(0, 6), min_size=1))),
        test_shots=test_shots,
        shots=test_shots + draw(st.integers(10, 300)),
        players=draw(st.integers(1, 4)),
        coached=draw(st.booleans()),
        spots=tuple(draw(st.sets(st.sampled_from(SPOTS), min_size=1))),
        blocked_days=offsets(draw(st.sets(st.integers(0, 80), max_size=40)), start),
    )


@given(wishes())
@settings(
    max_examples=60, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
def test_every_plan_keeps_what_was_asked(wish: Wish) -> None:
    try:
        plan = plan_of(wish)
    except BadInput as trouble:
        whole = {wish.start + n * DAY for n in range(7 * wish.weeks)}
        weeks = [d for d in whole if d.weekday() in wish.weekdays]
        assert weeks and set(weeks) <= set(wish.blocked_days)
        assert "blocked" in trouble.message
        return
    check_days(plan)
    check_shots(plan)
    check_tests(plan)
    assert plan_from_json(plan_to_json(plan)) == plan


def check_days(plan: PracticePlan) -> None:
    days = [one.day for one in plan.sessions]
    assert [one.number for one in plan.sessions] == list(range(1, len(days) + 1))
    assert all(a < b for a, b in pairwise(days))
    assert not set(days) & set(plan.wish.blocked_days)
    end = plan.start + 7 * plan.weeks * DAY
    assert all(plan.start <= day < end for day in days)
    assert all(one.week == (one.day - plan.start).days // 7 + 1 for one in plan.sessions)
    per_week = Counter(one.week for one in plan.sessions)
    assert max(per_week.values()) <= len(plan.wish.weekdays)
    order = [list(Stage).index(one.stage) for one in plan.sessions]
    assert all(0 <= b - a <= 1 for a, b in pairwise(order))


def check_shots(plan: PracticePlan) -> None:
    wish = plan.wish
    for one in plan.sessions:
        assert one.shots + wish.test_shots == wish.shots
        stages = {drill_of(DRILLS, item.drill).stage for item in one.items}
        assert stages <= set(SHARES[one.stage])
        for item in one.items:
            drill = drill_of(DRILLS, item.drill)
            assert item.shots > 0 and item.minutes > 0
            assert drill.players_low <= wish.players
            assert bool(item.spots) == ("basket" in drill.needs)
    assert plan.shots == sum(one.shots for one in plan.sessions)


def check_tests(plan: PracticePlan) -> None:
    by_kind = {k: [t.day for t in plan.tests if t.kind is k] for k in PracticeTest}
    assert by_kind[PracticeTest.COLD] == [one.day for one in plan.sessions]
    assert by_kind[PracticeTest.RETENTION] == by_kind[PracticeTest.TRANSFER]
    first, second = by_kind[PracticeTest.RETENTION]
    last = plan.sessions[-1].day
    assert last + 7 * DAY <= first < second and second >= last + 21 * DAY
    blocked = set(plan.wish.blocked_days)
    assert not {first, second} & blocked
    if not {last + n * DAY for n in (7, 8, 9, 10)} <= blocked:
        assert first <= last + 10 * DAY
    if not {last + n * DAY for n in range(21, 29)} - {first} <= blocked:
        assert second <= last + 28 * DAY
    late = [note for note in plan.notes if note.startswith("The retention test due")]
    # said where, and only where, a test lies outside its time
    assert len(late) == (first > last + 10 * DAY) + (second > last + 28 * DAY)
    assert all(t.shots == plan.wish.test_shots for t in plan.tests)


def test_weeks_across_a_leap_day() -> None:
    plan = plan_of(replace(WISH, start=date(2028, 2, 28), weekdays=(1,), weeks=2))
    assert [one.day for one in plan.sessions] == [date(2028, 2, 29), date(2028, 3, 7)]


def test_a_plan_goes_from_close_in_to_game_like() -> None:
    stages = [one.stage for one in plan_of(turned()).sessions]
    assert stages[0] is Stage.CLOSE and stages[-1] is Stage.GAME_LIKE
    assert set(stages) == set(Stage)
    known = [one.stage for one in plan_of().sessions]
    assert known[0] is Stage.BLOCKED


@pytest.mark.parametrize("first", list(Stage))
@pytest.mark.parametrize("visits", [1, 2, 3, 5, 7, 18])
def test_stages_are_spread_evenly(visits: int, first: Stage) -> None:
    stages = stages_of(visits, first)
    assert len(stages) == visits and stages[0] is first
    counts = Counter(stages).values()
    assert max(counts) - min(counts) <= 1


@pytest.mark.parametrize("stage", list(Stage))
def test_shares_are_whole_and_shots_add_up(stage: Stage) -> None:
    assert sum(SHARES[stage].values()) == pytest.approx(1)
    for shots in range(10, 200):
        assert sum(shared_out(shots, stage, list(Stage)).values()) == shots
    only_close = shared_out(50, stage, [Stage.CLOSE])
    assert only_close == {Stage.CLOSE: 50}


def test_shots_come_in_fives_where_they_can() -> None:
    assert all(item.shots % 5 == 0 for one in plan_of(turned()).sessions for item in one.items)


def test_targets_are_the_players_own_where_a_chart_says_something() -> None:
    plan = plan_of(turned())
    expected = TARGETS.at(SPOTS)
    for one in plan.sessions:
        for item in one.items:
            if drill_of(DRILLS, item.drill).stage in (Stage.CLOSE, Stage.GAME_LIKE):
                assert item.target.expected is None
            elif item.spots == SPOTS:
                assert item.target == expected
    assert all(t.target == expected for t in plan.tests if t.kind is PracticeTest.COLD)


def test_a_dip_is_announced_only_where_a_movement_is_changed() -> None:
    said = " ".join(plan_of(turned()).notes)
    assert "Expect a dip" in said and "common practice, no source" in said
    assert "dip" not in " ".join(plan_of().notes)


@pytest.mark.parametrize(
    ("first", "last", "guarded"),
    [
        (date(2026, 11, 1), date(2027, 3, 1), True),
        (date(2027, 1, 11), date(2027, 3, 1), True),  # six weeks after the start
        (date(2027, 1, 12), date(2027, 3, 1), False),
        (date(2026, 9, 1), date(2026, 11, 29), False),
    ],
)
def test_the_season_is_guarded(first: date, last: date, guarded: bool) -> None:
    season = Season(first=first, last=last)
    notes = plan_of(turned(replace(WISH, season=season))).notes
    assert any("season" in note for note in notes) is guarded
    assert not any("season" in note for note in plan_of(replace(WISH, season=season)).notes)


def test_too_much_is_said_with_its_source_and_the_plan_is_made_all_the_same() -> None:
    tight = replace(ROOMY, shots_a_day=99, days_a_week=2, hours_a_week=0.5, hours_source="a paper")
    plan = plan_of(limits=tight)
    said = " ".join(plan.notes)
    assert "100 shots a visit are more than the 99" in said
    assert "3 days a week leave too few rest days" in said
    assert "organised hours advised at this age" in said and "a paper" in said
    assert plan.shots == 9 * 90
    exact = replace(ROOMY, shots_a_day=100, days_a_week=3)
    assert not any("shots a visit" in n or "rest days" in n for n in plan_of(limits=exact).notes)
    alone = " ".join(plan_of(replace(WISH, coached=False), tight).notes)
    assert "rest days" not in alone and "shots a visit" in alone


def test_a_blocked_day_moves_within_its_week_and_is_said() -> None:
    monday = WISH.start
    plan = plan_of(replace(WISH, blocked_days=(monday,)))
    assert [one.day for one in plan.sessions[:3]] == [monday + n * DAY for n in (1, 2, 4)]
    assert "Mon 30 November is blocked: that visit is on Tue 1 December." in plan.notes
    week = tuple(monday + n * DAY for n in range(7))
    shorter = plan_of(replace(WISH, blocked_days=week))
    assert len(shorter.sessions) == 6 and shorter.sessions[0].week == 2
    assert any("no visit then" in note for note in shorter.notes)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"weeks": 0}, "weeks"),
        ({"weeks": 7}, "weeks"),
        ({"weekdays": ()}, "weekdays"),
        ({"weekdays": (1, 1)}, "weekdays"),
        ({"weekdays": (7,)}, "weekdays"),
        ({"shots": 19}, "shots"),
        ({"shots": 1001}, "shots"),
        ({"test_shots": 9}, "test_shots"),
        ({"players": 0}, "players"),
        ({"spots": ()}, "spots"),
        ({"features": ("sofa",)}, "features"),
        ({"features": ()}, None),
        ({"cue": Cue(text="  ")}, "cue"),
        ({"cue": Cue(text="one\ntwo")}, "cue"),
        ({"cue": Cue(text="x" * 81)}, "cue"),
        ({"focus": replace(WISH.focus, name="")}, "focus"),
        ({"season": Season(first=date(2027, 1, 2), last=date(2027, 1, 1))}, "season"),
    ],
)
def test_a_wish_that_cannot_be_right_is_refused(
    change: dict[str, object], field: str | None
) -> None:
    wish = replace(WISH, **change)  # type: ignore[arg-type]
    if field is None:
        assert plan_of(wish).sessions[0].items[0].drill == "lying-flicks"
        return
    with pytest.raises(BadInput) as trouble:
        plan_of(wish)
    assert trouble.value.field == field
    assert trouble.value.message.endswith(".")


def test_a_spot_off_the_court_and_a_gym_for_no_drill_are_refused() -> None:
    with pytest.raises(BadInput, match="too far"):
        plan_of(replace(WISH, spots=(Spot(name="x", x=0.0, y=25.0),)))
    needs_ring = [one for one in DRILLS if one.needs]
    with pytest.raises(BadInput, match="No drill of the library"):
        make_plan(
            replace(WISH, features=()), PLAN, drills=needs_ring, targets=TARGETS, limits=ROOMY
        )


def test_a_stage_can_be_held_or_gone_back_to() -> None:
    plan = plan_of(turned())
    again = restage(plan, 4, Stage.CLOSE, drills=DRILLS, targets=TARGETS)
    assert again.sessions[:3] == plan.sessions[:3]
    assert again.sessions[3].stage is Stage.CLOSE
    assert [(s.number, s.day) for s in again.sessions] == [(s.number, s.day) for s in plan.sessions]
    check_shots(again)
    with pytest.raises(BadInput, match="no session 10"):
        restage(plan, 10, Stage.CLOSE, drills=DRILLS, targets=TARGETS)
