"""Jobs: held by one worker at a time, run again when it dies, ended once."""

from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from uuid import UUID, uuid4

import pytest
from sqlalchemy import update

from hoopwright.errors import LateWord, NotFound
from hoopwright.records import Job, JobState
from hoopwright.store import jobs
from hoopwright.store.engine import Database, open_database
from hoopwright.store.jobs import MOST_ATTEMPTS, Lease
from hoopwright.store.tables import jobs as table

START = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


def put(database: Database, number: int = 0) -> UUID:
    one = Job(
        id=uuid4(),
        kind="count",
        argument={"to": number},
        created_at=START + timedelta(seconds=number),
    )
    with database.session() as session:
        jobs.put(session, one)
    return one.id


def claim(database: Database, worker: str = "w") -> Lease | None:
    with database.session() as session:
        return jobs.claim(session, worker=worker)


def claimed(database: Database, worker: str = "w") -> Lease:
    lease = claim(database, worker)
    assert lease is not None
    return lease


def read(database: Database, job_id: UUID) -> Job:
    with database.reading() as session:
        return jobs.get_job(session, job_id)


def lapse(database: Database, job_id: UUID) -> None:
    """Let time pass: the lease of a job ended a while ago."""
    with database.session() as session:
        past = datetime.now(UTC) - timedelta(seconds=5)
        session.execute(update(table).where(table.c.id == job_id).values(leased_until=past))


def test_a_job_comes_back_as_put(database: Database) -> None:
    one = Job(id=uuid4(), kind="count", argument={"to": 3, "name": "ä"}, created_at=START)
    with database.session() as session:
        jobs.put(session, one)
    assert read(database, one.id) == one
    with database.reading() as session, pytest.raises(NotFound):
        jobs.get_job(session, uuid4())


def test_the_oldest_is_taken_first_and_none_twice(database: Database) -> None:
    later, sooner = put(database, 9), put(database, 1)
    first, second = claimed(database), claimed(database)
    assert [first.job_id, second.job_id] == [sooner, later]
    assert first.argument == {"to": 1}
    assert claim(database) is None
    with database.reading() as session:
        assert not jobs.any_to_claim(session)


def test_from_waiting_to_done(database: Database) -> None:
    job_id = put(database)
    lease = claimed(database, "here 1")
    taken = read(database, job_id)
    assert (taken.state, taken.worker, taken.attempts) == (JobState.RUNNING, "here 1", 1)
    assert taken.leased_until is not None
    assert taken.leased_until > datetime.now(UTC) + timedelta(seconds=0.8 * lease.seconds)
    with database.session() as session:
        jobs.begin(session, lease)
        jobs.progress(session, lease, 0.5, "halfway")
    assert (read(database, job_id).progress, read(database, job_id).message) == (0.5, "halfway")
    with database.session() as session:
        jobs.finish(session, lease)
    done = read(database, job_id)
    assert (done.state, done.progress, done.ended) == (JobState.DONE, 1.0, True)
    assert done.ended_at is not None
    assert claim(database) is None


SPEAK: list[Callable[..., None]] = [
    jobs.begin,
    jobs.renew,
    jobs.finish,
    lambda session, lease: jobs.progress(session, lease, 0.1, "late"),
    lambda session, lease: jobs.fail(session, lease, "late"),
]


def test_a_late_word_is_refused_and_changes_nothing(database: Database) -> None:
    job_id = put(database)
    late = claimed(database, "old")
    lapse(database, job_id)
    claimed(database, "new")
    before = read(database, job_id)
    for speak in SPEAK:
        with pytest.raises(LateWord), database.session() as session:
            speak(session, late)
    with database.session() as session:
        jobs.give_back(session, late, counted=True)
    assert read(database, job_id) == before


def test_nothing_is_said_of_a_job_that_has_ended(database: Database) -> None:
    job_id = put(database)
    lease = claimed(database)
    with database.session() as session:
        jobs.finish(session, lease)
    before = read(database, job_id)
    for speak in SPEAK:
        with pytest.raises(LateWord), database.session() as session:
            speak(session, lease)
    assert read(database, job_id) == before


def test_a_run_begins_once(database: Database) -> None:
    put(database)
    lease = claimed(database)
    with database.session() as session:
        jobs.begin(session, lease)
    with pytest.raises(LateWord), database.session() as session:
        jobs.begin(session, lease)


def test_a_run_that_is_yet_to_begin_is_held_for_it(database: Database) -> None:
    job_id = put(database)
    lease = claimed(database)
    lapse(database, job_id)
    with database.session() as session:
        jobs.hold(session, lease)
    assert claim(database) is None
    with database.session() as session:
        jobs.begin(session, lease)
    lapse(database, job_id)
    with database.session() as session:
        jobs.hold(session, lease)
    assert claimed(database).token > lease.token


def test_a_job_that_kills_its_workers_is_given_up(database: Database) -> None:
    job_id = put(database)
    for attempt in range(MOST_ATTEMPTS):
        assert read(database, job_id).attempts == attempt
        claimed(database)
        lapse(database, job_id)
    assert claim(database) is None
    failed = read(database, job_id)
    assert failed.state is JobState.FAILED
    assert f"{MOST_ATTEMPTS} times" in failed.error


def test_given_back_it_waits_and_only_a_death_counts(database: Database) -> None:
    job_id = put(database)
    for counted, attempts in ((False, 0), (False, 0), (True, 1), (True, 2)):
        lease = claimed(database)
        with database.session() as session:
            jobs.give_back(session, lease, counted=counted, why="The disk is full.")
        one = read(database, job_id)
        assert (one.state, one.attempts) == (JobState.WAITING, attempts)
    lease = claimed(database)
    with database.session() as session:
        jobs.give_back(session, lease, counted=True, why="The disk is full.")
    assert read(database, job_id).state is JobState.FAILED
    assert read(database, job_id).error == "The disk is full."


def test_what_ends_well_says_nothing_of_earlier_trouble(database: Database) -> None:
    job_id = put(database)
    lease = claimed(database)
    with database.session() as session:
        jobs.give_back(session, lease, counted=True, why="The disk is full.")
    lease = claimed(database)
    with database.session() as session:
        jobs.finish(session, lease)
    assert (read(database, job_id).state, read(database, job_id).error) == (JobState.DONE, "")


@pytest.mark.parametrize("running", [False, True])
def test_cancelled_it_stays_so(database: Database, running: bool) -> None:
    job_id = put(database)
    lease = claimed(database) if running else None
    with database.session() as session:
        assert jobs.cancel(session, job_id)
    with database.session() as session:
        assert not jobs.cancel(session, job_id)
    assert read(database, job_id).state is JobState.CANCELLED
    assert claim(database) is None
    if lease is not None:
        with pytest.raises(LateWord), database.session() as session:
            jobs.finish(session, lease)
        assert read(database, job_id).state is JobState.CANCELLED


def test_workers_that_race_never_hold_one_job_together(database_url: str) -> None:
    """Eight workers, each with a database of its own, take and finish fifty jobs."""
    count, workers = 50, 8
    opened = [open_database(database_url) for _ in range(workers)]
    for number in range(count):
        put(opened[0], number)

    def work(database: Database) -> list[UUID]:
        mine = []
        while (lease := claim(database)) is not None:
            mine.append(lease.job_id)
            with database.session() as session:
                jobs.finish(session, lease)
        return mine

    with ThreadPoolExecutor(workers) as pool:
        done = Counter(one for mine in pool.map(work, opened) for one in mine)
    for database in opened:
        database.close()
    assert len(done) == count
    assert set(done.values()) == {1}


def test_of_racing_claims_on_one_lapsed_job_one_wins(database_url: str) -> None:
    workers = 6
    opened = [open_database(database_url) for _ in range(workers)]
    job_id = put(opened[0])
    for _ in range(MOST_ATTEMPTS - 1):
        with ThreadPoolExecutor(workers) as pool:
            won = [lease for lease in pool.map(claim, opened) if lease is not None]
        assert [lease.job_id for lease in won] == [job_id]
        lapse(opened[0], job_id)
    for database in opened:
        database.close()
