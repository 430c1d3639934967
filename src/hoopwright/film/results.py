"""What the stages of a measured film hand on, and what comes out at the end: frozen, SI units.

Times are seconds of real time since the clip's first frame (a slow-motion clip is already
stretched back). World points are (right, ahead, up) as in ``camera``; picture points are pixels of
the upright picture. Stage by stage::

    video.read     → Frames            pictures with their times
    ball.find      → Candidates        ball-like places of every frame
    track.follow   → Flight …          the flights that explain them
    pose.watch     → Poses             the shooter's body points around each shot
    events, body   → Events, BodyMeasure …
    measure        → FilmedShot, FilmRead
"""

from dataclasses import dataclass, field
from enum import StrEnum
from uuid import UUID

import numpy as np
from numpy.typing import NDArray

from hoopwright.records import MeasuredRelease

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class ClipFacts:
    """What a clip says of itself."""

    #: of the upright picture [px]
    width: int
    height: int
    #: how many pictures
    frames: int
    #: first to last picture, in real time [s]
    duration: float
    #: pictures a second of real time: one over the middle gap between them
    rate: float
    #: how many times slower the file plays than it was filmed; 1 for an ordinary clip
    slowed: float
    #: True where the file itself, or the person, says at which rate it was filmed
    rate_known: bool = False
    #: such as "h264" or "hevc"
    codec: str
    #: quarter turns that were needed to set the picture upright, clockwise: 0 to 3
    turns: int
    #: sentences about what the clip can't give
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidates:
    """Ball-like places, in order of time; one row each."""

    #: number of the picture, int64 [row]
    frame: Ints
    #: when it was exposed [s], float64 [row]
    time: Floats
    #: middle of the ball, halfway through the exposure [px], float64 [row, 2]
    middle: Floats
    #: error of the middle, one standard deviation each way [px], float64 [row]
    middle_sd: Floats
    #: radius of the ball, across its streak [px], float64 [row]
    radius: Floats
    #: error of the radius [px], float64 [row]
    radius_sd: Floats
    #: half of the streak that motion drew, 0 where none is seen [px], float64 [row, 2]
    streak: Floats
    #: how much it looks like the ball, 0 to 1, float64 [row]
    score: Floats

    def __len__(self) -> int:
        return len(self.frame)


@dataclass(frozen=True, slots=True, kw_only=True)
class Flight:
    """One free flight of the ball, fitted in the world through the camera."""

    #: a moment near the middle of what was seen [s]
    time: float
    #: of the ball's centre then [m]
    position: tuple[float, float, float]
    #: then [m/s]
    velocity: tuple[float, float, float]
    #: backspin [rad/s]
    spin: float
    #: drag over the drag of ``flight.air``
    drag: float
    #: 8 × 8 of position, velocity, spin and drag, row by row, the scene's error included [SI]
    covariance: tuple[float, ...]
    #: first and last time at which the ball was seen in this flight [s]
    first: float
    last: float
    #: rows of Candidates that belong to it
    rows: tuple[int, ...]
    #: root mean square distance between seen and fitted, over the expected error
    misfit: float


class Flag(StrEnum):
    """Why a filmed shot is doubted; the value is the sentence's key."""

    TOO_SLOW = "too slow"  # below the least speed that reaches the ring
    OUTCOME = "outcome"  # seen result and fitted flight contradict each other
    FRAME_RATE = "frame rate"  # gravity or the ball's size say that the clock is wrong
    BALL_LOST = "ball lost"  # too little of the flight was seen
    MISFIT = "misfit"  # no flight explains what was seen
    MOVED = "moved"  # the camera moved
    NO_SHOOTER = "no shooter"  # no body at the ball
    TWO_SHOOTERS = "two shooters"  # another player was as near to the ball
    BY_HAND = "by hand"  # parts were marked by hand
    NO_MARKS = "no marks"  # without a scene this flight can't be read


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """One reason to doubt a filmed shot, in a sentence."""

    flag: Flag
    #: what is wrong and what to do
    message: str
    #: True where the shot must not be used in findings
    refused: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """A number with its error; NaN and infinity never occur."""

    value: float
    #: one standard deviation
    sd: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BallPath:
    """What the ball did, release to ring."""

    flight: Flight
    #: when it left the hand [s]
    release_time: Measured
    #: when its centre crossed the ring plane going down [s]
    ring_time: Measured
    #: release and landing, ready for the findings
    release: MeasuredRelease
    #: where it left the hand, world [m]
    release_point: tuple[float, float, float]
    #: below horizontal at the ring plane [rad]
    entry_angle: Measured
    #: highest point of the centre above the floor [m]
    apex: Measured
    #: ball-centre height at release [m]
    release_height: Measured
    #: True where it went in, as seen
    made: bool
    #: how sure that is, 0.5 to 1
    made_chance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SideRead:
    """What a side clip without marks says of one flight."""

    #: at release [m/s]
    speed: Measured
    #: at release, above horizontal [rad]
    angle: Measured
    #: at the end, below horizontal [rad]
    entry_angle: Measured
    #: highest point of the ball's centre above release [m]
    rise: Measured
    #: how far the flight is off square to the line of sight, + away from the camera [rad]
    yaw: Measured
    #: from the ball's diameter, at the middle of the flight [m/px]
    metres_per_pixel_by_ball: Measured
    #: from its fall [m/px]
    metres_per_pixel_by_fall: Measured
    #: sentences for the coach
    notes: tuple[str, ...]


class Body(StrEnum):
    """Measures of the body; the value is the name shown and stored."""

    STANCE_WIDTH = "stance width"  # [m]
    STANCE_TURN = "stance turn"  # [rad], + toward the non-shooting side, as all turns
    HIP_TURN = "hip turn"  # [rad]
    SHOULDER_TURN = "shoulder turn"  # [rad]
    SIGHT_LINE = "sight line offset"  # eyes, wrist, ring, + wrist on the shooting side [m]
    ELBOW_FLARE = "elbow flare"  # [rad], + outward
    DIP_DEPTH = "dip depth"  # set point less lowest ball point [m]
    KNEE_DIP = "knee at dip"  # inside angles, π is straight [rad]
    KNEE_SET = "knee at set"
    KNEE_RELEASE = "knee at release"
    ELBOW_DIP = "elbow at dip"
    ELBOW_SET = "elbow at set"
    ELBOW_RELEASE = "elbow at release"
    SHOULDER_DIP = "shoulder at dip"  # upper arm to trunk [rad]
    SHOULDER_SET = "shoulder at set"
    SHOULDER_RELEASE = "shoulder at release"
    TRUNK_DIP = "trunk at dip"  # lean from upright, + forward [rad]
    TRUNK_SET = "trunk at set"
    TRUNK_RELEASE = "trunk at release"
    WRIST_SET = "hand under the ball"  # wrist extension at set [rad]
    DIP_TO_RELEASE = "dip to release"  # [s]
    SET_TO_RELEASE = "set to release"  # [s]
    RELEASE_TO_TOE_OFF = "release to toe-off"  # − before the toes leave [s]
    RELEASE_TO_APEX = "release to jump apex"  # − before the apex [s]
    JUMP_RISE = "jump rise"  # hip at apex less hip at toe-off [m]
    BODY_SPEED = "body speed at release"  # upward, of the hips [m/s]
    ARM_SPEED = "arm share of release speed"  # upward release speed less body speed [m/s]
    RELEASE_RATIO = "release height over stature"  # [1]
    HOLD = "follow-through hold"  # [s]


class Moment(StrEnum):
    """Events of a shot."""

    DIP = "dip"
    SET = "set point"
    TOE_OFF = "toe-off"
    RELEASE = "release"
    APEX = "jump apex"
    HOLD_END = "end of hold"


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """When something happened."""

    moment: Moment
    #: [s]
    time: float
    #: one standard deviation [s]
    sd: float
    #: True where a person set it
    by_hand: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyMeasure:
    """One measure of the body in one shot."""

    name: Body
    #: [SI]
    value: float
    #: one standard deviation of everything [SI]
    sd: float
    #: the part of it that differs from shot to shot, one standard deviation [SI]; the rest (pose
    #: model, camera place) is the same in all shots of a player from one place, so a change
    #: against the player's own shots needs only this part; None where not told apart
    repeat_sd: float | None = None

    @property
    def own_sd(self) -> float:
        """Error for comparing shots of one player from one camera place [SI]."""
        return self.sd if self.repeat_sd is None else self.repeat_sd


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """A measure that was left out, and why."""

    name: Body
    #: one sentence: why, and how to film it so that it can be seen
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Poses:
    """The shooter's body points around one shot; one row a picture, in order of time."""

    #: int64 [row]
    frame: Ints
    #: [s], float64 [row]
    time: Floats
    #: [px], float64 [row, point, 2]; the points are ``pose.POINTS``; NaN where not seen
    points: Floats
    #: error of each point [px], float64 [row, point]
    sd: Floats
    #: how sure the model is that each point is there, 0 to 1, float64 [row, point]
    presence: Floats
    #: hip-centred metres as the model guesses them (right, down, away), float64 [row, point, 3]
    shape: Floats
    #: box of the person: left, top, right, bottom [px], float64 [row, 4]; NaN where none
    box: Floats
    #: how many other people were as near to the ball, or so near to the shooter that points may
    #: be theirs, int64 [row]; −1 where not looked at
    others: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmedShot:
    """One shot of a clip: what the ball and the body did, and what is in doubt."""

    #: the same at every reading of the same clip, so that corrections stay with the shot
    id: UUID
    #: order in the clip, from 0
    position: int
    #: first and last moment worth looking at [s]
    start: float
    end: float
    #: None where no flight could be fitted
    ball: BallPath | None
    events: tuple[Event, ...] = ()
    body: tuple[BodyMeasure, ...] = ()
    left_out: tuple[Left, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    #: ball centre in the picture for drawing: (time [s], x [px], y [px]) each
    trail: tuple[tuple[float, float, float], ...] = ()
    #: index of this shot's Poses in the reading, or None
    poses: int | None = None
    #: what the flight says where no scene is known and ball is None
    side: SideRead | None = None
    #: whether it went in, as a person said, where no scene is known; None: nobody said
    said: bool | None = None

    @property
    def usable(self) -> bool:
        """Tell whether findings may use it."""
        return self.ball is not None and not any(d.refused for d in self.doubts)


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmRead:
    """Everything read from one clip."""

    clip: ClipFacts
    shots: tuple[FilmedShot, ...]
    poses: tuple[Poses, ...] = ()
    #: sentences about the clip as a whole
    notes: tuple[str, ...] = field(default_factory=tuple)
    #: SHA-256 of the scene it was read with; "" where it was read without marks, by the ball's
    #: size and fall; None where that is not known
    scene_sum: str | None = None

    @property
    def unmarked(self) -> bool:
        """Tell whether it was read without marks."""
        return self.scene_sum == ""
