"""Numbers of a filmed shot in words: each with its range, none judged.

80 % of a normal error lies within 1.2816 standard deviations: inverse of the normal distribution,
here from the standard library.
"""

import math
from dataclasses import replace
from statistics import NormalDist
from uuid import UUID

import pytest
from tests.web.filmed import ball

from hoopwright.film.results import Body, BodyMeasure, FilmedShot
from hoopwright.reports.film_words import (
    LIKELY,
    UNITS,
    ball_numbers,
    body_numbers,
    result_words,
)


def said(name: Body, value: float, sd: float) -> str:
    return body_numbers((BodyMeasure(name=name, value=value, sd=sd),))[0].said


def test_a_likely_range_holds_in_80_of_100_cases() -> None:
    assert NormalDist().inv_cdf(0.9) == pytest.approx(LIKELY, abs=1e-4)


def test_every_measure_of_the_body_has_its_words() -> None:
    assert set(UNITS) == set(Body)
    for name in Body:
        assert "likely" in said(name, 0.5, 0.1)


@pytest.mark.parametrize(
    ("name", "value", "sd", "words"),
    [
        (Body.STANCE_WIDTH, 0.40, 0.02, "40 cm (likely 37 to 43)"),
        (Body.KNEE_DIP, math.radians(118), math.radians(5), "118° (likely 112 to 124)"),
        (Body.KNEE_RELEASE, math.radians(176), math.radians(10), "176° (likely 163 to 180)"),
        (
            Body.STANCE_TURN, math.radians(12), math.radians(3),
            "12° toward the other side (likely 8 to 16° toward the other side)",
        ),
        (
            Body.RELEASE_TO_TOE_OFF, -0.030, 0.010,
            "30 ms before the toes leave (likely 17 to 43 ms before the toes leave)",
        ),
        (
            Body.RELEASE_TO_TOE_OFF, 0.005, 0.010,
            "5 ms after the toes leave (likely 8 ms before the toes leave to 18 ms after the "
            "toes leave)",
        ),
        (Body.ELBOW_FLARE, 0.0, math.radians(4), "0° (likely 5° inward to 5° outward)"),
        (Body.RELEASE_RATIO, 1.27, 0.01, "127 % of stature (likely 126 to 128)"),
        (Body.BODY_SPEED, -0.24, 0.1, "−0.2 m/s (likely −0.4 to −0.1)"),
    ],
)  # fmt: skip
def test_numbers_are_said_with_side_and_range(
    name: Body, value: float, sd: float, words: str
) -> None:
    """Worked by hand: value ± 1.2816 sd, rounded."""
    assert said(name, value, sd) == words


def test_the_ball_is_told_from_release_to_ring() -> None:
    numbers = {one.key: one for one in ball_numbers(ball(2.0, made=False))}
    assert numbers["along"].said == "31 cm short (likely 27 to 35 cm short)"
    assert numbers["height"].said == "2.20 m (likely 2.17 to 2.23)"
    assert numbers["speed"].short == "release speed 7.21 m/s (7.16 to 7.26)"
    assert list(numbers) == [
        "speed", "angle", "direction", "height", "apex", "entry", "along", "across"
    ]  # fmt: skip


def test_a_result_says_how_sure_it_is() -> None:

    made = ball(2.0, made=True)
    shot = FilmedShot(id=UUID(int=1), position=0, start=0.0, end=1.0, ball=made)
    assert result_words(shot) == "made, 97 chances in 100"
    sure = replace(shot, ball=replace(made, made_chance=0.9996))
    assert result_words(sure) == "made, more than 99 chances in 100"
    by_hand = replace(shot, ball=replace(made, made=False, made_chance=1.0))
    assert result_words(by_hand) == "missed, set by hand"
    assert result_words(replace(shot, ball=None)) == "no flight found"
