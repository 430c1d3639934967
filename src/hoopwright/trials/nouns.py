"""The nouns of a trial: question, plan, results and verdict; frozen, SI units and radians."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from uuid import UUID

import numpy as np
from numpy.typing import NDArray

from hoopwright.errors import BadInput
from hoopwright.records import Estimate, Spot

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


class Better(StrEnum):
    """Which way of a measure is the better one."""

    MORE = "more"
    LESS = "less"
    #: the same on average, but with less scatter from shot to shot
    STEADIER = "steadier"


class Measure(StrEnum):
    """What a trial is decided on, where it is a matter of the ball."""

    MAKE = "make"
    #: middle of the landing points, + long
    ALONG = "along"
    #: middle of the landing points, + right
    ACROSS = "across"
    #: scatter of the landing points along
    DISTANCE_CONTROL = "distance control"
    #: scatter of the landing points across
    LINE_CONTROL = "line control"
    ENTRY_ANGLE = "entry angle"


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyMeasure:
    """What a trial is decided on, where it is a matter of the body."""

    #: as the film's measures name it, e.g. "stance turn"
    name: str
    #: unit of the values handed in: "m", "rad", "s" or "" for a plain number
    unit: str
    better: Better


class Topic(StrEnum):
    """What kind of thing a change is about; decides whether it can be switched at once."""

    FEET_TURN = "feet turn"
    STANCE_WIDTH = "stance width"
    AIM_POINT = "aim point"
    WHERE_TO_LOOK = "where to look"
    BALL = "ball"
    ROUTINE = "routine"
    CUE = "cue"
    DIP = "dip"
    SET_POINT = "set point"
    RELEASE_TIME = "release time"
    RELEASE_ANGLE = "release angle"
    ELBOW = "elbow"
    HAND_UNDER_BALL = "hand under the ball"
    GUIDE_HAND = "guide hand"
    FOLLOW_THROUGH = "follow-through"
    LEGS = "legs"
    OTHER = "other"


class Kind(StrEnum):
    """How the blocks of a trial are laid out."""

    #: pairs of blocks, habit and change, a coin decides which comes first
    PAIRED = "paired"
    #: fours of blocks, habit-change-change-habit or the reverse, a coin decides which
    MIRRORED = "mirrored"
    #: habit on some days, then the change learnt and tested on later days
    PHASES = "phases"


class Arm(StrEnum):
    """The player's present way, or what is tried."""

    HABIT = "habit"
    CHANGE = "change"


class Phase(StrEnum):
    """What a block is for."""

    #: side by side with the other arm
    COMPARE = "compare"
    #: the habit, before anything is changed
    BASELINE = "baseline"
    #: getting used to the change; logged, never analysed
    FAMILIARISATION = "familiarisation"
    #: a test while the change is being learnt
    PROBE = "probe"
    #: a cold test one week, then three to four weeks, after the last practice probe
    DELAYED = "delayed test"


class Said(StrEnum):
    """The verdict in one of five words."""

    BETTER = "better"
    LEANING_BETTER = "leaning better"
    CANNOT_TELL = "can't tell yet"
    LEANING_WORSE = "leaning worse"
    WORSE = "worse"


#: smallest difference that is worth knowing, in the measure's own unit (makes per 100, m, rad);
#: common practice, no source
SMALLEST = {
    Measure.MAKE: 5.0,
    Measure.ALONG: 0.04,
    Measure.ACROSS: 0.04,
    Measure.DISTANCE_CONTROL: 0.013,
    Measure.LINE_CONTROL: 0.013,
    Measure.ENTRY_ANGLE: 0.035,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What one player wants to know: the habit against one change."""

    #: the question in the coach's words
    what: str
    #: the two ways by the names the player is shown; the change's is also the sets' condition
    change: str
    habit: str = "habit"
    topic: Topic = Topic.OTHER
    measure: Measure | BodyMeasure = Measure.MAKE
    #: for along, across and entry angle: the way that is hoped for; others follow from the measure
    better: Better = Better.MORE
    #: where the shots are taken from; a pair or four of blocks shares one spot
    spots: tuple[Spot, ...] = ()
    #: where the player means the ball to cross, for along and across [m]
    aim: float = 0.0
    #: smallest difference worth knowing, unit of the measure; None: as ``SMALLEST`` says
    smallest: float | None = None
    #: other things that were changed along with it, if any were
    also_changed: tuple[str, ...] = ()
    #: how many measures are looked at for this question, the one decided on among them
    measures_watched: int = 1

    def __post_init__(self) -> None:
        if not self.change.strip() or self.change.strip() == self.habit.strip():
            raise BadInput(
                "A trial sets the habit against one change; give the change a name of its own.",
                field="change",
            )
        if not self.spots:
            raise BadInput("A trial needs at least one spot to shoot from.", field="spots")
        if not 1 <= self.measures_watched <= 100:
            raise BadInput(
                "Between 1 and 100 measures can be watched; check the number.",
                field="measures_watched",
            )
        if self.smallest is not None and not self.smallest > 0:
            raise BadInput("The smallest difference must be above zero.", field="smallest")

    @property
    def steadier(self) -> bool:
        """Tell whether scatter, not the middle, is what is decided on."""
        if isinstance(self.measure, BodyMeasure):
            return self.measure.better is Better.STEADIER
        return self.measure in (Measure.DISTANCE_CONTROL, Measure.LINE_CONTROL)

    @property
    def sign(self) -> int:
        """Return + 1 where more of the measure is better, − 1 where less is."""
        if self.measure is Measure.MAKE:
            return 1
        if self.steadier:
            return -1
        better = self.measure.better if isinstance(self.measure, BodyMeasure) else self.better
        return 1 if better is Better.MORE else -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A run of shots one way, from one spot, on one day; becomes a set of a workout."""

    #: order within the trial, from 1
    number: int
    arm: Arm
    #: shots that count, taken after the washout shots
    shots: int
    #: shots taken first; logged, not analysed
    washout: int
    #: day of the trial, from 1
    day: int
    phase: Phase = Phase.COMPARE
    #: number of the pair or four it belongs to, from 1; None for phases
    pair: int | None = None
    #: place in the question's spots, from 0
    spot: int = 0
    #: the date it is planned for
    due: date | None = None

    @property
    def total(self) -> int:
        """Shots to take, washout shots among them."""
        return self.shots + self.washout


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """How large a trial is and how its blocks lie."""

    kind: Kind
    #: pairs (or fours) side by side; for phases, tests on practice days while the change is learnt
    pairs: int = 10
    #: shots of a block that count
    shots_per_block: int = 10
    #: first shots of each block; logged, not analysed
    washout: int = 2
    #: shots to get used to the change before it is first compared
    familiarisation: int = 10
    #: days the pairs are spread over; for phases, the fewest days of habit tests
    days: int = 2
    #: days from one visit to the next
    every: int = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialPlan:
    """The blocks of a trial in the order to be shot, and the seed the order follows from."""

    id: UUID
    question: Question
    layout: Layout
    #: the order follows from it; see ``design.check_plan``
    seed: int
    start: date
    blocks: tuple[Block, ...]
    #: pairs (or fours) added after the trial began; the layout's were planned before it
    added: int = 0

    @property
    def kind(self) -> Kind:
        """How the blocks are laid out."""
        return self.layout.kind

    @property
    def shots(self) -> int:
        """Shots to take in all, washout and familiarisation among them."""
        return sum(block.total for block in self.blocks)

    def block(self, number: int) -> Block:
        """Return the block of that number.

        Raises
        ------
        BadInput
            The plan has no such block.
        """
        for block in self.blocks:
            if block.number == number:
                return block
        raise BadInput(
            f"This trial has no block {number}; its blocks go from 1 to {len(self.blocks)}."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierTest:
    """A test of the habit before the trial, against which its start is judged."""

    day: date
    made: int
    shots: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockResult:
    """What came of one block: arrays over its shots in the order taken, washout shots first.

    A measure that was not taken of a shot is NaN; an array left out is None.
    """

    #: number of the block in the plan
    block: int
    #: the day it was shot
    day: date
    #: bool [shot]
    made: Bools
    #: float64 [shot], + long [m], with its error (one standard deviation) likewise
    along: Floats | None = None
    along_sd: Floats | None = None
    #: float64 [shot], + right [m], with its error likewise
    across: Floats | None = None
    across_sd: Floats | None = None
    #: float64 [shot]: entry angle [rad] or the body measure in its unit, with its error likewise
    value: Floats | None = None
    value_sd: Floats | None = None
    #: how many of the first shots are washout; None: as planned
    washout: int | None = None
    #: where it was shot from
    spot: Spot | None = None
    ball_size: int = 7
    #: top of the ring above the floor [m]
    ring_height: float = 3.05
    #: the camera place, where the shots were filmed
    camera: str = ""
    #: the set ended on a make, so its counts say nothing of a percentage
    stops_on_makes: bool = False

    def __post_init__(self) -> None:
        n = len(self.made)
        names = ("along", "along_sd", "across", "across_sd", "value", "value_sd")
        if any(a is not None and len(a) != n for a in (getattr(self, x) for x in names)):
            raise BadInput(
                f"Block {self.block} has {n} shots, but a list of its measures is of another "
                "length; enter one value for each shot."
            )
        if self.washout is not None and self.washout < 0:
            raise BadInput(f"Block {self.block}: the number of washout shots can't be negative.")


class Guard(StrEnum):
    """Why a verdict may say more than the shots do."""

    #: fewer than two habit tests on separate days, before the change
    ONE_BASELINE = "one baseline"
    #: started after a bad (good) spell, so a rise (fall) was to come anyway
    AFTER_BAD_SPELL = "after a bad spell"
    AFTER_GOOD_SPELL = "after a good spell"
    #: the gain was seen only on the day it was practised
    SAME_DAY = "same day"
    #: habit first, change later: practice alone may be what is seen
    BEFORE_AFTER = "before and after"
    TWO_CHANGES = "two changes"
    #: the two ways were shot from different spots, ball, ring height or camera places
    MIXED_SPOTS = "mixed spots"
    MIXED_BALL = "mixed ball"
    MIXED_RING = "mixed ring height"
    MIXED_CAMERA = "mixed camera"
    #: sets that stop on makes were left out
    STOPS_ON_MAKES = "stops on makes"
    #: the best of several measures always looks good
    MANY_MEASURES = "many measures"
    #: the change was new to the player on the first day
    UNFAMILIAR = "unfamiliar"
    #: the blocks were not shot in the order drawn
    OUT_OF_ORDER = "out of order"
    #: the change went past the aim, farther than the habit was off
    PAST_AIM = "past the aim"


@dataclass(frozen=True, slots=True, kw_only=True)
class Warned:
    """A guard that spoke, with the numbers a sentence about it needs."""

    guard: Guard
    #: name and value
    numbers: tuple[tuple[str, float], ...] = ()

    def number(self, name: str) -> float:
        """Return the number of that name."""
        return dict(self.numbers)[name]


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """Change minus habit, with 50, 80 and 95 % ranges."""

    #: unit of the measure: makes per 100, m, rad or the body measure's own
    own: Estimate
    #: one standard deviation of ``own``, for pooling over players
    own_sd: float
    #: makes per 100; None where nothing was charted
    makes_per_100: Estimate | None = None
    #: shift of the middle of the landing points [m]; None where they were not measured
    along: Estimate | None = None
    across: Estimate | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What one look at the shots so far says; one may look as often as one likes."""

    #: number of the last block read
    after: int
    #: estimate of change minus habit, unit of the measure
    value: float
    #: chance that the change is better, 0 to 1
    chance_better: float
    said: Said


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What a trial says so far."""

    said: Said
    effect: Effect
    #: chance that the change is better, 0 to 1
    chance_better: float
    #: shots still needed, both ways together; None where it is decided or out of reach
    shots_needed: int | None
    #: share of the orders the coin could have given that show as large a difference, either way;
    #: None where the design leaves too few orders to say
    by_luck: float | None
    guards: tuple[Warned, ...]
    #: one per pair (or four), or per delayed test, read so far; the last is this verdict
    looks: tuple[Look, ...]
    #: shots analysed, and made of those, each way
    habit_shots: int
    habit_made: int
    change_shots: int
    change_made: int
