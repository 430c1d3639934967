"""The nouns everyone shares: frozen, SI units and radians, one ``#:`` line per field.

At the ring plane, seen by the shooter, origin at ring centre: *along* is + long and − short,
*across* is + right and − left. Court axes: origin on the floor below ring centre, *y* away from
the board along the court's long axis, *x* to the right as seen by a player facing the board.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from enum import StrEnum
from uuid import UUID

import numpy as np
from numpy.typing import NDArray

from hoopwright.errors import BadInput


class Hand(StrEnum):
    """The hand that shoots."""

    RIGHT = "right"
    LEFT = "left"


class Miss(StrEnum):
    """Which way a shot missed, seen by the shooter."""

    SHORT = "short"
    LONG = "long"
    LEFT = "left"
    RIGHT = "right"


class Half(StrEnum):
    """Which half of the ring a made shot went through, seen by the shooter."""

    FRONT = "front"
    BACK = "back"


class MissDetail(StrEnum):
    """How finely misses were written down in a set."""

    #: make or miss, nothing more
    NONE = "none"
    #: short or long only; left and right were not looked at
    ALONG = "along"
    #: the one direction that was most wrong
    ONE = "one"
    #: one direction, or two where the miss was diagonal
    TWO = "two"


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place on the floor, in court axes."""

    #: what the coach calls it
    name: str
    #: right of the ring, facing the board [m]
    x: float
    #: out from below ring centre, toward mid-court [m]
    y: float

    @property
    def distance(self) -> float:
        """Floor distance to the point below ring centre [m]."""
        return math.hypot(self.x, self.y)

    @property
    def bearing(self) -> float:
        """Angle from straight in front of the board, + to the right facing it [rad]."""
        return math.atan2(self.x, self.y)


@dataclass(frozen=True, slots=True, kw_only=True)
class Landing:
    """Where a shot crossed the ring plane, tapped by hand or measured."""

    #: + long, − short [m]
    along: float
    #: + right, − left [m]
    across: float
    #: error of the along value, one standard deviation [m]
    along_sd: float
    #: error of the across value, one standard deviation [m]
    across_sd: float

    def __post_init__(self) -> None:
        values = (self.along, self.across, self.along_sd, self.across_sd)
        if not all(math.isfinite(v) for v in values):
            raise BadInput("A landing point needs plain numbers; check along and across.")
        if self.along_sd <= 0 or self.across_sd <= 0:
            raise BadInput("A landing point needs an error above zero; check its error figures.")


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredRelease:
    """One filmed shot: release and landing with their joint error."""

    #: ball speed at release [m/s]
    speed: float
    #: release angle above horizontal [rad]
    angle: float
    #: direction, + right of the line to ring centre [rad]
    direction: float
    #: ball-centre height at release [m]
    height: float
    #: + long [m]
    along: float
    #: + right [m]
    across: float
    #: 5 × 5 covariance of (speed, angle, direction, along, across), row by row [SI]
    covariance: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.covariance) != 25:
            raise BadInput("A filmed shot needs a 5 × 5 covariance (25 numbers, row by row).")


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """One attempt."""

    #: made by the client, so that sending twice changes nothing
    id: UUID
    made: bool
    #: for a miss: no direction, one, or two at right angles
    miss: tuple[Miss, ...] = ()
    #: for a make: the half of the ring it went through, if noted
    half: Half | None = None
    landing: Landing | None = None
    release: MeasuredRelease | None = None

    def __post_init__(self) -> None:
        if self.made and self.miss:
            said = " ".join(m.value for m in self.miss)
            raise BadInput(
                f"A made shot can't also have missed {said}; mark it made or missed, not both."
            )
        if not self.made and self.half is not None:
            raise BadInput("Front or back half is for made shots; mark a miss short or long.")
        along = [m for m in self.miss if m in (Miss.SHORT, Miss.LONG)]
        if len(self.miss) > 2 or len(along) > 1 or len(self.miss) - len(along) > 1:
            raise BadInput(
                "A miss has one of short or long, one of left or right, or one of each; "
                "drop the direction that does not fit."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotSet:
    """A run of shots from one spot under one condition, in the order taken."""

    id: UUID
    workout_id: UUID
    #: order within the workout, from 0
    position: int
    spot: Spot
    #: what was different; "" is the player's habit
    condition: str = ""
    #: ball size number: 3, 5, 6 or 7
    ball_size: int = 7
    #: top of the ring above the floor [m]
    ring_height: float = 3.05
    miss_detail: MissDetail = MissDetail.ONE
    #: False where only counts were entered, so the order of the shots is not known
    ordered: bool = True
    #: True for drills that stop on a make; kept out of every percentage
    stops_on_makes: bool = False
    shots: tuple[Shot, ...] = ()

    @property
    def made(self) -> int:
        """How many went in."""
        return sum(s.made for s in self.shots)


@dataclass(frozen=True, slots=True, kw_only=True)
class Player:
    """One player; the name may be a pseudonym."""

    id: UUID
    name: str
    #: calendar year of birth, if told
    birth_year: int | None = None
    hand: Hand = Hand.RIGHT
    #: stature [m], if told
    height: float | None = None
    ball_size: int = 7
    #: top of the ring the player shoots at [m]
    ring_height: float = 3.05
    #: key of the rule book whose lines the player's court has; see ``court.standards``
    rules: str = "fiba"
    #: the coach who looks after the player, if told
    coach: str = ""
    #: True for demo data
    invented: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Workout:
    """One visit: sets of charted shots."""

    id: UUID
    player_id: UUID
    day: date
    note: str = ""
    sets: tuple[ShotSet, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """One change to a stored thing, kept for good."""

    at: datetime
    #: who changed it
    who: str
    #: "player", "workout", "set" or "shot"
    kind: str
    #: the thing changed
    thing_id: UUID
    #: "add", "change" or "remove"
    what: str
    #: the fields before the change, as JSON text; "" for an addition
    before: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A number with its 50, 80 and 95 % ranges; the unit is the owner's."""

    value: float
    low50: float
    high50: float
    low80: float
    high80: float
    low95: float
    high95: float

    @classmethod
    def from_draws(
        cls, draws: NDArray[np.float64], weights: NDArray[np.float64] | None = None
    ) -> "Estimate":
        """Summarise weighted draws.

        Parameters
        ----------
        draws
            float64 [draw].
        weights
            float64 [draw], not below zero; equal where left out.
        """
        w = np.ones(len(draws)) if weights is None else weights
        order = np.argsort(draws)
        x, w = draws[order], w[order]
        share = (np.cumsum(w) - 0.5 * w) / w.sum()
        low95, low80, low50, high50, high80, high95 = (
            float(np.interp(q, share, x)) for q in (0.025, 0.1, 0.25, 0.75, 0.9, 0.975)
        )
        return cls(
            value=float(np.average(x, weights=w)),
            low50=low50, high50=high50, low80=low80, high80=high80, low95=low95, high95=high95,
        )  # fmt: skip

    def scaled(self, factor: float) -> "Estimate":
        """Return the same estimate times a factor above zero, e.g. 100 for centimetres."""
        names = ("value", "low50", "high50", "low80", "high80", "low95", "high95")
        return replace(self, **{name: getattr(self, name) * factor for name in names})


def shots_of(sets: Sequence[ShotSet]) -> tuple[Shot, ...]:
    """Return all shots of some sets, in order."""
    return tuple(shot for one in sets for shot in one.shots)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """What the findings read: one player's sets, and what is known of the player."""

    player: Player
    sets: tuple[ShotSet, ...] = field(default_factory=tuple)
    #: the year the shots were taken in, for the player's age; None where not known
    year: int | None = None
    #: workout id and its day, oldest first; a workout whose day is not known is left out
    days: tuple[tuple[UUID, date], ...] = ()
