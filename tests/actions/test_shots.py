"""Workouts, sets and shots: nothing doubled, nothing lost, every change kept."""

import json
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import date
from math import inf, nan
from uuid import uuid4

import pytest
from sqlalchemy import update
from tests.actions.workout_material import PLAYER, SET, WORKOUT, ready, shot

from hoopwright.actions.people import add_player, remove_player
from hoopwright.actions.sameness import same_shot
from hoopwright.actions.shots import (
    add_set,
    change_set,
    change_workout,
    chart_of,
    correct_shot,
    edits_of,
    get_set,
    get_workout,
    list_workouts,
    record_shots,
    remove_set,
    remove_shot,
    remove_workout,
    start_workout,
    undo_last,
)
from hoopwright.errors import BadInput, Conflict, HoopwrightError, NotFound
from hoopwright.records import (
    Half,
    Landing,
    MeasuredRelease,
    Miss,
    MissDetail,
    Purpose,
    Shot,
    Spot,
)
from hoopwright.store.engine import Database
from hoopwright.store.tables import edits


def test_every_field_of_a_shot_comes_back(database: Database) -> None:
    covariance = tuple(1e-3 if i % 6 == 0 else 1e-5 for i in range(25))
    full = (
        replace(shot(), half=Half.BACK),
        shot(Miss.SHORT, Miss.LEFT),
        replace(
            shot(Miss.LONG),
            landing=Landing(along=0.31, across=-0.02, along_sd=0.05, across_sd=0.04),
            release=MeasuredRelease(
                speed=7.3, angle=0.9, direction=-0.01, height=2.1,
                along=0.3, across=-0.02, covariance=covariance,
            ),
        ),
        replace(
            shot(),
            release=MeasuredRelease(
                speed=7.3, angle=0.9, direction=-0.01, height=2.1, along=0.3, across=-0.02,
                covariance=covariance, shared=tuple(2.0 * c for c in covariance), camera=uuid4(),
            ),
        ),
        shot(made=False),
        replace(shot(), feel=0.0),
    )  # fmt: skip
    one = replace(
        SET, condition="higher finish", ball_size=6, ring_height=2.75, miss_detail=MissDetail.TWO,
        ordered=False, stops_on_makes=True, purpose=Purpose.RETENTION_TEST, shots=full,
    )  # fmt: skip
    whole = replace(WORKOUT, note="after school", sets=(one,))
    with database.session() as session:
        add_player(session, PLAYER, who="coach")
        assert start_workout(session, whole, who="coach") == whole
    with database.reading() as session:
        assert get_workout(session, WORKOUT.id) == whole
        assert list_workouts(session, PLAYER.id) == [whole]
        chart = chart_of(session, PLAYER.id)
    assert (chart.player, chart.sets, chart.year) == (PLAYER, (one,), 2026)
    assert chart.days == ((WORKOUT.id, WORKOUT.day),)


def test_the_order_of_two_directions_does_not_matter(database: Database) -> None:
    diagonal = shot(Miss.LEFT, Miss.SHORT)
    with database.session() as session:
        ready(session, replace(SET, miss_detail=MissDetail.TWO))
        assert record_shots(session, SET.id, [diagonal], who="coach") == 1
        assert record_shots(session, SET.id, [diagonal], who="coach") == 0
        assert get_set(session, SET.id).shots[0].miss == (Miss.SHORT, Miss.LEFT)


def test_sent_twice_changes_nothing(database: Database) -> None:
    shots = [shot(), shot(Miss.SHORT), shot()]
    for expected in (3, 0):
        with database.session() as session:
            ready(session)
            assert record_shots(session, SET.id, shots, who="coach") == expected
    with database.session() as session:
        assert record_shots(session, SET.id, [*shots[1:], shot(), shots[0]], who="coach") == 1
        assert [s.id for s in get_set(session, SET.id).shots[:3]] == [s.id for s in shots]
        assert len(edits_of(session, shots[0].id)) == len(edits_of(session, SET.id)) == 1


def test_one_sending_from_many_at_once_counts_once(database: Database) -> None:
    """Two tabs, or a phone that lost patience: the same shots and others of the same set."""
    shared, own = [shot(), shot(Miss.LONG)], [shot() for _ in range(6)]
    with database.session() as session:
        ready(session)

    def send(one: Shot) -> None:
        with database.session() as session:
            record_shots(session, SET.id, [*shared, one], who="coach")

    with ThreadPoolExecutor(6) as pool:
        list(pool.map(send, own))
    with database.reading() as session:
        stored = get_set(session, SET.id).shots
    assert len(stored) == len(set(stored)) == 8
    assert {s.id for s in stored} == {s.id for s in (*shared, *own)}


def test_one_shot_twice_in_one_sending_counts_once(database: Database) -> None:
    one = shot()
    with database.session() as session:
        ready(session)
        assert record_shots(session, SET.id, [one, one], who="coach") == 1


def test_same_id_with_other_content_is_a_conflict(database: Database) -> None:
    one = shot()
    other_set = replace(SET, id=uuid4())
    with database.session() as session:
        ready(session)
        add_set(session, other_set, who="coach")
        record_shots(session, SET.id, [one], who="coach")
    for set_id, sent in ((SET.id, replace(one, made=False)), (other_set.id, one)):
        with pytest.raises(Conflict), database.session() as session:
            record_shots(session, set_id, [shot(), sent], who="coach")
    with database.reading() as session:
        assert get_set(session, SET.id).shots == (one,)
        assert get_set(session, other_set.id).shots == ()


def test_conflicts_of_workouts_and_sets(database: Database) -> None:
    with database.session() as session:
        ready(session)
    with pytest.raises(Conflict), database.session() as session:
        start_workout(session, replace(WORKOUT, day=date(2026, 11, 3)), who="coach")
    with pytest.raises(Conflict), database.session() as session:
        add_set(session, replace(SET, condition="other"), who="coach")


def test_undo_takes_the_last_and_a_late_resend_does_not_bring_it_back(database: Database) -> None:
    shots = [shot(), shot(Miss.LONG)]
    with database.session() as session:
        ready(session)
        record_shots(session, SET.id, shots, who="coach")
    with database.session() as session:
        assert undo_last(session, SET.id, who="coach") == shots[1]
        assert record_shots(session, SET.id, shots, who="coach") == 0
        assert get_set(session, SET.id).shots == (shots[0],)
        after = shot()
        record_shots(session, SET.id, [after], who="coach")
        assert get_set(session, SET.id).shots == (shots[0], after)
        last = edits_of(session, shots[1].id)[-1]
    assert (last.what, json.loads(last.before)["miss"]) == ("remove", ["long"])


def test_undo_with_nothing_to_undo(database: Database) -> None:
    with pytest.raises(NotFound, match="no shot to undo"), database.session() as session:
        ready(session)
        undo_last(session, SET.id, who="coach")


def test_any_shot_can_be_removed(database: Database) -> None:
    shots = [shot(), shot(), shot()]
    with database.session() as session:
        ready(session)
        record_shots(session, SET.id, shots, who="coach")
        remove_shot(session, shots[1].id, who="coach")
        assert get_set(session, SET.id).shots == (shots[0], shots[2])


def test_correction_keeps_place_and_before_and_bears_a_late_resend(database: Database) -> None:
    shots = [shot(), shot(Miss.LONG), shot()]
    right = replace(shots[1], miss=(Miss.SHORT,))
    with database.session() as session:
        ready(session)
        record_shots(session, SET.id, shots, who="coach")
        correct_shot(session, right, who="assistant")
        correct_shot(session, right, who="assistant")
        assert record_shots(session, SET.id, shots, who="coach") == 0
        assert get_set(session, SET.id).shots == (shots[0], right, shots[2])
        added, changed = edits_of(session, right.id)
    assert (added.what, changed.what, changed.who) == ("add", "change", "assistant")
    assert json.loads(changed.before)["miss"] == ["long"]


def test_a_feel_is_part_of_a_shot_and_can_be_corrected(database: Database) -> None:
    said, unsaid = replace(shot(), feel=8.0), shot()
    with database.session() as session:
        ready(session)
        record_shots(session, SET.id, [said, unsaid], who="coach")
        with pytest.raises(Conflict):
            record_shots(session, SET.id, [replace(said, feel=3.0)], who="coach")
        correct_shot(session, replace(unsaid, feel=3.0), who="coach")
        assert record_shots(session, SET.id, [said, unsaid], who="coach") == 0
        assert [s.feel for s in get_set(session, SET.id).shots] == [8.0, 3.0]


def test_a_correction_logged_before_there_was_a_feel_bears_a_resend(database: Database) -> None:
    first = shot()
    with database.session() as session:
        ready(session)
        record_shots(session, SET.id, [first], who="coach")
        correct_shot(session, replace(first, half=Half.BACK), who="coach")
        logged = json.loads(edits_of(session, first.id)[-1].before)
        del logged["feel"]
        older = update(edits).where(edits.c.what == "change").values(before=json.dumps(logged))
        session.execute(older)
        assert record_shots(session, SET.id, [first], who="coach") == 0


def test_a_shot_of_another_camera_is_another_shot() -> None:
    covariance = tuple(1e-3 if i % 6 == 0 else 0.0 for i in range(25))
    known = MeasuredRelease(
        speed=7.3, angle=0.9, direction=0.0, height=2.1, along=0.0, across=0.0,
        covariance=covariance, shared=covariance, camera=uuid4(),
    )  # fmt: skip
    one = replace(shot(), release=known)
    assert known.total[0] == 2e-3
    assert same_shot(one, replace(one, release=replace(known, shared=tuple(covariance))))
    for other in (replace(known, shared=()), replace(known, camera=uuid4())):
        assert not same_shot(one, replace(one, release=other))
    with pytest.raises(BadInput, match="25 numbers"):
        replace(known, shared=(1e-3,))


def test_correcting_away_a_measured_release(database: Database) -> None:
    covariance = tuple(1e-3 if i % 6 == 0 else 0.0 for i in range(25))
    filmed = replace(
        shot(),
        release=MeasuredRelease(
            speed=7.3, angle=0.9, direction=0.0, height=2.1,
            along=0.0, across=0.0, covariance=covariance,
        ),
    )  # fmt: skip
    with database.session() as session:
        ready(session)
        record_shots(session, SET.id, [filmed], who="coach")
        correct_shot(session, replace(filmed, release=None), who="coach")
        assert get_set(session, SET.id).shots[0].release is None


@pytest.mark.parametrize(
    "bad",
    [
        replace(shot(), landing=Landing(along=12.0, across=0.0, along_sd=0.05, across_sd=0.05)),
        replace(shot(), landing=Landing(along=0.1, across=0.0, along_sd=5.0, across_sd=0.05)),
        replace(
            shot(),
            release=MeasuredRelease(
                speed=nan, angle=0.9, direction=0.0, height=2.1,
                along=0.0, across=0.0, covariance=(1.0,) * 25,
            ),
        ),
        replace(
            shot(),
            release=MeasuredRelease(
                speed=73.0, angle=0.9, direction=0.0, height=2.1,
                along=0.0, across=0.0, covariance=(1.0,) * 25,
            ),
        ),
        replace(
            shot(),
            release=MeasuredRelease(
                speed=7.3, angle=0.9, direction=0.0, height=2.1,
                along=0.0, across=0.0, covariance=(0.0,) * 25,
            ),
        ),
        replace(
            shot(),
            release=MeasuredRelease(
                speed=7.3, angle=0.9, direction=0.0, height=2.1, along=0.0, across=0.0,
                covariance=tuple(1.0 if i % 6 == 0 else 0.0 for i in range(25)),
                shared=(-1e-3,) * 25,
            ),
        ),
        shot(Miss.SHORT, Miss.LEFT),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_whole(database: Database, bad: Shot) -> None:
    with database.session() as session:
        ready(session)
    with pytest.raises(BadInput), database.session() as session:
        record_shots(session, SET.id, [shot(), bad], who="coach")
    with database.reading() as session:
        assert get_set(session, SET.id).shots == ()


@pytest.mark.parametrize(
    ("detail", "miss", "taken"),
    [
        (MissDetail.NONE, (), True),
        (MissDetail.NONE, (Miss.SHORT,), False),
        (MissDetail.ALONG, (Miss.LONG,), True),
        (MissDetail.ALONG, (Miss.LEFT,), False),
        (MissDetail.ONE, (Miss.LEFT,), True),
        (MissDetail.ONE, (Miss.LONG, Miss.LEFT), False),
        (MissDetail.TWO, (Miss.LONG, Miss.LEFT), True),
    ],
)
def test_a_miss_says_no_more_than_its_set_notes(
    database: Database, detail: MissDetail, miss: tuple[Miss, ...], taken: bool
) -> None:
    with database.session() as session:
        ready(session, replace(SET, miss_detail=detail))
        one = shot(*miss, made=False)
        if taken:
            assert record_shots(session, SET.id, [one], who="coach") == 1
        else:
            with pytest.raises(BadInput) as caught:
                record_shots(session, SET.id, [one], who="coach")
            assert caught.value.field == "miss"


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"spot": Spot(name="far", x=0.0, y=40.0)}, "spot"),
        ({"spot": Spot(name="nowhere", x=nan, y=4.0)}, "spot"),
        ({"spot": Spot(name="hidden", x=0.0, y=-1.2)}, "spot"),
        ({"spot": Spot(name=" ", x=0.0, y=4.0)}, "spot"),
        ({"ball_size": 9}, "ball_size"),
        ({"ring_height": inf}, "ring_height"),
        ({"ring_height": -3.05}, "ring_height"),
        ({"condition": "x" * 81}, "condition"),
        ({"position": -1}, None),
        ({"position": 2**40}, None),
    ],
)
def test_a_bad_set_is_refused_and_its_field_named(
    database: Database, change: dict[str, object], field: str | None
) -> None:
    with pytest.raises(BadInput) as caught, database.session() as session:
        ready(session, replace(SET, **change))  # type: ignore[arg-type]
    assert caught.value.field == field


def test_a_set_whose_place_is_taken_goes_to_the_end(database: Database) -> None:
    late = replace(SET, id=uuid4())
    with database.session() as session:
        ready(session)
        assert add_set(session, late, who="coach").position == 1
        assert add_set(session, late, who="coach").position == 1
        inside = get_workout(session, WORKOUT.id).sets
    assert [one.id for one in inside] == [SET.id, late.id]


def test_change_of_a_set_is_checked_against_its_shots(database: Database) -> None:
    with database.session() as session:
        ready(session)
        record_shots(session, SET.id, [shot(Miss.LEFT)], who="coach")
        changed = change_set(session, replace(SET, condition="slower"), who="coach")
        assert get_set(session, SET.id) == changed
        assert changed.condition == "slower"
        assert len(changed.shots) == 1
        with pytest.raises(BadInput, match="side"):
            change_set(session, replace(SET, miss_detail=MissDetail.ALONG), who="coach")


def test_change_of_a_workout(database: Database) -> None:
    with database.session() as session:
        ready(session)
        change_workout(session, replace(WORKOUT, day=date(2026, 11, 3), note="moved"), who="coach")
        after = get_workout(session, WORKOUT.id)
        before = json.loads(edits_of(session, WORKOUT.id)[-1].before)
    assert (after.day, after.note, len(after.sets)) == (date(2026, 11, 3), "moved", 1)
    assert before["day"] == "2026-11-02"


@pytest.mark.parametrize("day", [date(1, 1, 1), date(1949, 12, 31), date(9999, 1, 1)])
def test_a_day_that_cannot_be(database: Database, day: date) -> None:
    with database.session() as session:
        ready(session)
        for act in (start_workout, change_workout):
            with pytest.raises(BadInput) as caught:
                act(session, replace(WORKOUT, day=day), who="coach")
            assert caught.value.field == "day"


def test_removing_takes_everything_inside_and_keeps_it_in_the_log(database: Database) -> None:
    with database.session() as session:
        ready(session)
        record_shots(session, SET.id, [shot(), shot()], who="coach")
        remove_set(session, SET.id, who="coach")
        assert get_workout(session, WORKOUT.id).sets == ()
        assert len(json.loads(edits_of(session, SET.id)[-1].before)["shots"]) == 2
        add_set(session, SET, who="coach")
        remove_workout(session, WORKOUT.id, who="coach")
        assert list_workouts(session, PLAYER.id) == []
        assert len(json.loads(edits_of(session, WORKOUT.id)[-1].before)["sets"]) == 1
        start_workout(session, WORKOUT, who="coach")
        remove_player(session, PLAYER.id, who="coach")
        with pytest.raises(NotFound):
            get_workout(session, WORKOUT.id)


def test_chart_without_shots_is_empty(database: Database) -> None:
    with database.session() as session:
        ready(session)
        chart = chart_of(session, PLAYER.id)
    assert (chart.sets, chart.year, chart.days) == ((), None, ())


def test_unknown_ids_are_not_found(database: Database) -> None:
    nobody = uuid4()
    with database.session() as session:
        for ask in (
            lambda: get_workout(session, nobody),
            lambda: list_workouts(session, nobody),
            lambda: get_set(session, nobody),
            lambda: chart_of(session, nobody),
            lambda: start_workout(session, WORKOUT, who="coach"),
            lambda: add_set(session, SET, who="coach"),
            lambda: record_shots(session, nobody, [], who="coach"),
            lambda: correct_shot(session, shot(), who="coach"),
            lambda: remove_shot(session, nobody, who="coach"),
            lambda: remove_set(session, nobody, who="coach"),
            lambda: remove_workout(session, nobody, who="coach"),
        ):
            with pytest.raises(NotFound):
                ask()


def test_any_error_undoes_the_whole_transaction(database: Database) -> None:
    with pytest.raises(HoopwrightError), database.session() as session:
        ready(session)
        record_shots(session, SET.id, [shot()], who="coach")
        undo_last(session, uuid4(), who="coach")
    with database.reading() as session, pytest.raises(NotFound):
        get_workout(session, WORKOUT.id)
