"""Many single-player trials of one question, read together: whom the change helps.

Each player's true effect is one of a normal spread of players about an average. How much players
differ is poorly known from a few trials, so it is integrated over, never plugged in: the ranges
of the average, of each player and of the next player carry that doubt.

References
----------
The normal-normal model of [EfronMorris1975]_ with a prior on the spread, as [Rover2021]_ advises
for few trials.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from uuid import UUID

import numpy as np
from numpy.typing import NDArray
from scipy import special

from hoopwright.errors import BadInput
from hoopwright.records import Estimate
from hoopwright.trials.hierarchy import PoolPrior, Spread, helped_share, mixture_of, spread_of
from hoopwright.trials.mixture import SHARES, Mixture, estimate, on_grid
from hoopwright.trials.more import more_of
from hoopwright.trials.nouns import Said

Floats = NDArray[np.float64]

#: chance from which the average is said to be better; stricter than 0.975, so that looking again
#: after each player misleads in at most 5 of 100 useless changes (docs/pooled-trials.md)
SURE = 0.985
#: chance from which it is said to lean; common practice, no source
LEANS = 0.85
#: chance from which an average is said to be smaller than is worth knowing
SURELY_SMALL = 0.9
#: fewest players from whom anything is said of how much players differ; common practice, no source
ENOUGH_TO_DIFFER = 5
#: fewest players of a kind of whom anything is said apart; common practice, no source
ENOUGH_OF_A_KIND = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayerEffect:
    """What one player's own trial says, before it is read beside others'."""

    player: UUID
    #: change minus habit: makes per 100, m or rad; from the player's own shots alone, not drawn
    #: in by a prior
    value: float
    #: its standard error, above zero
    sd: float
    #: shots behind it, both ways together; 0 where not known
    shots: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """One player, read beside the others."""

    player: UUID
    #: from the player's own shots alone
    alone: Estimate
    #: drawn in to the others, and one standard deviation of that
    effect: Estimate
    sd: float
    #: chance that the change is better for this player
    chance_better: float
    said: Said


@dataclass(frozen=True, slots=True, kw_only=True)
class Pooled:
    """What many trials of one question say; units of the effects handed in."""

    #: effect on the average player, the chance that it is better, and the verdict
    average: Estimate
    chance_better: float
    said: Said
    #: chance that the average is smaller, either way, than the smallest worth knowing
    chance_small: float
    #: standard deviation of the true effects between players
    between: Estimate
    #: further players before anything is said of how much players differ; 0 where enough
    players_to_differ: int
    #: share of players for whom the change is better at all, 0 to 1
    helped: Estimate
    #: the effect on the next player, and the chance that it is better
    next_player: Estimate
    next_better: float
    players: tuple[Together, ...]
    #: further players who would settle the average; None where settled, small or out of reach
    players_needed: int | None
    #: further shots by each of the same players that would; None likewise, or where only more
    #: players would
    shots_needed: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class KindOfPlayer:
    """Players of one kind, such as left-handers; read apart only where there are enough."""

    kind: Hashable
    players: int
    #: None where they are too few
    pooled: Pooled | None
    #: further players of that kind before anything is said; 0 where enough
    players_needed: int


def pool(
    effects: Sequence[PlayerEffect],
    *,
    smallest: float,
    sign: int = 1,
    prior: PoolPrior | None = None,
) -> Pooled:
    """Read the trials of many players together.

    Parameters
    ----------
    effects
        One for each player, all of one measure.
    smallest
        Smallest difference worth knowing, in the unit of the effects.
    sign
        + 1 where more of the measure is better, − 1 where less is.
    prior
        ``PoolPrior.about(smallest)`` where left out.

    Raises
    ------
    BadInput
        No players, one twice, or an effect that is not a number with an error above zero.
    """
    _check(effects, smallest)
    values = np.array([e.value for e in effects])
    sds = np.array([e.sd for e in effects])
    spread = spread_of(values, sds, prior=prior or PoolPrior.about(smallest))
    mixture = mixture_of(spread, values, sds)
    average, *each, following = mixture.estimates()
    chances = _better(mixture, sign)
    said = said_of(chances[0])
    small = _chance_small(mixture, smallest)
    players, shots = _more(effects, spread, smallest, said=said, small=small)
    return Pooled(
        average=average,
        chance_better=chances[0],
        said=said,
        chance_small=small,
        between=on_grid(spread.between, spread.density),
        players_to_differ=max(ENOUGH_TO_DIFFER - len(effects), 0),
        helped=helped_share(spread, sign),
        next_player=following,
        next_better=chances[-1],
        players=_together(effects, each, mixture, chances),
        players_needed=players,
        shots_needed=shots,
    )


def pool_by_kind(
    effects: Sequence[PlayerEffect], kinds: Sequence[Hashable], *, smallest: float, sign: int = 1
) -> tuple[KindOfPlayer, ...]:
    """Read each kind of player apart, where there are at least ten of that kind.

    Parameters
    ----------
    effects
        One for each player.
    kinds
        What kind each is, in the same order.
    smallest, sign
        As for :func:`pool`.

    Raises
    ------
    BadInput
        Lists of different lengths, and as :func:`pool`.
    """
    if len(effects) != len(kinds):
        raise BadInput("Say for every player which kind it is; the two lists differ in length.")
    found = []
    for kind in dict.fromkeys(kinds):
        own = [e for e, k in zip(effects, kinds, strict=True) if k == kind]
        enough = len(own) >= ENOUGH_OF_A_KIND
        found.append(
            KindOfPlayer(
                kind=kind,
                players=len(own),
                pooled=pool(own, smallest=smallest, sign=sign) if enough else None,
                players_needed=max(ENOUGH_OF_A_KIND - len(own), 0),
            )
        )
    return tuple(found)


def said_of(chance_better: float) -> Said:
    """Return the verdict that goes with a chance of being better."""
    if chance_better >= SURE:
        return Said.BETTER
    if chance_better <= 1.0 - SURE:
        return Said.WORSE
    if chance_better >= LEANS:
        return Said.LEANING_BETTER
    return Said.LEANING_WORSE if chance_better <= 1.0 - LEANS else Said.CANNOT_TELL


def without_prior(value: float, sd: float, *, prior_sd: float) -> tuple[float, float]:
    """Return an effect and its standard error with a normal prior about 0 taken off again.

    Derived: precisions subtract. For trials whose verdict was read under such a prior, which
    must not be counted once for every player.

    Raises
    ------
    BadInput
        The range is no narrower than the prior, so there is nothing behind it.
    """
    if not 0.0 < sd < prior_sd:
        raise BadInput("That effect has no shots behind it yet; enter some blocks first.")
    precision = sd**-2.0 - prior_sd**-2.0
    return value * sd**-2.0 / precision, float(precision**-0.5)


def _check(effects: Sequence[PlayerEffect], smallest: float) -> None:
    if not effects:
        raise BadInput("There is no trial of this question yet; run one with a player first.")
    if len({e.player for e in effects}) != len(effects):
        raise BadInput("A player comes twice; join a player's trials of one question first.")
    if not all(np.isfinite(e.value) and np.isfinite(e.sd) and e.sd > 0.0 for e in effects):
        raise BadInput("Every player's effect needs a plain number and an error above zero.")
    if not smallest > 0.0:
        raise BadInput("The smallest difference must be above zero.", field="smallest")


def _better(mixture: Mixture, sign: int) -> list[float]:
    """Return the chance that each quantity is on the better side of 0."""
    below = mixture.below(np.zeros((len(mixture.means), 1)))[:, 0]
    return [float(c) for c in (1.0 - below if sign > 0 else below)]


def _chance_small(mixture: Mixture, smallest: float) -> float:
    ends = np.broadcast_to([-smallest, smallest], (len(mixture.means), 2))
    low, high = mixture.below(ends)[0]
    return float(high - low)


def _more(
    effects: Sequence[PlayerEffect], spread: Spread, smallest: float, *, said: Said, small: float
) -> tuple[int | None, int | None]:
    """Return the further players, and the further shots of each, that would settle it."""
    if said in (Said.BETTER, Said.WORSE) or small >= SURELY_SMALL:
        return None, None
    return more_of(
        np.array([e.sd for e in effects]),
        np.array([e.shots for e in effects]),
        smallest=smallest,
        sure=SURE,
        between=float(np.sqrt(spread.weights @ spread.between**2)),
        known=float(spread.weights @ spread.centre_sd**-2.0),
    )


def _together(
    effects: Sequence[PlayerEffect],
    drawn_in: Sequence[Estimate],
    mixture: Mixture,
    chances: Sequence[float],
) -> tuple[Together, ...]:
    sds = mixture.sd()[1:-1]
    return tuple(
        Together(
            player=e.player,
            alone=estimate(e.value, e.value + e.sd * special.ndtri(SHARES)),
            effect=drawn,
            sd=float(sd),
            chance_better=chance,
            said=said_of(chance),
        )
        for e, drawn, sd, chance in zip(effects, drawn_in, sds, chances[1:-1], strict=True)
    )
