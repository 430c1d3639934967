"""Players as draws from a spread of players: the mathematics behind pooled trials.

Player *i* has a true effect θᵢ ~ N(μ, τ²), seen as yᵢ ~ N(θᵢ, sᵢ²); μ ~ N(0, A²), τ half-normal.
Given τ, all the rest is normal and in closed form; τ is integrated over on a grid.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

from hoopwright.records import Estimate
from hoopwright.trials.mixture import Mixture

Floats = NDArray[np.float64]

# The spread is b·sinh(u) at even steps of u: fine near none, wide in the tail, and what is
# integrated is even about 0, so that the trapezium rule converges faster than any power of the
# number of nodes.
_NODES = 161
_COARSE = 601
# b in scales of the prior or of the errors, whichever is smaller
_FINE = 0.3
# natural logarithm of the share of the peak below which a density counts for nothing
_NOTHING = -40.0
# how far the spread is looked for, in scales of its prior and of the effects seen
_FAR, _FAR_SEEN = 8.0, 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PoolPrior:
    """What is taken to be so before any trial: small effects, players much alike.

    Both scales follow from the smallest difference worth knowing; common practice, no source.
    """

    #: standard deviation of the average effect about none
    average_sd: float
    #: scale of the half-normal on the standard deviation between players
    between_scale: float

    @classmethod
    def about(cls, smallest: float) -> "PoolPrior":
        """Return the usual prior for a smallest difference worth knowing, e.g. 5 per 100."""
        return cls(average_sd=2.0 * smallest, between_scale=1.5 * smallest)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spread:
    """The posterior of the spread between players at nodes, and of the average given each."""

    #: float64 [node], rising
    between: Floats
    #: density over the nodes, evenly spaced in their own coordinate, up to a factor, and
    #: weights of sum 1; float64 [node]
    density: Floats
    weights: Floats
    #: mean and standard deviation of the average effect, float64 [node]
    centre: Floats
    centre_sd: Floats


def spread_of(values: Floats, sds: Floats, *, prior: PoolPrior) -> Spread:
    """Return the posterior of the spread between players.

    Parameters
    ----------
    values, sds
        Each player's effect and its standard error, float64 [player].
    prior
        Of the average and of the spread.
    """
    base = _FINE * min(prior.between_scale, float(np.median(sds)))
    far = _FAR * prior.between_scale + _FAR_SEEN * float(np.abs(values).max())

    def log_density(u: Floats) -> Floats:
        logs = _log_density(base * np.sinh(u), values, sds, prior=prior)
        return np.asarray(logs + np.log(np.cosh(u)), np.float64)

    u = np.linspace(0.0, np.arcsinh(far / base), _COARSE)
    logs = log_density(u)
    near = np.flatnonzero(logs > logs.max() + _NOTHING)
    u = np.linspace(u[max(near[0] - 1, 0)], u[min(near[-1] + 1, _COARSE - 1)], _NODES)
    logs, between = log_density(u), base * np.sinh(u)
    density = np.exp(logs - logs.max())
    weights = density.copy()
    weights[[0, -1]] *= 0.5
    centre, centre_sd = average_given(between, values, sds, average_sd=prior.average_sd)
    return Spread(
        between=between, density=density, weights=weights / weights.sum(),
        centre=centre, centre_sd=centre_sd,
    )  # fmt: skip


def average_given(
    between: Floats, values: Floats, sds: Floats, *, average_sd: float
) -> tuple[Floats, Floats]:
    """Return mean and standard deviation of the average effect given the spread.

    Parameters
    ----------
    between
        Standard deviation between players, float64 [node].
    values, sds
        Each player's effect and its standard error, float64 [player].
    average_sd
        Standard deviation of the prior of the average; infinite for none.
    """
    precision = 1.0 / (between[:, None] ** 2 + sds**2)
    total = precision.sum(axis=1) + average_sd**-2.0
    return precision @ values / total, total**-0.5


def player_given(
    between: Floats, centre: Floats, centre_sd: Floats, *, values: Floats, sds: Floats
) -> tuple[Floats, Floats]:
    """Return mean and standard deviation of each player's true effect given the spread.

    Parameters
    ----------
    between, centre, centre_sd
        The spread, and the average given it, float64 [node].
    values, sds
        Each player's effect and its standard error, float64 [player].

    Returns
    -------
    means, sds
        float64 [player, node].

    Notes
    -----
    The share of the player's own value that is kept, τ² / (τ² + s²), is the shrinkage factor of
    [EfronMorris1975]_ with the spread known.
    """
    square, error = between**2, sds[:, None] ** 2
    kept = square / (square + error)
    means = kept * values[:, None] + (1.0 - kept) * centre
    return means, np.sqrt(kept * error + ((1.0 - kept) * centre_sd) ** 2)


def _log_density(between: Floats, values: Floats, sds: Floats, *, prior: PoolPrior) -> Floats:
    """Return the log posterior density of the spread, up to a constant, float64 [node]."""
    precision = 1.0 / (between[:, None] ** 2 + sds**2)
    centre, centre_sd = average_given(between, values, sds, average_sd=prior.average_sd)
    misfit = precision @ values**2 - (centre / centre_sd) ** 2
    fit = 0.5 * np.log(precision).sum(axis=1) + np.log(centre_sd) - 0.5 * misfit
    return np.asarray(fit - 0.5 * (between / prior.between_scale) ** 2, np.float64)


def mixture_of(spread: Spread, values: Floats, sds: Floats) -> Mixture:
    """Return average, each player and the next player as mixtures, in that order."""
    means, own = player_given(
        spread.between, spread.centre, spread.centre_sd, values=values, sds=sds
    )
    following = np.hypot(spread.centre_sd, spread.between)
    return Mixture(
        weights=spread.weights,
        means=np.vstack([spread.centre, means, spread.centre]),
        sds=np.vstack([spread.centre_sd, own, following]),
    )


# places of the average within its normal, given the spread
_PLACES = special.ndtri((np.arange(64) + 0.5) / 64)


def helped_share(spread: Spread, sign: int) -> Estimate:
    """Return the share of players for whom the change is better at all, 0 to 1."""
    averages = sign * (spread.centre[:, None] + spread.centre_sd[:, None] * _PLACES)
    between = np.maximum(spread.between, 1e-9 * spread.between[-1])[:, None]
    shares = special.ndtr(averages / between)
    weights = np.repeat(spread.weights / len(_PLACES), len(_PLACES))
    return Estimate.from_draws(shares.ravel(), weights)
