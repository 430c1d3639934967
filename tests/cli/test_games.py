"""``games import`` and ``games forecast``: in once, refused row by row, foreseen with ranges."""

from pathlib import Path

import pytest
from tests.cli.conftest import Refused, Run, RunJson

GAMES = """player,date,opponent,shot_type,attempts,made
Invented G,2026-11-07,Invented Lake,three,7,4
Invented G,2026-11-14,Invented Wood,three,6,2
Invented G,2026-11-14,Invented Wood,free throw,4,3
"""
CHART = "player,date,spot,made,attempts\nInvented G,2026-11-02,top,30,50\n"


@pytest.fixture
def games(tmp_path: Path) -> Path:
    path = tmp_path / "games.csv"
    path.write_text(GAMES, encoding="utf-8")
    return path


@pytest.fixture
def chart(tmp_path: Path) -> Path:
    path = tmp_path / "chart.csv"
    path.write_text(CHART, encoding="utf-8")
    return path


def test_a_table_of_games_comes_in_once(run: Run, run_json: RunJson, games: Path) -> None:
    first = run_json("games", "import", games)
    assert (first["players"], first["games"], first["lines"]) == (1, 2, 3)
    again = run_json("games", "import", games)
    assert (again["games"], again["lines"], again["lines_already"]) == (0, 0, 3)
    assert "0 games added" in run("games", "import", games).stdout


def test_bad_rows_are_named_and_nothing_comes_in(
    refused: Refused, run_json: RunJson, games: Path, tmp_path: Path
) -> None:
    bad = tmp_path / "bad.csv"
    bad.write_text(GAMES.replace("6,2", "6,8"), encoding="utf-8")
    assert "row 3" in refused("games", "import", games, bad)
    assert run_json("games", "import", games)["lines_already"] == 0


def test_the_next_games_are_foreseen_with_ranges(
    run: Run, run_json: RunJson, games: Path, chart: Path
) -> None:
    run("import", chart)
    run("games", "import", games)
    found = run_json("games", "forecast", "--player", "Invented G", "--attempts", "three=20")
    makes = found["forecast"]["makes"]
    assert found["attempts_by_kind"] == {"three": 20}
    assert 0 <= makes["low95"] <= makes["low80"] <= makes["value"] <= makes["high80"] <= 20
    assert found["forecast"]["points"]["value"] == pytest.approx(3 * makes["value"], abs=1e-4)
    (three,) = [one for one in found["kinds"] if one["shot_type"] == "three"]
    assert (three["made"], three["attempts"]) == (6, 13) and three["attempts_needed"] > 0
    done = run("games", "forecast", "--player", "Invented G", "--games", "2")
    assert "2 games: 2 three" not in done.stdout and "13 three" in done.stdout
    assert "common practice, no source" in done.stdout
    assert "free throw" in done.stderr


def test_what_cannot_be_foreseen(refused: Refused, run: Run, games: Path, chart: Path) -> None:
    run("import", chart)
    said = refused("games", "forecast", "--player", "Invented G")
    assert "No game was entered yet" in said
    run("games", "import", games)
    for words, sentence in (
        (("--attempts", "dunk=4"), "must be like"),
        (("--attempts", "three"), "must be like"),
        (("--attempts", "three=0"), "must be like"),
        (("--games", "0"), "Between 1 and 200"),
        (("--attempts", "free throw=4"), "chart some practice"),
    ):
        assert sentence in refused("games", "forecast", "--player", "Invented G", *words)
    assert "No player is called" in refused("games", "forecast", "--player", "nobody")
