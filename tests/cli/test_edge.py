"""Help, exit codes, one line for what goes wrong, and the real program in a process of its own."""

import errno
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import get_args, get_type_hints

import pytest
import typer.main
from tests.cli.conftest import Refused, Run
from typer.testing import CliRunner

from hoopwright import __version__
from hoopwright.cli import app
from hoopwright.cli.edge import OneLineErrors
from hoopwright.errors import Conflict, HoopwrightError, StoreTrouble

COMMANDS = sorted(typer.main.get_command(app).commands)  # type: ignore[attr-defined]


def test_the_commands() -> None:
    assert COMMANDS == [
        "backup",
        "demo",
        "export",
        "film",
        "findings",
        "fly",
        "games",
        "import",
        "log",
        "player",
        "practice",
        "report",
        "ring",
        "serve",
        "trial",
    ]


@pytest.mark.parametrize("command", COMMANDS)
def test_each_command_has_help_that_ends_well(run: Run, command: str) -> None:
    done = run(command, "--help")
    assert done.exit_code == 0
    assert "Usage:" in done.stdout
    assert "--help" in done.stdout


def test_no_command_shows_the_help(run: Run) -> None:
    done = run()
    assert done.exit_code == 0
    assert all(command in done.stdout for command in COMMANDS)


def test_the_version_is_the_packages(run: Run) -> None:
    assert run("--version").stdout == f"hoopwright {__version__}\n"


def float_options() -> list[tuple[str, str]]:
    """Return name and help of every option that takes a number with a unit."""
    found = []
    for command in app.registered_commands:
        assert command.callback is not None
        for name, hint in get_type_hints(command.callback, include_extras=True).items():
            kind, *extra = get_args(hint) or (hint,)
            if kind is float or float in get_args(kind):
                found.append((name, extra[0].help))
    return found


@pytest.mark.parametrize(("name", "text"), float_options())
def test_an_option_with_a_number_says_its_unit(name: str, text: str) -> None:
    units = ("in metres", "in m/s", "in degrees", "in turns per second", "in °C", "in cm")
    assert any(unit in text for unit in units), name


def test_the_float_options_are_found() -> None:
    """Guards the guard above."""
    assert len(float_options()) >= 15


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["fyl"], "No such command 'fyl'"),
        (["--bogus"], "No such option"),
        (["fly", "--bogus"], "No such option"),
        (["fly"], "Missing option"),
        (["ring", "--along-cm", "twelve"], "Invalid value for '--along-cm'"),
        (["findings"], "Missing argument"),
        (["export"], "Missing argument"),
        (["fly", "--distance"], "requires an argument"),
    ],
)
def test_a_mistyped_command_is_one_line(refused: Refused, words: list[str], said: str) -> None:
    message = refused(*words)
    assert said in message
    assert "--help" in message


def group_that_raises(error: BaseException) -> typer.Typer:
    one = typer.Typer(cls=OneLineErrors, pretty_exceptions_enable=False)

    @one.callback(invoke_without_command=True)
    def start() -> None:
        raise error

    return one


@pytest.mark.parametrize(
    ("error", "code", "said"),
    [
        (StoreTrouble(), 2, "The database can't be opened or written"),
        (Conflict("One\nof two\n lines."), 2, "hoopwright: One of two lines.\n"),
        (HoopwrightError(), 2, "Something went wrong"),
        (KeyboardInterrupt(), 1, ""),
        (typer.Abort(), 1, "Broken off."),
        (typer.Exit(2), 2, ""),
        (typer.Exit(0), 0, ""),
        (typer.Exit(7), 1, ""),
        (OSError(errno.ENOSPC, "No space left on device", "x"), 1, "No space left on device: x."),
    ],
)
def test_exit_codes_are_0_1_or_2(error: BaseException, code: int, said: str) -> None:
    done = CliRunner().invoke(group_that_raises(error), [])
    assert done.exit_code == code
    assert said in done.stderr


def program(*words: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    env = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2] / "src")}
    return subprocess.run(
        [sys.executable, "-m", "hoopwright", *words],
        cwd=cwd,
        env=env,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


def test_the_program_itself_runs_and_refuses(tmp_path: Path) -> None:
    words = ["ring", "--along-cm", "0", "--across-cm", "0", "--entry-angle", "60", "--json"]
    good = program(*words, cwd=tmp_path)
    assert (good.returncode, good.stderr) == (0, "")
    assert json.loads(good.stdout)["outcome"] == "clean"
    bad = program("ring", "--along-cm", "nan", *words[3:], cwd=tmp_path)
    assert (bad.returncode, bad.stdout) == (2, "")
    assert bad.stderr.count("\n") == 1
    assert list(tmp_path.iterdir()) == []
