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
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import optimize, special, stats
from scipy.stats import qmc

from hoopwright.chart.prior import SIZE

Floats = NDArray[np.float64]
LogLik = Callable[[Floats], tuple[Floats, Floats]]

#: effective draws that are enough for one player, and for each of many
ENOUGH, ENOUGH_OF_MANY = 1000, 500
#: rounds after which the sampler stops in any case
MOST_ROUNDS = 8
_DEGREES = 10.0
# where the search for modes starts: makes and misses alone fit a short aim as well as a long one
_STARTS = tuple(np.array([shift] + [0.0] * (SIZE - 1)) for shift in (0.0, 2.0, -2.0))
_STEP = 0.02
# a scattered angle can stand in for a scattered speed: a thin ridge that no mode shows
_STEADY, _STEADY_SD = np.array([0.0, -1.5] + [0.0] * (SIZE - 2)), 0.3
# no mode further out than this is believed
_FAR = 6.0


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


def draw_posterior(loglik: LogLik, *, seed: int = 1, enough: int = ENOUGH) -> Draws:
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
    """
    rng = np.random.default_rng(seed)
    # a power of two suits the low-discrepancy points
    rows = 1 << (enough - 1).bit_length()
    proposals = [_at_the_mode(loglik, start) for start in _STARTS]
    proposals.append(_at_the_mode(lambda z: _steadied(loglik, z), _STEADY))
    proposals.append(_Proposal(np.zeros(SIZE), 1.2 * np.eye(SIZE)))
    counts = [rows // 4, rows // 4, rows // 4, rows // 8, rows // 8]
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


def _at_the_mode(loglik: LogLik, start: Floats) -> _Proposal:
    """Return a proposal from the mode uphill of a start and the curvature there."""

    def cost(z: Floats) -> tuple[float, Floats]:
        points = np.vstack([z, z + _STEP * np.eye(SIZE), z - _STEP * np.eye(SIZE)])
        logs = loglik(points)[0] - 0.5 * np.sum(points**2, axis=1)
        slope = (logs[1 : SIZE + 1] - logs[SIZE + 1 :]) / (2 * _STEP)
        return -float(logs[0]), -slope

    best = optimize.minimize(
        cost, start, jac=True, method="BFGS", options={"maxiter": 30, "gtol": 0.2}
    )
    mode = np.clip(np.asarray(best.x, np.float64), -_FAR, _FAR)
    return _Proposal(mode, _curvature_root(loglik, mode))


def _steadied(loglik: LogLik, z: Floats) -> tuple[Floats, Floats]:
    """Return the likelihood tilted toward a steady speed, to reach a ridge's far end."""
    logs, made = loglik(z)
    return logs - 0.5 * ((z[:, 1] - _STEADY[1]) / _STEADY_SD) ** 2, made


def _curvature_root(loglik: LogLik, mode: Floats) -> Floats:
    """Return the Cholesky factor of the inverse curvature at the mode, all from one batch."""
    first, second = np.triu_indices(SIZE)
    a, b = _STEP * np.eye(SIZE)[first], _STEP * np.eye(SIZE)[second]
    corners = [mode + a + b, mode + a - b, mode - a + b, mode - a - b]
    points = np.concatenate(corners)
    logs = loglik(points)[0] - 0.5 * np.sum(points**2, axis=1)
    pp, pm, mp, mm = logs.reshape(4, -1)
    hessian = np.zeros((SIZE, SIZE))
    hessian[first, second] = hessian[second, first] = -(pp - pm - mp + mm) / (4 * _STEP**2)
    values, vectors = np.linalg.eigh(hessian)
    # the prior alone gives curvature 1; a ridge flatter than a third of that is not believed
    cov = (vectors / np.clip(values, 0.3, None)) @ vectors.T
    return np.asarray(np.linalg.cholesky(0.5 * (cov + cov.T)), np.float64)
