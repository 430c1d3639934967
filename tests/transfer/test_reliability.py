"""Reliability of a percentage and regression to the mean, by formula and by simulation."""

import numpy as np
import pytest

from hoopwright.errors import BadInput
from hoopwright.transfer.nouns import Band
from hoopwright.transfer.reliability import (
    FREE_THROWS,
    THREES,
    Spread,
    attempts_for,
    expected_next,
    reliability,
    spread_for,
)


def test_reliability_is_the_correlation_of_two_such_runs() -> None:
    """Simulated players, two runs of 100 attempts each; the formula is exact on average."""
    rng = np.random.default_rng(5)
    spread = Spread(mean=0.6, sd=0.08)
    truth = rng.normal(spread.mean, spread.sd, 200_000).clip(0.01, 0.99)
    one, other = rng.binomial(100, truth, (2, len(truth))) / 100
    # the luck of unequal players is a little less than that of the middle one: p(1−p) − σ²
    assert float(np.corrcoef(one, other)[0, 1]) == pytest.approx(reliability(100, spread), abs=0.01)
    high = one > 0.70
    assert float(other[high].mean()) == pytest.approx(
        float(expected_next(float(one[high].mean()), 100, spread)), abs=0.005
    )


def test_attempts_for_and_reliability_are_each_others_way_back() -> None:
    for wanted in (0.3, 0.5, 0.7, 0.9):
        n = attempts_for(wanted, FREE_THROWS)
        assert reliability(n, FREE_THROWS) >= wanted > reliability(n - 1, FREE_THROWS)
    assert spread_for(Band.THREE) is THREES and spread_for(Band.RIM) is None


def test_what_can_not_be_asked() -> None:
    with pytest.raises(BadInput, match="between 0 and 1"):
        attempts_for(1.0, THREES)
    with pytest.raises(BadInput, match="not percentages"):
        Spread(mean=35.5, sd=2.7)
