from dataclasses import replace

import pytest
from tests.plans.plan_samples import SPOTS
from tests.reports.samples import SHORT_READING, YOUNG_READING, around

from hoopwright.plans.focus import Tried, focus_choices
from hoopwright.plans.nouns import FocusFrom, FocusKind
from hoopwright.reports.facts import change_name
from hoopwright.trials.nouns import Effect, Measure, Question, Said, Topic, Verdict


def tried(
    change: str,
    said: Said,
    *,
    topic: Topic = Topic.FEET_TURN,
    measure: Measure = Measure.MAKE,
    chance: float = 0.9,
) -> Tried:
    effect = around(6.0, 4.0)
    verdict = Verdict(
        said=said,
        effect=Effect(own=effect, own_sd=4.0, makes_per_100=effect),
        chance_better=chance,
        shots_needed=None,
        by_luck=0.2,
        guards=(),
        looks=(),
        habit_shots=100,
        habit_made=50,
        change_shots=100,
        change_made=56,
    )
    question = Question(what="?", change=change, topic=topic, measure=measure, spots=SPOTS)
    return Tried(question=question, verdict=verdict)


def test_the_findings_alone_give_the_change_that_pays_most() -> None:
    choices = focus_choices(SHORT_READING, name_of=change_name)
    assert [one.name for one in choices] == [
        "6 cm deeper aim", "10 % tighter distance control", "10 % tighter line control",
    ]  # fmt: skip
    best = choices[0]
    assert best.kind is FocusKind.AIM_ALONG and best.chosen_from is FocusFrom.FINDINGS
    assert best.makes_per_100 == SHORT_READING.worth[0].makes_per_100
    assert best.reason.startswith("The misses lean short.") and not best.changes_form
    assert "another change weighed gains more" in choices[1].reason


def test_what_is_not_settled_is_said() -> None:
    (best, *_) = focus_choices(YOUNG_READING, name_of=change_name)
    assert "more shots would settle it" in best.reason and "lean" not in best.reason


def test_nothing_known_gives_nothing() -> None:
    assert focus_choices(None, name_of=change_name) == ()
    nothing = replace(SHORT_READING, worth=())
    assert focus_choices(nothing, name_of=change_name) == ()


def test_a_change_that_won_its_trial_comes_first() -> None:
    trials = [
        tried("look longer", Said.LEANING_BETTER, topic=Topic.WHERE_TO_LOOK),
        tried("dip less", Said.CANNOT_TELL, topic=Topic.DIP),
        tried("feet turned", Said.BETTER),
    ]
    choices = focus_choices(SHORT_READING, trials, name_of=change_name)
    assert [one.name for one in choices[:3]] == ["feet turned", "look longer", "6 cm deeper aim"]
    assert choices[0].changes_form and choices[0].condition == "feet turned"
    assert choices[0].kind is FocusKind.FORM
    assert not choices[1].changes_form and "not settled yet" in choices[1].reason


@pytest.mark.parametrize("said", [Said.WORSE, Said.LEANING_WORSE])
def test_a_change_that_lost_its_trial_is_not_proposed_again(said: Said) -> None:
    lost = tried("6 cm deeper aim", said, topic=Topic.AIM_POINT, measure=Measure.ALONG)
    choices = focus_choices(SHORT_READING, [lost], name_of=change_name)
    assert "6 cm deeper aim" not in [one.name for one in choices]


@pytest.mark.parametrize(
    ("measure", "kind"),
    [
        (Measure.ALONG, FocusKind.AIM_ALONG),
        (Measure.LINE_CONTROL, FocusKind.LINE_CONTROL),
        (Measure.ENTRY_ANGLE, FocusKind.ARC),
    ],
)
def test_the_measure_of_a_trial_says_what_it_is_for(measure: Measure, kind: FocusKind) -> None:
    (one,) = focus_choices(None, [tried("x", Said.BETTER, measure=measure)], name_of=change_name)
    assert one.kind is kind
