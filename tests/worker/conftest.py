"""Jobs put, watched, and the processes that run them."""

import os
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from importlib import import_module
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from hoopwright.records import Job
from hoopwright.settings import Settings
from hoopwright.store import jobs
from hoopwright.store.engine import Database, open_database
from hoopwright.store.films import list_scenes
from hoopwright.worker import work

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "tests" / "worker"
START = FOLDER / "start.py"
#: the processes that run jobs find this one by its bare name, which installed packages leave alone
if str(FOLDER) not in sys.path:
    sys.path.append(str(FOLDER))
KINDS = import_module("job_kinds").KINDS
PATHS = {"PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(FOLDER)])}
STARTS, DROPPED = "starts.txt", "dropped.txt"
#: longest wait for anything on a busy machine [s]
PATIENCE = 60.0


@dataclass(kw_only=True)
class Place:
    """A data folder with a database, and what a test does with its jobs."""

    settings: Settings
    database: Database
    processes: list[subprocess.Popen[bytes]] = field(default_factory=list)

    def put(self, kind: str, name: str, **argument: object) -> UUID:
        one = Job(
            id=uuid4(), kind=kind, argument={"name": name, **argument},
            created_at=datetime.now(UTC),
        )  # fmt: skip
        with self.database.session() as session:
            jobs.put(session, one)
        return one.id

    def job(self, job_id: UUID) -> Job:
        with self.database.reading() as session:
            return jobs.get_job(session, job_id)

    def starts(self, name: str) -> list[int]:
        """The processes that started a job, in order."""
        path = self.settings.data / STARTS
        lines = path.read_text().split() if path.exists() else []
        return [int(line.split(":")[1]) for line in lines if line.split(":")[0] == name]

    def stored(self) -> list[str]:
        """The names of jobs whose result is stored, as often as it is."""
        with self.database.reading() as session:
            return sorted(one.gym for one in list_scenes(session))

    def wait(self, what: Callable[[], bool]) -> None:
        end = time.monotonic() + PATIENCE
        while not what():
            assert time.monotonic() < end, self.what_happened()
            time.sleep(0.02)

    def ended(self, *job_ids: UUID) -> list[Job]:
        """Wait for jobs to end, and return them."""
        self.wait(lambda: all(self.job(one).ended for one in job_ids))
        return [self.job(one) for one in job_ids]

    def what_happened(self) -> str:
        path = self.settings.data / STARTS
        return f"{path.read_text() if path.exists() else 'nothing started'} {self.stored()}"

    def start(self, *words: str, **environ: str) -> "subprocess.Popen[bytes]":
        """Start a worker, or a server with one beside it, as a process."""
        process = subprocess.Popen(
            [sys.executable, str(START), *words],
            env=os.environ | self.settings.as_environ() | PATHS | environ,
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
        )
        self.processes.append(process)
        return process

    def stop(self, process: "subprocess.Popen[bytes]") -> int:
        """End a worker's input and return its exit code."""
        assert process.stdin is not None
        process.stdin.close()
        return process.wait(PATIENCE)

    @contextmanager
    def working(self, *, lease: float = 5.0) -> Iterator[threading.Event]:
        """Have a worker in a thread of this process; its jobs run in processes all the same."""
        stop = threading.Event()
        thread = threading.Thread(
            target=work,
            args=(self.settings,),
            kwargs={"stop": stop, "kinds": KINDS, "lease": lease, "look": 0.05},
        )
        thread.start()
        try:
            yield stop
        finally:
            stop.set()
            thread.join(PATIENCE)
            assert not thread.is_alive()


def place_at(tmp_path: Path, url: str) -> Iterator[Place]:
    settings = Settings(data=tmp_path, database=url)
    database = open_database(url)
    place = Place(settings=settings, database=database)
    try:
        yield place
    finally:
        for process in place.processes:
            process.kill()
            process.wait()
            with suppress(BrokenPipeError):
                if process.stdin is not None:
                    process.stdin.close()
        database.close()


@pytest.fixture
def place(tmp_path: Path) -> Iterator[Place]:
    yield from place_at(tmp_path, f"sqlite:///{tmp_path}/hoopwright.db")


@pytest.fixture
def any_place(tmp_path: Path, database_url: str) -> Iterator[Place]:
    """As ``place``; with PostgreSQL at hand, on both."""
    yield from place_at(tmp_path, database_url)
