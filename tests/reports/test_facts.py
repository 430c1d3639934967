import dataclasses
import re
from dataclasses import replace

import pytest
from tests.reports.samples import FILMED, SHORT, SHORT_READING, YOUNG, YOUNG_READING, around

from hoopwright.chart.findings import CannotTell, Change, Lean, PriorRow, Tally, Worth
from hoopwright.reports.facts import (
    across_sentence,
    along_sentence,
    best_change_sentence,
    cannot_tell_sentence,
    change_name,
    condition_facts,
    facts_of,
    open_question,
    prior_sentences,
)


def all_sentences(facts: object) -> list[str]:
    """Every string anywhere in the facts."""
    if isinstance(facts, str):
        return [facts]
    if isinstance(facts, tuple):
        return [s for one in facts for s in all_sentences(one)]
    if dataclasses.is_dataclass(facts):
        fields = dataclasses.fields(facts)
        return [s for field in fields for s in all_sentences(getattr(facts, field.name))]
    return []


def test_headline_of_a_clear_chart() -> None:
    assert condition_facts(SHORT_READING).headline == (
        "You miss short more often than long (9 short, 2 long in 40 shots).",
        "Best single change: 6 cm deeper aim, worth about +9 makes per 100 (likely +3 to +14).",
        "Left/right is fine (4 left, 3 right in 40 shots).",
        "Can't tell yet about arc: makes and misses don't show it; film 10 shots from the side.",
    )


def test_few_shots_say_how_many_more() -> None:
    lines = condition_facts(YOUNG_READING).headline
    assert lines[0].startswith("Can't tell yet about a short or long habit (1 short, 1 long")
    assert "about 60 more shots would tell" in lines[0]
    assert lines[1].startswith("Can't tell yet which single change is best: about 120 more shots")
    assert "even 400 more shots would not tell" in lines[2]


@pytest.mark.parametrize(
    ("lean", "short", "long", "said"),
    [
        (Lean.SHORT, 9, 2, "You miss short more often than long (9 short, 2 long in"),
        (Lean.LONG, 2, 9, "You miss long more often than short (2 short, 9 long in"),
        (Lean.SHORT, 2, 2, "Expect more short misses than long ones (2 short, 2 long in"),
        (Lean.LONG, 0, 0, "Expect more long misses than short ones (no short or long noted in"),
        (Lean.FINE, 5, 5, "Short/long is fine: the two about balance (5 short, 5 long in"),
        (Lean.CANNOT_TELL, 1, 2, "Can't tell yet about a short or long habit"),
    ],
)
def test_each_along_lean_has_its_own_sentence(lean: Lean, short: int, long: int, said: str) -> None:
    """A sentence that speaks of counts agrees with them, also where the reading leans on more."""
    counts = replace(SHORT_READING.tally, short=short, long=long)
    assert along_sentence(replace(SHORT_READING, along_lean=lean, tally=counts)).startswith(said)


@pytest.mark.parametrize(
    ("lean", "left", "right", "said"),
    [
        (Lean.LEFT, 9, 2, "You miss left more often than right (9 left, 2 right in"),
        (Lean.RIGHT, 2, 9, "You miss right more often than left (2 left, 9 right in"),
        (Lean.RIGHT, 3, 3, "Your aim is 5 cm right of ring centre"),
        (Lean.FINE, 4, 3, "Left/right is fine (4 left, 3 right in"),
        (Lean.CANNOT_TELL, 1, 2, "Can't tell yet about a left or right habit"),
    ],
)
def test_each_across_lean_has_its_own_sentence(
    lean: Lean, left: int, right: int, said: str
) -> None:
    counts = replace(SHORT_READING.tally, left=left, right=right)
    reading = replace(SHORT_READING, across_lean=lean, tally=counts, aim_across=around(0.05, 0.01))
    assert across_sentence(reading).startswith(said)


@pytest.mark.parametrize(
    ("change", "amount", "name"),
    [
        (Change.AIM_ALONG, 0.06, "6 cm deeper aim"),
        (Change.AIM_ALONG, -0.04, "4 cm shorter aim"),
        (Change.AIM_ACROSS, 0.03, "aim 3 cm further right"),
        (Change.AIM_ACROSS, -0.03, "aim 3 cm further left"),
        (Change.AIM_ALONG, 0.004, "depth of aim, as good as it is"),
        (Change.AIM_ACROSS, -0.002, "left/right aim, as good as it is"),
        (Change.DISTANCE_CONTROL, 0.1, "10 % tighter distance control"),
        (Change.LINE_CONTROL, 0.1, "10 % tighter line control"),
        (Change.ANGLE_UP, 0.0349, "release 2° higher"),
        (Change.ANGLE_DOWN, 0.0349, "release 2° lower"),
        (Change.ANGLE_DOWN, -0.0349, "release 2° lower"),
    ],
)
def test_change_names_carry_size_and_side(change: Change, amount: float, name: str) -> None:
    worth = Worth(
        change=change,
        amount=amount,
        makes_per_100=around(1, 1),
        chance_best=0.5,
        chance_gain=0.5,
    )
    assert change_name(worth) == name


def test_a_change_that_may_gain_nothing_is_not_called_best() -> None:
    unsure = replace(SHORT_READING.worth[0], makes_per_100=around(2, 4), chance_gain=0.69)
    said = best_change_sentence(replace(SHORT_READING, worth=(unsure,)))
    assert said.startswith("No single change weighed here stands out")
    assert "likely −3 to +7" in said


def test_no_worth_at_all_is_said() -> None:
    assert "Can't tell yet" in best_change_sentence(replace(SHORT_READING, worth=()))


@pytest.mark.parametrize("question", ["aim_along", "aim_across", "best_change", "make", "other"])
def test_open_questions_name_what_would_settle_them(question: str) -> None:
    said = cannot_tell_sentence(CannotTell(question=question, shots_needed=None))
    assert said.startswith("Can't tell yet") and said.endswith("charting alone won't tell.")


@pytest.mark.parametrize("needed", [None, 400])
def test_more_shots_than_were_tried_are_told_as_such(needed: int | None) -> None:
    one = CannotTell(question="aim_across", shots_needed=needed, beyond=True)
    assert cannot_tell_sentence(one).endswith("even 400 more shots would not tell.")
    assert open_question(one) == ("Left or right", "more than 400 more shots")


def test_a_spot_that_does_not_follow_is_named_without_a_reason() -> None:
    odd = replace(SHORT_READING.spots[0], fit=0.004, made=4)
    facts = condition_facts(replace(SHORT_READING, spots=(odd, *SHORT_READING.spots[1:])))
    assert facts.odd_spots == (
        "Free throw does not follow the other spots (4 of 20 made, fewer than expected): "
        "chart it again before believing it.",
    )


def test_two_conditions_are_not_compared() -> None:
    change = replace(SHORT_READING, condition="feet turned")
    facts = facts_of(replace(SHORT, conditions=(SHORT_READING, change)))
    assert [one.title for one in facts.conditions] == ["Habit", "feet turned"]
    assert any("not a fair comparison" in note for note in facts.notes)


@pytest.mark.parametrize("findings", [SHORT, YOUNG, FILMED], ids=["clear", "few shots", "filmed"])
def test_no_sentence_ranks_or_speaks_of_streaks(findings: object) -> None:
    said = " ".join(all_sentences(facts_of(findings))).lower()  # type: ignore[arg-type]
    assert not re.search(r"\b(hot|cold|streak|rank|than other (players|children)|p-value)\b", said)


@pytest.mark.parametrize("findings", [SHORT, YOUNG, FILMED], ids=["clear", "few shots", "filmed"])
def test_every_estimate_is_said_with_its_range(findings: object) -> None:
    """Makes per 100, "of 10" and centimetres are never given bare."""
    for said in all_sentences(facts_of(findings)):  # type: ignore[arg-type]
        if "makes per 100" in said or "of 10;" in said or "spread" in said.split(" "):
            assert re.search(r"likely .+ to .+|could be .+ to .+", said), said


def test_open_questions_as_pairs() -> None:
    assert condition_facts(YOUNG_READING).open_questions == (
        ("Short or long", "about 60 more shots"),
        ("Left or right", "more than 400 more shots"),
        ("Best single change", "about 120 more shots"),
        ("Makes, more closely", "about 80 more shots"),
        ("Arc", "film 10 shots from the side"),
    )


def test_a_lean_from_tapped_points_says_so() -> None:
    tapped = Tally(shots=20, made=12, short=0, long=0, left=0, right=0, plain_misses=8, points=20)
    facts = condition_facts(replace(SHORT_READING, tally=tapped))
    assert facts.counts == "20 shots charted: 12 made and 8 missed; 20 landing points."
    assert facts.headline[0] == (
        "Expect more short misses than long ones (from 20 landing points)."
    )
    assert not any("Landing points" in line for line in facts.not_measured)


@pytest.mark.parametrize(
    ("unit", "centre", "sd", "said"),
    [
        ("share", 0.0, 0.01, "0.0 %, give or take 1.0 %"),
        ("log share", -4.2687, 0.45, "1.4 %, within a factor of 1.57"),
        ("log rad", -3.784, 0.25, "1.3°, within a factor of 1.28"),
        ("rad", 0.0681, 0.0541, "3.9°, give or take 3.1°"),
        ("", 0.584, 0.035, "0.584, give or take 0.035"),
    ],
)
def test_the_prior_is_told_on_the_plain_scale(
    unit: str, centre: float, sd: float, said: str
) -> None:
    row = PriorRow(
        name="speed spread, log of share of speed",
        centre=centre,
        sd=sd,
        unit=unit,
        source="common practice, no source",
    )
    lines = prior_sentences(replace(SHORT, prior=(row,)))
    assert lines[1] == f"Speed spread: {said} (common practice, no source)"


def test_sides_that_were_not_noted_are_not_counted_as_none() -> None:
    counts = replace(SHORT_READING.tally, made=29, left=0, right=0)
    reading = replace(SHORT_READING, tally=counts, across_lean=Lean.CANNOT_TELL)
    facts = condition_facts(reading)
    assert facts.headline[2] == (
        "Can't tell yet about a left or right habit (no left or right noted in 40 shots)."
    )
    assert "Left and right: no miss was noted that way." in facts.not_measured


def test_makes_and_misses_alone_ask_for_directions_and_put_no_change_first() -> None:
    tally = replace(SHORT_READING.tally, short=0, long=0, left=0, right=0, points=0)
    asked = (CannotTell(question="best_change", shots_needed=60),)
    said = best_change_sentence(replace(SHORT_READING, tally=tally, cannot_tell=asked))
    assert said == (
        "Can't tell yet which single change is best: makes and misses don't show it; note which "
        "way each miss goes, then about 60 more shots would tell."
    )
