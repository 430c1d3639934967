"""``backup``: made, proved, restored; refused in one line."""

from pathlib import Path

from tests.cli.conftest import Refused, Run, RunJson


def test_made_proved_and_restored(
    run: Run, run_json: RunJson, refused: Refused, examples: Path, tmp_path: Path
) -> None:
    run("import", examples / "three_spots.csv")
    out = tmp_path / "friday.backup"
    made = run_json("backup", "make", out)
    assert (made["rows"]["shots"], made["films"], made["missing"]) == (168, 0, [])
    assert "is there already" in refused("backup", "make", out)
    assert run("backup", "make", out, "--overwrite").exit_code == 0
    proved = run_json("backup", "prove", out)
    assert proved["sound"] is True
    there = ("--data", tmp_path / "there")
    done = run("backup", "restore", out, *there)
    assert done.exit_code == 0
    assert "2 players, 168 shots" in done.stdout
    assert "--replace" in refused("backup", "restore", out, *there)
    again = run_json("backup", "restore", out, *there, "--replace")
    assert again["erased_again"] == 0
    assert Path(again["set_aside"]).exists()
    assert run_json("log", "check", "--seal", proved["log_seal"], *there)["whole"] is True


def test_refusals(refused: Refused, tmp_path: Path) -> None:
    (tmp_path / "data").mkdir()
    assert "no Hoopwright database" in refused("backup", "make", tmp_path / "b")
    assert "can't be written" in refused("backup", "make", tmp_path / "none" / "b")
    assert "is a folder" in refused("backup", "make", tmp_path)
    (tmp_path / "text").write_text("dear diary", encoding="utf-8")
    for command in ("prove", "restore"):
        assert "no backup" in refused("backup", command, tmp_path / "text")
        assert "no file" in refused("backup", command, tmp_path / "none")
    assert sorted(one.name for one in tmp_path.iterdir()) == ["data", "text"]


def test_without_a_command_the_help_is_shown(run: Run) -> None:
    for group in ("backup", "player", "log"):
        done = run(group)
        assert done.exit_code == 0
        assert "Commands" in done.stdout
