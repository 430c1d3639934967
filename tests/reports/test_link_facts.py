"""Links in sentences; all numbers are invented."""

import re
from dataclasses import replace

import pytest
from tests.reports.samples import around

from hoopwright.film.links.found import Link, Outcome, Said, TrialIdea, Way
from hoopwright.film.results import Body
from hoopwright.reports.link_facts import link_facts, link_sentence, trial_name

DEEPER = Link(
    measure=Body.DIP_DEPTH,
    outcome=Outcome.ALONG,
    shots=80,
    reliability=0.9,
    own_sd=0.03,
    slope=around(0.04, 0.0156),
    said=Said.WORTH_A_TRIAL,
    by_luck=0.01,
    together=(Body.KNEE_DIP, Body.TRUNK_DIP),
    trial=TrialIdea(measure=Body.DIP_DEPTH, way=Way.MORE, outcome=Outcome.ALONG),
)
NONE = replace(DEEPER, said=Said.NONE_SEEN, slope=around(0.01, 0.0156), together=(), trial=None)
OPEN = replace(NONE, said=Said.CANNOT_TELL, shots_needed=40)


def test_a_link_worth_a_trial_gives_both_steps_and_the_range() -> None:
    assert link_sentence(DEEPER) == (
        "When your dip was deeper, the ball went longer: 4 cm per 3 cm (likely 2 to 6). Worth a "
        "trial. It moves together with knee at dip and trunk at dip: the link may be theirs."
    )


def test_a_link_the_other_way_is_said_the_other_way() -> None:
    back = replace(DEEPER, slope=around(-0.04, 0.0156), together=())
    assert link_sentence(back) == (
        "When your dip was deeper, the ball went shorter: 4 cm per 3 cm (likely 2 to 6). Worth a "
        "trial."
    )


def test_no_link_and_an_open_one() -> None:
    assert link_sentence(NONE) == (
        "No link seen between dip depth and short/long: 1 cm per 3 cm (likely −1 to 3) in 80 "
        "filmed shots."
    )
    assert link_sentence(OPEN) == (
        "Can't tell yet about dip depth and short/long: about 40 more filmed shots would tell."
    )
    assert "even 400 more filmed shots would not tell" in link_sentence(
        replace(OPEN, shots_needed=None, beyond=True)
    )
    assert "changes less from shot to shot than this film can see" in link_sentence(
        replace(OPEN, shots_needed=None, slope=None)
    )


@pytest.mark.parametrize("measure", list(Body))
@pytest.mark.parametrize("outcome", list(Outcome))
def test_every_measure_has_its_words_and_a_step_above_zero(measure: Body, outcome: Outcome) -> None:
    said = link_sentence(replace(DEEPER, measure=measure, outcome=outcome, own_sd=0.012))
    assert re.match(r"When .+, the ball .+: [\d.]+ (cm|m/s) per ", said)
    step = re.search(r" per ([\d.]+)", said)
    assert step is not None and float(step.group(1)) > 0.0


@pytest.mark.parametrize("way", list(Way))
def test_a_trial_has_a_name(way: Way) -> None:
    idea = TrialIdea(measure=Body.STANCE_TURN, way=way, outcome=Outcome.ACROSS)
    assert trial_name(idea) == f"{way.value} stance turn"


def test_facts_sort_links_and_never_claim_a_cause() -> None:
    facts = link_facts((DEEPER, NONE, OPEN))
    assert [idea for _, idea in facts.worth] == [DEEPER.trial]
    assert (len(facts.cannot_tell), len(facts.none_seen)) == (1, 1)
    said = " ".join([s for s, _ in facts.worth] + [*facts.cannot_tell, *facts.none_seen])
    assert not re.search(r"\b(caus\w+|because|makes|due to|fault|should)\b", said)
    assert "not that one made the other" in facts.note and "1 case in 20" in facts.note
