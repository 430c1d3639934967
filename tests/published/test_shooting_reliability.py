"""How many attempts a percentage needs, and how far extreme ones fall back.

Threes of professionals: split-half reliability 0.7 at about 750 attempts (seen on a public page);
the rows below for other numbers of attempts are derived from it. Free throws: a spread of 9 points
between players is from memory, the rows derived. College players, 335 with 100 attempts or more
in both of two years: those above 45 % (mean 47.4) made 37.4 % the next year, those below 30 %
(27.9) made 34.3 % (seen on a public page).
"""

import pytest

from hoopwright.transfer.reliability import (
    FREE_THROWS,
    THREES,
    Spread,
    attempts_for,
    expected_next,
    reliability,
)


@pytest.mark.parametrize(
    ("attempts", "expected"), [(25, 0.07), (50, 0.13), (100, 0.24), (200, 0.38), (400, 0.55)]
)
def test_threes(attempts: int, expected: float) -> None:
    assert reliability(attempts, THREES) == pytest.approx(expected, abs=0.0101)


def test_about_750_threes_for_reliability_0_7() -> None:
    assert reliability(750, THREES) == pytest.approx(0.70, abs=0.01)
    assert attempts_for(0.7, THREES) == pytest.approx(750, rel=0.05)


@pytest.mark.parametrize(("attempts", "expected"), [(25, 0.52), (50, 0.68), (100, 0.81)])
def test_free_throws(attempts: int, expected: float) -> None:
    assert reliability(attempts, FREE_THROWS) == pytest.approx(expected, abs=0.005)


@pytest.mark.parametrize(("this_year", "next_year"), [(0.474, 0.374), (0.279, 0.343)])
def test_extreme_seasons_fall_back(this_year: float, next_year: float) -> None:
    """The middle of the college players, 35.5 %, is derived from the two rows; a hundred attempts,
    the fewest of any player there, and the professionals' spread then give both within 1.2
    points."""
    slope = (0.374 - 0.343) / (0.474 - 0.279)
    middle = (0.374 - slope * 0.474) / (1 - slope)
    assert middle == pytest.approx(0.355, abs=0.001)
    college = Spread(mean=middle, sd=THREES.sd)
    assert expected_next(this_year, 100, college) == pytest.approx(next_year, abs=0.012)
