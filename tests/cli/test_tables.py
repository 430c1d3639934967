"""``import`` and ``export``: round trips, all or nothing, and every refusal."""

from pathlib import Path

import pytest
from tests.cli.conftest import Refused, Run, RunJson

COUNTED = ("players", "workouts", "sets", "shots", "shots_already")


def test_import_twice_adds_nothing(run_json: RunJson, examples: Path) -> None:
    first = run_json("import", examples / "three_spots.csv")
    assert (first["players"], first["shots"], first["shots_already"]) == (2, 168, 0)
    second = run_json("import", examples / "three_spots.csv")
    assert [second[key] for key in COUNTED] == [0, 0, 0, 0, 168]


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_export_and_import_give_the_same_shots(
    run: Run, run_json: RunJson, examples: Path, tmp_path: Path, kind: str
) -> None:
    files = [examples / f"{name}.csv" for name in ("three_spots", "taps", "counts")]
    assert run_json("import", *files)["shots"] == 168 + 60 + 200
    out = tmp_path / f"out.{kind}"
    assert run("export", out).exit_code == 0
    elsewhere = ("--data", tmp_path / "elsewhere")
    assert run_json("import", out, *elsewhere)["shots"] == 428
    again = tmp_path / "again.csv"
    assert run("export", again, *elsewhere).exit_code == 0
    if kind == "csv":
        assert again.read_bytes() == out.read_bytes()


def test_export_of_one_player_to_the_output_stream(run: Run, examples: Path) -> None:
    run("import", examples / "counts.csv")
    done = run("export", "-", "--player", "invented d")
    assert done.exit_code == 0
    lines = done.stdout.strip().splitlines()
    assert len(lines) == 1 + 120
    assert all(line.startswith("Invented D,") for line in lines[1:])


def test_what_is_exported_can_be_read_by_findings(
    run: Run, run_json: RunJson, examples: Path, tmp_path: Path
) -> None:
    run("import", examples / "taps.csv")
    run("export", tmp_path / "taps.xlsx")
    (there,) = run_json("findings", tmp_path / "taps.xlsx")["players"]
    (here,) = run_json("findings", examples / "taps.csv")["players"]
    assert there["aim"] == here["aim"]
    assert there["make"] == here["make"]


def test_import_is_all_or_nothing(
    refused: Refused, run_json: RunJson, examples: Path, tmp_path: Path
) -> None:
    bad = tmp_path / "bad.csv"
    bad.write_text("player,date,spot,made\nA,2026-11-02,the moon,yes\n", encoding="utf-8")
    assert "row 2, column spot" in refused("import", examples / "taps.csv", bad)
    assert run_json("import", examples / "taps.csv")["shots_already"] == 0


def test_import_in_words(run: Run, examples: Path) -> None:
    done = run("import", examples / "taps.csv", "--who", "Coach N")
    assert done.exit_code == 0
    assert "60 shots added" in done.stdout


@pytest.mark.parametrize("who", ["", "   ", "x" * 5000])
def test_import_needs_a_name_for_the_log(refused: Refused, examples: Path, who: str) -> None:
    refused("import", examples / "taps.csv", "--who", who)


def test_a_table_without_dates_cannot_be_stored(refused: Refused, tmp_path: Path) -> None:
    path = tmp_path / "undated.csv"
    path.write_text("player,spot,made\nA,top,yes\n", encoding="utf-8")
    assert "no dates" in refused("import", path)


def test_two_players_of_one_name_are_asked_about(
    refused: Refused, run: Run, tmp_path: Path
) -> None:
    path = tmp_path / "two.csv"
    path.write_text(
        "player,date,spot,made,birth_year\n"
        "Invented F,2026-11-02,top,yes,2010\nInvented F,2026-11-02,top,yes,2012\n",
        encoding="utf-8",
    )
    assert run("import", path).exit_code == 0
    message = refused("export", "-", "--player", "Invented F")
    assert "2 players are called Invented F" in message


def test_export_does_not_overwrite_unless_told(
    run: Run, refused: Refused, examples: Path, tmp_path: Path
) -> None:
    run("import", examples / "taps.csv")
    out = tmp_path / "out.csv"
    out.write_text("mine", encoding="utf-8")
    assert "is there already" in refused("export", out)
    assert out.read_text(encoding="utf-8") == "mine"
    assert run("export", out, "--overwrite").exit_code == 0
    assert out.read_text(encoding="utf-8").startswith("player,")
    assert [p.name for p in tmp_path.iterdir() if p.suffix == ".part"] == []


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("out.pdf", "must end in .csv or .xlsx"),
        ("out", "must end in .csv or .xlsx"),
        ("no/such/folder/out.csv", "can't be written"),
    ],
)
def test_export_refuses_in_one_sentence(
    refused: Refused, tmp_path: Path, name: str, said: str
) -> None:
    assert said in refused("export", tmp_path / name)


def test_export_of_nobody_is_refused(refused: Refused) -> None:
    assert "No player is called nobody" in refused("export", "-", "--player", "nobody")
    refused("export", "-", "--player", "")


@pytest.mark.parametrize("command", [["import", "x.csv"], ["export", "x.csv"]])
def test_a_data_folder_that_cannot_be_made_is_one_line(
    refused: Refused, tmp_path: Path, command: list[str]
) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    (tmp_path / "x.csv").write_text("player,date,spot,made\nA,2026-11-02,top,yes\n")
    words = [command[0], str(tmp_path / ("x.csv" if command[0] == "import" else "y.csv"))]
    assert "can't be made" in refused(*words, "--data", tmp_path / "file" / "data")
