import re
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from tests.plans.plan_samples import DEEPER, ROOMY, TARGETS, WISH, plan_of, turned

from hoopwright.errors import UnknownName
from hoopwright.plans.drills import library
from hoopwright.plans.nouns import Stage, Target
from hoopwright.plans.plan import make_plan
from hoopwright.plans.progress import StageCall, Step
from hoopwright.plans.sheets import session_sheet
from hoopwright.plans.targets import Targets
from hoopwright.reports.practice_facts import plan_facts, row_facts, sheet_facts
from hoopwright.reports.practice_words import (
    STAGE_WORDS,
    TEST_NAMES,
    long_day,
    short_day,
    spots_words,
    stage_sentence,
    target_sentence,
    worth_sentence,
)

DRILLS = library()
PLAN = plan_of(turned())


def test_a_plan_in_words() -> None:
    facts = plan_facts(PLAN, "Invented Ash", drills=DRILLS)
    assert facts.focus == "Feet turned" and facts.cue == "over the front"
    assert facts.size == "3 weeks, 9 visits, 900 shots"
    assert [title for title, _ in facts.weeks] == ["Week 1", "Week 2", "Week 3"]
    first = facts.weeks[0][1][0]
    assert (first.day, first.stage, first.shots) == ("Mon 30 Nov", "Close form work", 100)
    assert sum(shots for _, shots in first.drills) == 90
    assert [(day, name) for day, name, _ in facts.tests] == [
        ("Fri 25 Dec", "Retention test"),
        ("Fri 25 Dec", "Transfer test"),
        ("Mon 11 Jan", "Retention test"),
        ("Mon 11 Jan", "Transfer test"),
    ]
    assert facts.cold_test == (
        "Each visit begins with 10 attempts from free throw, left elbow and top. First shots of "
        "the visit, no coaching before. Usual for you: about 5 of 10; on most days 3 to 7."
    )
    named = {name for _, week in facts.weeks for visit in week for name, _ in visit.drills}
    assert {drill.name for drill in facts.drills} == named
    assert facts.stages[0][0] == "Close form work"


def test_a_plan_whose_drill_is_gone_says_so() -> None:
    with pytest.raises(UnknownName, match="There is no drill called"):
        plan_facts(PLAN, "x", drills=DRILLS[:1])


def test_a_sheet_in_words() -> None:
    sheet = session_sheet(PLAN, 9, drills=DRILLS, rng=np.random.default_rng(1))
    facts = sheet_facts(sheet, "Invented Ash")
    assert (facts.day, facts.title) == ("Friday 18 December 2026", "Visit 9: game-like")
    assert facts.size.startswith("100 attempts, about ")
    cold = facts.rows[0]
    assert cold.title == "Cold test, 10 attempts" and len(cold.labels) == 10 and not cold.runs
    assert cold.target == "Usual for you: about 5 of 10; on most days 3 to 7."
    for row in facts.rows:
        boxes = len(row.labels) + sum(count for _, count in row.runs)
        assert boxes == row.shots
    assert any("Count: " in line for line in facts.rows[1].lines)


def test_a_drill_without_spots_has_one_run_of_boxes() -> None:
    only_wall = replace(turned(), features=("wall",))
    plan = plan_of(only_wall)
    sheet = session_sheet(plan, 1, drills=DRILLS, rng=np.random.default_rng(1))
    row = row_facts(sheet.rows[1])
    assert row.runs == (("", row.shots),) and row.target == ""


def test_targets_that_cannot_be_told_say_how_many_shots_would_tell() -> None:
    plan = make_plan(WISH, PLAN.id, drills=DRILLS, targets=Targets(), limits=ROOMY)
    said = plan_facts(plan, "x", drills=DRILLS).cold_test
    assert said.endswith(
        "No target yet: can't tell; about 19 more charted shots from here would tell."
    )
    assert target_sentence(Target(), 10) == ""
    assert target_sentence(Target(shots_needed=1), 10).count("1 more charted shot from") == 1


def test_worth_with_its_range_or_that_it_cannot_be_told() -> None:
    assert worth_sentence(DEEPER) == (
        "About +9 makes per 100 (likely +3 to +14), if it becomes a habit."
    )
    assert "can't be told yet" in worth_sentence(turned().focus)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        ((Step.CANNOT_TELL, 4, 10, None, 10), "10 more cold-test attempts would tell"),
        ((Step.GO_ON, 4, 20, None, 0), "no range of your own"),
        ((Step.GO_ON, 12, 20, 9, 0), "Go on from varied: 12 of 20 in the cold tests of this stage"),
        ((Step.STAY, 8, 20, 9, 0), "Stay at varied: 8 of 20 in the cold tests of this stage, 9 or"),
        ((Step.BACK, 3, 20, 9, 0), "Go back one stage from varied: 3 of 20"),
    ],
)
def test_a_stage_call_in_words(call: tuple[Step, int, int, int | None, int], said: str) -> None:
    step, made, shots, needed, more = call
    found = StageCall(step=step, made=made, shots=shots, needed=needed, shots_needed=more)
    assert said in stage_sentence(found, Stage.VARIED)


def test_days_and_names() -> None:
    assert short_day(date(2028, 2, 29)) == "Tue 29 Feb"
    assert long_day(date(2028, 2, 29)) == "Tuesday 29 February 2028"
    assert spots_words(["top", "wing", "top"]) == "top and wing"
    assert set(STAGE_WORDS) == set(Stage) and len(TEST_NAMES) == 3


def test_every_target_has_a_range() -> None:
    """A count to expect never stands alone."""
    for number in range(1, 10):
        sheet = session_sheet(PLAN, number, drills=DRILLS, rng=np.random.default_rng(1))
        for row in sheet_facts(sheet, "x").rows:
            if "Usual" in row.target:
                assert re.search(r"on most days \d+ to \d+\.", row.target)
    assert TARGETS.reading is not None
