"""How far a film is, in words for whoever waits for it."""

from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy.orm import Session

from hoopwright.records import Film, FilmState, Job, JobState
from hoopwright.store import films as stored
from hoopwright.store import jobs, people

#: a job that waits longer than this while nothing runs has no worker [s]
PATIENCE = 15.0
NO_WORKER = (
    "No worker is running, so nothing is measured; start Hoopwright again, or start one with "
    "python -m hoopwright.worker. The film waits until then."
)

NOBODY_MAKES = (
    "No worker is running, so nothing is made; start Hoopwright again, or start one with "
    "python -m hoopwright.worker. It waits until then."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How far a film is."""

    film: Film
    #: name of its player
    player: str
    #: its last job, if any
    job: Job | None
    #: one sentence
    sentence: str
    #: 0 to 1
    share: float

    @property
    def under_way(self) -> bool:
        """Tell whether something waits or runs."""
        return self.job is not None and not self.job.ended


def standing(session: Session, film: Film) -> Standing:
    """Return how far a film is.

    Raises
    ------
    NotFound
        Its player was removed.
    """
    last = next(iter(jobs.jobs_of(session, film.id)), None)
    return Standing(
        film=film,
        player=people.get_player(session, film.player_id).name,
        job=last,
        sentence=_sentence(session, film, last),
        share=last.progress if last is not None and not last.ended else 0.0,
    )


def making_words(session: Session, job: Job) -> str:
    """Say how far a clip or a still is, in one sentence."""
    if job.state is JobState.WAITING:
        waited = (datetime.now(UTC) - job.created_at).total_seconds()
        if waited < PATIENCE or jobs.any_running(session):
            return "Waiting for its turn."
        return NOBODY_MAKES
    if job.state is JobState.RUNNING:
        return f"{job.message or 'Starting'}."
    return {JobState.DONE: "It is ready.", JobState.FAILED: job.error}.get(job.state, "Stopped.")


def all_films(session: Session) -> list[Standing]:
    """Return how far all films are, the newest first."""
    found = [
        film for one in people.list_players(session) for film in stored.list_films(session, one.id)
    ]
    newest = sorted(found, key=lambda film: film.added_at, reverse=True)
    return [standing(session, film) for film in newest]


def _sentence(session: Session, film: Film, last: Job | None) -> str:
    if last is not None and last.state is JobState.WAITING:
        waited = (datetime.now(UTC) - last.created_at).total_seconds()
        if waited < PATIENCE:
            return "Waiting for its turn."
        return "Waiting: another film is in work." if jobs.any_running(session) else NO_WORKER
    if last is not None and last.state is JobState.RUNNING:
        return f"{last.message or 'Starting'}."
    if film.state is FilmState.FAILED and last is not None:
        return last.error
    return "Measured." if film.state is FilmState.MEASURED else "Not measured yet."
