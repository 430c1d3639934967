"""The worker's loop: claim what waits, have it run, settle what ended; the jobs table is the truth.

Nothing of importance is kept here, so that a worker may be killed at any moment: the lease of what
it ran lapses, and the next worker runs it.
"""

import logging
import os
import socket
import threading
import time
from collections.abc import Iterator, Mapping
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Future, wait
from contextlib import contextmanager, suppress
from pathlib import Path

from hoopwright.actions import films
from hoopwright.errors import LateWord, StoreTrouble
from hoopwright.settings import Settings
from hoopwright.store import jobs
from hoopwright.store.engine import Database, open_database
from hoopwright.store.films import media_to_remove
from hoopwright.store.jobs import LEASE, Lease
from hoopwright.store.media import STALE, open_media
from hoopwright.worker.kinds import KINDS, WORKBENCH, Run
from hoopwright.worker.pools import Pool, PoolLost, open_pool
from hoopwright.worker.run import BEATS, Ended

#: how often a worker with nothing to do looks for something [s]
LOOK = 1.0
#: how often files of removed films are cleared away [s]
TIDY = 60.0
MISTAKE = "Something went wrong inside Hoopwright; the worker's log says what. Please report it."
log = logging.getLogger("hoopwright.worker")


def work(
    settings: Settings,
    *,
    stop: threading.Event,
    kinds: Mapping[str, Run] = KINDS,
    lease: float = LEASE,
    look: float = LOOK,
) -> None:
    """Run jobs until told to stop; what runs then waits again.

    Parameters
    ----------
    settings
        Where everything is, and on what jobs run.
    stop
        Set to stop.
    kinds
        Which function does which kind of job.
    lease
        How long a job is held without a sign of life [s].
    look
        How often to look for jobs while there is nothing to do [s].

    Raises
    ------
    BadInput
        A cluster is asked for, but what it needs is not installed.
    StoreTrouble
        The database can't be opened at the start.
    """
    settings = settings.anywhere()
    database = open_database(settings.database)
    try:
        while (pool := _reached(settings, stop, look)) is not None:
            worker = _Worker(settings, database, pool, kinds=kinds, lease=lease)
            try:
                worker.run(stop, look)
            except PoolLost as trouble:
                log.warning("%s", trouble.message)
            finally:
                worker.leave()
    finally:
        database.close()


def _reached(settings: Settings, stop: threading.Event, look: float) -> Pool | None:
    while not stop.is_set():
        try:
            return open_pool(settings)
        except StoreTrouble as trouble:
            log.warning("%s", trouble.message)
            stop.wait(look)
    return None


class _Worker:
    def __init__(
        self,
        settings: Settings,
        database: Database,
        pool: Pool,
        *,
        kinds: Mapping[str, Run],
        lease: float,
    ) -> None:
        self._settings, self._database, self._pool = settings, database, pool
        self._kinds, self._lease = kinds, lease
        self._name = f"{socket.gethostname()} {os.getpid()}"
        self._running: dict[Future[Ended], Lease] = {}
        self._tidied = self._held = -TIDY

    def run(self, stop: threading.Event, look: float) -> None:
        while not stop.is_set():
            with _patient():
                self._settle_ended()
                self._hold()
                self._start_waiting()
                self._tidy()
            if self._running:
                # also wakes for a stop
                wait(self._running, timeout=min(look, 0.2), return_when=FIRST_COMPLETED)
            else:
                stop.wait(look)

    def leave(self) -> None:
        """Let what runs wait again, and stop it."""
        with _patient():
            self._settle_ended()
        with _patient(), self._database.session() as session:
            for lease in self._running.values():
                jobs.give_back(session, lease, counted=False)
        self._pool.close()

    def _settle_ended(self) -> None:
        for future in [one for one in self._running if one.done()]:
            self._settle(future, self._running[future])
            del self._running[future]

    def _settle(self, future: "Future[Ended]", lease: Lease) -> None:
        trouble = CancelledRun() if future.cancelled() else future.exception()
        if trouble is None and future.result() is Ended.TOLD:
            return
        with suppress(LateWord), self._database.session() as session:
            if trouble is None:
                # nothing happens if the job has ended or is another worker's; else its run was
                # lost, and somebody tried to run it beside that
                jobs.give_back(session, lease, counted=True)
            elif isinstance(trouble, StoreTrouble):
                jobs.give_back(session, lease, counted=True, why=trouble.message)
            elif _is_death(trouble):
                log.warning("A process died while running a job; it is run again.")
                jobs.give_back(session, lease, counted=True)
            else:
                log.error("A job failed by a mistake of ours.", exc_info=trouble)
                jobs.fail(session, lease, MISTAKE)

    def _hold(self) -> None:
        """Keep the leases of what waits for a process to start, or for its turn in a cluster."""
        now = time.monotonic()
        if self._running and now - self._held > self._lease / BEATS:
            self._held = now
            with self._database.session() as session:
                for lease in self._running.values():
                    jobs.hold(session, lease)

    def _start_waiting(self) -> None:
        while len(self._running) < self._pool.slots:
            lease = self._claim()
            if lease is None:
                return
            function = self._kinds.get(lease.kind)
            if function is None:
                with self._database.session() as session:
                    jobs.fail(session, lease, f"This version can't do {lease.kind!r} jobs.")
                continue
            self._running[self._pool.submit(self._settings, lease, function)] = lease

    def _claim(self) -> Lease | None:
        # looked first, as claiming waits for other writers and they for it
        with self._database.reading() as session:
            if not jobs.any_to_claim(session):
                return None
        with self._database.session() as session:
            return jobs.claim(session, worker=self._name, seconds=self._lease)

    def _tidy(self) -> None:
        if time.monotonic() - self._tidied < TIDY:
            return
        self._tidied = time.monotonic()
        media = open_media(
            self._settings.films_address,
            copies=self._settings.film_copies,
            largest=self._settings.largest_film,
        )
        media.tidy()
        _clear_workbench(self._settings.data / WORKBENCH)
        with self._database.reading() as session:
            if not (films.any_old_made(session) or media_to_remove(session)):
                return
        with self._database.session() as session:
            films.clear_made(session)
            films.clear_removed(session, media)


def _clear_workbench(folder: Path) -> None:
    """Remove what was in the making a day ago: its process was killed."""
    for one in folder.glob("*"):
        with suppress(OSError):
            if time.time() - one.stat().st_mtime > STALE:
                one.unlink()


class CancelledRun(Exception):
    """The executor dropped a run."""


def _is_death(trouble: BaseException) -> bool:
    """Tell whether the process died, rather than the function raised."""
    lost = {"KilledWorker", "FutureCancelledError", "CancelledError", "CommClosedError"}
    return isinstance(trouble, BrokenExecutor | CancelledRun) or type(trouble).__name__ in lost


@contextmanager
def _patient() -> Iterator[None]:
    """Say that the database or the films can't be used now; the next round tries again."""
    try:
        yield
    except PoolLost:
        raise
    except StoreTrouble as trouble:
        log.warning("%s", trouble.message)
