"""Which function does which kind of job.

A function here runs in a process of its own. It does the work without holding the database, and
returns what is to be stored; that is stored in the same transaction in which the job ends, so a job
that is run twice is still stored once.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

from sqlalchemy.orm import Session

from hoopwright.actions import films
from hoopwright.errors import NotFound
from hoopwright.records import JobState
from hoopwright.settings import Settings
from hoopwright.store.engine import open_database
from hoopwright.store.films import made_key
from hoopwright.store.media import Media, open_media

#: told how far it is, 0 to 1, and what is being done; raises ``LateWord`` once that is in vain
Report = Callable[[float, str], None]
#: folder in the data folder of what is in the making
WORKBENCH = "in-the-making"


def _nothing() -> None:
    """Drop nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What a job made."""

    #: stores it
    keep: Callable[[Session], None]
    #: clears away what lies outside the database, where it is not stored after all
    drop: Callable[[], None] = _nothing


Run = Callable[[Settings, Mapping[str, Any], Report], Made]


def measure_film(settings: Settings, argument: Mapping[str, Any], report: Report) -> Made:
    """Measure a film.

    Parameters
    ----------
    settings
        Where database and films are.
    argument
        ``film``: its id; ``unmarked``: whether to read it without marks.
    report
        Told how far it is.

    Raises
    ------
    BadFilm
        It can't be read, or not within the limits.
    NotFound
        The film, or its file, is gone.
    """
    film_id = UUID(argument["film"])
    media = open_media(
        settings.films_address, copies=settings.film_copies, largest=settings.largest_film
    )
    database = open_database(settings.database)
    try:
        with database.reading() as session:
            measuring = films.ready_to_measure(
                session, film_id, unmarked=bool(argument.get("unmarked"))
            )
    finally:
        database.close()
    path = media.local(measuring.film.media_key)
    read, material = films.measure_film(measuring, path, models=settings.models, progress=report)
    key = films.keep_seen(media, material)
    return Made(
        keep=lambda session: films.keep_read(session, film_id, read, seen_key=key),
        drop=partial(media.delete, key),
    )


def make_clip(settings: Settings, argument: Mapping[str, Any], report: Report) -> Made:
    """Make a clip or a still of a shot; made again it is the same file.

    Parameters
    ----------
    settings
        Where database and films are.
    argument
        As ``films.start_making`` puts it.
    report
        Told how far it is.

    Raises
    ------
    BadFilm, BadInput, ModelsMissing
        It can't be made.
    NotFound
        A film, a shot or the moment is gone.
    """
    media = open_media(
        settings.films_address, copies=settings.film_copies, largest=settings.largest_film
    )
    database = open_database(settings.database)
    try:
        with database.reading() as session:
            making = films.ready_to_make(session, media, dict(argument))
    finally:
        database.close()
    with _workbench(settings, making.job_id) as out:
        making.make(out, models=settings.models, progress=report)
        media.keep_as(making.key, out)
    return Made(keep=_nothing_more, drop=partial(_drop_unless_done, settings, media, making.job_id))


def _nothing_more(session: Session) -> None:
    """Store nothing: the file's name is that of the job."""


def _drop_unless_done(settings: Settings, media: Media, job_id: UUID) -> None:
    """Delete what a late run made, unless it is what the run that counts made."""
    database = open_database(settings.database)
    try:
        with database.reading() as session:
            done = films.job(session, job_id).state is JobState.DONE
    except NotFound:
        done = False
    finally:
        database.close()
    if not done:
        media.delete(made_key(job_id))


@contextmanager
def _workbench(settings: Settings, job_id: UUID) -> Iterator[Path]:
    """Give a place for a file in the making, gone afterwards; no other run has it."""
    folder = settings.data / WORKBENCH
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    out = folder / f"{job_id.hex}-{uuid4().hex}.mp4"
    try:
        yield out
    finally:
        out.unlink(missing_ok=True)


#: kind → function; functions are named by where they are, so that any process finds them
KINDS: Mapping[str, Run] = {films.MEASURE: measure_film, films.MAKE: make_clip}
