"""Jobs on a real Dask scheduler with two workers, one of which is killed in the middle."""

import os
import re
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from tests.worker.conftest import PATHS, Place

from hoopwright.errors import StoreTrouble
from hoopwright.records import JobState
from hoopwright.settings import Settings
from hoopwright.worker import loop
from hoopwright.worker.pools import Local, PoolLost, open_pool

pytest.importorskip("distributed")


def started(*words: str, folder: Path) -> "subprocess.Popen[bytes]":
    # one thread a worker, no web page, and its scratch files in the test's own folder
    return subprocess.Popen(
        [sys.executable, "-m", *words],
        env=os.environ | PATHS | {"DASK_TEMPORARY_DIRECTORY": str(folder)},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        cwd=folder,
    )


Start = Callable[[], "subprocess.Popen[bytes]"]


@contextmanager
def cluster(folder: Path) -> Iterator[tuple[str, Start]]:
    """A scheduler's address, and what starts a worker for it."""
    file = folder / "scheduler.json"
    address = f"--scheduler-file={file}"
    local = ("--host=127.0.0.1", "--no-dashboard")
    scheduler = started(
        "distributed.cli.dask_scheduler", address, *local, "--port=0", folder=folder
    )
    processes = [scheduler]

    def worker() -> "subprocess.Popen[bytes]":
        words = (*local, "--nthreads=1", "--no-nanny", "--death-timeout=60")
        processes.append(started("distributed.cli.dask_worker", address, *words, folder=folder))
        return processes[-1]

    try:
        yield str(file), worker
    finally:
        for process in processes:
            process.kill()
            process.wait()


def address_in(file: str) -> str:
    """Return the scheduler's address once the scheduler has written all of it."""
    text = Path(file).read_text() if Path(file).exists() else ""
    found = re.search(r'"address": "([^"]+)"', text)
    return found[1] if found and text.rstrip().endswith("}") else ""


def test_a_worker_killed_in_the_middle_and_every_job_once(place: Place, tmp_path: Path) -> None:
    with cluster(tmp_path) as (file, worker):
        workers = {process.pid: process for process in (worker(), worker())}
        place.wait(lambda: address_in(file) != "")
        place.settings = replace(place.settings, scheduler=address_in(file))
        long = place.put("slow", "long", seconds=300.0)
        short = [place.put("slow", f"short{i}", seconds=0.2) for i in range(6)]
        with place.working(lease=600.0):
            place.wait(lambda: len(place.starts("long")) == 1)
            place.wait(lambda: len(place.starts("short1")) == 1)
            victim = place.starts("long")[0]
            os.kill(victim, signal.SIGKILL)
            workers.pop(victim).wait()
            done = place.ended(long, *short)
    assert {one.state for one in done} == {JobState.DONE}
    assert place.stored() == ["long", *(f"short{i}" for i in range(6))]
    assert done[0].attempts == 2
    # run by the one that was left, having been begun by the one that was killed
    assert place.starts("long")[1:] == [next(iter(workers))]


class Losing(Local):
    """A pool whose scheduler goes away while a job runs."""

    lost = False

    @property
    def slots(self) -> int:
        if self.lost:
            raise PoolLost
        return 1

    @slots.setter
    def slots(self, count: int) -> None:
        assert count == 1


def test_when_the_scheduler_is_lost_its_jobs_wait_for_the_next(
    place: Place, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = Losing()
    # at first it can't be reached, then it can, then it is lost, then there is another
    pools: list[object] = [StoreTrouble("Not there yet."), first, Local()]

    def open_pool(_: Settings) -> object:
        found = pools.pop(0)
        if isinstance(found, StoreTrouble):
            raise found
        return found

    monkeypatch.setattr(loop, "open_pool", open_pool)
    job_id = place.put("slow", "a", seconds=300.0)
    with place.working(lease=600.0):
        place.wait(lambda: len(place.starts("a")) == 1)
        first.lost = True
        [job] = place.ended(job_id)
    # no death of the job's making
    assert (job.state, job.attempts) == (JobState.DONE, 1)
    assert place.stored() == ["a"]


def test_a_scheduler_that_is_not_there_is_one_sentence(place: Place) -> None:
    nowhere = replace(place.settings, scheduler="tcp://127.0.0.1:1")
    with pytest.raises(StoreTrouble, match="can't be reached") as caught:
        open_pool(nowhere)
    assert "\n" not in caught.value.message
