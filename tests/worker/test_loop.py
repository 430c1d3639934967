"""The worker runs what waits, once, whatever dies meanwhile."""

import os
import signal
import time
from collections import Counter

import pytest
from tests.worker.conftest import DROPPED, Place

from hoopwright.records import JobState
from hoopwright.store import jobs
from hoopwright.store.jobs import MOST_ATTEMPTS


def gone(pid: int) -> bool:
    """Tell whether a process is no more, or only waits to be forgotten by its parent."""
    try:
        with open(f"/proc/{pid}/stat") as file:
            return file.read().rsplit(")", 1)[1].split()[0] == "Z"
    except FileNotFoundError:
        return True


def test_each_way_to_end(place: Place) -> None:
    """In one worker: done, refused in a sentence, our mistake, unknown, no room, deadly."""
    kinds = ("slow", "refuses", "mistaken", "unheard of", "no_room", "dies")
    ids = [place.put(kind, kind, seconds=0.0) for kind in kinds]
    after = place.put("slow", "after", seconds=0.0)
    with place.working():
        done, refused, mistaken, unknown, no_room, deadly, last = place.ended(*ids, after)
    assert (done.state, done.error, done.progress) == (JobState.DONE, "", 1.0)
    assert refused.error == "The film is dark; film it again with the lights on."
    assert "report" in mistaken.error
    assert "can't do 'unheard of'" in unknown.error
    assert no_room.error == "There is no room; make some."
    assert f"{MOST_ATTEMPTS} times" in deadly.error
    for failed in (refused, mistaken, unknown, no_room, deadly):
        assert failed.state is JobState.FAILED
    assert len(place.starts("no_room")) == len(place.starts("dies")) == MOST_ATTEMPTS
    # what kills its process takes no other job with it
    assert (last.state, last.attempts) == (JobState.DONE, 1)
    assert place.stored() == ["after", "slow"]


def test_a_killed_child_is_replaced_and_its_job_run_again(place: Place) -> None:
    """By the worker at once: the lease would only lapse after the end of this test."""
    job_id = place.put("slow", "a", seconds=300.0)
    with place.working(lease=600.0):
        place.wait(lambda: len(place.starts("a")) == 1)
        os.kill(place.starts("a")[0], signal.SIGKILL)
        [job] = place.ended(job_id)
    assert (job.state, job.attempts) == (JobState.DONE, 2)
    assert place.stored() == ["a"]


def test_stopped_it_lets_its_job_wait_again_uncounted(place: Place) -> None:
    job_id = place.put("slow", "a", seconds=300.0)
    with place.working(lease=600.0):
        place.wait(lambda: len(place.starts("a")) == 1)
    waits = place.job(job_id)
    assert (waits.state, waits.attempts, waits.leased_until) == (JobState.WAITING, 0, None)
    place.wait(lambda: gone(place.starts("a")[0]))
    with place.working():
        place.ended(job_id)
    assert place.stored() == ["a"]


def test_cancelled_it_stops_and_stores_nothing(place: Place) -> None:
    job_id, after = place.put("slow", "a", seconds=300.0), place.put("slow", "b", seconds=0.0)
    with place.working(lease=0.6):
        place.wait(lambda: len(place.starts("a")) == 1)
        with place.database.session() as session:
            jobs.cancel(session, job_id)
        # the next job runs only once the first has let go of the one process there is
        place.ended(after)
    assert place.job(job_id).state is JobState.CANCELLED
    assert place.stored() == ["b"]


def test_a_late_result_is_refused_and_cleared_away(place: Place) -> None:
    """The run goes on, does not hear that its job is another's now, and speaks too late."""
    job_id = place.put("deaf", "a")
    with place.working(lease=600.0):
        place.wait(lambda: len(place.starts("a")) == 1)
        with place.database.session() as session:
            jobs.cancel(session, job_id)
        (place.settings.data / "go on").touch()
        place.wait((place.settings.data / DROPPED).exists)
    assert place.job(job_id).state is JobState.CANCELLED
    assert place.stored() == []


def test_a_killed_worker_leaves_no_process_and_the_next_one_goes_on(place: Place) -> None:
    job_id = place.put("slow", "a", seconds=300.0)
    worker = place.start()
    place.wait(lambda: len(place.starts("a")) == 1)
    child = place.starts("a")[0]
    worker.kill()
    place.wait(lambda: gone(child))
    assert place.job(job_id).state is JobState.RUNNING
    second = place.start()
    [job] = place.ended(job_id)
    assert (job.state, job.attempts) == (JobState.DONE, 2)
    assert place.stored() == ["a"]
    assert place.stop(second) == 0


def test_two_workers_never_run_one_job_at_once(any_place: Place) -> None:
    names = [f"j{i}" for i in range(8)]
    ids = [any_place.put("slow", name, seconds=0.3) for name in names]
    workers = [any_place.start(), any_place.start()]
    done = any_place.ended(*ids)
    assert {(one.state, one.attempts) for one in done} == {(JobState.DONE, 1)}
    started = Counter({name: len(any_place.starts(name)) for name in names})
    assert set(started.values()) == {1}
    assert len({any_place.starts(name)[0] for name in names}) == len(workers)
    assert any_place.stored() == names
    assert [any_place.stop(worker) for worker in workers] == [0, 0]


@pytest.mark.parametrize("victim", ["server", "worker"])
def test_a_killed_server_or_worker_beside_it_loses_no_job(place: Place, victim: str) -> None:
    """The worker ends with its server, and is started again when it dies alone."""
    job_id = place.put("slow", "a", seconds=300.0)
    server = place.start("server", HOOPWRIGHT_PORT=free_port())
    place.wait(lambda: len(place.starts("a")) == 1)
    child = place.starts("a")[0]
    worker = parent_of(child)
    if victim == "server":
        server.kill()
        place.wait(lambda: gone(worker) and gone(child))
        server = place.start("server", HOOPWRIGHT_PORT=free_port())
    else:
        os.kill(worker, signal.SIGKILL)
    [job] = place.ended(job_id)
    assert job.state is JobState.DONE
    assert place.stored() == ["a"]
    assert parent_of(place.starts("a")[-1]) != worker


def parent_of(pid: int) -> int:
    with open(f"/proc/{pid}/stat") as file:
        return int(file.read().rsplit(")", 1)[1].split()[1])


def free_port() -> str:
    import socket

    with socket.create_server(("127.0.0.1", 0)) as taken:
        return str(taken.getsockname()[1])


def test_idle_it_does_not_hold_up_writers(place: Place) -> None:
    with place.working():
        time.sleep(0.3)
        job_id = place.put("slow", "a", seconds=0.0)
        assert place.ended(job_id)[0].state is JobState.DONE
