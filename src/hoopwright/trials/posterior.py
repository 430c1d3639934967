"""The posterior of a difference, with what varies from block to block integrated out.

The numbers of a trial (a difference per pair, or a mean per test day) are normal about
``X b`` with variance ``v f² + c τ²``: ``v`` from the shots of the blocks, ``f²`` because the
scatter of the shots is itself estimated, ``τ`` what one block differs from the next beyond its
shots. ``b`` is normal beforehand, so it is integrated out in closed form [Gelman2013]_; ``τ`` and
``f`` by equal-weight points of their priors. What remains is a mixture of normals, whose tails
are those of a t where few shots were taken.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaincinv, ndtr, ndtri

from hoopwright.records import Estimate

Floats = NDArray[np.float64]

_BLOCK_POINTS, _SCATTER_POINTS, _GRID = 24, 7, 257
# parts of less weight change no range
_TOO_LIGHT = 1e-5
#: degrees of freedom from which the scatter of shots counts as known
_KNOWN = 500.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Mixture:
    """A mixture of normals."""

    #: float64 [part], summing to 1
    weights: Floats
    means: Floats
    sds: Floats
    #: posterior mean of τ²
    block_variance: float

    @property
    def mean(self) -> float:
        """Return the mean."""
        return float(self.weights @ self.means)

    @property
    def sd(self) -> float:
        """Return the standard deviation."""
        second = self.weights @ (self.sds**2 + (self.means - self.mean) ** 2)
        return float(np.sqrt(second))

    def chance_above(self, x: float) -> float:
        """Return the chance of a value above ``x``."""
        return float(self.weights @ ndtr((self.means - x) / self.sds))

    def grid(self) -> tuple[Floats, Floats]:
        """Return values and the chance of one below each, float64 [point] both."""
        x = np.linspace(self.mean - 8 * self.sd, self.mean + 8 * self.sd, _GRID)
        told = self.weights > _TOO_LIGHT
        weights = self.weights[told] / self.weights[told].sum()
        return x, ndtr((x[:, None] - self.means[told]) / self.sds[told]) @ weights

    def estimate(self) -> Estimate:
        """Return the mean and the 50, 80 and 95 % ranges."""
        x, below = self.grid()
        return _ranges(x, below, self.mean)


def _ranges(x: Floats, below: Floats, value: float) -> Estimate:
    low95, low80, low50, high50, high80, high95 = (
        float(np.interp(q, below, x)) for q in (0.025, 0.1, 0.25, 0.75, 0.9, 0.975)
    )
    return Estimate(
        value=value,
        low50=low50, high50=high50, low80=low80, high80=high80, low95=low95, high95=high95,
    )  # fmt: skip


def estimate_of(x: Floats, below: Floats) -> Estimate:
    """Return mean and ranges of a value known by its distribution.

    Parameters
    ----------
    x
        Values, rising, float64 [point].
    below
        Chance of a value below each, float64 [point].
    """
    middle = 0.5 * (x[1:] + x[:-1])
    return _ranges(x, below, float(np.diff(below) @ middle / (below[-1] - below[0])))


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbers:
    """What the posterior is drawn from: one row per pair, or per test day."""

    #: float64 [row]
    value: Floats
    #: variance from the shots, float64 [row]
    variance: Floats
    #: how many times the block variance counts in a row, float64 [row]
    blocks: Floats
    #: float64 [row, coefficient]; the first is the difference sought
    columns: Floats
    #: standard deviation of each coefficient beforehand, about 0, float64 [coefficient]
    prior_sd: Floats
    #: standard deviation of the half-normal that τ has beforehand
    block_scale: float
    #: degrees of freedom behind ``variance``; inf where it is known
    freedom: float = np.inf


def posterior(numbers: Numbers) -> Mixture:
    """Return the posterior of the first coefficient.

    Parameters
    ----------
    numbers
        The rows, and what is known beforehand.

    Notes
    -----
    Derived: the normal linear model with a normal prior and known variances, chapter 14 of
    [Gelman2013]_, summed over equal-weight points of τ and of the scatter of shots.
    """
    weights, means, sds, tau = _parts(numbers, numbers.value[None])
    return Mixture(
        weights=weights[:, 0],
        means=means[:, 0],
        sds=sds,
        block_variance=float(weights[:, 0] @ tau**2),
    )


def chances_above(numbers: Numbers, values: Floats) -> Floats:
    """Return the chance that the first coefficient is above 0, for many trials of one plan.

    Parameters
    ----------
    numbers
        The rows; their own values are not used.
    values
        The rows' values of each trial, float64 [trial, row].

    Returns
    -------
    float64 [trial].
    """
    weights, means, sds, _ = _parts(numbers, values)
    chances: Floats = (weights * ndtr(means / sds[:, None])).sum(axis=0)
    return chances


def _parts(numbers: Numbers, values: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Return weights and means [point, trial], standard deviations and τ [point]."""
    tau, scatter = _points(numbers)
    spread = scatter[:, None] * numbers.variance + tau[:, None] ** 2 * numbers.blocks
    x = numbers.columns
    precision = np.einsum("rk,nr,rl->nkl", x, 1.0 / spread, x) + np.diag(numbers.prior_sd**-2.0)
    covariance = np.linalg.inv(precision)
    right = (values[None] / spread[:, None]) @ x
    middle = right @ covariance
    fit = (1.0 / spread) @ values.T**2 - (right * middle).sum(axis=2)
    shared = np.log(spread).sum(axis=1) + np.linalg.slogdet(precision)[1]
    logs = -0.5 * (shared[:, None] + fit)
    weights = np.exp(logs - logs.max(axis=0))
    weights /= weights.sum(axis=0)
    return weights, middle[:, :, 0], np.sqrt(covariance[:, 0, 0]), tau


def _points(numbers: Numbers) -> tuple[Floats, Floats]:
    """Return τ and f² at points of equal weight, float64 [point] both."""
    share = (np.arange(_BLOCK_POINTS) + 0.5) / _BLOCK_POINTS
    tau = numbers.block_scale * ndtri(0.5 + 0.5 * share)
    if numbers.freedom >= _KNOWN:
        return tau, np.ones(_BLOCK_POINTS)
    share = (np.arange(_SCATTER_POINTS) + 0.5) / _SCATTER_POINTS
    half = numbers.freedom / 2
    scatter = half / gammaincinv(half, share)
    return np.repeat(tau, _SCATTER_POINTS), np.tile(scatter, _BLOCK_POINTS)
