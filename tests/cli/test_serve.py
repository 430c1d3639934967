"""``serve`` and ``demo`` as a coach starts them: in a process of their own, this machine only."""

import csv
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from tests.cli.conftest import Refused, Run

from hoopwright.cli.academy import listen
from hoopwright.errors import BadInput
from hoopwright.settings import Settings

SRC = Path(__file__).parents[2] / "src"
#: longest wait for a process to answer or to end [s]
PATIENCE = 60


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        return int(taken.getsockname()[1])


def environment(**changes: str) -> dict[str, str]:
    kept = {k: v for k, v in os.environ.items() if not k.startswith("HOOPWRIGHT_")}
    return {**kept, "PYTHONPATH": str(SRC), "PYTHONUNBUFFERED": "1", **changes}


@contextmanager
def serving(*words: str) -> Iterator[str]:
    """Start a command that serves, give its address, stop it by Ctrl+C, and see it end well."""
    process = subprocess.Popen(
        [sys.executable, "-m", "hoopwright", *words],
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        assert process.stdout is not None
        address = ""
        while not address:
            line = process.stdout.readline()
            assert line, process.communicate()[1]
            found = re.search(r"http://127\.0\.0\.1:\d+/", line)
            address = found.group() if found else ""
        yield address
        process.send_signal(signal.SIGINT)
        _, errors = process.communicate(timeout=PATIENCE)
        assert (process.returncode, errors) == (0, "")
    finally:
        process.kill()
        process.wait()


def page(address: str) -> str:
    """Return a page's text, waiting for the server to answer."""
    end = time.monotonic() + PATIENCE
    while True:
        try:
            with urllib.request.urlopen(address, timeout=PATIENCE) as answer:
                return str(answer.read().decode())
        except ConnectionError:
            assert time.monotonic() < end
            time.sleep(0.1)


def test_serve_answers_on_this_machine_and_stops_cleanly(tmp_path: Path) -> None:
    port = free_port()
    with serving("serve", "--data", str(tmp_path / "d"), "--port", str(port)) as address:
        assert address == f"http://127.0.0.1:{port}/"
        assert "<html" in page(address)
    assert (tmp_path / "d").is_dir()


def test_demo_loads_the_invented_academy_once(tmp_path: Path, run: Run, refused: Refused) -> None:
    """A second run keeps what is there, and what a coach added meanwhile."""
    folder, mine, out = tmp_path / "d", tmp_path / "mine.csv", tmp_path / "out.csv"
    words = ("demo", "--data", str(folder), "--port", str(free_port()))
    with serving(*words) as address:
        assert "<html" in page(address)
    mine.write_text("player,date,spot,made\nAdded by hand,2026-11-02,top,yes\n", "utf-8")
    assert run("import", mine, "--data", folder).exit_code == 0
    with serving(*words):
        pass
    assert run("export", out, "--data", folder).exit_code == 0
    with out.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    names = {row["player"] for row in rows}
    # 24 players, of whom a newcomer may have no shots yet, and the one added by hand
    assert len(names) >= 24
    assert "Added by hand" in names
    assert len(rows) > 2000
    assert len({row["id"] for row in rows}) == len(rows)
    assert {row["invented"] for row in rows if row["player"] != "Added by hand"} == {"yes"}
    assert {row["hand"] for row in rows} == {"left", "right"}
    assert len({row["ball"] for row in rows}) >= 3
    assert min(float(row["ring_height_m"]) for row in rows) < 3.0


def test_demo_is_never_mixed_with_real_players(
    tmp_path: Path, run: Run, refused: Refused, examples: Path
) -> None:
    run("import", examples / "taps.csv", "--data", tmp_path / "d")
    words = ("demo", "--data", tmp_path / "d", "--port", free_port())
    assert "a folder of its own" in refused(*words)


@pytest.mark.parametrize("command", ["serve", "demo"])
def test_a_port_in_use_is_one_line(refused: Refused, command: str, tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        assert "in use" in refused(command, "--port", port, "--data", tmp_path / "d")


@pytest.mark.parametrize("command", ["serve", "demo"])
@pytest.mark.parametrize("port", ["0", "-1", "65536", "9" * 30])
def test_a_port_that_is_none_is_one_line(refused: Refused, command: str, port: str) -> None:
    assert "1 to 65535" in refused(command, "--port", port)


@pytest.mark.parametrize("port", ["eighty", "8350.5", ""])
def test_a_port_that_is_no_number_is_one_line(refused: Refused, port: str) -> None:
    assert "--port" in refused("serve", "--port", port)


def test_an_address_that_makes_no_sense_is_one_sentence() -> None:
    settings = Settings(data=Path("d"), database="sqlite://", host="no such host")
    with pytest.raises(BadInput, match="no address called 'no such host'"):
        listen(settings)
