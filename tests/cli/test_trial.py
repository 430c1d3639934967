"""``trial``: planned, entered from paper, read; and every refusal in one line."""

from pathlib import Path
from typing import Any

import pytest
from tests.cli.conftest import Refused, Run, RunJson

from hoopwright.trials import power
from hoopwright.trials.nouns import Measure

SMALL = ("--pairs", 5, "--shots", 4, "--washout", 1, "--familiarisation", 0, "--days", 1)
ASKED = ("--player", "Invented D", "--change", "feet turned", "--topic", "feet turn", *SMALL)


@pytest.fixture(autouse=True)
def few_differences(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a plan can detect has its own tests; here a few simulated differences are enough."""
    few = {Measure.MAKE: (0.1, 0.4), Measure.ALONG: (0.02, 0.2), Measure.DISTANCE_CONTROL: (0.3,)}
    monkeypatch.setattr(power, "TRIED", few)


@pytest.fixture
def planned(run: Run, run_json: RunJson, examples: Path) -> dict[str, Any]:
    run("import", examples / "counts.csv")
    return run_json("trial", "plan", *ASKED, "--seed", 7)


def test_a_plan_says_its_order_and_what_it_can_find(planned: dict[str, Any]) -> None:
    assert (planned["player"], planned["seed"], planned["shots"]) == ("Invented D", 7, 50)
    blocks = planned["blocks"]
    assert [one["block"] for one in blocks] == list(range(1, 11))
    # each pair holds one block each way
    assert all({a["way"], b["way"]} == {"habit", "feet turned"}
               for a, b in zip(blocks[::2], blocks[1::2], strict=True))  # fmt: skip
    assert [one["measure"] for one in planned["detectable"]] == [
        "make", "along", "distance control",
    ]  # fmt: skip


def test_the_same_seed_gives_the_same_order(planned: dict[str, Any], run_json: RunJson) -> None:
    again = run_json("trial", "plan", *ASKED, "--seed", 7)
    assert again["trial"] != planned["trial"] and again["blocks"] == planned["blocks"]


def test_blocks_are_entered_from_paper_and_read(
    planned: dict[str, Any], run: Run, run_json: RunJson
) -> None:
    for one in planned["blocks"]:
        line = "mmmms" if one["way"] == "feet turned" else "mssss"
        told = run_json("trial", "enter", line, "--player", "Invented D")
        assert told["block"] == one["block"] and told["shots"] == 5
    again = run_json("trial", "enter", line, "--trial", planned["trial"], "--block", 10)
    assert again["shots"] == 5 and again["next_block"] is None  # entered twice, it is once
    found = run_json("trial", "read", "--player", "Invented D", "--look")
    assert found["order_follows_from_seed"] is True and found["state"] == "ended"
    verdict = found["verdict"]
    assert (verdict["habit"], verdict["change"]) == (
        {"shots": 20, "made": 0}, {"shots": 20, "made": 15},
    )  # fmt: skip
    assert verdict["by_luck"] == pytest.approx(2 / 2**5)  # two of the 32 orders, by count
    said = run("trial", "read", "--trial", planned["trial"]).stdout
    assert "makes per 100 (likely" in said and "Look as often as you like" in said


def test_nothing_to_compare_is_said(planned: dict[str, Any], run: Run, run_json: RunJson) -> None:
    assert run_json("trial", "read", "--player", "Invented D")["verdict"] is None
    assert "first pair" in run("trial", "read", "--player", "Invented D").stdout


def test_a_block_is_over_when_said_so(planned: dict[str, Any], run_json: RunJson) -> None:
    told = run_json("trial", "enter", "mms", "--player", "Invented D", "--finish")
    assert (told["shots"], told["blocks_done"], told["next_block"]) == (3, 1, 2)


def test_the_order_is_printed_once(
    planned: dict[str, Any], run: Run, refused: Refused, tmp_path: Path
) -> None:
    sheet = tmp_path / "order.pdf"
    said = run("trial", "plan", *ASKED, "--sheet", sheet)
    assert said.exit_code == 0, said.stderr
    assert "Visit 1" in said.stdout and "Counting makes" in said.stdout
    assert sheet.read_bytes().startswith(b"%PDF-")
    assert "is there already" in refused("trial", "plan", *ASKED, "--sheet", sheet)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (("--topic", "moon"), "choose one of feet turn"),
        (("--measure", "luck"), "choose make, along"),
        (("--kind", "both"), "paired, mirrored and phases"),
        (("--start", "soon"), "not a day"),
        (("--spot", "the moon"), "spot"),
        (("--pairs", 2), "5 to 500 pairs"),
        (("--smallest", "nan"), "--smallest must be"),
        (("--change", "habit"), "name of its own"),
    ],
    ids=lambda one: str(one[0]) if isinstance(one, tuple) else "",
)
def test_a_plan_that_makes_no_trial_is_refused(
    planned: dict[str, Any], refused: Refused, more: tuple[object, ...], said: str
) -> None:
    assert said in refused("trial", "plan", *ASKED, *more)


def test_what_is_not_there_is_refused(planned: dict[str, Any], refused: Refused) -> None:
    assert "Say whose trial" in refused("trial", "read")
    assert "not an id" in refused("trial", "read", "--trial", "7")
    assert "No player is called" in refused("trial", "read", "--player", "Nobody")
    who = ("--player", "Invented D")
    assert "no block 99" in refused("trial", "enter", "mm", *who, "--block", 99)
    assert "z" in refused("trial", "enter", "mmz", *who)
    refused("trial", "enter", "mm", *who, "--detail", "five")
