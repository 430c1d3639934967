"""The level through tests: agreement with a general sampler, and known cases.

Reference library: emcee (affine-invariant ensemble sampler, PyPI), on the posterior of one drift
and day scatter written out anew; it shares no code with the project.
"""

import emcee
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import special

from hoopwright.transfer.levels import DRIFTS, HAZARD, LEVELS, SCATTERS, likelihoods, paths, walk

Floats = NDArray[np.float64]
MADE, ATTEMPTS, GAP = (9, 12, 8, 15, 16), 25, 7
DRIFT, SCATTER = 3, 2


def log_posterior(z: Floats) -> Floats:
    """Log density of levels and day scatters of five tests [walker]; jumps summed over."""
    levels, days = z[:, :5], z[:, 5:]
    odds = levels + SCATTERS[SCATTER] * days
    total = np.sum(np.array(MADE) * odds - ATTEMPTS * np.logaddexp(0, odds), axis=1)
    total = total - 0.5 * (levels[:, 0] / 1.3) ** 2 - 0.5 * np.sum(days**2, axis=1)
    moved = np.diff(levels, axis=1)
    drift = DRIFTS[DRIFT] * np.sqrt(GAP / 7)
    small = np.exp(-0.5 * (moved / drift) ** 2) / drift
    jump = np.exp(-0.5 * (moved / 0.6) ** 2) / 0.6
    return np.asarray(total + np.sum(np.log((1 - HAZARD) * small + HAZARD * jump), axis=1))


def test_agrees_with_a_general_sampler() -> None:
    """Means within 0.1 standard deviation, standard deviations within a tenth."""
    sampler = emcee.EnsembleSampler(
        60, 10, log_posterior, vectorize=True, moves=[(emcee.moves.DEMove(), 1.0)]
    )
    np.random.seed(3)  # noqa: NPY002 — emcee draws from the global state
    sampler.run_mcmc(0.3 * np.random.default_rng(3).standard_normal((60, 10)), 4500)
    chain = sampler.get_chain(discard=500, flat=True)[:, :5]
    found = walk(likelihoods([ATTEMPTS] * 5, MADE), [GAP] * 4)
    for i in range(5):
        level = found.smoothed[i, DRIFT, SCATTER]
        mean = float(level @ LEVELS)
        sd = float(np.sqrt(level @ (LEVELS - mean) ** 2))
        assert mean == pytest.approx(chain[:, i].mean(), abs=0.1 * sd)
        assert sd == pytest.approx(chain[:, i].std(), rel=0.1)


def test_drawn_paths_have_the_smoothed_levels_at_their_ends() -> None:
    found = walk(likelihoods([20] * 4, [5, 9, 12, 15]), [3, 4, 30])
    ends = paths(found, 1, 3, count=20_000, rng=np.random.default_rng(1))
    for column, test in ((0, 1), (1, 3)):
        level = found.level(test)
        assert LEVELS[ends[:, column]].mean() == pytest.approx(float(level @ LEVELS), abs=0.02)


def test_without_wandering_or_scatter_it_is_one_binomial() -> None:
    """All tests of one day: a single level, so the counts just add up."""
    apart = walk(likelihoods([20, 30], [8, 15]), [0])
    together = walk(likelihoods([50], [23]), [])
    assert apart.smoothed[0, 0, 0] == pytest.approx(together.smoothed[0, 0, 0], abs=1e-9)
    assert apart.smoothed[1, 0, 0] == pytest.approx(together.smoothed[0, 0, 0], abs=1e-9)


def test_what_was_foreseen_knows_nothing_of_what_came() -> None:
    one = walk(likelihoods([20, 20], [10, 2]), [7])
    other = walk(likelihoods([20, 20], [10, 18]), [7])
    assert one.level_before(1) == pytest.approx(other.level_before(1))
    shares = special.expit(LEVELS)
    assert one.level(1) @ shares < one.level_before(1) @ shares < other.level(1) @ shares
