"""Which function does which kind of job.

A function here runs in a process of its own. It does the work without holding the database, and
returns what is to be stored; that is stored in the same transaction in which the job ends, so a job
that is run twice is still stored once.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.actions import films
from hoopwright.settings import Settings
from hoopwright.store.engine import open_database
from hoopwright.store.media import open_media

#: told how far it is, 0 to 1, and what is being done; raises ``LateWord`` once that is in vain
Report = Callable[[float, str], None]


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


#: kind → function; functions are named by where they are, so that any process finds them
KINDS: Mapping[str, Run] = {films.MEASURE: measure_film}
