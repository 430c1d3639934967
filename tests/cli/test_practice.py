"""``practice``: a plan is made, told, printed; bad wishes are refused in one line."""

from pathlib import Path

from tests.cli.conftest import Refused, Run, RunJson

CHART = "player,date,spot,made,attempts\nInvented P,2026-11-02,free throw,3,5\n"
PLAYER = ("practice", "--player", "Invented P")
MADE = (*PLAYER, "--cue", "tall finish", "--focus", "feet turned", "--start", "2026-11-30")


def there(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "chart.csv"
    path.write_text(CHART, encoding="utf-8")
    assert run("import", path).exit_code == 0


def test_a_plan_is_made_told_and_printed(run: Run, run_json: RunJson, tmp_path: Path) -> None:
    there(run, tmp_path)
    assert "no plan goes on" in run(*PLAYER).stdout
    plan = run_json(*MADE, "--weeks", "2", "--days", "mon,Thu")["plan"]
    assert [one["day"] for one in plan["visits"]] == [
        "2026-11-30", "2026-12-03", "2026-12-07", "2026-12-10",
    ]  # fmt: skip
    assert all(sum(d["shots"] for d in one["drills"]) == 50 for one in plan["visits"])
    assert {test["kind"] for test in plan["tests"]} == {"retention", "transfer"}
    # five shots are too few for a target, so how many more would tell is said instead
    targets = [d["expected_per_100"] for one in plan["visits"] for d in one["drills"]]
    assert set(targets) == {None}
    out = tmp_path / "plan.pdf"
    told = run(*PLAYER, "--pdf", out)
    assert "Invented P: Feet turned, “tall finish”" in told.stdout
    assert "Expect a dip" in told.stdout and out.read_bytes().startswith(b"%PDF-")


def test_what_a_plan_cannot_be(refused: Refused, run: Run, tmp_path: Path) -> None:
    there(run, tmp_path)
    assert "make one with --cue" in refused(*PLAYER, "--pdf", tmp_path / "x.pdf")
    for words, sentence in (
        (("--weeks", "9"), "1 to 6 weeks"),
        (("--days", "mon,xyz"), "--days must be like"),
        (("--days", "mon,mon"), "each once"),
        (("--start", "soon"), "--start must be a day"),
        (("--spot", "the moon"), "the moon"),
        (("--shots", "5"), "Plan 20 to 1000"),
        (("--cue", ""), "Write the cue"),
        (("--focus", " "), "Name the one thing"),
    ):
        assert sentence in refused(*MADE, *words), words
    assert "No player is called" in refused("practice", "--player", "nobody")
