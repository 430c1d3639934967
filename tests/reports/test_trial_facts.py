"""What is said of trials: rounding, sides and ranges; a sentence for every warning."""

import math
from dataclasses import replace

import pytest
from tests.reports.trial_samples import LANDING, QUESTION, estimate, plan, verdict

from hoopwright.film.results import Body
from hoopwright.reports.trial_data import plan_data, verdict_data
from hoopwright.reports.trial_facts import effect_rows, guard_sentence, verdict_facts
from hoopwright.reports.trial_plan_facts import plan_facts, question_sentence
from hoopwright.reports.trial_words import amount, body_measure, chance_in, effect, hoped_for
from hoopwright.trials.design import layout_for
from hoopwright.trials.nouns import Better, Guard, Measure, Said, Topic, Warned
from hoopwright.trials.power import detectable

TURN = body_measure(Body.STANCE_TURN, Better.MORE)
HOLD = body_measure(Body.HOLD, Better.STEADIER)


@pytest.mark.parametrize(
    ("value", "measure", "said"),
    [
        (5.4, Measure.MAKE, "+5 makes per 100"),
        (-5.4, Measure.MAKE, "−5 makes per 100"),
        (-0.2, Measure.MAKE, "0 makes per 100"),
        (0.043, Measure.ALONG, "4.3 cm longer"),
        (-0.043, Measure.ALONG, "4.3 cm shorter"),
        (0.0001, Measure.ALONG, "0.0 cm"),
        (-0.012, Measure.DISTANCE_CONTROL, "1.2 cm tighter"),
        (0.02, Measure.ACROSS, "2.0 cm further right"),
        (math.radians(1.5), Measure.ENTRY_ANGLE, "1.5° steeper"),
        (math.radians(-12.0), TURN, "−12.0°"),
        (0.05, HOLD, "+50 ms"),
    ],
)
def test_a_difference_is_said_in_the_coachs_unit_with_its_side(
    value: float, measure: Measure, said: str
) -> None:
    assert amount(value, measure) == said


@pytest.mark.parametrize(
    ("value", "half", "measure", "said"),
    [
        (5.0, 10.0, Measure.MAKE, "+5 makes per 100 (likely −2 to +12; could be −5 to +15)"),
        (0.04, 0.02, Measure.ALONG,
         "4.0 cm longer (likely 2.7 to 5.3 cm longer; could be 2.0 to 6.0 cm longer)"),
        (-0.04, 0.02, Measure.ALONG,
         "4.0 cm shorter (likely 2.7 to 5.3 cm shorter; could be 2.0 to 6.0 cm shorter)"),
        (0.01, 0.03, Measure.ALONG,
         "1.0 cm longer (likely 0.9 cm shorter to 2.9 cm longer; "
         "could be 2.0 cm shorter to 4.0 cm longer)"),
    ],
)  # fmt: skip
def test_each_difference_carries_both_ranges(
    value: float, half: float, measure: Measure, said: str
) -> None:
    assert effect(estimate(value, half), measure) == said


def test_a_difference_that_could_not_be_worked_out_is_no_number() -> None:
    assert effect(estimate(math.nan, 1.0), Measure.MAKE) == "can't tell yet"


def test_small_chances_are_not_rounded_to_none() -> None:
    assert [chance_in(x) for x in (0.0625, 0.004, 0.0001)] == [
        "6 in 100", "4 in 1,000", "1 in 1,000",
    ]  # fmt: skip


@pytest.mark.parametrize("said", list(Said), ids=str)
def test_each_verdict_is_one_of_five_words_with_its_ranges(said: Said) -> None:
    facts = verdict_facts(plan(), verdict(said))
    assert facts.said == said.value
    assert "feet turned" in facts.headline.lower()
    assert "likely" in facts.effect and "could be" in facts.effect
    assert facts.counts == ("Habit: 16 of 40 made.", "Feet turned: 21 of 40 made.")
    assert "6 in 100 of the orders" in facts.luck
    assert ("no more shots" in facts.needed) == (said in (Said.BETTER, Said.WORSE))


def test_makes_are_not_said_twice_and_centimetres_are_said_too() -> None:
    assert [name for name, _ in effect_rows(QUESTION, verdict())] == ["Makes", "Short or long"]
    assert [name for name, _ in effect_rows(LANDING, verdict())] == ["Short or long", "Makes"]


def test_out_of_reach_says_what_to_do_instead() -> None:
    facts = verdict_facts(plan(), verdict(needed=None))
    assert "where the ball comes down" in facts.needed and "several players" in facts.needed


def test_without_a_coin_nothing_is_said_of_shuffling() -> None:
    phases = plan(replace(QUESTION, topic=Topic.DIP), layout_for(Topic.DIP))
    facts = verdict_facts(phases, replace(verdict(), by_luck=None))
    assert "No coin was thrown" in facts.luck and "cold tests" in facts.looking


#: each guard with the numbers that ``trials.guards`` gives it, and what the sentence must hold
WARNED = {
    Guard.ONE_BASELINE: ({"days": 1.0}, "fewer than two days"),
    Guard.AFTER_BAD_SPELL: (
        {"start per 100": 40.0, "usual per 100": 55.0, "to come anyway per 100": 9.0},
        "40 of 100 against the usual 55. About 9 of 100 would have come back anyway",
    ),
    Guard.AFTER_GOOD_SPELL: (
        {"start per 100": 70.0, "usual per 100": 55.0, "to come anyway per 100": -9.0},
        "About 9 of 100 would have come off anyway",
    ),
    Guard.SAME_DAY: ({"days": 2.0}, "2 practice days only"),
    Guard.BEFORE_AFTER: ({}, "practice alone may be part"),
    Guard.TWO_CHANGES: ({"changes": 2.0}, "2 things were changed at once (feet turned and shoes)"),
    Guard.MIXED_SPOTS: (
        {"habit distance": 4.225, "change distance": 6.0}, "4.2 m against 6.0 m away",
    ),
    Guard.MIXED_BALL: ({"habit": 6.0, "change": 7.0}, "size 6 against 7"),
    Guard.MIXED_RING: ({"habit": 2.6, "change": 3.05}, "2.60 m against 3.05 m high"),
    Guard.MIXED_CAMERA: ({}, "filmed from different places"),
    Guard.STOPS_ON_MAKES: ({"sets": 1.0}, "left out"),
    # 1 − 0.95⁴ = 0.185
    Guard.MANY_MEASURES: (
        {"measures": 4.0, "chance that one looks good": 1 - 0.95**4}, "19 chances in 100",
    ),
    Guard.UNFAMILIAR: ({"shots to get used to it": 3.0}, "Only 3 shots"),
    Guard.OUT_OF_ORDER: ({"blocks": 1.0}, "1 block came earlier"),
    Guard.PAST_AIM: (
        {"habit off": -0.03, "change off": 0.07}, "was 3 cm off, feet turned is 7 cm off",
    ),
}  # fmt: skip


@pytest.mark.parametrize("guard", list(Guard), ids=str)
def test_every_warning_is_a_plain_sentence_with_its_numbers(guard: Guard) -> None:
    numbers, said = WARNED[guard]
    question = replace(QUESTION, also_changed=("shoes",))
    sentence = guard_sentence(Warned(guard=guard, numbers=tuple(numbers.items())), question)
    assert said in sentence and sentence.endswith(".")


def test_technique_tried_at_once_is_warned_of_however_many_shots_were_tried() -> None:
    warned = Warned(guard=Guard.UNFAMILIAR, numbers=(("shots to get used to it", 100.0),))
    sentence = guard_sentence(warned, replace(QUESTION, topic=Topic.DIP))
    assert "takes weeks to settle" in sentence and "100" not in sentence


def test_a_plan_says_what_it_finds_and_what_it_costs() -> None:
    small = plan()
    foretold = detectable(small, trials=40)
    facts = plan_facts(small, foretold)
    # 50 shots to get used to it, then 10 blocks of 2 + 8
    assert "11 blocks, 150 shots in all" in facts.cost and "2 visits" in facts.cost
    assert facts.can[0].startswith("Counting makes")
    assert facts.cheaper_measure is Measure.ALONG and "rare" in facts.cheaper
    assert foretold.off_aim is not None
    least = math.ceil(foretold.off_aim.by_landing / 10) * 10
    assert f"off its aim takes at least {least:,} shots each way" in facts.cheaper
    by_landing = plan_facts(plan(LANDING), foretold)
    assert by_landing.can[0].startswith("By the middle") and not by_landing.cheaper
    assert "Tap each shot on the ring" in by_landing.noted
    body = plan_facts(plan(replace(QUESTION, measure=TURN)), foretold)
    assert "stance turn it finds was not worked out" in body.cannot[0]


def test_what_is_hoped_for_is_named() -> None:
    assert hoped_for(QUESTION) == "more makes"
    assert hoped_for(LANDING) == "longer"
    assert question_sentence(LANDING).endswith("decided on short or long; hoped for: longer.")
    assert hoped_for(replace(QUESTION, measure=HOLD)) == "steadier follow-through hold"


def test_data_holds_no_number_that_json_lacks() -> None:
    foretold = detectable(plan(), trials=20)
    data = plan_data(plan(), foretold)
    assert sum(one["shots"] + one["washout"] for one in data["blocks"]) == 150 == data["shots"]
    found = verdict_data(plan(), verdict())
    assert found["effect"]["along_cm"]["value"] == pytest.approx(4.0)
    assert found["effect"]["across_cm"] is None
    assert found["looks"][0]["after_block"] == 4
