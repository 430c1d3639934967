"""A writer killed with SIGKILL in the middle: all it acknowledged is there, nothing is half there.

This shows what a crash of the program does. That a power cut is survived too rests on
``synchronous=FULL`` and on the disk keeping its word, which no test here can cut the power to see.
"""

import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from types import ModuleType
from uuid import UUID

import pytest
from sqlalchemy import text

from hoopwright.actions.shots import edits_of
from hoopwright.records import ShotSet
from hoopwright.store.engine import open_database
from hoopwright.store.workouts import list_workouts

SCRIPT = Path(__file__).with_name("killed_writer.py")


def _script() -> ModuleType:
    spec = spec_from_file_location("killed_writer", SCRIPT)
    assert spec is not None
    assert spec.loader is not None
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@contextmanager
def _writer(url: str) -> Iterator[subprocess.Popen[str]]:
    with subprocess.Popen(
        [sys.executable, str(SCRIPT), url],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        bufsize=1,
        env=os.environ | {"PYTHONPATH": str(Path(open_database.__code__.co_filename).parents[2])},
    ) as process:
        yield process
        assert process.stdin is not None
        process.stdin.close()
        assert process.wait(timeout=30) == 0


def _one_death(process: subprocess.Popen[str], rng: random.Random) -> list[UUID]:
    """Start a child, kill it at a random moment, return what it acknowledged."""
    assert process.stdin is not None
    assert process.stdout is not None
    process.stdin.write("go\n")
    process.stdin.flush()
    pid = int(process.stdout.readline())
    # one in five dies while opening or in its first transaction, the others in a later one
    wanted = rng.choice((0, 1, 2, 3, 4))
    kept = [UUID(process.stdout.readline().strip()) for _ in range(wanted)]
    time.sleep(rng.uniform(0.0, 0.015 if wanted else 0.15))
    os.kill(pid, signal.SIGKILL)
    while (line := process.stdout.readline().strip()) != "gone":
        kept.append(UUID(line))
    return kept


def _whole_sets(url: str, written: ModuleType) -> dict[UUID, ShotSet]:
    """Return all sets in the store, having checked that each is whole and logged."""
    database = open_database(url)
    with database.reading() as session:
        found = {
            one.id: one for visit in list_workouts(session, written.PLAYER.id) for one in visit.sets
        }
        for one in found.values():
            whole = written.set_of(one.id, one.workout_id, position=one.position)
            assert one == whole
            assert [edit.what for edit in edits_of(session, one.id)] == ["add"]
        logged = session.execute(text("SELECT count(*) FROM edits WHERE kind = 'shot'"))
        assert logged.scalar_one() == len(found) * written.SHOTS
        if url.startswith("sqlite"):
            assert session.execute(text("PRAGMA integrity_check")).all() == [("ok",)]
            assert session.execute(text("PRAGMA foreign_key_check")).all() == []
    database.close()
    return found


def _kill_again_and_again(url: str, times: int) -> None:
    written, rng = _script(), random.Random(20261125)
    acknowledged: set[UUID] = set()
    silent = deaths_with_work = 0
    with _writer(url) as process:
        for death in range(times):
            kept = _one_death(process, rng)
            acknowledged.update(kept)
            deaths_with_work += bool(kept)
            if death % 10 == 9:
                found = _whole_sets(url, written)
                assert acknowledged <= found.keys()
                silent = len(found) - len(acknowledged)
    # the test is worth something only if children died with work done
    assert deaths_with_work > times // 2
    assert len(acknowledged) > times
    # at most one transaction a death was kept without the word getting out
    assert silent <= times


def test_200_deaths_lose_nothing_acknowledged(tmp_path: Path) -> None:
    _kill_again_and_again(f"sqlite:///{tmp_path}/hoopwright.db", 200)


@pytest.mark.postgres
def test_deaths_of_the_client_lose_nothing_on_postgres(postgres_url: str) -> None:
    _kill_again_and_again(postgres_url, 20)
