"""Shots in the database."""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import Row, Select, delete, func, insert, select, update
from sqlalchemy.orm import Session

from hoopwright.errors import NotFound
from hoopwright.records import Half, Landing, MeasuredRelease, Miss, Shot
from hoopwright.store.batches import batches
from hoopwright.store.tables import releases, shots

#: the shots of some sets, in order, by the set's id
ShotsBySet = Mapping[UUID, Sequence[Shot]]


def shots_by_set(session: Session, set_ids: Select[tuple[UUID]]) -> ShotsBySet:
    """Return the shots of the sets that a query names, in order."""
    inside = shots.c.set_id.in_(set_ids)
    measured = _releases(session, select(shots.c.id).where(inside))
    found: dict[UUID, list[Shot]] = {}
    asked = select(shots).where(inside).order_by(shots.c.set_id, shots.c.position)
    for row in session.execute(asked):
        found.setdefault(row.set_id, []).append(_from_row(row, measured.get(row.id)))
    return found


def known_shots(session: Session, shot_ids: Sequence[UUID]) -> dict[UUID, tuple[UUID, Shot]]:
    """Return those of some shots that are stored, as shot id → (set id, shot)."""
    found: dict[UUID, tuple[UUID, Shot]] = {}
    for ids in batches(shot_ids):
        inside = shots.c.id.in_(ids)
        measured = _releases(session, select(shots.c.id).where(inside))
        for row in session.execute(select(shots).where(inside)):
            found[row.id] = (row.set_id, _from_row(row, measured.get(row.id)))
    return found


def count_shots(session: Session, set_ids: Sequence[UUID]) -> dict[UUID, int]:
    """Return how many shots some sets have, by the set's id; empty ones are left out."""
    found: dict[UUID, int] = {}
    asked = select(shots.c.set_id, func.count()).group_by(shots.c.set_id)
    for ids in batches(set_ids):
        for set_id, count in session.execute(asked.where(shots.c.set_id.in_(ids))):
            found[set_id] = count
    return found


def get_shot(session: Session, shot_id: UUID) -> tuple[UUID, Shot]:
    """Return the id of the shot's set, and the shot.

    Raises
    ------
    NotFound
        There is no such shot.
    """
    found = known_shots(session, [shot_id])
    if not found:
        raise NotFound("That shot is not in the store; it may have been undone.")
    return found[shot_id]


def append_shots(session: Session, new: Sequence[tuple[UUID, Shot]]) -> None:
    """Add shots at the end of their sets, in the order given, as (set id, shot)."""
    if not new:
        return
    next_place = _next_places(session, {set_id for set_id, _ in new})
    rows = []
    for set_id, shot in new:
        rows.append(_to_row(shot) | {"set_id": set_id, "position": next_place[set_id]})
        next_place[set_id] += 1
    session.execute(insert(shots), rows)
    _add_releases(session, [shot for _, shot in new])


def _next_places(session: Session, set_ids: set[UUID]) -> dict[UUID, int]:
    places = dict.fromkeys(set_ids, 0)
    last = select(shots.c.set_id, func.max(shots.c.position)).group_by(shots.c.set_id)
    for ids in batches(sorted(set_ids)):
        for set_id, position in session.execute(last.where(shots.c.set_id.in_(ids))):
            places[set_id] = position + 1
    return places


def set_shot(session: Session, shot: Shot) -> None:
    """Write a shot anew, at its place."""
    session.execute(update(shots).where(shots.c.id == shot.id).values(_to_row(shot)))
    session.execute(delete(releases).where(releases.c.shot_id == shot.id))
    _add_releases(session, [shot])


def set_order(session: Session, set_id: UUID, shot_ids: Sequence[UUID]) -> None:
    """Put all shots of a set in the order given, where they are not."""
    of_set = shots.c.set_id == set_id
    now = session.scalars(select(shots.c.id).where(of_set).order_by(shots.c.position)).all()
    if list(now) == list(shot_ids):
        return
    # out of the way first: no two shots of a set may share a place on the way
    last = session.scalars(select(func.max(shots.c.position)).where(of_set)).one()
    away = max(int(last), len(shot_ids)) + 1
    session.execute(update(shots).where(of_set).values(position=shots.c.position + away))
    for place, shot_id in enumerate(shot_ids):
        session.execute(update(shots).where(shots.c.id == shot_id).values(position=place))


def delete_shot(session: Session, shot_id: UUID) -> None:
    """Delete one shot."""
    session.execute(delete(shots).where(shots.c.id == shot_id))


def _add_releases(session: Session, new: Sequence[Shot]) -> None:
    rows = [_release_row(shot.id, shot.release) for shot in new if shot.release is not None]
    if rows:
        session.execute(insert(releases), rows)


def _releases(session: Session, ids: Select[tuple[UUID]]) -> dict[UUID, MeasuredRelease]:
    rows = session.execute(select(releases).where(releases.c.shot_id.in_(ids)))
    return {row.shot_id: _release_from_row(row) for row in rows}


def _to_row(shot: Shot) -> dict[str, object]:
    said = {miss.value for miss in shot.miss}
    spot = shot.landing
    return {
        "id": shot.id,
        "made": shot.made,
        "miss_along": next((way for way in ("short", "long") if way in said), None),
        "miss_across": next((way for way in ("left", "right") if way in said), None),
        "half": shot.half and shot.half.value,
        "along": spot and spot.along,
        "across": spot and spot.across,
        "along_sd": spot and spot.along_sd,
        "across_sd": spot and spot.across_sd,
        "feel": shot.feel,
    }


def _from_row(row: Row[Any], release: MeasuredRelease | None) -> Shot:
    return Shot(
        id=row.id,
        made=row.made,
        miss=tuple(Miss(way) for way in (row.miss_along, row.miss_across) if way),
        half=Half(row.half) if row.half else None,
        landing=_landing(row),
        release=release,
        feel=row.feel,
    )


def _landing(row: Row[Any]) -> Landing | None:
    if row.along is None:
        return None
    return Landing(
        along=row.along, across=row.across, along_sd=row.along_sd, across_sd=row.across_sd
    )


def _release_row(shot_id: UUID, release: MeasuredRelease) -> dict[str, object]:
    return {
        "shot_id": shot_id,
        "speed": release.speed,
        "angle": release.angle,
        "direction": release.direction,
        "height": release.height,
        "along": release.along,
        "across": release.across,
        "covariance": list(release.covariance),
        "shared": list(release.shared) or None,
        "camera": release.camera,
    }


def _release_from_row(row: Row[Any]) -> MeasuredRelease:
    return MeasuredRelease(
        speed=row.speed, angle=row.angle, direction=row.direction, height=row.height,
        along=row.along, across=row.across, covariance=tuple(row.covariance),
        shared=tuple(row.shared or ()), camera=row.camera,
    )  # fmt: skip
