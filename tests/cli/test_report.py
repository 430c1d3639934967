"""``report``: words, data and a file for each reader; refusals in one line."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from shutil import copyfile

import pytest
from tests.actions.report_material import ASH, BO, COACH, kept_in
from tests.cli.conftest import Refused, Run, RunJson
from tests.reports.samples import SHORT

from hoopwright.actions import reports
from hoopwright.chart.findings import Findings
from hoopwright.chart.prior import Prior
from hoopwright.records import Chart
from hoopwright.settings import Settings

pytestmark = pytest.mark.usefixtures("kept", "sample_reading")


@pytest.fixture(scope="module")
def once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return kept_in(tmp_path_factory.mktemp("kept") / "kept.db", date.today())


@pytest.fixture
def kept(tmp_path: Path, once: Path) -> None:
    settings = Settings.from_env({"HOOPWRIGHT_DATA": str(tmp_path / "data")})
    (tmp_path / "data").mkdir()
    copyfile(once, settings.database.removeprefix("sqlite:///"))


@pytest.fixture
def sample_reading(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The reading itself has its own tests; here only what pages make of one is tested."""

    def read(chart: Chart, *, prior: Prior | None = None) -> Findings:
        return replace(SHORT, player_name=chart.player.name)

    reports.forget_readings()
    monkeypatch.setattr(reports, "read_chart", read)
    yield
    reports.forget_readings()


@pytest.mark.parametrize("reader", ["player", "parent", "team", "coach"])
def test_words_data_and_a_file(reader: str, run: Run, run_json: RunJson, tmp_path: Path) -> None:
    data = run_json("report", reader, ASH.name)
    assert data["reader"] == reader and data["invented"] is True
    words = run("report", reader, ASH.name).stdout
    assert f"{data['title']} (invented)" in words
    assert all(one["title"] in words for one in data["sections"])
    assert BO.name not in words
    done = run("report", reader, ASH.name, "--pdf", tmp_path / "told.pdf", "--paper", "letter")
    assert done.exit_code == 0, done.stderr
    made = (tmp_path / "told.pdf").read_bytes()
    assert made.startswith(b"%PDF-") and b"612 792" in made


def test_a_group_has_names_only_where_asked_for(run: Run, run_json: RunJson) -> None:
    plain = run("report", "group", "--coach", COACH).stdout
    assert "100 shots by 1 of 2 players." in plain and ASH.name not in plain
    named = run_json("report", "group", "--coach", COACH, "--names")
    assert [row[0] for row in named["sections"][-1]["table"][1:]] == [ASH.name, BO.name]


def test_refusals(refused: Refused) -> None:
    assert "18 or older" in refused("report", "parent", BO.name)
    assert "Nobody" in refused("report", "player", "Nobody")
    assert "choose a4 or letter" in refused("report", "player", ASH.name, "--paper", "a3")
    assert "No player is with Nobody" in refused("report", "group", "--coach", "Nobody")
