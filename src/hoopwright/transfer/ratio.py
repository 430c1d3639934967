"""How much of a practice percentage is left in games, per player and kind of shot.

ratio = game share / practice share. A coach's players differ in it; their logs scatter normally
around a centre. Centre and scatter start from the trade's rule of thumb and move with the games of
all the coach's players; each player's own ratio is then drawn to the centre as far as the
player's games are few.

References
----------
Partial pooling as in [EfronMorris1975]_, with the centre and scatter integrated over, not fitted.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

import numpy as np
from scipy import special

from hoopwright.errors import BadInput
from hoopwright.records import Estimate
from hoopwright.transfer.nouns import Band, ShotType
from hoopwright.transfer.shares import Floats, GameShare, PracticeShare

#: a game percentage is told once its 80 % range is no wider than this either way
TOLD_WITHIN = 0.05
#: standard deviations from the middle to either end of an 80 % range
_Z80 = 1.2816
#: logs of the ratios looked at, and how many
_LOGS = (-4.0, 1.6)
_STEPS = 256
#: scatters looked at, and the widest as a multiple of the usual
_SPREADS, _WIDEST = 16, 3.2
#: bins of a game share
_BINS = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class RatioPrior:
    """What is thought of the ratio before any game is entered."""

    #: game share over practice share
    centre: float
    #: error of the log of the centre, one standard deviation
    centre_sd: float
    #: usual scatter of the log between players, one standard deviation
    spread: float


#: half, for anything that a defence is played against: common practice, no source. Wide: of a
#: player with 80 % alone, 26 to 63 % in games (80 % range)
RULE_OF_THUMB = RatioPrior(centre=0.5, centre_sd=0.25, spread=0.25)
#: free throws are shot alone in games too: about 70 % against 74 % ([Kozar1995]_, the figures from
#: memory); the width is common practice, no source
FREE_THROWS = RatioPrior(centre=0.95, centre_sd=0.08, spread=0.10)


@dataclass(frozen=True, slots=True, kw_only=True)
class Played:
    """One player's practice and games in one kind of shot."""

    player_id: UUID
    shot_type: ShotType
    #: whether a defender was near in the games; None: all of them, noted or not
    contested: bool | None = None
    practice: PracticeShare
    #: in games [shot]; 0 where none were entered yet
    attempts: int = 0
    made: int = 0

    def __post_init__(self) -> None:
        if not 0 <= self.made <= self.attempts:
            raise BadInput(
                f"{self.made} made of {self.attempts} game attempts can't be; correct one of them."
            )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RatioReading:
    """What practice and games say together of one player's kind of shot."""

    played: Played
    #: share made in practice
    practice: Estimate
    #: share made in games
    game: Estimate
    #: game over practice
    ratio: Estimate
    #: for :func:`forecast.forecast`
    share: GameShare
    #: other players whose games moved the start
    others: int
    #: game attempts until the percentage is told to within 5 points; 0 where it is
    attempts_needed: int


def read_ratios(played: Sequence[Played]) -> tuple[RatioReading, ...]:
    """Return a reading for each player and kind of shot, in the order given.

    Parameters
    ----------
    played
        All of one coach's players: the more of them have games, the better the start for each.

    Notes
    -----
    By sums over grids, no sampling: the same games always read the same. The ratio is cut off
    where the game share would pass 1.
    """
    groups: dict[tuple[ShotType, bool | None], list[int]] = {}
    for i, one in enumerate(played):
        groups.setdefault((one.shot_type, one.contested), []).append(i)
    found: dict[int, RatioReading] = {}
    for (shot_type, _), members in groups.items():
        among = [played[i] for i in members]
        found.update(zip(members, _read_group(among, prior_for(shot_type)), strict=True))
    return tuple(found[i] for i in range(len(played)))


def prior_for(shot_type: ShotType) -> RatioPrior:
    """Return what is thought of the ratio of a kind of shot before any game."""
    return FREE_THROWS if shot_type.band is Band.FREE_THROW else RULE_OF_THUMB


class _Population:
    """Centres and scatters that the players' ratios may have, as a grid [node]."""

    def __init__(self, prior: RatioPrior) -> None:
        centre = math.log(prior.centre) + prior.centre_sd * np.linspace(-3.2, 3.2, 25)
        # middles of equal parts of what the scatter may be
        spread = prior.spread * (np.arange(_SPREADS) + 0.5) * _WIDEST / _SPREADS
        at = np.meshgrid(centre, spread, indexing="ij")
        self.centre, self.spread = (axis.ravel() for axis in at)
        away = (self.centre - math.log(prior.centre)) / prior.centre_sd
        # the scatter's own prior: half a normal of this scale
        self.logs = -0.5 * away**2 - 0.5 * (self.spread / prior.spread) ** 2

    def density(self, ratio_logs: Floats) -> Floats:
        """Return how likely each ratio is under each node, float64 [ratio, node]."""
        away = (ratio_logs[:, None] - self.centre) / self.spread
        step = ratio_logs[1] - ratio_logs[0]
        return np.asarray(step * np.exp(-0.5 * away**2) / (self.spread * math.sqrt(2 * math.pi)))

    def room(self, shares: Floats) -> Floats:
        """Return the chance of a game share below 1, float64 [practice share, node]."""
        away = (-np.log(shares)[:, None] - self.centre) / self.spread
        return np.maximum(special.ndtr(away), 1e-12)


class _Table:
    """One player's data on a grid of practice share and log ratio."""

    def __init__(self, one: Played, population: _Population) -> None:
        self.ratio_logs, finest = _ratio_grid(one)
        self.shares, chances = one.practice.grid(finest)
        game = self.shares[:, None] * np.exp(self.ratio_logs)
        can = game < 1.0
        safe = np.where(can, game, 0.5)
        logs = special.xlogy(one.made, safe) + special.xlog1py(one.attempts - one.made, -safe)
        top = logs[can].max()
        #: float64 [practice share, ratio]
        self.data = np.where(can, np.exp(logs - top), 0.0) * chances[:, None]
        self.game = game
        self._density = population.density(self.ratio_logs)
        self._room = population.room(self.shares)
        #: chance of the data under each node of the population, float64 [node]
        self.evidence = np.sum((self.data @ self._density) / self._room, axis=0) + 1e-300

    def posterior(self, nodes: Floats) -> Floats:
        """Return the chance of each cell, given the population's, float64 as ``data``."""
        cells = self.data * ((nodes / self.evidence / self._room) @ self._density.T)
        return np.asarray(cells / cells.sum())


def _ratio_grid(one: Played) -> tuple[Floats, float]:
    """Return logs of the ratio to look at, and the finest step the practice share needs."""
    prior = prior_for(one.shot_type)
    far = 4 * math.hypot(prior.centre_sd, 3 * prior.spread)
    lowest = max(_LOGS[0], math.log(prior.centre) - far)
    highest = min(_LOGS[1], math.log(prior.centre) + far)
    if one.attempts == 0:
        return np.linspace(lowest, highest, _STEPS), 0.05
    share = (one.made + 0.5) / (one.attempts + 1)
    game_sd = math.sqrt((1 - share) / (share * (one.attempts + 1)))
    sd = math.hypot(game_sd, one.practice.sd / one.practice.mean)
    middle = math.log(share / one.practice.mean)
    # log likelihoods of small counts lean far to the left
    low, high = max(lowest, middle - 12 * sd), min(highest, middle + 7 * sd)
    return np.linspace(min(low, highest - 0.5), max(high, lowest + 0.5), _STEPS), game_sd


def _read_group(among: Sequence[Played], prior: RatioPrior) -> list[RatioReading]:
    population = _Population(prior)
    tables = [_Table(one, population) for one in among]
    logs = population.logs + sum(np.log(table.evidence) for table in tables)
    nodes = np.exp(logs - logs.max())
    nodes = nodes / nodes.sum()
    with_games = sum(one.attempts > 0 for one in among)
    return [
        _reading(one, table, table.posterior(nodes), with_games - (one.attempts > 0))
        for one, table in zip(among, tables, strict=True)
    ]


def _reading(one: Played, table: _Table, cells: Floats, others: int) -> RatioReading:
    share = _binned(table.game.ravel(), cells.ravel())
    return RatioReading(
        played=one,
        practice=Estimate.from_draws(table.shares, cells.sum(axis=1)),
        game=share.estimate,
        ratio=Estimate.from_draws(np.exp(table.ratio_logs), cells.sum(axis=0)),
        share=share,
        others=others,
        attempts_needed=_needed(share),
    )


def _binned(game: Floats, chances: Floats) -> GameShare:
    """Return the game share by bins over where it may be, each at its mean."""
    kept = chances > 1e-12 * chances.max()
    game, chances = game[kept], chances[kept]
    edges = np.linspace(game.min(), game.max() * (1 + 1e-9), _BINS + 1)
    total, _ = np.histogram(game, edges, weights=chances)
    sums, _ = np.histogram(game, edges, weights=chances * game)
    full = total > 0
    return GameShare(shares=sums[full] / total[full], chances=total[full] / total.sum())


def _needed(share: GameShare) -> int:
    """Return attempts that bring the 80 % range within the wanted, beside what is known now."""
    variance = share.mean * (1 - share.mean)
    worth = variance / max(share.sd, 1e-6) ** 2
    return max(0, math.ceil(variance * (_Z80 / TOLD_WITHIN) ** 2 - worth))
