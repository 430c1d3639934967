"""Having a film measured: the job, the measuring itself, and what came out."""

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING
from uuid import UUID, uuid4

from sqlalchemy.orm import Session

from hoopwright import __version__
from hoopwright.actions.films.kept import clip_of
from hoopwright.actions.films.seen import load_seen, save_seen
from hoopwright.actions.films.stages import Measuring, read_film_again, sum_of
from hoopwright.errors import BadFilm, NotFound
from hoopwright.film.results import FilmRead
from hoopwright.film.written import from_json, to_json
from hoopwright.records import Job
from hoopwright.store import films as stored
from hoopwright.store import jobs, people
from hoopwright.store.jobs import MEASURE
from hoopwright.store.media import Media

if TYPE_CHECKING:
    from hoopwright.film.told import Material

OTHER_CLOCK = (
    "How fast it was filmed was changed since it was measured, so these numbers are not right any "
    "more; measure it again."
)
OLDER_MARKS = (
    "It was measured with older marks: the camera place was marked anew or changed since; measure "
    "it again."
)
MARKED_SINCE = (
    "It was measured without marks, and has a camera place since; measure it again to have more of "
    "each shot."
)
NO_PLACE_ANY_MORE = (
    "It was measured from a camera place that is not chosen any more; choose one, and measure it "
    "again."
)


def start_measuring(session: Session, film_id: UUID, *, unmarked: bool | None = None) -> Job:
    """Put a job that measures a film, and return it; one that waits or runs is returned instead.

    Parameters
    ----------
    unmarked
        Whether to read it without marks, from the side, by the ball's size and fall; as it was
        read before where left out (see :func:`read_unmarked`).

    Raises
    ------
    NotFound
        There is no such film.
    """
    stored.get_film(session, film_id)
    if unmarked is None:
        unmarked = read_unmarked(session, film_id)
    under_way = next((one for one in jobs.jobs_of(session, film_id) if not one.ended), None)
    if under_way is not None:
        return under_way
    new = Job(
        id=uuid4(),
        kind=MEASURE,
        argument={"film": str(film_id), "unmarked": unmarked},
        film_id=film_id,
        created_at=datetime.now(UTC),
    )
    jobs.put(session, new)
    return new


def job(session: Session, job_id: UUID) -> Job:
    """Return one job.

    Raises
    ------
    NotFound
        There is no such job.
    """
    return jobs.get_job(session, job_id)


def jobs_of(session: Session, film_id: UUID) -> list[Job]:
    """Return the measurings of a film, newest first."""
    return jobs.jobs_of(session, film_id)


def cancel(session: Session, job_id: UUID) -> Job:
    """Stop a job that waits or runs; one that has ended stays as it is.

    Raises
    ------
    NotFound
        There is no such job.
    """
    jobs.cancel(session, job_id)
    return jobs.get_job(session, job_id)


def ready_to_measure(session: Session, film_id: UUID, *, unmarked: bool = False) -> Measuring:
    """Return everything that measuring a film needs.

    Parameters
    ----------
    unmarked
        Whether to read it without marks.

    Raises
    ------
    NotFound
        There is no such film.
    """
    film = stored.get_film(session, film_id)
    return Measuring(
        film=film,
        clip=clip_of(session, film_id),
        player=people.get_player(session, film.player_id),
        scene=stored.get_scene(session, film.scene_id) if film.scene_id else None,
        marks=tuple(stored.list_marks(session, film_id)),
        unmarked=unmarked,
    )


def keep_read(session: Session, film_id: UUID, read: FilmRead, *, seen_key: str | None) -> None:
    """Store what was read from a film in place of what was read before.

    Raises
    ------
    NotFound
        The film was removed meanwhile.
    """
    stored.get_film(session, film_id)
    stored.put_read(
        session,
        stored.StoredRead(
            film_id=film_id,
            result=to_json(read),
            seen_key=seen_key,
            reader=__version__,
            made_at=datetime.now(UTC),
        ),
    )


def keep_seen(media: Media, material: "Material") -> str:
    """Keep what a film's pictures gave as a file and return its key.

    Raises
    ------
    StoreTrouble
        The place can't be written.
    """
    return media.keep_bytes(save_seen(material), ending=".npz")


@dataclass(frozen=True, slots=True, kw_only=True)
class Again:
    """Everything that reading a measured film again needs, with what is marked by hand now."""

    measuring: Measuring
    material: "Material"
    before: FilmRead
    seen_key: str | None

    def read(self) -> FilmRead:
        """Return the new reading; it takes a while, needs no database and does not open the film.

        Raises
        ------
        BadFilm
            The film's clock or camera place was changed since; it must be measured again.
        BadInput
            No scene is chosen, or one of another shape.
        """
        return read_film_again(self.measuring, self.material, before=self.before)


def ready_to_read_again(session: Session, media: Media, film_id: UUID) -> Again:
    """Return what reading a film again needs, so that no transaction is open meanwhile.

    Raises
    ------
    BadFilm
        Another version read it; it must be measured again.
    NotFound
        There is no such film, or it is not measured yet.
    StoreTrouble
        What its pictures gave can't be had.
    """
    measuring, before = ready_to_measure(session, film_id), stored.get_read(session, film_id)
    material = seen_of(session, media, film_id)
    if before is None or material is None:
        raise NotFound("This film is not measured yet; measure it first.")
    read = from_json(before.result)
    return Again(measuring=measuring, material=material, before=read, seen_key=before.seen_key)


def read_again(session: Session, media: Media, film_id: UUID) -> FilmRead:
    """Read a measured film again with what is marked by hand now; the film is not opened.

    Raises
    ------
    BadFilm
        It must be measured again: its clock or camera place was changed since, or another version
        read it.
    BadInput
        No scene is chosen, or one of another shape.
    NotFound
        There is no such film, or it is not measured yet.
    StoreTrouble
        What its pictures gave can't be had.
    """
    again = ready_to_read_again(session, media, film_id)
    read = again.read()
    keep_read(session, film_id, read, seen_key=again.seen_key)
    return read


def read_of(session: Session, film_id: UUID) -> FilmRead | None:
    """Return what was read from a film, without its body points; None where nothing was yet.

    Raises
    ------
    NotFound
        There is no such film.
    """
    stored.get_film(session, film_id)
    read = stored.get_read(session, film_id)
    return None if read is None else from_json(read.result)


def read_unmarked(session: Session, film_id: UUID) -> bool:
    """Tell whether a film was read without marks, and has no camera place since.

    Raises
    ------
    NotFound
        There is no such film.
    """
    if stored.get_film(session, film_id).scene_id is not None:
        return False
    before = stored.get_read(session, film_id)
    try:
        return before is not None and from_json(before.result).unmarked
    except BadFilm:
        return False


def out_of_date(session: Session, film_id: UUID, read: FilmRead) -> str:
    """Return why a film's reading does not hold any more, in one sentence, or "".

    Parameters
    ----------
    read
        As ``read_of`` gives it.

    Raises
    ------
    NotFound
        There is no such film.
    """
    if read.clip.slowed != clip_of(session, film_id).slowed:
        return OTHER_CLOCK
    scene_id = stored.get_film(session, film_id).scene_id
    if read.scene_sum is None or (read.unmarked and scene_id is None):
        return ""
    if read.unmarked:
        return MARKED_SINCE
    if scene_id is None:
        return NO_PLACE_ANY_MORE
    return "" if read.scene_sum == sum_of(stored.get_scene(session, scene_id)) else OLDER_MARKS


def seen_of(session: Session, media: Media, film_id: UUID) -> "Material | None":
    """Return what a film's pictures gave, body points too; None where nothing was read.

    Raises
    ------
    BadFilm
        The file is of another version.
    NotFound
        The file is gone.
    StoreTrouble
        The file can't be had.
    """
    read = stored.get_read(session, film_id)
    if read is None or read.seen_key is None:
        return None
    return load_seen(media.local(read.seen_key).read_bytes())
