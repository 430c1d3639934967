"""Whatever a function does to its process, ours goes on and hears of it in one sentence."""

import importlib
import multiprocessing
import os
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.film.made_clips import disc_picture, make_clip

from hoopwright.errors import BadFilm, BadInput, BadTable
from hoopwright.film.confined import CRASHED, TOO_LONG, TOO_MUCH, run_confined

HERE = Path(__file__).parent


@pytest.fixture(autouse=True)
def _work_can_be_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """Tests are no package, so a child finds the work by the folder it is in."""
    monkeypatch.syspath_prepend(str(HERE))


def work(name: str) -> Callable[..., Any]:
    """Return a function of the module of work, imported as a child will import it."""
    function: Callable[..., Any] = getattr(importlib.import_module("confined_work"), name)
    return function


def test_it_runs_elsewhere_and_the_result_comes_back() -> None:
    assert run_confined(work("twice"), 21) == 42
    child, parent = run_confined(work("my_process"))
    assert (child != os.getpid(), parent) == (True, os.getpid())


def test_large_results_come_back_whole() -> None:
    assert np.array_equal(run_confined(np.arange, 3_000_000), np.arange(3_000_000))


def test_film_can_be_read_within_the_usual_limits(tmp_path: Path) -> None:
    clip = make_clip(tmp_path / "a.mp4", frames=30)
    assert run_confined(work("film_length"), clip) == (30, 30)
    (tmp_path / "b.mp4").write_bytes(b"")
    with pytest.raises(BadFilm, match="empty"):
        run_confined(work("film_length"), tmp_path / "b.mp4")


def test_memory_for_reading_stays_flat_with_length(tmp_path: Path) -> None:
    """Ten times as many pictures take no more memory: 400 of them in colour would take 69 MB."""
    clip = make_clip(
        tmp_path / "long.mp4", frames=440, options={"preset": "ultrafast"},
        draw=lambda i: disc_picture(i % 16),
    )  # fmt: skip
    count, skipped, grown = run_confined(work("growth_in_reading"), clip, 1.0)
    assert (count, skipped) == (440, 0)
    assert grown < 20_000  # kB


@pytest.mark.parametrize(
    ("function", "sentence"),
    [
        ("eat_memory", TOO_MUCH),
        ("read_nothing", CRASHED),
        ("leave", CRASHED),
        ("leave_at_once", CRASHED),
        ("kill_itself", CRASHED),
    ],
)
def test_a_death_is_one_sentence(function: str, sentence: str) -> None:
    with pytest.raises(BadFilm) as caught:
        run_confined(work(function))
    assert caught.value.message == sentence
    assert sentence.endswith(".") and ". " not in sentence[:-1].replace("H.264", "")


def test_time_is_limited_by_the_processor_and_by_the_clock() -> None:
    for function, limits in [
        (work("for_ever"), {"cpu_seconds": 1.0}),
        (work("for_ever"), {"wall_seconds": 0.5}),
        (work("sleep_for_ever"), {"wall_seconds": 0.5}),
    ]:
        began = time.monotonic()
        with pytest.raises(BadFilm) as caught:
            run_confined(function, **limits)  # type: ignore[arg-type]
        assert caught.value.message == TOO_LONG
        assert time.monotonic() - began < 20.0


def test_what_is_printed_does_not_disturb() -> None:
    assert run_confined(work("print_a_lot")) == "kept apart"


def test_errors_come_out_as_they_were_raised() -> None:
    with pytest.raises(BadInput, match="choose another") as caught:
        run_confined(work("bad_input"))
    assert caught.value.field == "film"
    with pytest.raises(BadTable) as table:
        run_confined(work("bad_table"))
    assert [row.row for row in table.value.rows] == [3]
    with pytest.raises(ZeroDivisionError, match="a mistake of ours") as ours:
        run_confined(work("wrong"))
    assert "in wrong" in ours.value.__notes__[0]
    with pytest.raises(RuntimeError, match="Odd"):
        run_confined(work("oddly_wrong"))


def test_what_cannot_be_sent_is_said_and_leaves_nothing_running() -> None:
    with pytest.raises(Exception, match=r"[Pp]ickle"):
        run_confined(lambda: 1)
    with pytest.raises(Exception, match=r"[Pp]ickle"):
        run_confined(work("lambda_back"))


def test_progress_is_told_in_order_and_not_too_often() -> None:
    told: list[tuple[float, str]] = []
    assert run_confined(work("count"), 20_000, progress=lambda s, d: told.append((s, d))) == 20_000
    assert told[0] == (0.0, "counting")
    assert told[-1] == (1.0, "counted")
    assert [share for share, _ in told] == sorted(share for share, _ in told)
    assert len(told) < 200


def test_the_listener_can_end_the_work() -> None:
    class Cancelled(Exception):
        pass

    def no_more(share: float, doing: str) -> None:
        raise Cancelled

    with pytest.raises(Cancelled):
        run_confined(work("count_for_ever"), progress=no_more)


def test_it_can_be_called_from_a_worker_of_a_pool_and_from_a_daemon() -> None:
    spawn = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(1, mp_context=spawn) as pool:
        assert pool.submit(work("confined_in_turn"), 4).result(timeout=60) == 8
    daemon = spawn.Process(target=work("confined_in_turn"), args=(4,), daemon=True)
    daemon.start()
    daemon.join(60)
    assert daemon.exitcode == 0


def test_it_can_be_called_from_several_threads_at_once() -> None:
    found: list[int] = []
    threads = [
        threading.Thread(target=lambda n=n: found.append(run_confined(work("twice"), n)))
        for n in range(3)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert sorted(found) == [0, 2, 4]


def gone(process: int) -> bool:
    try:
        state = Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()[0]
    except FileNotFoundError:
        return True
    return state == "Z"


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks into /proc")
def test_it_dies_with_its_parent(tmp_path: Path) -> None:
    code = (
        "import sys; sys.path[:] = {path!r}\n"
        "from pathlib import Path\n"
        "from hoopwright.film.confined import run_confined\n"
        "from confined_work import tell_and_hang\n"
        "run_confined(tell_and_hang, Path({note!r}))\n"
    ).format(path=sys.path, note=str(tmp_path / "note"))
    parent = subprocess.Popen([sys.executable, "-c", code])
    deadline = time.monotonic() + 60
    while not (tmp_path / "note").exists() or not (tmp_path / "note").read_text():
        assert time.monotonic() < deadline and parent.poll() is None
        time.sleep(0.05)
    child = int((tmp_path / "note").read_text())
    assert not gone(child)
    parent.kill()
    parent.wait()
    deadline = time.monotonic() + 10
    while not gone(child):
        assert time.monotonic() < deadline
        time.sleep(0.05)
