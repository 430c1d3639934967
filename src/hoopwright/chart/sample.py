"""Weighted draws from a player's posterior: adaptive multiple importance sampling.

The posterior has eight numbers and a standard normal prior, and a likelihood evaluation costs
some ten microseconds a block, so a few thousand independent draws beat a Markov chain: no
burn-in, no tuning, the same answer every time. Proposals are multivariate t, fitted to the draws
so far; all rounds count, weighted by the mixture of the proposals used.

References
----------
Adaptive rounds and mixture weights: [CornuetAMIS]_.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special, stats
from scipy.stats import qmc

from hoopwright.chart.modes import LogLik, modes, ridge_end
from hoopwright.chart.prior import SIZE

Floats = NDArray[np.float64]

#: effective draws that are enough for one player, and for each of many
ENOUGH, ENOUGH_OF_MANY = 1000, 400
#: rounds after which the sampler stops in any case
MOST_ROUNDS = 8
_DEGREES = 10.0
# a proposal somewhat wider than the prior, for what no mode shows
_NOTHING_KNOWN, _WIDE = np.zeros(SIZE), 1.2 * np.eye(SIZE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Draws:
    """Weighted posterior draws."""

    #: float64 [draw, 8], in prior standard deviations
    z: Floats
    #: float64 [draw], summing to 1
    weights: Floats
    #: share made at each block, float64 [draw, block]
    made: Floats

    @property
    def effective(self) -> float:
        """Effective number of draws."""
        return float(1.0 / np.sum(self.weights**2))

    def moments(self) -> tuple[Floats, Floats]:
        """Return mean [8] and covariance [8, 8]."""
        mean = self.weights @ self.z
        gap = self.z - mean
        return mean, (gap * self.weights[:, None]).T @ gap

    def thinned(self, count: int) -> NDArray[np.int64]:
        """Return indices of ``count`` draws of equal weight (systematic resampling)."""
        at = (np.arange(count) + 0.5) / count
        return np.minimum(np.searchsorted(np.cumsum(self.weights), at), len(self.weights) - 1)


@dataclass(frozen=True, slots=True)
class _Proposal:
    """One multivariate t; ``root`` is the Cholesky factor of its scale."""

    mean: Floats
    root: Floats

    def draw(self, uniform: Floats) -> Floats:
        """Turn points [draw, 9] of the unit cube into draws [draw, 8]."""
        normal = special.ndtri(uniform[:, :SIZE])
        scale = np.sqrt(_DEGREES / stats.chi2.ppf(uniform[:, SIZE], _DEGREES))
        return np.asarray(self.mean + (normal * scale[:, None]) @ self.root.T, np.float64)

    def logpdf(self, z: Floats) -> Floats:
        """Log density, float64 [draw]."""
        gap = np.linalg.solve(self.root, (z - self.mean).T)
        turn = float(np.sum(np.log(np.diag(self.root))))
        flat = special.gammaln((_DEGREES + SIZE) / 2) - special.gammaln(_DEGREES / 2)
        flat -= 0.5 * SIZE * math.log(_DEGREES * math.pi)
        tail = 0.5 * (_DEGREES + SIZE) * np.log1p(np.sum(gap**2, axis=0) / _DEGREES)
        return np.asarray(flat - turn - tail, np.float64)


def draw_posterior(
    loglik: LogLik, *, seed: int = 1, enough: int = ENOUGH, two_sided: bool = True
) -> Draws:
    """Return weighted draws of the posterior.

    Parameters
    ----------
    loglik
        Takes draws float64 [draw, 8] in prior standard deviations; returns their
        log-likelihoods [draw] and the make shares [draw, block].
    seed
        Seed of the low-discrepancy points; the same seed gives the same draws.
    enough
        Effective draws that are enough.
    two_sided
        As for ``modes``.
    """
    rng = np.random.default_rng(seed)
    # a power of two suits the low-discrepancy points
    rows = 1 << (enough - 1).bit_length()
    peaks = [_Proposal(mode, root) for mode, root in modes(loglik, two_sided=two_sided)]
    proposals = [*peaks, _Proposal(*ridge_end(loglik)), _Proposal(_NOTHING_KNOWN, _WIDE)]
    counts = [rows // (2 if len(peaks) == 1 else 4)] * len(peaks) + [rows // 8] * 2
    z = np.concatenate([_points(p, n, rng) for p, n in zip(proposals, counts, strict=True)])
    logs, made = loglik(z)
    while True:
        draws = Draws(z=z, weights=_weights(z, logs, proposals, counts), made=made)
        if draws.effective >= enough or len(proposals) > MOST_ROUNDS:
            return draws
        proposals.append(_refit(draws))
        counts.append(rows)
        more = _points(proposals[-1], rows, rng)
        more_logs, more_made = loglik(more)
        z, made = np.concatenate([z, more]), np.concatenate([made, more_made])
        logs = np.concatenate([logs, more_logs])


def _points(proposal: _Proposal, count: int, rng: np.random.Generator) -> Floats:
    cube = qmc.Sobol(SIZE + 1, rng=rng).random(count)
    return proposal.draw(np.clip(cube, 1e-9, 1 - 1e-9))


def _weights(z: Floats, logs: Floats, proposals: list[_Proposal], counts: list[int]) -> Floats:
    parts = np.array([p.logpdf(z) for p in proposals])
    shares = np.array(counts, float) / sum(counts)
    mixture = special.logsumexp(parts, axis=0, b=shares[:, None])
    log_w = logs - 0.5 * np.sum(z**2, axis=1) - mixture
    w = np.exp(log_w - log_w.max())
    return np.asarray(w / w.sum(), np.float64)


def _refit(draws: Draws) -> _Proposal:
    """Fit the next proposal to the draws so far, tempered while few of them count."""
    weights = draws.weights
    power = 1.0
    while 1.0 / np.sum(weights**2) < 8 * SIZE and power > 0.05:
        power *= 0.7
        weights = draws.weights**power
        weights = weights / weights.sum()
    mean, cov = Draws(z=draws.z, weights=weights, made=draws.made).moments()
    root = np.linalg.cholesky(1.05 * cov + 1e-9 * np.eye(SIZE))
    return _Proposal(mean, np.asarray(root, np.float64))
