"""Closed-form sample sizes against figures worked out outside this project from the same models,
and against a general library's power."""

import numpy as np
import pytest
from scipy import stats

from hoopwright.errors import BadInput
from hoopwright.trials.sample_size import (
    cheaper_for_scatter,
    cheaper_for_shift,
    half_window,
    share_through,
    shots_for_scatter,
    shots_for_shares,
    shots_for_shift,
)


@pytest.mark.parametrize(
    ("habit", "change", "shots"),
    [
        (0.35, 0.40, 1470),
        (0.35, 0.45, 376),
        (0.50, 0.55, 1565),
        (0.50, 0.60, 387),
        (0.50, 0.65, 169),
        (0.70, 0.75, 1251),
        (0.70, 0.80, 293),
        (0.80, 0.85, 905),
    ],
)
def test_makes_needed_each_way(habit: float, change: float, shots: int) -> None:
    """80 % power, two-sided 5 %, independent shots; derived outside this project."""
    assert round(shots_for_shares(habit, change)) == shots


@pytest.mark.parametrize(("shift", "shots"), [(0.04, 141), (0.08, 35)])
def test_landing_points_needed_for_a_shift(shift: float, shots: int) -> None:
    """Scatter 12 cm; derived outside this project from the two-sample normal test."""
    assert round(shots_for_shift(shift, 0.12)) == shots


def test_a_shift_found_as_often_as_promised() -> None:
    """SciPy's noncentral t (scipy.stats.nct), two-sided 5 %, with n = 142 each way."""
    n = 142
    bound = stats.t.ppf(0.975, 2 * n - 2)
    found = stats.nct.sf(bound, 2 * n - 2, 0.04 / 0.12 * np.sqrt(n / 2))
    assert found == pytest.approx(0.80, abs=0.005)


def test_scatter_needed_each_way() -> None:
    """50 to 55 % by scatter alone: 611 shots; 70 to 80 %: 174. Derived outside this project."""
    fifty, seventy = cheaper_for_scatter(0.50, 0.55), cheaper_for_scatter(0.70, 0.80)
    assert round(fifty.by_landing) == 611
    assert round(seventy.by_landing) == 174
    assert fifty.saving == pytest.approx(2.6, abs=0.05)
    assert seventy.saving == pytest.approx(1.7, abs=0.05)
    assert 1 - half_window(0.5, 1) / half_window(0.55, 1) == pytest.approx(0.11, abs=0.005)


def test_a_scatter_found_as_often_as_promised() -> None:
    """SciPy's F distribution: an F test of two variances at that n has 80 % power."""
    ratio = 0.8
    n = round(shots_for_scatter(ratio))
    low, high = (float(stats.f.ppf(q, n - 1, n - 1)) for q in (0.025, 0.975))
    found = stats.f.cdf(low / ratio**2, n - 1, n - 1) + stats.f.sf(high / ratio**2, n - 1, n - 1)
    assert found == pytest.approx(0.80, abs=0.01)


def test_what_a_shift_costs_to_see_by_makes() -> None:
    """A habit of 12 cm scatter 8 cm (4 cm) off: 325 to 464 (4,400 to 6,500) makes each way for
    players between about 55 and 80 %, so 9 to 13 (30 to 46) times the landing points. Derived
    outside this project; 4 % allowed for the ends of its range of players."""
    for shift, low, high in ((0.08, 325, 464), (0.04, 4400, 6500)):
        found = [cheaper_for_shift(shift, share=s, scatter=0.12) for s in (0.56, 0.6, 0.7, 0.8)]
        assert all(0.96 * low <= c.by_makes <= 1.04 * high for c in found)
    eight, four = (cheaper_for_shift(s, share=0.7, scatter=0.12).saving for s in (0.08, 0.04))
    assert 9 <= eight <= 13
    assert 30 <= four <= 46


@pytest.mark.parametrize(("noise", "times"), [(0.05, 1.17), (0.08, 1.44), (0.10, 1.69)])
def test_measuring_error_costs_shots(noise: float, times: float) -> None:
    """1 + (error ÷ scatter)², scatter 12 cm: closed form."""
    got = shots_for_shift(0.04, 0.12, noise=noise) / shots_for_shift(0.04, 0.12)
    assert got == pytest.approx(times, abs=0.006)


def test_the_window_is_the_one_through_which_that_share_falls() -> None:
    window = half_window(0.7, 0.12, middle=0.05)
    assert share_through(0.05, 0.12, window) == pytest.approx(0.7, abs=1e-9)


@pytest.mark.parametrize(("first", "second"), [(0.5, 0.5), (0.0, 0.5), (0.5, 1.0)])
def test_shares_that_tell_nothing_are_refused(first: float, second: float) -> None:
    with pytest.raises(BadInput):
        shots_for_shares(first, second)


def test_no_difference_needs_no_number_of_shots() -> None:
    with pytest.raises(BadInput):
        shots_for_shift(0.0, 0.12)
    with pytest.raises(BadInput):
        shots_for_scatter(1.0)
    with pytest.raises(BadInput):
        shots_for_shift(0.04, 0.12, power=1.0)
