"""Trials: settled before the first shot, shot as ordinary sets, read as often as one likes."""

import math
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from typing import NamedTuple
from uuid import UUID

import numpy as np
import pytest
from sqlalchemy.orm import Session
from tests.actions.trial_material import (
    DAY,
    LAYOUT,
    LINE,
    PLAYER,
    QUESTION,
    WISH,
    ready,
    set_id,
    shoot,
    shoot_all,
    taken,
)

from hoopwright.actions.load import raise_flag
from hoopwright.actions.people import add_player, remove_player
from hoopwright.actions.shots import (
    chart_of,
    edits_of,
    get_workout,
    list_workouts,
    record_shots,
    remove_set,
    start_workout,
)
from hoopwright.actions.trials import (
    begin_block,
    block_of,
    extend_trial,
    finish_block,
    foretold,
    list_trials,
    look_at_trial,
    looks_at,
    plan_trial,
    read_trial,
    remove_trial,
    stop_trial,
    trial_rows,
    view_trial,
)
from hoopwright.actions.trials.collecting import collect
from hoopwright.actions.trials.foretelling import as_charted
from hoopwright.errors import BadInput, Conflict, HoopwrightError, NotFound
from hoopwright.load.nouns import Flag, FlagKind
from hoopwright.records import (
    Landing,
    MissDetail,
    Shot,
    ShotSet,
    Spot,
    Workout,
)
from hoopwright.store.engine import Database
from hoopwright.store.trials import TrialState
from hoopwright.trials import power
from hoopwright.trials.design import check_plan
from hoopwright.trials.nouns import (
    Arm,
    Measure,
    Said,
)


def test_a_trial_comes_back_whole_and_once(database: Database) -> None:
    with database.session() as session:
        ready(session)
        again = plan_trial(session, WISH, who="coach")
    with database.reading() as session:
        (view,) = list_trials(session, PLAYER.id)
        assert view == view_trial(session, WISH.id)
        assert [one.what for one in edits_of(session, WISH.id)] == ["add"]
        rows = trial_rows(session, WISH.id)
    assert view.trial == again
    assert view.trial.plan.question == QUESTION
    assert check_plan(view.trial.plan)
    assert (view.state, view.blocks_done, view.last_said) == (TrialState.PLANNED, 0, None)
    assert view.next_block == view.blocks[0]
    assert [one.row for one in view.blocks] == list(rows)
    assert len(view.blocks) == 12


def test_what_it_can_tell_is_said_before_and_kept(database: Database) -> None:
    """Sixty shots find no five points in a hundred: D1 asks for 1,565 a side at 50 %."""
    with database.session() as session:
        ready(session)
        told = foretold(view_trial(session, WISH.id))
    assert (told.shots, told.shots_each) == (72, 30)
    makes = told.curve(Measure.MAKE)
    assert makes.found[0] < 0.2
    assert makes.smallest is None or makes.smallest > 0.25


def test_it_is_said_of_this_player_and_from_these_spots(database: Database) -> None:
    """Closed form: (made + 1) of (shots + 2); scatter as drawn, with the tap's error taken off."""
    rng = np.random.default_rng(5)
    drawn = rng.normal(-0.05, math.hypot(0.08, 0.05), 98)
    shots = tuple(
        Shot(
            id=UUID(int=500 + i), made=i < 39,
            landing=Landing(along=float(x), across=0.0, along_sd=0.05, across_sd=0.05),
        )
        for i, x in enumerate(drawn)
    )  # fmt: skip
    visit = Workout(id=UUID(int=50), player_id=PLAYER.id, day=DAY)
    near = ShotSet(id=UUID(int=51), workout_id=visit.id, position=0, spot=LINE, shots=shots)
    far = replace(
        near, id=UUID(int=52), position=1, spot=Spot(name="top", x=0.0, y=7.0),
        shots=(Shot(id=UUID(int=700), made=True),),
    )  # fmt: skip
    with database.session() as session:
        ready(session)
        plan = view_trial(session, WISH.id).trial.plan
        assert as_charted(chart_of(session, PLAYER.id), plan) == power.Player()
        start_workout(session, replace(visit, sets=(near, far)), who="coach")
        found = as_charted(chart_of(session, PLAYER.id), plan)
    assert found.share == pytest.approx(0.40)
    assert found.noise == pytest.approx(0.05)
    assert found.scatter == pytest.approx(0.08, abs=0.015)


def test_a_block_becomes_a_set_of_the_days_workout(database: Database) -> None:
    with database.session() as session:
        ready(session)
        visit = Workout(id=UUID(int=50), player_id=PLAYER.id, day=DAY, note="evening")
        start_workout(session, visit, who="coach")
        for number in (1, 1, 2, 2):
            begin_block(
                session, WISH.id, number=number, set_id=set_id(number),
                on=DAY, who="coach", detail=MissDetail.TWO,
            )  # fmt: skip
        sets = get_workout(session, visit.id).sets
        blocks = view_trial(session, WISH.id).blocks
        assert [one.begun and one.begun.set_id for one in blocks[:3]] == [
            *(s.id for s in sets),
            None,
        ]
        assert view_trial(session, WISH.id).state is TrialState.RUNNING
        found = block_of(session, sets[1].id)
        assert block_of(session, UUID(int=9)) is None
    assert found is not None
    assert found[1].block.number == 2
    assert {one.condition for one in sets} == {"", "feet turned"}
    for one, view in zip(sets, blocks, strict=False):
        assert (one.condition == "") is (view.block.arm is Arm.HABIT)
        assert (one.spot, one.ball_size, one.miss_detail) == (LINE, 6, MissDetail.TWO)


def test_the_first_block_of_a_day_starts_its_workout(database: Database) -> None:
    with database.session() as session:
        ready(session)
        for number in (1, 2):
            shoot(session, number, 3)
        shoot(session, 3, 3, on=DAY + timedelta(days=1))
        visits = list_workouts(session, PLAYER.id)
    assert [(one.day, len(one.sets)) for one in visits] == [(DAY, 2), (DAY + timedelta(days=1), 1)]


def test_a_block_of_another_phone_is_not_begun_twice(database: Database) -> None:
    with database.session() as session:
        ready(session)
        shoot(session, 1, 3)
        with pytest.raises(Conflict, match="begun already"):
            begin_block(session, WISH.id, number=1, set_id=UUID(int=77), on=DAY, who="coach")
        with pytest.raises(Conflict):
            begin_block(session, WISH.id, number=2, set_id=set_id(1), on=DAY, who="coach")


def test_a_set_that_is_removed_opens_its_block_again(database: Database) -> None:
    with database.session() as session:
        ready(session)
        one = shoot(session, 1, 3)
        remove_set(session, one.id, who="coach")
        view = view_trial(session, WISH.id)
        assert view.next_block is not None
        assert view.next_block.block.number == 1
        begin_block(session, WISH.id, number=1, set_id=UUID(int=78), on=DAY, who="coach")


def test_only_blocks_that_are_over_count_and_only_the_shots_planned(database: Database) -> None:
    """Five count after one washout shot; whoever shoots on until it looks good gains nothing."""
    with database.session() as session:
        ready(session)
        shoot(session, 1, 4, of=9)
        shoot(session, 2, 3, of=4)
        before = collect(session, view_trial(session, WISH.id))
        finish_block(session, WISH.id, number=2, who="coach")
        done = finish_block(session, WISH.id, number=2, who="coach")
        after = collect(session, view_trial(session, WISH.id))
        assert [one.what for one in edits_of(session, done.id)] == ["add", "change"]
    assert [one.block for one in before.results] == [1]
    assert before.results[0].made.tolist() == [False] * 5 + [True]
    assert [one.block for one in after.results] == [1, 2]
    assert after.results[1].made.tolist() == [False, True, True, True]


def test_a_clear_change_is_told_and_its_looks_are_kept(database: Database) -> None:
    with database.session() as session:
        ready(session)
        shoot_all(session, habit=1, change=5)
        first = look_at_trial(session, WISH.id, who="coach")
        second = look_at_trial(session, WISH.id, who="coach")
        looks = looks_at(session, WISH.id)
        view = view_trial(session, WISH.id)
    assert first.verdict is not None
    assert first.verdict == second.verdict
    assert first.verdict.said is Said.BETTER
    assert first.order_checked
    assert (first.verdict.habit_shots, first.verdict.change_shots) == (30, 30)
    assert (first.verdict.habit_made, first.verdict.change_made) == (6, 30)
    assert [one.verdict for one in looks] == [first.verdict]
    assert (view.state, view.last_said, view.next_block) == (TrialState.ENDED, Said.BETTER, None)


def test_a_trial_with_nothing_to_compare_says_what_is_missing(database: Database) -> None:
    with database.session() as session:
        ready(session)
        empty = look_at_trial(session, WISH.id, who="coach")
        assert looks_at(session, WISH.id) == []
    assert empty.verdict is None
    assert empty.missing.endswith(".")


def test_reading_keeps_no_look(database: Database) -> None:
    with database.session() as session:
        ready(session)
        shoot_all(session, habit=3, change=3)
        reading = read_trial(session, WISH.id)
        assert looks_at(session, WISH.id) == []
    assert reading.verdict is not None
    assert reading.verdict.said is Said.CANNOT_TELL


def test_findings_read_the_shots_of_a_trial_too(database: Database) -> None:
    with database.session() as session:
        ready(session)
        shoot_all(session, habit=3, change=3)
        chart = chart_of(session, PLAYER.id)
    assert {one.condition for one in chart.sets} == {"", "feet turned"}
    assert sum(len(one.shots) for one in chart.sets) == 72


def test_a_stopped_trial_is_readable_and_begins_no_block(database: Database) -> None:
    with database.session() as session:
        ready(session)
        shoot(session, 1, 3)
        for _ in range(2):
            stop_trial(session, WISH.id, reason="growth spurt", who="coach")
        with pytest.raises(BadInput, match="over"):
            shoot(session, 2, 3)
        view = view_trial(session, WISH.id)
        assert (view.state, view.trial.note) == (TrialState.STOPPED, "growth spurt")
        assert view.next_block is None
        # the phone that began the first block may still send its shots
        assert record_shots(session, set_id(1), taken(1, 3, 6), who="coach") == 0
        assert [one.what for one in edits_of(session, WISH.id)] == ["add", "change", "change"]


def test_nothing_counts_after_the_stop_date(database: Database) -> None:
    stop = DAY + timedelta(days=10)
    with database.session() as session:
        ready(session, replace(WISH, stop_day=stop))
        shoot(session, 1, 3, on=stop)
        with pytest.raises(BadInput, match="stops on 2026-11-12"):
            shoot(session, 2, 3, on=stop + timedelta(days=1))


def test_no_block_for_a_player_who_is_not_to_practise(database: Database) -> None:
    knock = Flag(id=UUID(int=60), player_id=PLAYER.id, kind=FlagKind.HEAD_KNOCK, day=DAY)
    with database.session() as session:
        ready(session)
        raise_flag(session, knock, who="coach")
        with pytest.raises(BadInput, match="do not return today"):
            shoot(session, 1, 3)
        shoot(session, 1, 3, on=DAY - timedelta(days=1))


def test_a_trial_can_be_made_longer_once(database: Database) -> None:
    with database.session() as session:
        ready(session)
        before = view_trial(session, WISH.id).trial.plan.blocks
        for _ in range(2):
            longer = extend_trial(session, WISH.id, pairs=2, planned=6, who="coach")
        assert longer.plan.blocks[:12] == before
        assert len(longer.plan.blocks) == 16
        assert check_plan(longer.plan)
        # the phone that planned it sends it once more
        assert plan_trial(session, WISH, who="coach") == longer


def test_a_removed_trial_leaves_its_shots(database: Database) -> None:
    with database.session() as session:
        ready(session)
        shoot(session, 1, 3)
        remove_trial(session, WISH.id, who="coach")
        assert list_trials(session, PLAYER.id) == []
        assert len(list_workouts(session, PLAYER.id)[0].sets[0].shots) == 6
        assert edits_of(session, WISH.id)[-1].what == "remove"


def test_a_removed_player_takes_trials_along(database: Database) -> None:
    with database.session() as session:
        ready(session)
        shoot_all(session, habit=1, change=5)
        look_at_trial(session, WISH.id, who="coach")
        remove_player(session, PLAYER.id, who="coach")
        add_player(session, PLAYER, who="coach")
        assert list_trials(session, PLAYER.id) == []
        with pytest.raises(NotFound):
            looks_at(session, WISH.id)


class Bad(NamedTuple):
    said: str
    do: Callable[[Session], object]


def wished(**changes: object) -> Callable[[Session], object]:
    return lambda s: plan_trial(s, replace(WISH, id=UUID(int=99), **changes), who="coach")  # type: ignore[arg-type]


REFUSED = [
    Bad("longer than 80", wished(question=replace(QUESTION, change="x" * 81))),
    Bad("habit is empty", wished(question=replace(QUESTION, habit=" "))),
    Bad("behind", wished(question=replace(QUESTION, spots=(Spot(name="x", x=0.0, y=-1.4),)))),
    Bad("at most 12 spots", wished(question=replace(QUESTION, spots=(LINE,) * 13))),
    Bad("with fewer", wished(question=replace(QUESTION, measures_watched=99))),
    Bad("at most ten", wished(question=replace(QUESTION, also_changed=("x",) * 11))),
    Bad("pairs", wished(layout=replace(LAYOUT, pairs=2))),
    Bad("stop date", wished(stop_day=DAY - timedelta(days=1))),
    Bad("seed", wished(seed=-1)),
    Bad("must be from 1950", wished(start=date(1900, 1, 1))),
    Bad("player is not in", wished(player_id=UUID(int=9))),
    Bad("no block 13", lambda s: shoot(s, 13, 1)),
    Bad("not begun", lambda s: finish_block(s, WISH.id, number=1, who="coach")),
    Bad("The reason", lambda s: stop_trial(s, WISH.id, reason="", who="coach")),
    Bad("one or more", lambda s: extend_trial(s, WISH.id, pairs=0, planned=6, who="coach")),
    Bad("trial is not in", lambda s: read_trial(s, UUID(int=9))),
    Bad("trial is not in", lambda s: look_at_trial(s, UUID(int=9), who="coach")),
    Bad("trial is not in", lambda s: trial_rows(s, UUID(int=9))),
    Bad("trial is not in", lambda s: remove_trial(s, UUID(int=9), who="coach")),
    Bad("who does this", lambda s: look_at_trial(s, WISH.id, who=" ")),
]


def refused(database: Database, do: Callable[[Session], object]) -> HoopwrightError:
    with pytest.raises((BadInput, NotFound)) as caught, database.session() as session:
        do(session)
    return caught.value


def test_what_is_refused_is_said_in_one_sentence_and_changes_nothing(database: Database) -> None:
    with database.session() as session:
        ready(session)
        before = list_trials(session, PLAYER.id)
    for one in REFUSED:
        trouble = refused(database, one.do)
        assert re.search(one.said, trouble.message), one.said
        assert trouble.message.endswith(".")
    with database.reading() as session:
        assert list_trials(session, PLAYER.id) == before
        assert list_workouts(session, PLAYER.id) == []


def test_a_block_without_a_shot_that_counts_is_not_over(database: Database) -> None:
    with database.session() as session:
        ready(session)
        shoot(session, 1, 1, of=1)
        with pytest.raises(BadInput, match="no shot that counts"):
            finish_block(session, WISH.id, number=1, who="coach")


def test_another_trial_under_the_same_id_is_a_conflict(database: Database) -> None:
    with database.session() as session:
        ready(session)
        for other in (
            replace(WISH, seed=8),
            replace(WISH, stop_day=DAY),
            replace(WISH, question=replace(QUESTION, measure=Measure.ALONG)),
        ):
            with pytest.raises(Conflict):
                plan_trial(session, other, who="coach")
