"""Films, their scenes and marks, what was read from them, and which shots that became."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Row, Select, delete, func, insert, select, update
from sqlalchemy.orm import Session

from hoopwright.errors import NotFound
from hoopwright.records import (
    Film,
    FilmMark,
    FilmState,
    JobState,
    MarkKind,
    StoredScene,
)
from hoopwright.store import jobs
from hoopwright.store.batches import batches
from hoopwright.store.tables import (
    body_measures,
    film_marks,
    film_reads,
    filmed_shots,
    films,
    removed_media,
    scenes,
)
from hoopwright.store.tables import jobs as made_jobs

_STATES = {
    JobState.WAITING: FilmState.MEASURING,
    JobState.RUNNING: FilmState.MEASURING,
    JobState.FAILED: FilmState.FAILED,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredRead:
    """What was read from a film, as text."""

    film_id: UUID
    #: as ``film.written`` writes it
    result: str
    #: file of what was seen in the pictures: ball-like places and body points; or None
    seen_key: str | None
    #: version that read it
    reader: str
    made_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """Which shot of a workout a filmed shot is."""

    filmed_id: UUID
    #: None once somebody took the shot out again
    shot_id: UUID | None
    #: True where the shot was charted by hand before
    charted: bool
    #: what the film said of the result when it was entered
    made: bool


def get_scene(session: Session, scene_id: UUID) -> StoredScene:
    """Return one scene.

    Raises
    ------
    NotFound
        There is no such scene.
    """
    row = session.execute(select(scenes).where(scenes.c.id == scene_id)).one_or_none()
    if row is None:
        raise NotFound("That scene is not in the store; mark the camera place again.")
    return _scene(row)


def list_scenes(session: Session) -> list[StoredScene]:
    """Return all scenes, by gym and place, the newest first of one name."""
    asked = select(scenes).order_by(scenes.c.gym, scenes.c.place, scenes.c.made_at.desc())
    return [_scene(row) for row in session.execute(asked)]


def add_scene(session: Session, scene: StoredScene) -> None:
    """Add a row."""
    session.execute(insert(scenes).values(asdict(scene)))


def set_scene(session: Session, scene: StoredScene) -> None:
    """Write a scene's row anew."""
    session.execute(update(scenes).where(scenes.c.id == scene.id).values(asdict(scene)))


def delete_scene(session: Session, scene_id: UUID) -> None:
    """Delete a scene that no film names."""
    session.execute(delete(scenes).where(scenes.c.id == scene_id))


def films_with(session: Session, scene_id: UUID) -> int:
    """Return how many films name a scene."""
    asked = select(func.count()).select_from(films).where(films.c.scene_id == scene_id)
    return int(session.scalars(asked).one())


def get_film(session: Session, film_id: UUID) -> Film:
    """Return one film.

    Raises
    ------
    NotFound
        There is no such film.
    """
    found = _films(session, select(films).where(films.c.id == film_id))
    if not found:
        raise NotFound("That film is not in the store; it may have been removed.")
    return found[0]


def list_films(session: Session, player_id: UUID) -> list[Film]:
    """Return a player's films, newest first."""
    asked = select(films).where(films.c.player_id == player_id)
    return _films(session, asked.order_by(films.c.added_at.desc(), films.c.id))


def same_film(session: Session, player_id: UUID, sha256: str) -> Film | None:
    """Return the player's film of that content, if there."""
    asked = select(films).where(films.c.player_id == player_id, films.c.sha256 == sha256)
    return next(iter(_films(session, asked)), None)


def add_film(session: Session, film: Film, *, clip: Mapping[str, object]) -> None:
    """Add a row, with what the clip says of itself."""
    session.execute(insert(films).values(_film_row(film) | {"clip": dict(clip)}))


def set_film(session: Session, film: Film) -> None:
    """Write a film's row anew; what the clip says stays."""
    session.execute(update(films).where(films.c.id == film.id).values(_film_row(film)))


def delete_film(session: Session, film_id: UUID) -> None:
    """Delete a film with its marks, reading and jobs; its files are to be removed."""
    remove_media(session, media_of(session, films.c.id == film_id))
    session.execute(delete(films).where(films.c.id == film_id))


def remove_media_of(session: Session, player_id: UUID) -> None:
    """Have the files of all films of a player removed, before the rows go."""
    remove_media(session, media_of(session, films.c.player_id == player_id))


def media_of(session: Session, which: Any) -> list[str]:
    """Return the files of the films that a condition names."""
    reads = select(film_reads.c.seen_key).join(films, films.c.id == film_reads.c.film_id)
    made = select(made_jobs.c.id).join(films, films.c.id == made_jobs.c.film_id)
    keys = [
        *session.scalars(select(films.c.media_key).where(which)),
        *session.scalars(reads.where(which, film_reads.c.seen_key.is_not(None))),
        *map(made_key, session.scalars(made.where(which, made_jobs.c.kind == jobs.MAKE))),
    ]
    return [key for key in keys if key]


def made_key(job_id: UUID) -> str:
    """Return the name of the file that a job makes."""
    return f"{job_id.hex}.made"


def remove_media(session: Session, keys: Sequence[str]) -> None:
    """Note that files are to be removed."""
    if keys:
        session.execute(insert(removed_media), [{"media_key": key} for key in keys])


def media_to_remove(session: Session) -> list[str]:
    """Return the files that are to be removed."""
    return list(session.scalars(select(removed_media.c.media_key)))


def media_removed(session: Session, keys: Sequence[str]) -> None:
    """Forget files that are gone."""
    session.execute(delete(removed_media).where(removed_media.c.media_key.in_(keys)))


def clip_of(session: Session, film_id: UUID) -> dict[str, Any]:
    """Return what a clip says of itself."""
    return dict(session.scalars(select(films.c.clip).where(films.c.id == film_id)).one())


def get_mark(session: Session, mark_id: UUID) -> FilmMark:
    """Return one mark.

    Raises
    ------
    NotFound
        There is no such mark.
    """
    row = session.execute(select(film_marks).where(film_marks.c.id == mark_id)).one_or_none()
    if row is None:
        raise NotFound("That mark is not in the store; it may have been removed.")
    return _mark(row)


def list_marks(session: Session, film_id: UUID) -> list[FilmMark]:
    """Return a film's marks in order of time."""
    asked = select(film_marks).where(film_marks.c.film_id == film_id)
    ordered = asked.order_by(film_marks.c.frame, film_marks.c.kind, film_marks.c.name)
    return [_mark(row) for row in session.execute(ordered)]


def put_mark(session: Session, mark: FilmMark) -> None:
    """Add a mark, or write it anew under its id."""
    session.execute(delete(film_marks).where(film_marks.c.id == mark.id))
    session.execute(insert(film_marks).values(asdict(mark) | {"kind": mark.kind.value}))


def delete_mark(session: Session, mark_id: UUID) -> None:
    """Delete a mark."""
    session.execute(delete(film_marks).where(film_marks.c.id == mark_id))


def stretch_marks(session: Session, film_id: UUID, factor: float) -> None:
    """Multiply the times of a film's marks, when its clock turns out to be another."""
    of_film = update(film_marks).where(film_marks.c.film_id == film_id)
    session.execute(of_film.values(time=film_marks.c.time * factor))


def get_read(session: Session, film_id: UUID) -> StoredRead | None:
    """Return what was read from a film, if it was."""
    asked = select(film_reads).where(film_reads.c.film_id == film_id)
    row = session.execute(asked).one_or_none()
    if row is None:
        return None
    return StoredRead(
        film_id=row.film_id, result=row.result, seen_key=row.seen_key,
        reader=row.reader, made_at=row.made_at,
    )  # fmt: skip


def put_read(session: Session, read: StoredRead) -> None:
    """Store what was read from a film, in place of what was read before."""
    before = get_read(session, read.film_id)
    if before is not None:
        if before.seen_key is not None and before.seen_key != read.seen_key:
            remove_media(session, [before.seen_key])
        session.execute(delete(film_reads).where(film_reads.c.film_id == read.film_id))
    session.execute(insert(film_reads).values(asdict(read)))


def entries_of(session: Session, film_id: UUID) -> dict[UUID, Entry]:
    """Return which shots the filmed shots of a film are, by the filmed shot's id."""
    rows = session.execute(select(filmed_shots).where(filmed_shots.c.film_id == film_id))
    return {
        r.filmed_id: Entry(filmed_id=r.filmed_id, shot_id=r.shot_id, charted=r.charted, made=r.made)
        for r in rows
    }


def add_entries(session: Session, film_id: UUID, entries: Sequence[Entry]) -> None:
    """Note which shots filmed shots are."""
    if entries:
        session.execute(
            insert(filmed_shots), [asdict(one) | {"film_id": film_id} for one in entries]
        )


def delete_entry(session: Session, film_id: UUID, filmed_id: UUID) -> None:
    """Forget which shot a filmed shot was."""
    of_film = filmed_shots.c.film_id == film_id
    session.execute(delete(filmed_shots).where(of_film, filmed_shots.c.filmed_id == filmed_id))


def films_of_shots(session: Session, shot_ids: Sequence[UUID]) -> dict[UUID, UUID]:
    """Return the film of each of some shots that were filmed, by the shot's id."""
    found: dict[UUID, UUID] = {}
    asked = select(filmed_shots.c.shot_id, filmed_shots.c.film_id)
    for ids in batches(shot_ids):
        for shot_id, film_id in session.execute(asked.where(filmed_shots.c.shot_id.in_(ids))):
            found[shot_id] = film_id
    return found


#: name → (value, error that differs from shot to shot, one standard deviation), SI
Measures = Mapping[str, tuple[float, float]]


def set_measures(session: Session, shot_id: UUID, measures: Measures) -> None:
    """Store a shot's body measures in place of those before."""
    session.execute(delete(body_measures).where(body_measures.c.shot_id == shot_id))
    rows = [
        {"shot_id": shot_id, "name": name, "value": value, "sd": sd}
        for name, (value, sd) in measures.items()
    ]
    if rows:
        session.execute(insert(body_measures), rows)


def measures_of(session: Session, shot_ids: Sequence[UUID]) -> dict[UUID, Measures]:
    """Return the body measures of those of some shots that have any, by the shot's id."""
    found: dict[UUID, dict[str, tuple[float, float]]] = {}
    for ids in batches(shot_ids):
        asked = select(body_measures).where(body_measures.c.shot_id.in_(ids))
        for row in session.execute(asked):
            found.setdefault(row.shot_id, {})[row.name] = (row.value, row.sd)
    return dict(found)


def _films(session: Session, asked: Select[Any]) -> list[Film]:
    rows = session.execute(asked).all()
    ids = [row.id for row in rows]
    last = jobs.latest_of(session, ids)
    read = set(session.scalars(select(film_reads.c.film_id).where(film_reads.c.film_id.in_(ids))))
    return [_film(row, _state(last.get(row.id), row.id in read)) for row in rows]


def _state(job: Any, read: bool) -> FilmState:
    at_rest = FilmState.MEASURED if read else FilmState.NEW
    return at_rest if job is None else _STATES.get(job.state, at_rest)


def _film_row(film: Film) -> dict[str, object]:
    row = asdict(film)
    del row["state"]
    return row


def _film(row: Row[Any], state: FilmState) -> Film:
    return Film(
        id=row.id, player_id=row.player_id, workout_id=row.workout_id, set_id=row.set_id,
        scene_id=row.scene_id, file_name=row.file_name, media_key=row.media_key, size=row.size,
        sha256=row.sha256, slowed=row.slowed, state=state, added_at=row.added_at,
    )  # fmt: skip


def _scene(row: Row[Any]) -> StoredScene:
    return StoredScene(
        id=row.id, gym=row.gym, place=row.place, rules=row.rules,
        ring_height=row.ring_height, content=row.content, made_at=row.made_at,
    )  # fmt: skip


def _mark(row: Row[Any]) -> FilmMark:
    return FilmMark(
        id=row.id, film_id=row.film_id, shot_id=row.shot_id, kind=MarkKind(row.kind),
        name=row.name, frame=row.frame, time=row.time, x=row.x, y=row.y, value=row.value,
        who=row.who, at=row.at,
    )  # fmt: skip
