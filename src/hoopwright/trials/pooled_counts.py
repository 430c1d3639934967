"""Trials of many players pooled from makes and misses: exact for few shots, in makes per 100.

The same spread of players as in :mod:`hoopwright.trials.hierarchy`, of log odds ratios, with each
player's exact likelihood in place of a normal error. Average, spread and effect are integrated
over on a grid. What is found is said in makes per 100 at the players' own level.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import interpolate, special

from hoopwright.errors import BadInput
from hoopwright.records import Estimate
from hoopwright.trials.counted import BLOCK_SD, PlayerCounts, gain, log_likelihood
from hoopwright.trials.hierarchy import PoolPrior, spread_of
from hoopwright.trials.more import more_of
from hoopwright.trials.nouns import Said
from hoopwright.trials.pooled import (
    ENOUGH_TO_DIFFER,
    SURE,
    SURELY_SMALL,
    Pooled,
    Together,
    said_of,
)

Floats = NDArray[np.float64]

# log odds ratios at which a player's likelihood is worked out; between them it is smooth
_ODDS = np.linspace(-12.0, 12.0, 481)
# a prior wide enough to say nothing that keeps a player who made all from an endless effect
_WIDE = 2.0
# nodes over average, spread, and a player's place in the spread
_AVERAGES, _SPREADS = 61, 41
_PLACES = np.linspace(-4.8, 4.8, 65)
_PLACE_WEIGHTS = np.exp(-0.5 * _PLACES**2) / np.exp(-0.5 * _PLACES**2).sum()
# even points by which a distribution is carried on
_POINTS = 4096
_EVEN = (np.arange(_POINTS) + 0.5) / _POINTS
# steps that fill further coordinates evenly: powers of the root of x⁴ = x + 1
_STEPS = (0.8191725133961645, 0.6710436067037893, 0.5497004779019703)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Grid:
    """The posterior of average and spread, and what it takes to come back to each player."""

    #: log odds ratios: average [average], spread [spread]
    average: Floats
    between: Floats
    #: float64 [average, spread], sum 1
    weights: Floats
    #: log of each player's likelihood over the spread, float64 [player, average, spread]
    evidence: Floats


def pool_counts(
    players: Sequence[PlayerCounts],
    *,
    smallest: float = 5.0,
    prior: PoolPrior | None = None,
    block_sd: float = BLOCK_SD,
) -> Pooled:
    """Read the makes and misses of many players' trials together.

    Parameters
    ----------
    players
        One for each player.
    smallest
        Smallest difference worth knowing [makes per 100].
    prior
        Of average and spread [makes per 100]; ``PoolPrior.about(smallest)`` where left out.
    block_sd
        How far the share made wanders from block to block beside luck.

    Returns
    -------
    Pooled
        In makes per 100; a player ``alone`` is read under a prior too wide to matter.

    Raises
    ------
    BadInput
        No players, or one twice.
    """
    if not players or len({p.player for p in players}) != len(players):
        raise BadInput("Pooling needs players, each of them once; join a player's trials first.")
    levels = np.array([p.level for p in players])
    shares = levels[:, 0] / levels.sum(axis=1)
    per_odds = 100.0 * float(np.mean(shares * (1.0 - shares)))
    usual = prior or PoolPrior.about(smallest)
    scaled = PoolPrior(
        average_sd=usual.average_sd / per_odds, between_scale=usual.between_scale / per_odds
    )
    logs = np.array([log_likelihood(p, _ODDS, block_sd=block_sd) for p in players])
    curves = [interpolate.CubicSpline(_ODDS, one) for one in logs]
    grid = _grid(curves, logs, scaled)
    return _said(players, _Read(grid=grid, curves=curves, logs=logs, levels=levels), smallest)


def _near_normal(logs: Floats) -> tuple[Floats, Floats]:
    """Return value and standard error of each player's log odds ratio, float64 [player]."""
    weights = _alone(logs)
    means = weights @ _ODDS
    variances = weights @ _ODDS**2 - means**2
    precision = np.maximum(1.0 / variances - _WIDE**-2.0, 1e-3)
    return means / (variances * precision), precision**-0.5


def _alone(logs: Floats) -> Floats:
    """Return each player's posterior under the wide prior, float64 [player, odds], rows sum 1."""
    full = logs - 0.5 * (_ODDS / _WIDE) ** 2
    weights = np.exp(full - full.max(axis=1, keepdims=True))
    return np.asarray(weights / weights.sum(axis=1, keepdims=True), np.float64)


def _grid(curves: Sequence[interpolate.CubicSpline], logs: Floats, prior: PoolPrior) -> _Grid:
    """Lay the grid where the normal answer says the posterior is, and weigh it exactly."""
    values, sds = _near_normal(logs)
    near = spread_of(values, sds, prior=prior)
    middle = float(near.weights @ near.centre)
    wide = float(np.sqrt(near.weights @ (near.centre_sd**2 + (near.centre - middle) ** 2)))
    average = np.linspace(middle - 6.5 * wide, middle + 6.5 * wide, _AVERAGES)
    tail = int(np.searchsorted(np.cumsum(near.weights), 1.0 - 1e-6))
    base = 0.3 * min(prior.between_scale, float(np.median(sds)))
    farthest = 1.3 * near.between[min(tail, len(near.between) - 1)]
    u = np.linspace(0.0, np.arcsinh(farthest / base), _SPREADS)
    between = base * np.sinh(u)
    effects = np.clip(average[:, None, None] + between[:, None] * _PLACES, _ODDS[0], _ODDS[-1])
    evidence = np.array([special.logsumexp(c(effects), axis=2, b=_PLACE_WEIGHTS) for c in curves])
    full = evidence.sum(axis=0) - 0.5 * (average[:, None] / prior.average_sd) ** 2
    full += np.log(np.cosh(u)) - 0.5 * (between / prior.between_scale) ** 2
    full[:, [0, -1]] += np.log(0.5)
    weights = np.exp(full - full.max())
    return _Grid(
        average=average, between=between, weights=weights / weights.sum(), evidence=evidence
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Read:
    """All that is known once the grid is weighed."""

    grid: _Grid
    curves: Sequence[interpolate.CubicSpline]
    #: float64 [player, odds]
    logs: Floats
    #: Beta numbers of each player's level, float64 [player, 2]
    levels: Floats


def _said(players: Sequence[PlayerCounts], read: _Read, smallest: float) -> Pooled:
    shares = read.levels[:, 0] / read.levels.sum(axis=1)
    per_odds = 100.0 * float(np.mean(shares * (1.0 - shares)))
    marginal = read.grid.weights.sum(axis=1)
    odds = _quantiles(read.grid.average, marginal)
    averages = gain(odds, shares[:, None]).mean(axis=0)
    chance = _above_none(odds)
    said, small = said_of(chance), float(np.mean(np.abs(averages) < smallest))
    following = _following(read)
    spreads = per_odds * _quantiles(read.grid.between, read.grid.weights.sum(axis=0))
    further: tuple[int | None, int | None] = (None, None)
    if said not in (Said.BETTER, Said.WORSE) and small < SURELY_SMALL:
        further = more_of(
            per_odds * _near_normal(read.logs)[1],
            np.array([p.shots for p in players]),
            smallest=smallest,
            sure=SURE,
            between=float(np.sqrt(np.mean(spreads**2))),
            known=1.0 / float(np.var(averages)),
        )
    return Pooled(
        average=Estimate.from_draws(averages),
        chance_better=chance,
        said=said,
        chance_small=small,
        between=Estimate.from_draws(spreads),
        players_to_differ=max(ENOUGH_TO_DIFFER - len(players), 0),
        helped=_helped(read.grid),
        next_player=Estimate.from_draws(following),
        next_better=_above_none(following),
        players=tuple(_one(players[i], read, i) for i in range(len(players))),
        players_needed=further[0],
        shots_needed=further[1],
    )


def _above_none(values: Floats) -> float:
    return float(np.mean(values > 0.0))


def _quantiles(nodes: Floats, weights: Floats) -> Floats:
    """Return even points of a distribution known at nodes, float64 [point]."""
    share = np.concatenate([[0.0], np.cumsum(0.5 * (weights[1:] + weights[:-1]))])
    share = share / share[-1]
    kept = np.concatenate([[True], np.diff(share) > 1e-12])
    return np.asarray(interpolate.PchipInterpolator(share[kept], nodes[kept])(_EVEN), np.float64)


def _spread_evenly(number: int) -> Floats:
    """Return a coordinate that fills 0 to 1 evenly beside ``_EVEN`` and the others, [point]."""
    return np.asarray((0.5 + _STEPS[number] * np.arange(_POINTS)) % 1.0, np.float64)


def _levels_at(levels: Floats, share: Floats) -> Floats:
    """Return a player's level at shares of its distribution, float64 [point]."""
    nodes = (np.arange(128) + 0.5) / 128
    return np.asarray(
        np.interp(share, nodes, special.betaincinv(levels[0], levels[1], nodes)), np.float64
    )


def _following(read: _Read) -> Floats:
    """Return even points of the next player's effect, of a level like those tried, [point]."""
    flat = np.cumsum(read.grid.weights)
    row, column = np.divmod(
        np.minimum(np.searchsorted(flat, _EVEN * flat[-1]), len(flat) - 1),
        len(read.grid.between),
    )
    step = read.grid.average[1] - read.grid.average[0]
    average = read.grid.average[row] + step * (_spread_evenly(0) - 0.5)
    odds = average + read.grid.between[column] * special.ndtri(_spread_evenly(1))
    share = _spread_evenly(2)
    level = np.empty(_POINTS)
    for i, numbers in enumerate(read.levels):
        level[i :: len(read.levels)] = _levels_at(numbers, share[i :: len(read.levels)])
    return gain(odds, level)


def _helped(grid: _Grid) -> Estimate:
    """Return the share of players for whom the change is better at all."""
    between = np.maximum(grid.between, 1e-9 * grid.between[-1])
    shares = special.ndtr(grid.average[:, None] / between)
    return Estimate.from_draws(shares.ravel(), grid.weights.ravel())


def _one(player: PlayerCounts, read: _Read, number: int) -> Together:
    """Return one player alone and beside the others."""
    level = _levels_at(read.levels[number], _spread_evenly(2))
    alone = gain(_quantiles(_ODDS, _alone(read.logs[number : number + 1])[0]), level)
    odds = _odds_together(read, number)
    effect = gain(odds, level)
    chance = _above_none(odds)
    return Together(
        player=player.player,
        alone=Estimate.from_draws(alone),
        effect=Estimate.from_draws(effect),
        sd=float(np.std(effect)),
        chance_better=chance,
        said=said_of(chance),
    )


def _odds_together(read: _Read, number: int) -> Floats:
    """Return even points of a player's log odds ratio beside the others, float64 [point]."""
    grid = read.grid
    places = grid.between[:, None] * _PLACES
    odds = np.clip(grid.average[:, None, None] + places, _ODDS[0], _ODDS[-1])
    logs = read.curves[number](odds) - grid.evidence[number][..., None]
    weights = (grid.weights[..., None] * _PLACE_WEIGHTS * np.exp(logs)).ravel()
    kept = weights > 1e-9 * weights.max()
    values, weights = odds.ravel()[kept], weights[kept]
    order = np.argsort(values)
    share = np.cumsum(weights[order]) - 0.5 * weights[order]
    return np.asarray(np.interp(_EVEN * weights.sum(), share, values[order]), np.float64)
