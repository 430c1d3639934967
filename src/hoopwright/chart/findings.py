"""What a reading of a chart says: frozen results, no sentences, no drawing."""

from dataclasses import dataclass
from enum import StrEnum

from hoopwright.records import Estimate, Spot


class Change(StrEnum):
    """The changes whose worth is weighed."""

    AIM_ALONG = "aim_along"
    AIM_ACROSS = "aim_across"
    DISTANCE_CONTROL = "distance_control"
    LINE_CONTROL = "line_control"
    ANGLE_UP = "angle_up"
    ANGLE_DOWN = "angle_down"


class Lean(StrEnum):
    """Which way the misses lean along, or the aim across, or that it can't be told."""

    SHORT = "short"
    LONG = "long"
    LEFT = "left"
    RIGHT = "right"
    FINE = "fine"
    CANNOT_TELL = "can't tell yet"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """Plain counts of one chart."""

    shots: int
    made: int
    short: int
    long: int
    left: int
    right: int
    #: misses with no direction noted
    plain_misses: int
    #: shots with a tapped or measured landing point
    points: int
    #: those of them that were filmed
    filmed: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotReading:
    """One spot under one condition."""

    spot: Spot
    condition: str
    shots: int
    made: int
    #: share made, Wilson ranges, no model
    observed: Estimate
    #: expected share made, from the model
    expected: Estimate
    #: centre of the landings here: + long, + right [m]
    aim_along: Estimate
    aim_across: Estimate
    #: standard deviation of the landings here [m]
    spread_along: Estimate
    spread_across: Estimate
    #: chance, under the model, of a count of makes at least this far from the expected one;
    #: a small value means this spot does not follow the others
    fit: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DistanceReading:
    """Expected share made at one distance, straight in front."""

    #: spot to ring centre [m]
    distance: float
    expected: Estimate
    spread_along: Estimate
    spread_across: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """What one change would bring, over the spots charted."""

    change: Change
    #: size of the change: metres at the reference distance for aim (+ deeper, + right),
    #: a share for control (0.1 = 10 % tighter), radians for the release angle
    amount: float
    #: makes gained per 100 shots
    makes_per_100: Estimate
    #: chance that this is the best of the changes weighed
    chance_best: float
    #: chance that it gains anything at all
    chance_gain: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CannotTell:
    """A question the chart can't answer yet."""

    #: "aim_along", "aim_across", "best_change", "make" or "angle"
    question: str
    #: further shots that would settle it for most players like this one, by simulation;
    #: None where charting alone won't
    shots_needed: int | None
    #: True where even the most shots tried were not enough
    beyond: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmMeasure:
    """One number read from filmed shots alone."""

    #: None where there are too few shots for any
    estimate: Estimate | None
    #: True where the range is narrow enough to be told
    told: bool
    #: further filmed shots that would tell; None where told, or where even the most asked won't
    shots_needed: int | None = None
    #: True where even the most shots asked for would not tell
    beyond: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmReading:
    """What the filmed shots of one condition say by themselves, the film's error taken off."""

    #: filmed shots, over all spots
    shots: int
    #: the spot with most of them, and how many
    spot: Spot
    spot_shots: int
    #: usual entry angle there, below horizontal [rad]
    entry_angle: FilmMeasure
    #: usual release angle there [rad]
    angle: FilmMeasure
    #: the player's own standard deviation of it, over all spots [rad]
    angle_spread: FilmMeasure
    #: the player's own standard deviation of release speed, over all spots [m/s]
    speed_spread: FilmMeasure
    #: the same with the film's error still in it [m/s]
    speed_spread_seen: float
    #: True where that is more than a practised shooter's: the measurement is doubted
    suspect: bool
    #: release angle that needs the least speed there, a reference and no target [rad]
    least_speed_angle: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionReading:
    """The reading of one condition of one player (the habit, or one change)."""

    condition: str
    tally: Tally
    #: the distance aim and spread are given for [m]
    reference_distance: float
    aim_along: Estimate
    aim_across: Estimate
    spread_along: Estimate
    spread_across: Estimate
    #: standard deviation of release speed as a share of the speed
    speed_spread: Estimate
    #: standard deviation of direction [rad]
    direction_spread: Estimate
    #: mean release angle over the least-speed angle [rad]
    angle_over_least: Estimate
    #: entry angle at the reference distance [rad]
    entry_angle: Estimate
    #: expected share made over the spots charted
    make: Estimate
    along_lean: Lean
    #: chance that the aim is on the side named (or within the band, where fine)
    along_chance: float
    across_lean: Lean
    across_chance: float
    spots: tuple[SpotReading, ...]
    distances: tuple[DistanceReading, ...]
    #: best first
    worth: tuple[Worth, ...]
    cannot_tell: tuple[CannotTell, ...]
    #: None where no shot was filmed
    film: FilmReading | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PriorRow:
    """One line of the prior, for showing."""

    name: str
    centre: float
    sd: float
    unit: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Findings:
    """Everything a reading says of one player."""

    player_name: str
    conditions: tuple[ConditionReading, ...]
    prior: tuple[PriorRow, ...]
    #: "published spreads", or "this coach's own N players"
    prior_from: str
    #: sets left out (drills that stop on makes) and why, as plain sentences
    notes: tuple[str, ...] = ()
