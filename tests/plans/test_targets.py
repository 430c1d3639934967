import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats
from tests.plans.plan_samples import SPOTS, TARGETS
from tests.reports.samples import SHORT_READING, YOUNG_READING, around

from hoopwright.plans.targets import (
    FIRST_SHOTS,
    WIDEST,
    Targets,
    beta_of,
    expected_at,
    makes_of,
)
from hoopwright.records import Estimate, Spot


def beta_estimate(a: float, b: float) -> Estimate:
    ends = [float(stats.beta.ppf(q, a, b)) for q in (0.25, 0.75, 0.1, 0.9, 0.025, 0.975)]
    names = ("low50", "high50", "low80", "high80", "low95", "high95")
    return Estimate(value=a / (a + b), **dict(zip(names, ends, strict=True)))


def test_a_charted_spot_gives_its_own_share_and_another_that_of_its_distance() -> None:
    at_line = expected_at(SHORT_READING, Spot(name="line", x=0.1, y=4.2))
    assert at_line == SHORT_READING.spots[0].expected
    between = expected_at(SHORT_READING, Spot(name="near", x=0.0, y=3.0))
    assert between == SHORT_READING.distances[6].expected  # 1.5 m + 6 × 0.25 m
    assert expected_at(SHORT_READING, Spot(name="far", x=0.0, y=9.0)) is None


def test_the_target_of_several_spots_is_their_mean() -> None:
    target = TARGETS.at(SPOTS).expected
    shares = [one.expected for one in SHORT_READING.spots]
    assert target is not None
    assert target.value == pytest.approx(np.mean([s.value for s in shares]))
    assert target.low80 == pytest.approx(np.mean([s.low80 for s in shares]))


def test_no_target_where_it_cannot_be_told_and_how_many_shots_would_tell() -> None:
    spots = SHORT_READING.spots
    wide = replace(spots[0], expected=around(0.5, 0.6 * WIDEST))
    young = replace(YOUNG_READING, spots=(wide, *spots[1:]))
    target = Targets(reading=young).at(SPOTS[:1])
    assert target.expected is None and target.shots_needed == 80  # as the findings say
    nothing = Targets().at(SPOTS)
    assert nothing.expected is None and nothing.shots_needed == FIRST_SHOTS
    far = TARGETS.at([Spot(name="far", x=0.0, y=9.0)])
    assert far.expected is None and far.shots_needed == FIRST_SHOTS


def test_first_shots_by_the_normal_range() -> None:
    """80 % normal range of a share of one half, 2 · 1.28155 · sqrt(0.25/n) (closed form)."""
    assert 2 * 1.28155 * math.sqrt(0.25 / FIRST_SHOTS) <= WIDEST
    assert 2 * 1.28155 * math.sqrt(0.25 / (FIRST_SHOTS - 1)) > WIDEST


@pytest.mark.parametrize(("a", "b"), [(12.0, 8.0), (3.0, 30.0), (200.0, 100.0), (1.0, 1.0)])
def test_the_beta_behind_an_estimate_is_found_again(a: float, b: float) -> None:
    assert beta_of(beta_estimate(a, b)) == pytest.approx((a, b), rel=1e-4)


@pytest.mark.parametrize("share", [0.0, 1.0])
def test_an_estimate_at_the_edge_still_gives_makes(share: float) -> None:
    makes = makes_of(around(share, 0.01), 20)
    assert 0 <= makes.low <= makes.usual <= makes.high <= 20


def test_makes_hold_what_is_not_known_and_luck() -> None:
    """8 in 10 runs at least lie within, and not nearly all: simulated, seed 5."""
    rng = np.random.default_rng(5)
    share = rng.beta(12.0, 8.0, 20_000)
    made = rng.binomial(20, share)
    makes = makes_of(beta_estimate(12.0, 8.0), 20)
    inside = np.mean((made >= makes.low) & (made <= makes.high))
    assert 0.80 <= inside <= 0.90
    assert makes.usual == 12
    luck_low, luck_high = (float(stats.binom.ppf(q, 20, 0.6)) for q in (0.1, 0.9))
    assert makes.low < luck_low and makes.high > luck_high
