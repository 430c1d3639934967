"""Clips and stills as jobs of the worker: asked for, made once, kept for an hour, cleared away.

A job's id follows from what is asked for and from the reading it shows, so that asking twice makes
it once. Its file goes by the job's id: made again after a worker died, it is the same file.
"""

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID, uuid5

from sqlalchemy.orm import Session

from hoopwright.actions.films.clips import clip_out, side_by_side_out, still_out
from hoopwright.actions.films.kept import path_of
from hoopwright.actions.films.shown import ShotSeen, shot_seen
from hoopwright.errors import BadInput, NotFound
from hoopwright.records import Job, JobState
from hoopwright.store import films as stored
from hoopwright.store import jobs
from hoopwright.store.jobs import MAKE
from hoopwright.store.media import Media

#: how long what was made is kept
KEPT_FOR = timedelta(hours=1)
NOT_KEPT = "That clip is not kept any more; make it again."
OTHER_PLAYER = "That shot is another player's; choose one of this player."

#: told how far it is, 0 to 1, and what is being done
Progress = Callable[[float, str], None]
#: a film and one of its shots
Which = tuple[UUID, UUID]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a coach wants made of a shot."""

    shot: Which
    #: the shot to put before it, where both are wanted beside each other
    before: Which | None = None
    #: the moment, where a still is wanted, such as "set point"
    moment: str = ""
    #: ready to read, each with its range
    numbers: tuple[str, ...] = ()
    #: False only where somebody chose to show faces
    hide_faces: bool = True
    slower: float = 1.0

    @property
    def still(self) -> bool:
        """Tell whether it is a picture."""
        return bool(self.moment)


@dataclass(frozen=True, slots=True, kw_only=True)
class Making:
    """Everything that making it needs."""

    job_id: UUID
    asked: Asked
    #: the shots with their films' files, in the order shown
    shots: tuple[tuple[ShotSeen, Path], ...]

    @property
    def key(self) -> str:
        """Name of the file that is made."""
        return stored.made_key(self.job_id)

    def make(self, out: Path, *, models: Path, progress: Progress) -> None:
        """Make it, in a process of its own with limits.

        Parameters
        ----------
        out
            Where to.
        models
            Folder of the models that find faces.
        progress
            Told how far it is.

        Raises
        ------
        BadFilm, BadInput, ModelsMissing
            As ``clip_out``.
        NotFound
            The moment is not known.
        """
        hide = models if self.asked.hide_faces else None
        numbers, slower = self.asked.numbers, self.asked.slower
        if self.asked.before is not None:
            first, second = self.shots
            side_by_side_out(first, second, out, hide_with=hide, slower=slower, progress=progress)
            return
        seen, source = self.shots[0]
        if not self.asked.still:
            clip_out(seen, source, out, numbers=numbers, hide_with=hide, slower=slower,
                     progress=progress)  # fmt: skip
            return
        moment = self.asked.moment
        out.write_bytes(
            still_out(seen, source, moment, numbers=numbers, hide_with=hide, progress=progress)
        )


def start_making(session: Session, media: Media, asked: Asked) -> Job:
    """Put a job that makes a clip or a still; one that was asked for before is returned instead.

    Raises
    ------
    BadInput
        The two shots are of different players.
    NotFound
        There is no such film, or it is not measured.
    """
    argument = _to_argument(asked)
    job_id = uuid5(asked.shot[0], json.dumps([argument, _readings(session, asked)], sort_keys=True))
    known = _known(session, job_id)
    if known is not None and (not known.ended or _there(media, known)):
        return known
    if known is not None:
        jobs.delete(session, [job_id])
    new = Job(
        id=job_id,
        kind=MAKE,
        argument=argument | {"job": str(job_id)},
        film_id=asked.shot[0],
        created_at=datetime.now(UTC),
    )
    jobs.put(session, new)
    return new


def ready_to_make(session: Session, media: Media, argument: dict[str, Any]) -> Making:
    """Return everything that a job of this argument needs.

    Raises
    ------
    BadFilm
        What was read is of another version.
    NotFound
        A film or a shot is gone.
    StoreTrouble
        A file can't be had.
    """
    asked = _from_argument(argument)
    which = [one for one in (asked.before, asked.shot) if one is not None]
    return Making(
        job_id=UUID(argument["job"]),
        asked=asked,
        shots=tuple(
            (shot_seen(session, media, film, shot), path_of(session, media, film))
            for film, shot in which
        ),
    )


def asked_of(job: Job) -> Asked:
    """Return what a job was asked to make.

    Raises
    ------
    NotFound
        It is another kind of job.
    """
    if job.kind != MAKE:
        raise NotFound(NOT_KEPT)
    return _from_argument(dict(job.argument))


def made_file(media: Media, job: Job) -> Path:
    """Return the file that a job made.

    Raises
    ------
    NotFound
        It is not made yet, or not kept any more.
    StoreTrouble
        It can't be had.
    """
    if job.kind != MAKE or job.state is not JobState.DONE:
        raise NotFound(NOT_KEPT)
    try:
        return media.local(stored.made_key(job.id))
    except NotFound as trouble:
        raise NotFound(NOT_KEPT) from trouble


def any_old_made(session: Session, *, now: datetime | None = None) -> bool:
    """Tell whether there is anything for :func:`clear_made`, without holding up anybody."""
    return bool(_old(session, now))


def clear_made(session: Session, *, now: datetime | None = None) -> int:
    """Forget what was made over an hour ago, have the files removed, and return how many."""
    old = _old(session, now)
    stored.remove_media(session, [stored.made_key(job_id) for job_id in old])
    jobs.delete(session, old)
    return len(old)


def _old(session: Session, now: datetime | None) -> list[UUID]:
    return jobs.ended_before(session, MAKE, (now or datetime.now(UTC)) - KEPT_FOR)


def _readings(session: Session, asked: Asked) -> list[str]:
    """Return when what is shown was read; made anew after that, it is another clip."""
    which = [one for one in (asked.shot, asked.before) if one is not None]
    found = [stored.get_read(session, stored.get_film(session, film).id) for film, _ in which]
    if len({stored.get_film(session, film).player_id for film, _ in which}) > 1:
        raise BadInput(OTHER_PLAYER, field="with")
    if None in found:
        raise NotFound("This film is not measured yet; measure it first.")
    return [one.made_at.isoformat() for one in found if one is not None]


def _known(session: Session, job_id: UUID) -> Job | None:
    try:
        return jobs.get_job(session, job_id)
    except NotFound:
        return None


def _there(media: Media, job: Job) -> bool:
    try:
        made_file(media, job)
    except NotFound:
        return False
    return True


def _to_argument(asked: Asked) -> dict[str, Any]:
    return {
        "shot": [str(one) for one in asked.shot],
        "before": [str(one) for one in asked.before] if asked.before else None,
        "moment": asked.moment,
        "numbers": list(asked.numbers),
        "hide_faces": asked.hide_faces,
        "slower": asked.slower,
    }


def _from_argument(argument: dict[str, Any]) -> Asked:
    plain = Asked(
        shot=_which(argument["shot"]), moment=argument["moment"],
        numbers=tuple(argument["numbers"]), hide_faces=argument["hide_faces"],
        slower=argument["slower"],
    )  # fmt: skip
    return replace(plain, before=_which(argument["before"])) if argument["before"] else plain


def _which(texts: list[str]) -> Which:
    film, shot = (UUID(text) for text in texts)
    return film, shot
