"""From the sets of a trial to what its verdict is read from."""

import math
from collections.abc import Mapping, Sequence
from datetime import date
from uuid import UUID

import numpy as np
from sqlalchemy.orm import Session

from hoopwright.actions.films import body_of
from hoopwright.actions.trials.views import TrialView
from hoopwright.chart.film_measures import entry_angles
from hoopwright.records import Purpose, Shot, ShotSet, Spot, Workout
from hoopwright.store import workouts
from hoopwright.trials.nouns import (
    BlockResult,
    BodyMeasure,
    EarlierTest,
    Floats,
    Measure,
    TrialPlan,
)

#: a set this near to one of the trial's spots was shot from there [m]
SAME_PLACE = 0.5
#: places of along and across in the covariance of a release, row by row
_ALONG, _ACROSS = 18, 24

#: values and their errors, float64 [shot] each
Pair = tuple[Floats, Floats]


def results_of(session: Session, view: TrialView) -> list[BlockResult]:
    """Return the results of the blocks that are over, in the order of the plan.

    Shots beyond those planned for a block, and blocks shot after the stop date, are left out: how
    many count was settled before.
    """
    visits = workouts.list_workouts(session, view.player.id)
    sets = {one.id: (visit, one) for visit in visits for one in visit.sets}
    over = [one for one in view.blocks if one.done and one.begun is not None]
    found = []
    for one in over:
        assert one.begun is not None
        visit, shot_set = sets[one.begun.set_id]
        if view.trial.stop_day is None or visit.day <= view.trial.stop_day:
            counted = shot_set.shots[: one.block.total]
            found.append(
                _result(
                    session,
                    one.block.number,
                    shot_set,
                    counted,
                    plan=view.trial.plan,
                    day=visit.day,
                )
            )
    return found


def earlier_tests(session: Session, view: TrialView) -> list[EarlierTest]:
    """Return how the habit did before the trial, day by day, from the trial's spots."""
    spots = view.trial.plan.question.spots
    first = min((b.begun.begun_at.date() for b in view.blocks if b.begun), default=None)
    start = view.trial.plan.start if first is None else min(first, view.trial.plan.start)
    tests = []
    for visit in workouts.list_workouts(session, view.player.id):
        if visit.day < start:
            shots = [shot for one in _habit(visit, spots) for shot in one.shots]
            if shots:
                made = sum(shot.made for shot in shots)
                tests.append(EarlierTest(day=visit.day, made=made, shots=len(shots)))
    return tests


def _habit(visit: Workout, spots: Sequence[Spot]) -> list[ShotSet]:
    return [
        one
        for one in visit.sets
        if not one.condition
        and not one.stops_on_makes
        and one.purpose is not Purpose.DRILL
        and any(math.hypot(one.spot.x - s.x, one.spot.y - s.y) <= SAME_PLACE for s in spots)
    ]


def _result(
    session: Session,
    number: int,
    one: ShotSet,
    shots: Sequence[Shot],
    *,
    plan: TrialPlan,
    day: date,
) -> BlockResult:
    value = _values(session, one, shots, plan.question.measure)
    along, across = _along(shots), _across(shots)
    cameras = {str(s.release.camera) for s in shots if s.release and s.release.camera}
    return BlockResult(
        block=number,
        day=day,
        made=np.array([shot.made for shot in shots], bool),
        along=along[0],
        along_sd=along[1],
        across=across[0],
        across_sd=across[1],
        value=None if value is None else value[0],
        value_sd=None if value is None else value[1],
        spot=one.spot,
        ball_size=one.ball_size,
        ring_height=one.ring_height,
        camera=" ".join(sorted(cameras)),
        stops_on_makes=one.stops_on_makes,
    )


def _along(shots: Sequence[Shot]) -> Pair:
    return _pairs([_landed(shot, "along", _ALONG) for shot in shots])


def _across(shots: Sequence[Shot]) -> Pair:
    return _pairs([_landed(shot, "across", _ACROSS) for shot in shots])


def _landed(shot: Shot, name: str, place: int) -> tuple[float, float]:
    """Return where a shot came down: as filmed, else as tapped."""
    if shot.release is not None:
        variance = shot.release.covariance[place]
        return getattr(shot.release, name), math.sqrt(max(variance, 0.0))
    if shot.landing is not None:
        return getattr(shot.landing, name), getattr(shot.landing, f"{name}_sd")
    return math.nan, math.nan


def _values(
    session: Session, one: ShotSet, shots: Sequence[Shot], measure: Measure | BodyMeasure
) -> Pair | None:
    if isinstance(measure, BodyMeasure):
        return _body(body_of(session, [shot.id for shot in shots]), shots, measure.name)
    return _entry(one, shots) if measure is Measure.ENTRY_ANGLE else None


def _body(
    found: Mapping[UUID, Mapping[str, tuple[float, float]]], shots: Sequence[Shot], name: str
) -> Pair:
    nothing = (math.nan, math.nan)
    return _pairs([found.get(shot.id, {}).get(name, nothing) for shot in shots])


def _entry(one: ShotSet, shots: Sequence[Shot]) -> Pair:
    values = np.full((len(shots), 2), np.nan)
    filmed = [i for i, shot in enumerate(shots) if shot.release is not None]
    releases = [r for shot in shots if (r := shot.release) is not None]
    if filmed:
        found = entry_angles(releases, ball_size=one.ball_size, ring_height=one.ring_height)
        values[filmed] = np.column_stack([found.value, found.sd])
    return values[:, 0], values[:, 1]


def _pairs(rows: Sequence[tuple[float, float]]) -> Pair:
    values = np.array(rows, np.float64).reshape(-1, 2)
    return values[:, 0], values[:, 1]
