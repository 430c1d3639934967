from dataclasses import replace

import pytest
from tests.reports.samples import FILM, FILMED, FILMED_READING, around

from hoopwright.chart.findings import FilmMeasure
from hoopwright.reports.data import findings_data
from hoopwright.reports.facts import condition_facts
from hoopwright.reports.film_facts import film_sentences


def test_all_three_are_said_with_their_ranges() -> None:
    assert film_sentences(FILM) == (
        "Entry angle at 4.2 m: 43.0° (likely 42.4 to 43.6), from 24 filmed shots.",
        "Release angle at 4.2 m: 52.0° (likely 51.5 to 52.5). The least speed would do at 50.4°: "
        "for reference, not a target.",
        "Your release-angle band, two shots in three: 50.7 to 53.3° (spread 1.3° (likely 1.0 to "
        "1.6), the film's error taken off).",
        "Speed control: release speeds differ by 0.09 m/s (likely 0.07 to 0.11) from shot to "
        "shot, the film's error taken off.",
    )


def test_no_film_says_nothing_and_keeps_the_chart_honest() -> None:
    assert film_sentences(None) == ()
    assert (
        findings_data(replace(FILMED, conditions=(replace(FILMED_READING, film=None),)))["film"]
        is None
    )


@pytest.mark.parametrize("name", ["entry_angle", "angle", "angle_spread", "speed_spread"])
def test_what_can_not_be_told_says_how_many_more(name: str) -> None:
    few = FilmMeasure(estimate=None, told=False, shots_needed=14)
    said = film_sentences(replace(FILM, **{name: few}))  # type: ignore[arg-type]
    assert sum(line.startswith("Can't tell yet about ") for line in said) == 1
    assert any(line.endswith(": film 14 more shots.") for line in said)


def test_error_too_large_for_any_number_of_shots_says_what_would_help() -> None:
    hidden = FilmMeasure(estimate=around(0.2, 0.2), told=False, beyond=True)
    said = film_sentences(replace(FILM, speed_spread=hidden))[3]
    assert said == (
        "Can't tell yet about speed control: this film's error hides it; film closer, steadier or "
        "with more frames a second."
    )


def test_a_suspect_spread_is_not_said_of_the_player() -> None:
    wild = FilmMeasure(estimate=around(0.31, 0.02), told=True)
    said = film_sentences(replace(FILM, speed_spread=wild, suspect=True))[3]
    assert said.startswith("Release speeds differ by 0.31 m/s (likely 0.28 to 0.34)")
    assert "suspect the measurement first" in said and "Speed control" not in said


def test_counts_and_what_was_not_measured_know_of_film() -> None:
    facts = condition_facts(FILMED_READING)
    assert facts.counts.endswith("; 24 landing points, 24 of them filmed.")
    assert facts.not_measured[0] == "Spin of the ball: taken as usual, 2 turns a second."
