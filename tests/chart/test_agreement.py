"""The weighted draws agree with a general Markov-chain library on the same posterior.

Reference library: emcee (affine-invariant ensemble sampler, PyPI), run on the same log-posterior
for ten simulated players; it shares no sampling code with the project.
"""

from uuid import UUID

import emcee
import numpy as np
import pytest
from numpy.typing import NDArray

from hoopwright.chart.model import loglik_of
from hoopwright.chart.posterior import Posterior, posteriors
from hoopwright.chart.prior import SIZE, published_prior
from hoopwright.chart.simulate import Style, draw_shooter, simulate_sets
from hoopwright.records import Chart, Player, Spot

Floats = NDArray[np.float64]

WALKERS, STEPS, BURN = 64, 10_000, 500
LINE = Spot(name="free throw", x=0.0, y=4.225)
WING = Spot(name="right wing", x=3.2, y=2.6)


def player(seed: int) -> Chart:
    rng = np.random.default_rng(seed)
    style = list(Style)[seed % len(Style)]
    shooter = draw_shooter(published_prior(), rng)
    sets = simulate_sets(shooter, [LINE, WING], 30 + 10 * seed, style=style, rng=rng)
    return Chart(player=Player(id=UUID(int=1), name="Invented"), sets=sets)


def chain_moments(found: Posterior, seed: int) -> tuple[Floats, Floats]:
    """Return mean and standard deviation of each number, by emcee."""
    loglik = loglik_of(found.shots, found.places)

    def log_posterior(z: Floats) -> Floats:
        logs = loglik(found.prior.psi(z))[0] - 0.5 * np.sum(z**2, axis=1)
        return np.asarray(logs, np.float64)

    rng = np.random.default_rng(seed)
    start = found.draws.z[found.draws.thinned(WALKERS)] + 0.01 * rng.standard_normal(
        (WALKERS, SIZE)
    )
    # differential evolution mixes twice as fast as the default here; the snooker variant of the
    # same library narrows every number by 6 % here, and is left out
    moves = [(emcee.moves.DEMove(), 1.0)]
    sampler = emcee.EnsembleSampler(WALKERS, SIZE, log_posterior, vectorize=True, moves=moves)
    np.random.seed(seed)  # noqa: NPY002 — emcee draws from the global state
    sampler.run_mcmc(start, STEPS)
    chain = sampler.get_chain(discard=BURN, flat=True)
    return chain.mean(axis=0), chain.std(axis=0)


@pytest.mark.parametrize("seed", range(10))
def test_means_and_sds_agree(seed: int) -> None:
    chart = player(seed)
    reference_mean, reference_sd = chain_moments(posteriors(chart)[0], seed)
    mean, cov = posteriors(chart)[0].draws.moments()
    sd = np.sqrt(np.diag(cov))
    assert np.all(np.abs(mean - reference_mean) <= 0.1 * reference_sd)
    assert np.all(np.abs(sd / reference_sd - 1) <= 0.1)
