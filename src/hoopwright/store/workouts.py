"""Workouts and their sets in the database; the shots are in :mod:`hoopwright.store.shots`."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date
from typing import Any
from uuid import UUID

from sqlalchemy import Row, Select, delete, func, insert, select, update
from sqlalchemy.orm import Session

from hoopwright.errors import NotFound
from hoopwright.records import MissDetail, Purpose, ShotSet, Spot, Workout
from hoopwright.store.batches import batches
from hoopwright.store.shots import ShotsBySet, shots_by_set
from hoopwright.store.tables import sets, workouts
from hoopwright.store.tables import shots as shots_table


def get_workout(session: Session, workout_id: UUID) -> Workout:
    """Return one workout with its sets and shots.

    Raises
    ------
    NotFound
        There is no such workout.
    """
    found = _with_sets(session, select(workouts).where(workouts.c.id == workout_id))
    if not found:
        raise NotFound("That workout is not in the store; it may have been removed.")
    return found[0]


def list_workouts(session: Session, player_id: UUID) -> list[Workout]:
    """Return a player's workouts with sets and shots, oldest first."""
    asked = select(workouts).where(workouts.c.player_id == player_id)
    return _with_sets(session, asked.order_by(workouts.c.day, workouts.c.id))


def owners(session: Session, workout_ids: Sequence[UUID]) -> dict[UUID, UUID]:
    """Return those of some workouts that are stored, as workout id → player id."""
    asked = select(workouts.c.id, workouts.c.player_id)
    found: dict[UUID, UUID] = {}
    for ids in batches(workout_ids):
        for workout_id, player_id in session.execute(asked.where(workouts.c.id.in_(ids))):
            found[workout_id] = player_id
    return found


def shots_by_day(session: Session, player_id: UUID, *, since: date) -> dict[date, int]:
    """Return how many shots were charted of a player on each day from one on."""
    inside = shots_table.join(sets, sets.c.id == shots_table.c.set_id).join(workouts)
    asked = select(workouts.c.day, func.count()).select_from(inside)
    asked = asked.where(workouts.c.player_id == player_id, workouts.c.day >= since)
    return {day: count for day, count in session.execute(asked.group_by(workouts.c.day))}


def workout_on(session: Session, player_id: UUID, day: date) -> UUID | None:
    """Return the id of a player's workout of a day, the first where there are several."""
    asked = select(workouts.c.id).where(workouts.c.player_id == player_id, workouts.c.day == day)
    return session.scalars(asked.order_by(workouts.c.id).limit(1)).one_or_none()


def add_workouts(session: Session, new: Sequence[Workout]) -> None:
    """Add the rows of workouts; their sets are added apart."""
    if new:
        session.execute(insert(workouts), [_workout_row(one) for one in new])


def set_workout(session: Session, workout: Workout) -> None:
    """Write a workout's row anew; its sets stay as they are."""
    row = _workout_row(workout)
    session.execute(update(workouts).where(workouts.c.id == workout.id).values(row))


def delete_workout(session: Session, workout_id: UUID) -> None:
    """Delete a workout with its sets and shots."""
    session.execute(delete(workouts).where(workouts.c.id == workout_id))


def get_set(session: Session, set_id: UUID, *, lock: bool = False) -> ShotSet:
    """Return one set with its shots.

    Parameters
    ----------
    lock
        Make other writers of this set wait until this transaction ends.

    Raises
    ------
    NotFound
        There is no such set.
    """
    asked = select(sets).where(sets.c.id == set_id)
    row = session.execute(asked.with_for_update() if lock else asked).one_or_none()
    if row is None:
        raise NotFound("That set is not in the store; it may have been removed.")
    return _set_from_row(row, shots_by_set(session, asked.with_only_columns(sets.c.id)))


def owner_of(session: Session, workout_id: UUID) -> UUID:
    """Return the id of the player whose workout it is.

    Raises
    ------
    NotFound
        There is no such workout.
    """
    asked = select(workouts.c.player_id).where(workouts.c.id == workout_id)
    owner: UUID | None = session.scalars(asked).one_or_none()
    if owner is None:
        raise NotFound("That workout is not in the store; it may have been removed.")
    return owner


def known_sets(session: Session, set_ids: Sequence[UUID]) -> set[UUID]:
    """Return those of some set ids that are stored."""
    found: set[UUID] = set()
    for ids in batches(set_ids):
        found.update(session.scalars(select(sets.c.id).where(sets.c.id.in_(ids))))
    return found


def taken_positions(session: Session, workout_ids: set[UUID]) -> dict[UUID, set[int]]:
    """Return the places that are taken in some workouts, by the workout's id."""
    taken: dict[UUID, set[int]] = {}
    asked = select(sets.c.workout_id, sets.c.position)
    for ids in batches(sorted(workout_ids)):
        for workout_id, position in session.execute(asked.where(sets.c.workout_id.in_(ids))):
            taken.setdefault(workout_id, set()).add(position)
    return taken


def add_sets(session: Session, new: Sequence[ShotSet]) -> None:
    """Add the rows of sets; their shots are added apart."""
    if new:
        session.execute(insert(sets), [_set_row(one) for one in new])


def set_set(session: Session, shot_set: ShotSet) -> None:
    """Write a set's row anew; its shots stay as they are."""
    session.execute(update(sets).where(sets.c.id == shot_set.id).values(_set_row(shot_set)))


def delete_set(session: Session, set_id: UUID) -> None:
    """Delete a set with its shots."""
    session.execute(delete(sets).where(sets.c.id == set_id))


def _with_sets(session: Session, asked: Select[Any]) -> list[Workout]:
    rows = session.execute(asked).all()
    ids = asked.with_only_columns(workouts.c.id).order_by(None)
    inside = sets.c.workout_id.in_(ids)
    shots = shots_by_set(session, select(sets.c.id).where(inside))
    grouped: dict[UUID, list[ShotSet]] = defaultdict(list)
    for row in session.execute(select(sets).where(inside).order_by(sets.c.position)):
        grouped[row.workout_id].append(_set_from_row(row, shots))
    return [_workout_from_row(row, tuple(grouped[row.id])) for row in rows]


def _workout_row(workout: Workout) -> dict[str, object]:
    return {
        "id": workout.id,
        "player_id": workout.player_id,
        "day": workout.day,
        "note": workout.note,
    }


def _workout_from_row(row: Row[Any], inside: tuple[ShotSet, ...]) -> Workout:
    return Workout(id=row.id, player_id=row.player_id, day=row.day, note=row.note, sets=inside)


def _set_row(one: ShotSet) -> dict[str, object]:
    return {
        "id": one.id,
        "workout_id": one.workout_id,
        "position": one.position,
        "spot": one.spot.name,
        "x": one.spot.x,
        "y": one.spot.y,
        "condition": one.condition,
        "ball_size": one.ball_size,
        "ring_height": one.ring_height,
        "miss_detail": one.miss_detail.value,
        "ordered": one.ordered,
        "stops_on_makes": one.stops_on_makes,
        "purpose": one.purpose.value or None,
    }


def _set_from_row(row: Row[Any], shots: ShotsBySet) -> ShotSet:
    return ShotSet(
        id=row.id, workout_id=row.workout_id, position=row.position,
        spot=Spot(name=row.spot, x=row.x, y=row.y), condition=row.condition,
        ball_size=row.ball_size, ring_height=row.ring_height,
        miss_detail=MissDetail(row.miss_detail), ordered=row.ordered,
        stops_on_makes=row.stops_on_makes, purpose=Purpose(row.purpose or ""),
        shots=tuple(shots.get(row.id, ())),
    )  # fmt: skip
