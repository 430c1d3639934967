"""One job, run in another process: it begins, shows signs of life, and ends once."""

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from enum import StrEnum

from hoopwright.errors import HoopwrightError, LateWord, StoreTrouble
from hoopwright.settings import Settings
from hoopwright.store import jobs
from hoopwright.store.engine import Database, open_database
from hoopwright.store.jobs import Lease
from hoopwright.worker.kinds import Made, Report, Run

#: signs of life in the time of one lease
BEATS = 3
#: least time between two writings of progress [s]
APART = 0.5


class Ended(StrEnum):
    """How a run ended, as far as the run itself knows."""

    #: the job is done or failed, and the database says so
    TOLD = "told"
    #: the run may not speak: cancelled, begun before, or given to another worker
    LATE = "late"


def run_job(settings: Settings, lease: Lease, function: Run) -> Ended:
    """Run a job under a lease and end it in the database.

    Parameters
    ----------
    settings
        Where the database is.
    lease
        The right to run it.
    function
        Does the work.

    Raises
    ------
    StoreTrouble
        The database or the films can't be used now; the job is to be tried again.
    Exception
        Whatever mistake the function has.
    """
    database = open_database(settings.database)
    try:
        with database.session() as session:
            jobs.begin(session, lease)
        _run(database, settings, lease, function)
    except LateWord:
        return Ended.LATE
    finally:
        database.close()
    return Ended.TOLD


def _run(database: Database, settings: Settings, lease: Lease, function: Run) -> None:
    try:
        with _alive(database, lease) as report:
            made = function(settings, lease.argument, report)
            _end(database, lease, made)
    except (LateWord, StoreTrouble):
        raise
    except HoopwrightError as trouble:
        with database.session() as session:
            jobs.fail(session, lease, trouble.message)


def _end(database: Database, lease: Lease, made: Made) -> None:
    try:
        with database.session() as session:
            # first the right to speak, then the word: a late run stores nothing
            jobs.finish(session, lease)
            made.keep(session)
    except BaseException:
        made.drop()
        raise


@contextmanager
def _alive(database: Database, lease: Lease) -> Iterator[Report]:
    """Renew the lease in the background, and give the run something to report with."""
    over, lost = threading.Event(), threading.Event()

    def beat() -> None:
        while not over.wait(lease.seconds / BEATS):
            try:
                # a database that is busy or away for a moment is asked again at the next beat
                with suppress(StoreTrouble), database.session() as session:
                    jobs.renew(session, lease)
            except LateWord:
                lost.set()
                return

    beating = threading.Thread(target=beat, name="signs of life", daemon=True)
    beating.start()
    try:
        yield _reporter(database, lease, lost)
    finally:
        over.set()
        beating.join()


def _reporter(database: Database, lease: Lease, lost: threading.Event) -> Report:
    told = -APART

    def report(share: float, message: str) -> None:
        nonlocal told
        if lost.is_set():
            raise LateWord
        now = time.monotonic()
        if now - told < APART:
            return
        told = now
        with suppress(StoreTrouble), database.session() as session:
            jobs.progress(session, lease, share, message)

    return report
