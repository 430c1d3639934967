"""``player export``, ``player erase`` and ``log check``: done, told, refused in one line."""

import json
import sqlite3
from contextlib import closing
from pathlib import Path
from zipfile import ZipFile

from tests.cli.conftest import Refused, Run, RunJson


def test_export_then_erase_with_a_receipt(
    run: Run, run_json: RunJson, refused: Refused, examples: Path, tmp_path: Path
) -> None:
    run("import", examples / "counts.csv")
    out, receipt = tmp_path / "d.zip", tmp_path / "receipt.json"
    told = run_json("player", "export", "Invented D", out)
    assert told["holds"]["shots"] == 120
    assert "is there already" in refused("player", "export", "Invented D", out)
    with ZipFile(out) as archive:
        assert archive.testzip() is None
    going = refused("player", "erase", told["player_id"])
    assert "120 shots" in going
    assert "--for-good" in going
    erase = ("player", "erase", "Invented D", "--for-good", "--who", "Coach N")
    assert "can't be written" in refused(*erase, "--receipt", tmp_path / "none" / "r.json")
    done = run(*erase, "--receipt", receipt)
    assert done.exit_code == 0
    said = json.loads(receipt.read_text(encoding="utf-8"))
    assert (said["removed"]["shots"], said["who"]) == (120, "Coach N")
    assert said["player_id"] == told["player_id"]
    assert "Invented D" not in receipt.read_text(encoding="utf-8") + done.stdout
    checked = run_json("log", "check", "--seal", said["log_entry"])
    assert checked["whole"] is True
    assert "No player is called" in refused("player", "erase", "Invented D", "--for-good")


def test_an_altered_log_is_told(run: Run, refused: Refused, examples: Path, tmp_path: Path) -> None:
    run("import", examples / "taps.csv")
    done = run("log", "check")
    assert done.exit_code == 0
    assert "Seal: " in done.stdout
    with closing(sqlite3.connect(tmp_path / "data" / "hoopwright.db")) as connection:
        connection.execute("UPDATE edits SET who = 'nobody' WHERE id = 4")
        connection.commit()
    assert "entry 4 is wrong" in refused("log", "check")


def test_refusals(refused: Refused, tmp_path: Path) -> None:
    assert "must end in .zip" in refused("player", "export", "nobody", tmp_path / "a.txt")
    assert "No player is called" in refused("player", "export", "nobody", tmp_path / "a.zip")
    unknown = "00000000-0000-0000-0000-000000000009"
    assert "Nothing is kept" in refused("player", "erase", unknown)
    assert "not written like one" in refused("log", "check", "--seal", "12")
