"""Shrinkage over players. Efron & Morris, JASA 70:311–319 (1975): 18 batters, 45 at-bats each.

Counts and rest-of-season averages: seen (open data set `EfronMorris` of R's pscl). The ratio 3.5
of squared errors: from memory for the paper, 3.515 derived on the arcsine scale.
"""

import math

import numpy as np
import pytest

from hoopwright.chart.group import fit_normal

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
