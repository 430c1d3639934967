"""Games, and the tests that progress is read from: what is entered and stored.

Results are in the module of the formula that gives them.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from uuid import UUID

from hoopwright.errors import BadInput

#: most attempts that one line of a game can hold
MOST_ATTEMPTS = 200
#: most attempts that one cold test can hold
MOST_TESTED = 1000
#: longest time that a change can be announced for: a season and a half [day]
LONGEST_DIP = 550


class Band(StrEnum):
    """How far out a shot is taken."""

    FREE_THROW = "free throw"
    RIM = "at the rim"
    MID = "mid-range"
    #: inside the arc, at the rim or not: as score sheets count it
    TWO = "two"
    THREE = "three"


class Start(StrEnum):
    """What a shot follows."""

    CATCH = "off the catch"
    DRIBBLE = "off the dribble"


class ShotType(StrEnum):
    """What kind of shot it was, in trade words.

    A type without a start is for score sheets that don't tell the catch from the dribble.
    """

    FREE_THROW = "free throw"
    RIM = "at the rim"
    MID_CATCH = "mid-range off the catch"
    MID_DRIBBLE = "mid-range off the dribble"
    MID = "mid-range"
    TWO = "two"
    THREE_CATCH = "three off the catch"
    THREE_DRIBBLE = "three off the dribble"
    THREE = "three"

    @property
    def band(self) -> Band:
        """How far out it is taken."""
        return next(band for band in Band if self.value.startswith(band.value))

    @property
    def start(self) -> Start | None:
        """What it follows; None where that is not told, or there is no such thing."""
        return next((start for start in Start if self.value.endswith(start.value)), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class GameLine:
    """One player's attempts of one kind in one game."""

    #: made by the client, so that sending twice changes nothing
    id: UUID
    player_id: UUID
    game_id: UUID
    day: date
    #: who the game was against; may be ""
    opponent: str = ""
    shot_type: ShotType
    #: whether a defender was near; None where not noted
    contested: bool | None = None
    #: [shot], 1 or more
    attempts: int
    made: int

    def __post_init__(self) -> None:
        _check_counts(self.attempts, self.made, most=MOST_ATTEMPTS)
        if self.contested and self.shot_type is ShotType.FREE_THROW:
            raise BadInput(
                "Nobody defends a free throw; leave contested blank there.", field="contested"
            )

    @property
    def kind(self) -> tuple[ShotType, bool | None]:
        """What is like for like: shot type, and whether contested."""
        return self.shot_type, self.contested


@dataclass(frozen=True, slots=True, kw_only=True)
class Game:
    """One game; several players may have lines in it."""

    id: UUID
    day: date
    opponent: str = ""
    lines: tuple[GameLine, ...] = ()


class TestKind(StrEnum):
    """Why a cold test was taken."""

    __test__ = False  # no test case, whatever pytest makes of the name

    #: first shots of a visit, before any coaching
    COLD = "cold test"
    #: the same test again, days after practice ended
    RETENTION = "retention test"
    #: the same skill under another condition: a defender, moving, a game-like score
    TRANSFER = "transfer test"


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdTest:
    """A fixed number of shots with no warm-up and no coaching before."""

    id: UUID
    player_id: UUID
    day: date
    #: [shot], 1 or more, settled beforehand
    attempts: int
    made: int
    kind: TestKind = TestKind.COLD
    #: the spot or shot type tested; only tests of one place share a line
    place: str = ""
    #: name of the change the player used; "" is the habit
    after_change: str = ""

    def __post_init__(self) -> None:
        _check_counts(self.attempts, self.made, most=MOST_TESTED)


@dataclass(frozen=True, slots=True, kw_only=True)
class AnnouncedChange:
    """A change the coach said would cost makes for a while; a dip then is no alarm."""

    #: name of the change
    name: str
    #: first day with the change
    day: date
    #: how long makes may stay down [day]; four weeks is common practice, no source
    dip_days: int = 28

    def __post_init__(self) -> None:
        if not 0 <= self.dip_days <= LONGEST_DIP:
            raise BadInput(
                f"A dip is announced for 0 to {LONGEST_DIP} days, not {self.dip_days}; "
                "say how many days makes may stay down.",
                field="dip_days",
            )

    @property
    def until(self) -> date:
        """Last day of the announced dip."""
        return self.day + timedelta(days=self.dip_days)


def _check_counts(attempts: int, made: int, *, most: int) -> None:
    if not 1 <= attempts <= most:
        raise BadInput(
            f"Attempts must be from 1 to {most}, not {attempts}; leave the line out where no shot "
            "was taken.",
            field="attempts",
        )
    if not 0 <= made <= attempts:
        raise BadInput(
            f"{made} made of {attempts} attempts can't be; correct one of the two.", field="made"
        )
