"""Shrinkage over players. Efron & Morris, JASA 70:311–319 (1975): 18 batters, 45 at-bats each.

Counts and rest-of-season averages: seen (open data set `EfronMorris` of R's pscl). The ratio 3.5
of squared errors: from memory for the paper, 3.515 derived on the arcsine scale.
"""

import math
from uuid import UUID

import numpy as np
import pytest

from hoopwright.chart.group import fit_normal
from hoopwright.trials.hierarchy import PoolPrior, average_given, player_given
from hoopwright.trials.pooled import PlayerEffect, pool

HITS = np.array([18, 17, 16, 15, 14, 14, 13, 12, 11, 11, 10, 10, 10, 10, 10, 9, 8, 7])
REST = np.array([
    0.346, 0.298, 0.276, 0.222, 0.273, 0.270, 0.263, 0.210, 0.269,
    0.230, 0.264, 0.256, 0.303, 0.264, 0.226, 0.285, 0.316, 0.200,
])  # fmt: skip


def arcsine(share: np.ndarray) -> np.ndarray:
    return np.asarray(math.sqrt(45) * np.arcsin(2 * share - 1))


def shrunk() -> tuple[np.ndarray, float]:
    """Shrink the 18 arcsine averages with the project's own fit, started from a wide prior."""
    x = arcsine(HITS / 45)
    start, start_sd = np.array([-3.0]), np.array([3.0])
    kept = start_sd**2 / (start_sd**2 + 1.0)
    posterior = start + kept * (x - start)
    z = np.random.default_rng(7).standard_normal((18, 20_000))
    z = np.concatenate([z, -z], axis=1)
    u = (posterior[:, None] + np.sqrt(kept) * z)[..., None]
    centre, sd = fit_normal(u, start, start_sd, centre_counts=0.0, spread_counts=0.0)
    share = float(sd[0] ** 2 / (sd[0] ** 2 + 1.0))
    return centre[0] + share * (x - centre[0]), share


def test_mean_and_kept_share() -> None:
    """The kept share: 0.209 by the paper's formula, which divides by k−3; ours by maximum
    likelihood, which is smaller for 18 players (closed form 1 − k/S = 0.05 at S = 18.96)."""
    estimates, share = shrunk()
    assert float(np.mean(estimates)) == pytest.approx(-3.3166, abs=0.02)
    assert 0.0 < share < 0.25


def test_shrinking_beats_the_raw_averages() -> None:
    """Paper: raw squared error about 3.5 times that of the shrunken ones. Any shrinkage between
    ours and the paper's must gain at least threefold on these data."""
    truth, raw = arcsine(REST), arcsine(HITS / 45)
    estimates, _ = shrunk()
    assert np.sum((raw - truth) ** 2) == pytest.approx(17.57, abs=0.05)
    ratio = np.sum((raw - truth) ** 2) / np.sum((estimates - truth) ** 2)
    assert ratio > 3.0


def by_hierarchy(share: float) -> np.ndarray:
    """Shrink by the formulas of pooled trials, with the spread that keeps ``share``."""
    x = arcsine(HITS / 45)
    between = np.array([math.sqrt(share / (1.0 - share))])
    ones = np.ones(18)
    centre, centre_sd = average_given(between, x, ones, average_sd=math.inf)
    means, _ = player_given(between, centre, centre_sd, values=x, sds=ones)
    return means[:, 0]


def test_pooled_trials_give_the_papers_estimates_at_the_papers_spread() -> None:
    """Kept share 0.20897 (derived by the paper's formula): first and last player 0.290 and 0.239,
    squared errors 17.57 and 5.00, ratio 3.515; tolerance 0.0005 and 0.01."""
    x = arcsine(HITS / 45)
    kept = 1.0 - 15.0 / float(np.sum((x - x.mean()) ** 2))
    assert kept == pytest.approx(0.20897, abs=1e-4)
    estimates = by_hierarchy(kept)
    shares = (1.0 + np.sin(estimates / math.sqrt(45))) / 2.0
    assert (shares[0], shares[-1]) == pytest.approx((0.290, 0.239), abs=0.0007)
    truth = arcsine(REST)
    raw, shrunken = np.sum((x - truth) ** 2), np.sum((estimates - truth) ** 2)
    assert (raw, shrunken) == pytest.approx((17.57, 5.00), abs=0.02)
    assert raw / shrunken == pytest.approx(3.515, abs=0.01)


def test_pooled_trials_with_the_spread_integrated_gain_as_much() -> None:
    """The spread is not plugged in, and the gain is the paper's 3.5 within a tenth."""
    x, truth = arcsine(HITS / 45), arcsine(REST)
    players = [
        PlayerEffect(player=UUID(int=i + 1), value=float(v), sd=1.0) for i, v in enumerate(x)
    ]
    wide = PoolPrior(average_sd=1e3, between_scale=3.0)
    found = pool(players, smallest=1.0, prior=wide)
    together = np.array([p.effect.value for p in found.players])
    ratio = np.sum((x - truth) ** 2) / np.sum((together - truth) ** 2)
    assert ratio == pytest.approx(3.5, rel=0.1)
    assert found.average.value == pytest.approx(-3.3166, abs=0.001)
