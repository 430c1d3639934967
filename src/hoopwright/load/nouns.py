"""The nouns of load: what was done on a day, what hurts, and what to be careful about."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from uuid import UUID

from hoopwright.errors import BadInput


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadEntry:
    """What one player did on one day, in one go."""

    id: UUID
    player_id: UUID
    day: date
    #: organised time: team practice, games and coached single work [min]
    organised_minutes: float = 0.0
    #: time shooting or playing alone or with friends; not organised [min]
    self_led_minutes: float = 0.0
    #: shots with a coach
    coached_shots: int = 0
    #: shots without one
    self_led_shots: int = 0
    #: games played
    games: int = 0
    note: str = ""

    def __post_init__(self) -> None:
        minutes = (self.organised_minutes, self.self_led_minutes)
        # written so that a value that is no number is refused too
        if not all(0 <= m <= 24 * 60 for m in minutes) or sum(minutes) > 24 * 60:
            raise BadInput("The minutes of one day go from 0 to 1440; check the minutes.")
        if min(self.coached_shots, self.self_led_shots, self.games) < 0:
            raise BadInput("Shots and games can't be below 0; check the counts.")

    @property
    def organised(self) -> bool:
        """Tell whether anything organised was done."""
        return bool(self.organised_minutes or self.coached_shots or self.games)


class FlagKind(StrEnum):
    """Why a player stopped."""

    PAIN = "pain"
    HEAD_KNOCK = "head knock"


class Clearer(StrEnum):
    """Who may say that a player may go on; a coach is never one."""

    #: a doctor or another licensed health professional
    PROFESSIONAL = "health professional"
    #: the player or a parent; for pain only
    FAMILY = "player or parent"


@dataclass(frozen=True, slots=True, kw_only=True)
class Flag:
    """A stop: pain, or a knock to the head. It says nothing of what is wrong."""

    id: UUID
    player_id: UUID
    kind: FlagKind
    day: date
    #: in the words of who reported it
    note: str = ""
    #: who wrote it down
    reported_by: str = ""
    #: when someone who may do so said that the player may go on
    cleared_on: date | None = None
    cleared_by: Clearer | None = None
    #: who that was, by name or role
    cleared_name: str = ""

    def __post_init__(self) -> None:
        if (self.cleared_on is None) != (self.cleared_by is None):
            raise BadInput("Say both who cleared the player and on which day, or neither.")
        if self.cleared_on is not None and self.cleared_on < self.day:
            raise BadInput("A player can't be cleared before the day of the flag; check the days.")
        if self.cleared_on is not None and self.cleared_on == self.day:
            raise BadInput("Nobody returns on the day of a flag; clear on a later day.")
        head_knock = self.kind is FlagKind.HEAD_KNOCK
        if head_knock and self.cleared_by is Clearer.FAMILY:
            raise BadInput("After a head knock only a licensed health professional may clear.")


class Severity(StrEnum):
    """How a caution is meant."""

    #: think again
    CAUTION = "caution"
    #: no practice today
    STOP = "stop"


class CautionKind(StrEnum):
    """What a caution is about."""

    HEAD_KNOCK = "head knock"
    PAIN = "pain"
    WEEKLY_HOURS = "weekly hours"
    HIGH_HOURS = "many hours"
    REST_DAYS = "rest days"
    MONTHS_OFF = "months off"
    GAMES = "games"
    SESSION_SHOTS = "shots a day"


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One thing to be careful about, where it comes from included."""

    kind: CautionKind
    severity: Severity
    #: one sentence: what is so, and what to do
    message: str
    #: where the limit comes from, as shown to the coach
    source: str


class Status(StrEnum):
    """How well a limit is known."""

    #: the number itself was read in the source named
    SEEN = "seen"
    #: in a page that quotes the source
    SECOND_HAND = "second-hand"
    #: from memory of the source named
    MEMORY = "memory"
    #: a trade rule of thumb
    CUSTOM = "common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One published or customary limit for one age group."""

    kind: CautionKind
    #: youngest and oldest age it is for, both included [years]; None: no end
    youngest: int | None
    oldest: int | None
    #: where the caution begins: hours, days, games or shots, by kind
    value: float
    #: the other end where the source gives a range, else the same
    high: float
    #: as shown to the coach
    source: str
    #: key in ``docs/references.md``; "" for common practice
    key: str
    status: Status
