"""The feel of many players read together: who should trust it, and who should look at film.

Each player's agreement is drawn in to the group's, as effects are in pooled trials, so that the
best of twenty by luck is not told to trust a feel that knows nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

import numpy as np
from numpy.typing import NDArray

from hoopwright.errors import BadInput
from hoopwright.records import Estimate
from hoopwright.trials.feel import A_LOT, TRUST, USEFUL, Feel, Told, Trust
from hoopwright.trials.hierarchy import PoolPrior, mixture_of, spread_of
from hoopwright.trials.mixture import on_grid

Floats = NDArray[np.float64]

#: agreement before anyone is asked, on the artanh scale: about none, players differing; common
#: practice, no source
PRIOR = PoolPrior(average_sd=0.4, between_scale=0.3)
#: chance from which a player's feel is said to tell something
SURE = 0.975


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayerFeel:
    """One player's feel, read beside the others'."""

    player: UUID
    shots: int
    #: chance of feel being right, as ``Feel.right``, drawn in to the group
    right: Estimate
    #: chance that feel tells anything at all
    chance: float
    told: Told
    trust: Trust
    #: further shots that would tell, from the player's own reading; None where told
    shots_needed: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupFeel:
    """What the feel of a group's players knows."""

    #: chance of feel being right for the average player
    average: Estimate
    #: how much players differ, one standard deviation of that chance
    between: Estimate
    #: the surest to trust feel first
    players: tuple[PlayerFeel, ...]
    #: players whose shots are too few to be read at all, and the shots each still needs
    waiting: tuple[tuple[UUID, int | None], ...]


def read_group_feel(feels: Sequence[tuple[UUID, Feel]]) -> GroupFeel | None:
    """Read the feel of many players together; None where nobody's can be read yet.

    Parameters
    ----------
    feels
        Player and reading of the player alone.

    Raises
    ------
    BadInput
        A player comes twice.
    """
    if len({player for player, _ in feels}) != len(feels):
        raise BadInput("A player comes twice; read all shots of a player as one.")
    known = [(player, feel, feel.main) for player, feel in feels if feel.main is not None]
    waiting = tuple((player, feel.shots_needed) for player, feel in feels if feel.main is None)
    if not known:
        return None
    z = np.array([main.z for _, _, main in known if main is not None])
    sds = np.array([main.z_sd for _, _, main in known if main is not None])
    spread = spread_of(z, sds, prior=PRIOR)
    mixture = mixture_of(spread, z, sds)
    average, *each, _ = mixture.estimates()
    chances = 1.0 - mixture.below(np.zeros((len(mixture.means), 1)))[1:-1, 0]
    players = [
        _one(player, feel, _as_chance(one), float(chance))
        for (player, feel, _), one, chance in zip(known, each, chances, strict=True)
    ]
    return GroupFeel(
        average=_as_chance(average),
        between=on_grid(spread.between, spread.density).scaled(
            0.5 / float(np.cosh(average.value)) ** 2
        ),
        players=tuple(sorted(players, key=lambda p: -p.right.value)),
        waiting=waiting,
    )


def _one(player: UUID, feel: Feel, right: Estimate, chance: float) -> PlayerFeel:
    told = _told(right, chance)
    return PlayerFeel(
        player=player,
        shots=feel.shots,
        right=right,
        chance=chance,
        told=told,
        trust=TRUST[told],
        shots_needed=(feel.shots_needed or None) if told is Told.CANNOT_TELL else None,
    )


def _told(right: Estimate, chance: float) -> Told:
    if chance >= SURE:
        return Told.A_LOT if right.low80 >= A_LOT else Told.SOMETHING
    return Told.NOTHING if right.high95 < USEFUL else Told.CANNOT_TELL


def _as_chance(z: Estimate) -> Estimate:
    """Return an artanh agreement as the chance of feel being right."""
    names = ("value", "low50", "high50", "low80", "high80", "low95", "high95")
    return Estimate(**{n: 0.5 + 0.5 * float(np.tanh(getattr(z, n))) for n in names})
