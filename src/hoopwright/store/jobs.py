"""Jobs in the database: who may run what, and whose word counts.

A worker *claims* a job and holds it by a lease. A worker that dies stops renewing, the lease
lapses, and the job is claimed again. Every claim gives the job a new token; only the holder of the
newest one can report, finish or fail it, so that a late worker's result is refused and each job
ends exactly once.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

from sqlalchemy import ColumnElement, Row, and_, case, func, insert, or_, select, update
from sqlalchemy import delete as remove
from sqlalchemy.orm import Session

from hoopwright.errors import LateWord, NotFound
from hoopwright.records import Job, JobState
from hoopwright.store.tables import jobs

#: kinds of jobs: measuring a film, and making a clip or a still of it
MEASURE, MAKE = "measure film", "make clip"
#: runs of one job that may die before it is given up
MOST_ATTEMPTS = 3
#: how long a worker that says nothing is waited for [s]
LEASE = 30.0
GIVEN_UP = (
    f"Stopped {MOST_ATTEMPTS} times without finishing; free some memory, "
    "or try a shorter or smaller film."
)
_OPEN = (JobState.WAITING.value, JobState.RUNNING.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lease:
    """The right to run one job, for now."""

    job_id: UUID
    kind: str
    argument: Mapping[str, Any]
    #: number of this run
    token: int
    #: how long each renewal holds [s]
    seconds: float


def put(session: Session, job: Job) -> None:
    """Add a job that waits."""
    session.execute(insert(jobs).values(_to_row(job)))


def get_job(session: Session, job_id: UUID) -> Job:
    """Return one job.

    Raises
    ------
    NotFound
        There is no such job.
    """
    row = session.execute(select(jobs).where(jobs.c.id == job_id)).one_or_none()
    if row is None:
        raise NotFound("That job is not in the store; its film may have been removed.")
    return _from_row(row)


def jobs_of(session: Session, film_id: UUID, *, kind: str = MEASURE) -> list[Job]:
    """Return the jobs of one kind of a film, newest first."""
    asked = select(jobs).where(jobs.c.film_id == film_id, jobs.c.kind == kind)
    rows = session.execute(asked.order_by(jobs.c.created_at.desc(), jobs.c.id))
    return [_from_row(row) for row in rows]


def latest_of(session: Session, film_ids: Sequence[UUID]) -> dict[UUID, Job]:
    """Return the newest measuring of each of some films, by the film's id."""
    asked = select(jobs).where(jobs.c.film_id.in_(film_ids), jobs.c.kind == MEASURE)
    rows = session.execute(asked.order_by(jobs.c.created_at, jobs.c.id.desc()))
    return {row.film_id: _from_row(row) for row in rows}


def ended_before(session: Session, kind: str, oldest: datetime) -> list[UUID]:
    """Return the jobs of one kind that ended before a moment."""
    asked = select(jobs.c.id).where(jobs.c.kind == kind, jobs.c.ended_at < oldest)
    return list(session.scalars(asked))


def delete(session: Session, job_ids: Sequence[UUID]) -> None:
    """Delete jobs; what still runs one of them may not speak any more."""
    session.execute(remove(jobs).where(jobs.c.id.in_(job_ids)))


def any_to_claim(session: Session) -> bool:
    """Tell whether there is a job to claim, without holding up anybody."""
    found = select(jobs.c.id).where(_claimable(_now(session))).limit(1)
    return session.execute(found).first() is not None


def any_running(session: Session) -> bool:
    """Tell whether a worker is at a job, as far as its lease says."""
    held = and_(jobs.c.state == JobState.RUNNING.value, jobs.c.leased_until >= _now(session))
    return session.execute(select(jobs.c.id).where(held).limit(1)).first() is not None


def claim(session: Session, *, worker: str, seconds: float = LEASE) -> Lease | None:
    """Take the oldest job that waits or whose worker went silent; None where there is none.

    A job that died too often is given up on the way.

    Parameters
    ----------
    worker
        Name of who takes it.
    seconds
        How long it is held without a sign of life [s].
    """
    now = _now(session)
    _give_up(session, now)
    # SQLite has one writer at a time; PostgreSQL steps over rows that another worker is taking
    oldest = select(jobs.c.id).where(_claimable(now)).order_by(jobs.c.created_at, jobs.c.id)
    taken = session.execute(
        update(jobs)
        .where(jobs.c.id == oldest.limit(1).with_for_update(skip_locked=True).scalar_subquery())
        .values(
            state=JobState.RUNNING.value,
            worker=worker,
            token=jobs.c.token + 1,
            attempts=jobs.c.attempts + 1,
            begun=False,
            leased_until=now + timedelta(seconds=seconds),
            started_at=func.coalesce(jobs.c.started_at, now),
        )
        .returning(jobs.c.id, jobs.c.kind, jobs.c.argument, jobs.c.token)
    ).one_or_none()
    if taken is None:
        return None
    return Lease(
        job_id=taken.id, kind=taken.kind, argument=taken.argument,
        token=taken.token, seconds=seconds,
    )  # fmt: skip


def hold(session: Session, lease: Lease) -> None:
    """Renew the lease of a run that is yet to begin; once it has, it must do so itself."""
    unbegun = update(jobs).where(_held(lease), ~jobs.c.begun)
    session.execute(unbegun.values(leased_until=_until(session, lease)))


def begin(session: Session, lease: Lease) -> None:
    """Start the run of a lease.

    Raises
    ------
    LateWord
        The run was started before: an engine that runs a task again by itself, because a machine
        was lost, must not run it beside one that only seems lost. Or as :func:`renew`.
    """
    _write(session, lease, ~jobs.c.begun, begun=True, leased_until=_until(session, lease))


def renew(session: Session, lease: Lease) -> None:
    """Show a sign of life.

    Raises
    ------
    LateWord
        The job was cancelled, or somebody else has it.
    """
    _write(session, lease, leased_until=_until(session, lease))


def progress(session: Session, lease: Lease, share: float, message: str) -> None:
    """Tell how far a run is, from 0 to 1; also a sign of life.

    Raises
    ------
    LateWord
        As :func:`renew`.
    """
    held = _until(session, lease)
    far = min(max(share, 0.0), 1.0)
    _write(session, lease, leased_until=held, progress=far, message=message)


def finish(session: Session, lease: Lease) -> None:
    """End a job as done; what it made is stored in the same transaction, or not at all.

    Raises
    ------
    LateWord
        As :func:`renew`.
    """
    _end(session, lease, state=JobState.DONE.value, progress=1.0, message="", error="")


def fail(session: Session, lease: Lease, error: str) -> None:
    """End a job as failed, with one sentence.

    Raises
    ------
    LateWord
        As :func:`renew`.
    """
    _end(session, lease, state=JobState.FAILED.value, error=error)


def give_back(session: Session, lease: Lease, *, counted: bool, why: str = "") -> None:
    """Let a job wait again, because its run was stopped or died; a late word changes nothing.

    Parameters
    ----------
    counted
        True where the run died, so that a job that kills its workers is given up in the end.
    why
        One sentence, said if it is given up.
    """
    session.execute(
        update(jobs)
        .where(_held(lease))
        .values(
            state=JobState.WAITING.value,
            attempts=jobs.c.attempts - (0 if counted else 1),
            token=jobs.c.token + 1,
            leased_until=None,
            progress=0.0,
            message="",
            error=why,
        )
    )
    _give_up(session, _now(session))


def cancel(session: Session, job_id: UUID) -> bool:
    """End a job that waits or runs; return False where it had ended already."""
    done = session.execute(
        update(jobs)
        .where(jobs.c.id == job_id, jobs.c.state.in_(_OPEN))
        .values(
            state=JobState.CANCELLED.value,
            token=jobs.c.token + 1,
            leased_until=None,
            ended_at=_now(session),
        )
        .returning(jobs.c.id)
    )
    return done.first() is not None


def _now(session: Session) -> datetime:
    """Return the time by one clock for all: machines that share a server may disagree."""
    if session.get_bind().dialect.name == "postgresql":
        now: datetime = session.scalars(select(func.clock_timestamp())).one()
        return now
    return datetime.now(UTC)


def _until(session: Session, lease: Lease) -> datetime:
    return _now(session) + timedelta(seconds=lease.seconds)


def _lapsed(now: datetime) -> ColumnElement[bool]:
    return and_(jobs.c.state == JobState.RUNNING.value, jobs.c.leased_until < now)


def _claimable(now: datetime) -> ColumnElement[bool]:
    return or_(jobs.c.state == JobState.WAITING.value, _lapsed(now))


def _held(lease: Lease) -> ColumnElement[bool]:
    return and_(
        jobs.c.id == lease.job_id,
        jobs.c.token == lease.token,
        jobs.c.state == JobState.RUNNING.value,
    )


def _write(
    session: Session, lease: Lease, *conditions: ColumnElement[bool], **values: object
) -> None:
    written = session.execute(
        update(jobs).where(_held(lease), *conditions).values(**values).returning(jobs.c.id)
    )
    if written.first() is None:
        raise LateWord


def _end(session: Session, lease: Lease, **values: object) -> None:
    _write(session, lease, leased_until=None, ended_at=_now(session), **values)


def _give_up(session: Session, now: datetime) -> None:
    """Fail what died too often."""
    session.execute(
        update(jobs)
        .where(_claimable(now), jobs.c.attempts >= MOST_ATTEMPTS)
        .values(
            state=JobState.FAILED.value,
            error=case((jobs.c.error != "", jobs.c.error), else_=GIVEN_UP),
            token=jobs.c.token + 1,
            leased_until=None,
            ended_at=now,
        )
    )


def _to_row(job: Job) -> dict[str, object]:
    return {
        "id": job.id,
        "kind": job.kind,
        "argument": dict(job.argument),
        "film_id": job.film_id,
        "state": job.state.value,
        "progress": job.progress,
        "message": job.message,
        "error": job.error,
        "attempts": job.attempts,
        "token": job.token,
        "begun": False,
        "worker": job.worker,
        "leased_until": job.leased_until,
        "created_at": job.created_at,
        "started_at": job.started_at,
        "ended_at": job.ended_at,
    }


def _from_row(row: Row[Any]) -> Job:
    return Job(
        id=row.id, kind=row.kind, argument=row.argument, film_id=row.film_id,
        state=JobState(row.state), progress=row.progress, message=row.message, error=row.error,
        attempts=row.attempts, token=row.token, worker=row.worker,
        leased_until=row.leased_until, created_at=row.created_at,
        started_at=row.started_at, ended_at=row.ended_at,
    )  # fmt: skip
