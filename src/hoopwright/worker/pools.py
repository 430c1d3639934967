"""Where jobs run: processes of this machine, or a Dask cluster; both are executors."""

import multiprocessing
import os
import signal
import threading
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing.connection import Connection
from typing import Any, Protocol

from hoopwright.errors import BadInput, StoreTrouble
from hoopwright.settings import Settings
from hoopwright.store.jobs import Lease
from hoopwright.worker.kinds import Run
from hoopwright.worker.run import Ended, run_job

#: how long a cluster is waited for [s]
PATIENCE = 5.0


class PoolLost(StoreTrouble):
    """The scheduler can't be reached any more; its jobs wait until it can."""


class Pool(Protocol):
    """Something that runs jobs."""

    @property
    def slots(self) -> int:
        """How many jobs it can run at once, now."""
        ...

    def submit(self, settings: Settings, lease: Lease, function: Run) -> "Future[Ended]":
        """Start a job."""
        ...

    def close(self) -> None:
        """Stop everything at once."""
        ...


class Local:
    """One process of this machine for each slot, so that one that dies takes no other with it."""

    def __init__(self, slots: int = 1) -> None:
        self.slots = slots
        self._spawn = multiprocessing.get_context("spawn")
        # a child that finds this end closed is no longer wanted, whatever became of its parent
        self._watched, self._held = self._spawn.Pipe(duplex=False)
        self._idle: list[Executor] = []

    def submit(self, settings: Settings, lease: Lease, function: Run) -> "Future[Ended]":
        """Start a job in an idle process, or a new one."""
        executor = self._idle.pop() if self._idle else self._new()
        try:
            future = executor.submit(run_job, settings, lease, function)
        except BrokenProcessPool:
            # it was killed while it had nothing to do
            executor = self._new()
            future = executor.submit(run_job, settings, lease, function)
        future.add_done_callback(lambda done: self._back(executor, done))
        return future

    def close(self) -> None:
        """Stop everything at once."""
        self._held.close()
        for executor in self._idle:
            executor.shutdown(wait=False, cancel_futures=True)
        self._watched.close()

    def _new(self) -> Executor:
        return ProcessPoolExecutor(
            1, mp_context=self._spawn, initializer=_begin_child, initargs=(self._watched,)
        )

    def _back(self, executor: Executor, done: "Future[Ended]") -> None:
        if not done.cancelled() and isinstance(done.exception(), BrokenProcessPool):
            executor.shutdown(wait=False)
        else:
            self._idle.append(executor)


def _begin_child(watched: Connection) -> None:
    # Ctrl+C is for the parent, which then closes its end
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_leave_with, args=(watched,), daemon=True).start()


def _leave_with(watched: Connection) -> None:
    try:
        watched.recv_bytes()
    except (EOFError, OSError):
        os._exit(1)


class Cluster:
    """A Dask cluster; a job runs once per Dask worker."""

    def __init__(self, address: str) -> None:
        try:
            from distributed import Client
        except ImportError as trouble:
            raise BadInput(
                "HOOPWRIGHT_SCHEDULER needs hoopwright[cluster]; install it, or unset the variable."
            ) from trouble
        try:
            self._client: Any = Client(address, timeout=PATIENCE, set_as_default=False)
        except (OSError, ValueError) as trouble:
            raise StoreTrouble(
                f"The scheduler {address!r} can't be reached; "
                "start it, or correct HOOPWRIGHT_SCHEDULER."
            ) from trouble
        self._executor: Executor = self._client.get_executor(pure=False, retries=0)

    @property
    def slots(self) -> int:
        """How many workers the cluster has.

        Raises
        ------
        PoolLost
            The scheduler is gone.
        """
        try:
            return len(self._client.ncores())
        except (OSError, RuntimeError, ValueError) as trouble:
            raise PoolLost from trouble

    def submit(self, settings: Settings, lease: Lease, function: Run) -> "Future[Ended]":
        """Start a job somewhere in the cluster."""
        return self._executor.submit(run_job, settings, lease, function)

    def close(self) -> None:
        """Take back what has not ended, and leave."""
        self._executor.shutdown(wait=False)
        self._client.close(timeout=PATIENCE)


def open_pool(settings: Settings) -> Pool:
    """Return where jobs run.

    Raises
    ------
    BadInput
        A cluster is asked for, but what it needs is not installed.
    StoreTrouble
        The cluster can't be reached.
    """
    return Cluster(settings.scheduler) if settings.scheduler else Local()
