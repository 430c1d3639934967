"""What reaches a verdict from the sets of a trial: film, taps, body, the habit before."""

from dataclasses import replace
from datetime import date, timedelta
from uuid import UUID, uuid5

import numpy as np
import pytest
from sqlalchemy.orm import Session
from tests.actions.trial_material import DAY, LINE, PLAYER, QUESTION, WISH, ready, set_id, shoot

from hoopwright.actions.people import remove_player
from hoopwright.actions.shots import (
    list_workouts,
    record_shots,
    start_workout,
)
from hoopwright.actions.trials import (
    begin_block,
    read_trial,
    view_trial,
)
from hoopwright.actions.trials.collecting import collect
from hoopwright.records import (
    Landing,
    MeasuredRelease,
    Purpose,
    Shot,
    ShotSet,
    Workout,
)
from hoopwright.store.engine import Database
from hoopwright.store.films import set_measures
from hoopwright.trials.nouns import (
    Better,
    BodyMeasure,
    Guard,
    Kind,
    Layout,
    Measure,
    Phase,
    Topic,
)


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
