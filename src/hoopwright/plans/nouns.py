"""The nouns of practice: focus, cue, drill, target, plan. Frozen, and JSON as they stand."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from uuid import UUID

from hoopwright.records import Estimate, Spot

#: what a place to practise may have
ALL_FEATURES = ("basket", "free-throw line", "three-point line", "wall", "floor line")


class Stage(StrEnum):
    """How practice is ordered, from finding a movement to using it."""

    #: near the ring, one thing to feel
    CLOSE = "close form work"
    #: the same shot many times
    BLOCKED = "blocked"
    #: the same shot from changing places or passes
    VARIED = "varied"
    #: no two shots alike in a row
    RANDOM = "random"
    #: single shots after movement, under time or score
    GAME_LIKE = "game-like"


class FocusKind(StrEnum):
    """What practice is to make better."""

    AIM_ALONG = "aim, short or long"
    AIM_ACROSS = "aim, left or right"
    DISTANCE_CONTROL = "distance control"
    LINE_CONTROL = "line control"
    ARC = "arc"
    #: a way of shooting that a trial or the coach chose
    FORM = "way of shooting"
    #: the same shot, but in games
    TRANSFER = "practice to games"


class FocusFrom(StrEnum):
    """What a focus was chosen from."""

    FINDINGS = "findings"
    TRIAL = "trial"
    COACH = "the coach's choice"


@dataclass(frozen=True, slots=True, kw_only=True)
class Focus:
    """The one thing a plan is about."""

    kind: FocusKind
    #: as a coach says it, such as "6 cm deeper aim" or "feet turned"
    name: str
    chosen_from: FocusFrom
    #: one sentence: why this and not another
    reason: str
    #: what it is likely to bring, makes per 100; None where it can't be told yet
    makes_per_100: Estimate | None = None
    #: True where the player's movement is to be changed, so that a dip is to be expected
    changes_form: bool = False
    #: condition of the sets shot this way; "" is the player's habit
    condition: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cue:
    """The one short thing the player thinks of."""

    text: str
    #: True where the player said it, and not the coach
    own_words: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Drill:
    """One drill of the library."""

    #: short name that never changes, such as ``"line-shots"``
    key: str
    name: str
    stage: Stage
    purpose: str
    set_up: str
    #: who it suits
    suits: str
    #: what is counted
    count: str
    #: when to go on to something harder
    progress: str
    #: kinds of focus it serves
    serves: tuple[FocusKind, ...]
    equipment: str = "ball"
    #: ring height and ball: what to look to
    ring_and_ball: str = ""
    #: named spots it is usually shot from; () where it needs none
    spots: tuple[str, ...] = ()
    #: what the place must have, by name; from ``ALL_FEATURES``
    needs: tuple[str, ...] = ("basket",)
    #: fewest and most players who do it together at one place
    players_low: int = 1
    players_high: int = 4
    #: usual pace of one player
    shots_per_minute: float = 4.0
    #: True where it stops on makes: its attempts are logged and kept out of every percentage
    stops_on_makes: bool = False
    #: True where a coach added or changed it
    own: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """What to expect of a run of shots: the player's own numbers, never a standard."""

    #: share made expected, with ranges; None where it can't be told yet
    expected: Estimate | None = None
    #: further charted shots that would tell; None where told, or where it isn't known
    shots_needed: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanItem:
    """One drill within a session."""

    #: key of the drill
    drill: str
    shots: int
    minutes: float
    spots: tuple[Spot, ...] = ()
    target: Target = Target()
    note: str = ""


class PracticeTest(StrEnum):
    """A fixed number of attempts, with no coaching before."""

    #: first shots of a visit
    COLD = "cold"
    #: the same test days or weeks after the last practice
    RETENTION = "retention"
    #: single shots as in games
    TRANSFER = "transfer"


@dataclass(frozen=True, slots=True, kw_only=True)
class BookedTest:
    """A booked test."""

    day: date
    kind: PracticeTest
    #: attempts, fixed beforehand
    shots: int
    spots: tuple[Spot, ...] = ()
    target: Target = Target()
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenTest:
    """A test that was done; fixed attempts only."""

    day: date
    kind: PracticeTest
    shots: int
    made: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanSession:
    """One visit of a plan."""

    #: from 1
    number: int
    day: date
    #: week of the plan, from 1
    week: int
    stage: Stage
    items: tuple[PlanItem, ...]
    #: True where a coach is there; False for practice alone
    coached: bool = True

    @property
    def shots(self) -> int:
        """Practice shots, without the cold test."""
        return sum(item.shots for item in self.items)

    @property
    def minutes(self) -> float:
        """Time of the drills, without the cold test [min]."""
        return sum(item.minutes for item in self.items)


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """When games count, first and last day."""

    first: date
    last: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What a plan is asked for; a plan keeps it, so that it can be made anew."""

    player_id: UUID
    focus: Focus
    cue: Cue
    start: date
    #: 1 to 6
    weeks: int
    #: days of practice, Monday 0 to Sunday 6
    weekdays: tuple[int, ...]
    #: shots a visit, the cold test among them
    shots: int
    #: where the player shoots from
    spots: tuple[Spot, ...]
    #: attempts of a cold, retention or transfer test
    test_shots: int = 10
    #: how many players work together
    players: int = 1
    #: what the gym has; from ``ALL_FEATURES``
    features: tuple[str, ...] = ALL_FEATURES
    #: False for practice alone
    coached: bool = True
    #: key of the rule book whose lines the court has
    rules: str = "fiba"
    #: days nothing may be planned on
    blocked_days: tuple[date, ...] = ()
    season: Season | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PracticePlan:
    """One focus, one cue, and what to do when."""

    id: UUID
    wish: Wish
    sessions: tuple[PlanSession, ...]
    #: a cold test each visit, then retention and transfer tests
    tests: tuple[BookedTest, ...]
    #: what to know beforehand, such as a dip to expect or too many shots
    notes: tuple[str, ...] = ()

    @property
    def player_id(self) -> UUID:
        """Whose plan it is."""
        return self.wish.player_id

    @property
    def focus(self) -> Focus:
        """The one thing it is about."""
        return self.wish.focus

    @property
    def cue(self) -> Cue:
        """The one thing the player thinks of."""
        return self.wish.cue

    @property
    def start(self) -> date:
        """First day of its first week."""
        return self.wish.start

    @property
    def weeks(self) -> int:
        """How long it goes, 1 to 6."""
        return self.wish.weeks

    @property
    def shots(self) -> int:
        """All practice shots of the plan, without tests."""
        return sum(session.shots for session in self.sessions)
