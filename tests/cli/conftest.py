"""Run the command line inside the test's own process."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from hoopwright.cli import app
from hoopwright.settings import Settings

EXAMPLES = Path(__file__).parents[2] / "examples"

Run = Callable[..., Result]
RunJson = Callable[..., dict[str, Any]]
Refused = Callable[..., str]


@pytest.fixture
def examples() -> Path:
    return EXAMPLES


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """Run one command; nothing of the machine's own settings is seen."""

    def call(*words: object, stdin: bytes | None = None) -> Result:
        env: dict[str, str | None] = {"HOOPWRIGHT_DATA": str(tmp_path / "data"), "COLUMNS": "100"}
        own = Settings(data=tmp_path, database="").as_environ()
        clear = {variable: None for variable in own if variable not in env}
        return CliRunner().invoke(app, [str(w) for w in words], env=env | clear, input=stdin)

    return call


@pytest.fixture
def run_json(run: Run) -> RunJson:
    """Run one command that must succeed, and read its JSON, in which NaN is an error."""

    def call(*words: object, stdin: bytes | None = None) -> dict[str, Any]:
        done = run(*words, "--json", stdin=stdin)
        assert (done.exit_code, done.exception) == (0, None) or done.exit_code == 0, done.stderr
        value = json.loads(done.stdout, parse_constant=lambda word: pytest.fail(word))
        assert isinstance(value, dict)
        return value

    return call


@pytest.fixture
def refused(run: Run) -> Refused:
    """Run one command that must be refused: exit 2, one line in words, nothing printed."""

    def call(*words: object, stdin: bytes | None = None) -> str:
        done = run(*words, stdin=stdin)
        assert done.exit_code == 2, (done.exit_code, done.stdout, done.stderr, done.exception)
        assert done.exception is None or isinstance(done.exception, SystemExit)
        assert done.stdout == ""
        *rows, last = done.stderr.strip().splitlines()
        assert last.startswith("hoopwright: ")
        assert all(line.startswith("row ") for line in rows)
        assert "Traceback" not in done.stderr
        return done.stderr

    return call
