"""The player's and the family's report are plain enough, whatever the state of things."""

import pytest
from tests.reports.people.reading import longest, reading_age
from tests.reports.people_samples import STATES

from hoopwright.reports.people.parent_report import parent_report
from hoopwright.reports.people.parts import texts
from hoopwright.reports.people.player_report import player_report

MOST_AGE, MOST_WORDS = 12.0, 26
#: A. Lincoln, address at Gettysburg, 1863, the first two sentences: public domain
ADDRESS = (
    "Four score and seven years ago our fathers brought forth on this continent, a new nation, "
    "conceived in Liberty, and dedicated to the proposition that all men are created equal.",
    "Now we are engaged in a great civil war, testing whether that nation, or any nation so "
    "conceived and so dedicated, can long endure.",
)
MINORS = sorted(name for name, state in STATES.items() if state.minor)


def test_the_formula_by_hand() -> None:
    """Sentences of 3 and 5 words, 9 syllables in all: 11.8 × 9/8 + 0.39 × 8/2 − 15.59, and 5."""
    counted = reading_age(["The cat sat.", "He throws the basket ball."])
    assert counted == pytest.approx(11.8 * 9 / 8 + 0.39 * 4 - 15.59 + 5, abs=1e-9)


def test_a_speech_for_grown_ups_is_too_hard() -> None:
    """So that the checks below can fail: the whole is usually given as grade 10 or 11 (memory)."""
    assert reading_age(ADDRESS) > MOST_AGE + 2


@pytest.mark.parametrize("state", sorted(STATES))
def test_the_player_can_read_it(state: str) -> None:
    said = list(texts(player_report(STATES[state])))
    assert reading_age(said) <= MOST_AGE
    assert longest(said) <= MOST_WORDS


@pytest.mark.parametrize("state", MINORS)
def test_the_family_can_read_it(state: str) -> None:
    said = list(texts(parent_report(STATES[state])))
    assert reading_age(said) <= MOST_AGE
    assert longest(said) <= MOST_WORDS


@pytest.mark.parametrize("state", MINORS)
def test_no_single_part_is_hard(state: str) -> None:
    """A hard part must not hide behind easy ones."""
    for part in (*player_report(STATES[state]).sections, *parent_report(STATES[state]).sections):
        said = [*part.alert, *part.lines, *part.points]
        if said:
            assert reading_age(said) <= MOST_AGE, part.title
