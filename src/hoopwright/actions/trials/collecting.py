"""From the sets of a trial to what its verdict is read from."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

import numpy as np
from sqlalchemy.orm import Session

from hoopwright.actions.films import body_of
from hoopwright.actions.trials.views import TrialView
from hoopwright.chart.film_measures import entry_angles
from hoopwright.records import Purpose, Shot, ShotSet, Spot
from hoopwright.store import workouts
from hoopwright.trials.nouns import BlockResult, BodyMeasure, EarlierTest, Floats, Measure

#: a set this near to one of the trial's spots was shot from there [m]
SAME_PLACE = 0.5
#: places of the variances of along and across in the covariance of a release, row by row
_ALONG, _ACROSS = 18, 24

#: values and their errors, float64 [shot] each
Pair = tuple[Floats, Floats]
#: shot id → name → value and error, as ``films.body_of`` gives them
Bodies = Mapping[UUID, Mapping[str, tuple[float, float]]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Collected:
    """What a verdict is read from."""

    #: blocks that are over, in the order of the plan
    results: tuple[BlockResult, ...]
    #: how the habit did before the trial, day by day
    earlier: tuple[EarlierTest, ...]


def collect(session: Session, view: TrialView) -> Collected:
    """Return the results of a trial's blocks that are over, and how the habit did before.

    Shots beyond those planned for a block, and blocks shot after the stop date, are left out: how
    many count was settled before.
    """
    visits = workouts.list_workouts(session, view.player.id)
    sets = {one.id: (visit.day, one) for visit in visits for one in visit.sets}
    begun = {b.begun.set_id: b for b in view.blocks if b.begun is not None}
    days = [sets[set_id][0] for set_id in begun]
    habit = [(day, one) for day, one in sets.values() if one.id not in begun]
    return Collected(
        results=_results(session, view, sets),
        earlier=earlier_tests(
            habit, view.trial.plan.question.spots, before=min([view.trial.plan.start, *days])
        ),
    )


def earlier_tests(
    sets: Sequence[tuple[date, ShotSet]], spots: Sequence[Spot], *, before: date
) -> tuple[EarlierTest, ...]:
    """Return what the habit made from some spots on each day before one, oldest first.

    Parameters
    ----------
    sets
        Sets of one player with their days; drills and sets that stop on makes are left out.
    spots
        Where from.
    before
        Days from this one on are left out.
    """
    shots: dict[date, list[Shot]] = {}
    for day, one in sets:
        if day < before and _is_habit(one) and is_near(one.spot, spots):
            shots.setdefault(day, []).extend(one.shots)
    return tuple(
        EarlierTest(day=day, made=sum(s.made for s in some), shots=len(some))
        for day, some in sorted(shots.items())
        if some
    )


def _is_habit(one: ShotSet) -> bool:
    return not one.condition and not one.stops_on_makes and one.purpose is not Purpose.DRILL


def is_near(spot: Spot, spots: Sequence[Spot]) -> bool:
    """Tell whether a spot is one of some, or near enough to count as it."""
    return any(math.hypot(spot.x - s.x, spot.y - s.y) <= SAME_PLACE for s in spots)


def _results(
    session: Session, view: TrialView, sets: Mapping[UUID, tuple[date, ShotSet]]
) -> tuple[BlockResult, ...]:
    measure = view.trial.plan.question.measure
    found = []
    for one in view.blocks:
        if not one.done or one.begun is None:
            continue
        day, shot_set = sets[one.begun.set_id]
        if view.trial.stop_day is not None and day > view.trial.stop_day:
            continue
        shots = shot_set.shots[: one.block.total]
        values = _values(session, shot_set, shots, measure)
        found.append(_result(one.block.number, day, shot_set, shots=shots, values=values))
    return tuple(found)


def _result(
    number: int, day: date, one: ShotSet, *, shots: Sequence[Shot], values: Pair | None
) -> BlockResult:
    along = _pairs([_landed(shot, "along", _ALONG) for shot in shots])
    across = _pairs([_landed(shot, "across", _ACROSS) for shot in shots])
    cameras = {str(s.release.camera) for s in shots if s.release and s.release.camera}
    return BlockResult(
        block=number,
        day=day,
        made=np.array([shot.made for shot in shots], bool),
        along=along[0],
        along_sd=along[1],
        across=across[0],
        across_sd=across[1],
        value=None if values is None else values[0],
        value_sd=None if values is None else values[1],
        spot=one.spot,
        ball_size=one.ball_size,
        ring_height=one.ring_height,
        camera=" ".join(sorted(cameras)),
        stops_on_makes=one.stops_on_makes,
    )


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


def _body(found: Bodies, shots: Sequence[Shot], name: str) -> Pair:
    nothing = (math.nan, math.nan)
    return _pairs([found.get(shot.id, {}).get(name, nothing) for shot in shots])


def _entry(one: ShotSet, shots: Sequence[Shot]) -> Pair:
    values = np.full((len(shots), 2), np.nan)
    filmed = [i for i, shot in enumerate(shots) if shot.release is not None]
    releases = [shot.release for shot in shots if shot.release is not None]
    if filmed:
        found = entry_angles(releases, ball_size=one.ball_size, ring_height=one.ring_height)
        values[filmed] = np.column_stack([found.value, found.sd])
    return values[:, 0], values[:, 1]


def _pairs(rows: Sequence[tuple[float, float]]) -> Pair:
    values = np.array(rows, np.float64).reshape(-1, 2)
    return values[:, 0], values[:, 1]
