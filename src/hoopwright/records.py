"""The nouns everyone shares: frozen, SI units and radians, one ``#:`` line per field.

At the ring plane, seen by the shooter, origin at ring centre: *along* is + long and − short,
*across* is + right and − left. Court axes: origin on the floor below ring centre, *y* away from
the board along the court's long axis, *x* to the right as seen by a player facing the board.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from enum import StrEnum
from uuid import UUID, uuid4

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


class Purpose(StrEnum):
    """What a set was shot for."""

    #: nothing special
    PRACTICE = ""
    #: the first shots of a day, with no coaching before
    COLD_TEST = "cold test"
    #: the same test again, days or weeks after
    RETENTION_TEST = "retention test"
    #: a test closer to a game than what was practised
    TRANSFER_TEST = "transfer test"
    #: a drill of the practice plan
    DRILL = "drill"


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
    """One filmed shot: release and landing with their joint error, in two parts.

    What the shots of one camera have in common (the camera's place, the ball's size, the air) is
    no scatter of the player, and more shots don't average it away.
    """

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
    #: 5 × 5 covariance of (speed, angle, direction, along, across), row by row [SI]: the error
    #: that differs from shot to shot
    covariance: tuple[float, ...]
    #: likewise, the error that shots of one camera have in common; () where there is none
    shared: tuple[float, ...] = ()
    #: whose error that is: id of the camera place, or of the film where it has none; None: of one
    #: that is not told apart
    camera: UUID | None = None

    def __post_init__(self) -> None:
        if len(self.covariance) != 25 or len(self.shared) not in (0, 25):
            raise BadInput("A filmed shot needs a 5 × 5 covariance (25 numbers, row by row).")

    @property
    def total(self) -> tuple[float, ...]:
        """Covariance of the whole error of this one shot, as ``covariance``."""
        if not self.shared:
            return self.covariance
        return tuple(a + b for a, b in zip(self.covariance, self.shared, strict=True))


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
    #: how it felt to the player, 0 to 10, said before the result was seen
    feel: float | None = None

    def __post_init__(self) -> None:
        if self.feel is not None and not 0.0 <= self.feel <= 10.0:
            raise BadInput("How a shot felt goes from 0 to 10; say a number in that range.")
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
    #: what it was shot for
    purpose: Purpose = Purpose.PRACTICE
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
class StoredScene:
    """A marked camera place, kept for the next film from there."""

    id: UUID
    #: name of the gym
    gym: str
    #: where in it the camera stood
    place: str
    #: key of the rule book whose lines were marked
    rules: str = "fiba"
    #: top of the ring above the floor [m]
    ring_height: float = 3.05
    #: text of the scene as ``film.scene`` writes it
    content: str
    made_at: datetime


class FilmState(StrEnum):
    """How far a film is; follows from its reading and its last job."""

    NEW = "new"
    MEASURING = "measuring"
    MEASURED = "measured"
    FAILED = "failed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Film:
    """One clip of one player, and where its file is."""

    id: UUID
    player_id: UUID
    #: workout and set whose shots it shows, if told
    workout_id: UUID | None = None
    set_id: UUID | None = None
    #: camera place it was filmed from, if marked
    scene_id: UUID | None = None
    #: what the phone called the file; to be shown, never a path
    file_name: str
    #: our own name of the file; see ``store.media``
    media_key: str
    #: [byte]
    size: int
    #: checksum of the file, 64 hexadecimal digits
    sha256: str
    #: how many times slower it plays than it was filmed, as a person said; None: as the file says
    slowed: float | None = None
    state: FilmState = FilmState.NEW
    added_at: datetime


class MarkKind(StrEnum):
    """What was marked by hand on a film."""

    #: when something happened; named by ``film.results.Moment``
    EVENT = "event"
    #: where the middle of the ball is
    BALL = "ball"
    #: where a body point is; named by ``film.pose``
    POINT = "point"
    #: whether a shot went in; named "made" or "missed"
    RESULT = "result"


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmMark:
    """Something set or moved by hand on one picture of a film; outlives every re-measuring."""

    #: when stored, it follows from what is marked, so that a second mark moves the first
    id: UUID = field(default_factory=uuid4)
    film_id: UUID
    #: id of the filmed shot it belongs to, if one
    shot_id: UUID | None = None
    kind: MarkKind
    #: of the event or body point; "made" or "missed" for a result; "" for a ball
    name: str = ""
    #: number of the picture, from 0
    frame: int
    #: of the picture, real time since the first [s]
    time: float
    #: place in the upright picture [px]; None for an event or a result
    x: float | None = None
    y: float | None = None
    #: a number that goes with it: the ball's radius [px]
    value: float | None = None
    #: who set it, and when; filled in when stored
    who: str = ""
    at: datetime = field(default_factory=lambda: datetime.now(UTC))


class JobState(StrEnum):
    """How far a job is."""

    WAITING = "waiting"
    RUNNING = "running"
    DONE = "done"
    FAILED = "failed"
    CANCELLED = "cancelled"


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A piece of work that a worker does; the database's word on it counts."""

    id: UUID
    #: what is done, such as "measure film"
    kind: str
    #: what it is done with: plain JSON values
    argument: Mapping[str, object] = field(default_factory=dict)
    film_id: UUID | None = None
    state: JobState = JobState.WAITING
    #: 0 to 1
    progress: float = 0.0
    #: what is being done
    message: str = ""
    #: one sentence, where it failed
    error: str = ""
    #: runs that were started
    attempts: int = 0
    #: number of the run that may write; counts up
    token: int = 0
    #: who runs it
    worker: str = ""
    #: until when a silent worker is waited for
    leased_until: datetime | None = None
    created_at: datetime
    started_at: datetime | None = None
    ended_at: datetime | None = None

    @property
    def ended(self) -> bool:
        """Tell whether nothing more will come of it."""
        return self.state not in (JobState.WAITING, JobState.RUNNING)


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """One change to a stored thing, kept for good."""

    at: datetime
    #: who changed it
    who: str
    #: such as "player", "workout", "set", "shot", "film" or "trial"
    kind: str
    #: the thing changed
    thing_id: UUID
    #: "add", "change", "remove"; of a whole player also "export" and "erase"
    what: str
    #: the fields before the change, as JSON text; "" for an addition; how much went in an erasure
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


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadLimits:
    """What a young body may do by the usual cautions, each with its source in words."""

    #: shots a day from which to be careful
    shots_a_day: int
    shots_source: str
    #: days a week with organised practice that leave the rest days
    days_a_week: int
    rest_source: str
    #: organised hours a week; None where no limit is published for the age
    hours_a_week: float | None
    hours_source: str


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
