"""Simulated players come back: ranges cover the truth as often as they say, ranks are uniform.

Source of the truth: *known motion*, players whose numbers are drawn from the prior and whose every
shot is flown and played by the physics, with no use of the make table that the reading relies on.
Rank test: Talts et al. 2018, arXiv:1804.06788 (from memory).
"""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from hoopwright.chart.calibrate import QUANTITIES, Case, simulated_case

PLAYERS = 300
BINS = 10


@pytest.fixture(scope="module")
def cases() -> list[Case]:
    return [simulated_case(seed) for seed in range(PLAYERS)]


def coverage(cases: list[Case], level: float) -> NDArray[np.float64]:
    return np.asarray(np.mean([c.covered(level) for c in cases], axis=0))


@pytest.mark.parametrize(("level", "within"), [(0.80, 0.05), (0.95, 0.03)])
def test_ranges_cover(cases: list[Case], level: float, within: float) -> None:
    for name, share in zip(QUANTITIES, coverage(cases, level), strict=True):
        assert share == pytest.approx(level, abs=within), name


def test_ranks_are_uniform(cases: list[Case]) -> None:
    """Chi-square of ten bins; 0.001 for each of five quantities keeps false alarms at 0.5 %."""
    ranks = np.array([c.ranks() for c in cases])
    for name, column in zip(QUANTITIES, ranks.T, strict=True):
        counts = np.histogram(column, bins=BINS, range=(0, 1))[0]
        assert stats.chisquare(counts).pvalue > 0.001, (name, counts)


def test_cases_span_skill_and_style(cases: list[Case]) -> None:
    makes = np.array([c.truth[-1] for c in cases])
    assert np.quantile(makes, 0.05) < 0.35
    assert np.quantile(makes, 0.95) > 0.6
    assert len({c.style for c in cases}) == 6
