"""Trials: settled before the first shot, shot as ordinary sets, read as often as one likes."""

import math
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from typing import NamedTuple
from uuid import UUID, uuid5

import numpy as np
import pytest
from sqlalchemy.orm import Session

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
    TrialWish,
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
    MeasuredRelease,
    MissDetail,
    Player,
    Purpose,
    Shot,
    ShotSet,
    Spot,
    Workout,
)
from hoopwright.store.engine import Database
from hoopwright.store.films import set_measures
from hoopwright.store.trials import TrialState
from hoopwright.trials import power
from hoopwright.trials.design import check_plan
from hoopwright.trials.nouns import (
    Arm,
    Better,
    BodyMeasure,
    Guard,
    Kind,
    Layout,
    Measure,
    Phase,
    Question,
    Said,
    Topic,
)

DAY = date(2026, 11, 2)
PLAYER = Player(id=UUID(int=1), name="Invented A", birth_year=2010, ball_size=6)
LINE = Spot(name="free throw", x=0.0, y=4.225)
QUESTION = Question(
    what="Do turned feet help?", change="feet turned", topic=Topic.FEET_TURN, spots=(LINE,)
)
LAYOUT = Layout(
    kind=Kind.PAIRED, pairs=6, shots_per_block=5, washout=1, familiarisation=0, days=2, every=3
)
WISH = TrialWish(
    id=UUID(int=100), player_id=PLAYER.id, question=QUESTION, layout=LAYOUT, start=DAY, seed=7
)  # fmt: skip


def set_id(number: int) -> UUID:
    return uuid5(WISH.id, str(number))


def ready(session: Session, wish: TrialWish = WISH) -> None:
    add_player(session, PLAYER, who="coach")
    plan_trial(session, wish, who="coach")


def taken(number: int, made: int, of: int) -> list[Shot]:
    """Return shots of a block, the made ones last: washout shots are the first."""
    return [
        Shot(id=uuid5(set_id(number), str(i)), made=i >= of - made) for i in range(of)
    ]  # fmt: skip


def shoot(session: Session, number: int, made: int, of: int = 6, *, on: date = DAY) -> ShotSet:
    one = begin_block(session, WISH.id, number=number, set_id=set_id(number), on=on, who="coach")
    record_shots(session, one.id, taken(number, made, of), who="coach")
    return one


def shoot_all(session: Session, *, habit: int, change: int) -> None:
    """Shoot every block with as many makes as its way has."""
    for one in view_trial(session, WISH.id).blocks:
        made = habit if one.block.arm is Arm.HABIT else change
        shoot(session, one.block.number, made, on=one.block.due or DAY)


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


def test_technique_is_tested_cold_later_and_the_habit_before_is_known(database: Database) -> None:
    """An earlier level of 80 % and a start at 20 % is a bad spell: a rise was to come anyway."""
    question = replace(QUESTION, topic=Topic.DIP, change="deeper dip")
    layout = Layout(
        kind=Kind.PHASES, pairs=1, shots_per_block=10, washout=0, familiarisation=5, days=2
    )
    wish = replace(WISH, question=question, layout=layout, seed=3)
    with database.session() as session:
        ready(session, wish)
        for week in (1, 2, 3):
            _charted(session, DAY - timedelta(weeks=week), made=16, of=20)
        for one in view_trial(session, WISH.id).blocks:
            made = 2 if one.block.phase is Phase.BASELINE else one.block.total // 2
            shoot(session, one.block.number, made, of=one.block.total, on=one.block.due or DAY)
        found = collect(session, view_trial(session, WISH.id))
        reading = read_trial(session, WISH.id)
        purposes = {
            one.condition: one.purpose
            for visit in list_workouts(session, PLAYER.id)[-1:]
            for one in visit.sets
        }
    assert [(one.made, one.shots) for one in found.earlier] == [(16, 20)] * 3
    assert purposes == {"deeper dip": Purpose.RETENTION_TEST}
    assert reading.verdict is not None
    guards = {one.guard for one in reading.verdict.guards}
    assert {Guard.AFTER_BAD_SPELL, Guard.BEFORE_AFTER} <= guards


def _charted(session: Session, day: date, *, made: int, of: int) -> None:
    first = day.toordinal() * 1000
    shots = tuple(Shot(id=UUID(int=first + i), made=i < made) for i in range(of))
    visit = Workout(id=UUID(int=first + 900), player_id=PLAYER.id, day=day)
    near = replace(LINE, y=LINE.y + 0.1)
    far = replace(LINE, name="wing", x=5.0)
    one = ShotSet(id=UUID(int=first + 901), workout_id=visit.id, position=0, spot=near, shots=shots)
    left_out = [
        replace(one, condition="feet turned"),
        replace(one, spot=far),
        replace(one, stops_on_makes=True),
        replace(one, purpose=Purpose.DRILL),
    ]
    others = [
        replace(
            other, id=UUID(int=first + 902 + i), position=i + 1,
            shots=(Shot(id=UUID(int=first + 800 + i), made=False),),
        )
        for i, other in enumerate(left_out)
    ]  # fmt: skip
    start_workout(session, replace(visit, sets=(one, *others)), who="coach")


def test_landing_entry_angle_and_body_reach_the_verdict(database: Database) -> None:
    """Film before tap, taps where there is no film, nothing where there is neither."""
    covariance = np.diag([1e-4, 1e-6, 1e-6, 4e-4, 9e-4]).ravel()
    filmed = MeasuredRelease(
        speed=7.3, angle=0.907, direction=0.0, height=2.1, along=0.06, across=-0.02,
        covariance=tuple(covariance), camera=UUID(int=5),
    )  # fmt: skip
    tapped = Landing(along=-0.10, across=0.03, along_sd=0.05, across_sd=0.04)
    ids = [uuid5(set_id(1), str(i)) for i in range(6)]
    shots = [
        Shot(id=ids[0], made=True, release=filmed, landing=tapped),
        Shot(id=ids[1], made=True, landing=tapped),
        *(Shot(id=one, made=False) for one in ids[2:]),
    ]
    turn = BodyMeasure(name="stance turn", unit="rad", better=Better.LESS)
    for measure, value in ((Measure.ENTRY_ANGLE, None), (turn, 0.3)):
        wish = replace(WISH, question=replace(QUESTION, measure=measure, smallest=0.05))
        with database.session() as session:
            ready(session, wish)
            begin_block(session, WISH.id, number=1, set_id=set_id(1), on=DAY, who="coach")
            record_shots(session, set_id(1), shots, who="coach")
            set_measures(session, ids[0], {"stance turn": (0.3, 0.02)})
            (one,) = collect(session, view_trial(session, WISH.id)).results
            remove_player(session, PLAYER.id, who="coach")
        assert one.along is not None and one.along_sd is not None
        assert one.across is not None and one.value is not None
        np.testing.assert_allclose(one.along[:2], [0.06, -0.10])
        np.testing.assert_allclose(one.along_sd[:2], [0.02, 0.05])
        np.testing.assert_allclose(one.across[:2], [-0.02, 0.03])
        assert np.isnan(one.along[2:]).all()
        assert np.isnan(one.value[1:]).all()
        assert one.camera == str(UUID(int=5))
        # a free throw released at 52° comes down at about 45°: known motion, no air drawn on
        assert one.value[0] == (pytest.approx(0.79, abs=0.06) if value is None else value)


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
