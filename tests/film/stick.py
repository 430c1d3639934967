"""Stick figures that shoot: every joint in closed form, so angles and events are exactly known.

The figure moves in the side plane of its shot line; (right, ahead, up) of the player, metres. Legs
are two equal links that keep the hips above the ankles; the hips follow a parabola through the dip
whose speed at toe-off is that of the free flight after it.
"""

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from hoopwright.film.camera import Camera, at_place, project
from hoopwright.film.results import BallPath, Event, Flight, Measured, Moment, Poses
from hoopwright.film.shooter.points import COUNT, LEFT, RIGHT, Side
from hoopwright.film.shooter.watched import Held, Watched
from hoopwright.records import Hand, MeasuredRelease

Floats = NDArray[np.float64]
GRAVITY = 9.80665
LEG, TRUNK, ARM, HAND, ANKLE = 0.43, 0.50, 0.29, 0.09, 0.08
#: sole points above the floor, as the project takes them (common practice, no source)
SOLE = 0.03
#: how long a pose point's error stays alike in drawn noise [s]
MEMORY = 0.024


@dataclass(frozen=True, kw_only=True)
class Shooter:
    """What the figure does; times in seconds, angles in degrees."""

    place: tuple[float, float] = (-1.0, -4.5)
    hand: Hand = Hand.RIGHT
    dip: float = 1.00
    set: float = 1.15
    toe_off: float = 1.25
    release: float = 1.29
    hold_end: float = 1.70
    end: float = 2.1
    #: of the jump [m]; 0 keeps the feet on the floor
    jump: float = 0.15
    #: how far the hips sink when nothing jumps [m]
    sink: float = 0.15
    lean: float = 6.0
    shoulder: tuple[float, float, float] = (25.0, 85.0, 125.0)
    elbow: tuple[float, float, float] = (95.0, 70.0, 160.0)
    wrist: float = 55.0
    #: how long the arm takes to stretch [s]
    push: float = 0.18
    width: float = 0.40
    #: half of the distance between hips, and between shoulders [m]
    hips: float = 0.1125
    shoulders: float = 0.20
    stance_turn: float = 15.0
    hip_turn: float = 10.0
    shoulder_turn: float = 20.0
    #: tilt of the forearm outward, seen from behind
    flare: float = 0.0
    #: of the wrist to the shooting side of the eyes [m]
    sight_line: float = 0.05

    @property
    def apex(self) -> float:
        """When the flight is highest."""
        return self.toe_off + self.take_off / GRAVITY

    @property
    def take_off(self) -> float:
        """Upward speed at toe-off [m/s]."""
        return math.sqrt(2.0 * GRAVITY * self.jump)

    @property
    def sign(self) -> float:
        """+1 for a right-hander."""
        return 1.0 if self.hand is Hand.RIGHT else -1.0

    @property
    def ahead(self) -> Floats:
        """Level unit vector to the ring, world."""
        flat = -np.array([*self.place, 0.0])
        unit: Floats = flat / np.linalg.norm(flat)
        return unit


#: one whose joints of the shooting side all lie in one side plane
FLAT = Shooter(hips=0.15, shoulders=0.15, width=0.30, sight_line=0.15, hip_turn=0, shoulder_turn=0)


def turned(vector: Floats, angle: Floats | float) -> Floats:
    """Turn (ahead, up) vectors counter-clockwise by angles [deg]."""
    a = np.radians(angle)
    c, s = np.cos(a), np.sin(a)
    x, y = vector[..., 0], vector[..., 1]
    return np.stack([c * x - s * y, s * x + c * y], axis=-1)


def lift(shooter: Shooter, time: Floats) -> Floats:
    """How far the feet are above the floor [m]."""
    t = np.maximum(time - shooter.toe_off, 0.0)
    return np.maximum(shooter.take_off * t - 0.5 * GRAVITY * t**2, 0.0)


def leg_height(shooter: Shooter, time: Floats) -> Floats:
    """Hips above ankles [m]."""
    long = 2.0 * LEG * math.sin(math.radians(80.0))
    if shooter.jump <= 0.0:
        near = np.clip((time - shooter.dip) / 0.25, -1.0, 1.0)
        return long - shooter.sink * 0.5 * (1.0 + np.cos(math.pi * near))
    push = shooter.toe_off - shooter.dip
    pull = shooter.take_off / push
    lowest = long - 0.5 * pull * push**2
    return np.minimum(long, lowest + 0.5 * pull * (time - shooter.dip) ** 2)


def knee_angle(shooter: Shooter, time: Floats) -> Floats:
    """Inside angle of the knees [deg]."""
    return np.degrees(2.0 * np.arcsin(leg_height(shooter, time) / (2.0 * LEG)))


def _ease(time: Floats, first: float, long: float) -> Floats:
    s = np.clip((time - first) / long, 0.0, 1.0)
    return s * s * (3.0 - 2.0 * s)


def arm_angle(shooter: Shooter, time: Floats, which: tuple[float, float, float]) -> Floats:
    """An arm's angle at dip, set and stretched, eased between them [deg]."""
    low, middle, high = which
    lifted = _ease(time, shooter.dip - 0.05, shooter.set - 0.05 - shooter.dip)
    return low + (middle - low) * lifted + (high - middle) * _ease(time, shooter.set, shooter.push)


def dropped(shooter: Shooter, time: Floats) -> Floats:
    """How far the shooting arm has come down after the hold [deg]."""
    return 1200.0 * np.maximum(time - shooter.hold_end, 0.0) ** 2


def side_joints(shooter: Shooter, time: Floats) -> dict[str, Floats]:
    """Joints in (ahead, up) of the side plane, float64 [row, 2], the jump included."""
    knee = knee_angle(shooter, time)
    up = np.tile([0.0, 1.0], (len(time), 1))
    rise = np.column_stack([np.zeros_like(time), lift(shooter, time)])
    ankle = rise + np.array([0.0, ANKLE])
    tilt = 0.5 * (180.0 - knee)
    bent = ankle + LEG * turned(up, -tilt)
    hip = bent + LEG * turned(up, tilt)
    top = hip + TRUNK * turned(up, -shooter.lean)
    raised = arm_angle(shooter, time, shooter.shoulder) - dropped(shooter, time)
    elbow = top + ARM * turned(hip - top, raised) / TRUNK
    inside = arm_angle(shooter, time, shooter.elbow)
    forearm = turned((top - elbow) / ARM, -inside)
    wrist = elbow + 0.9 * ARM * forearm
    bend = shooter.wrist * (1.0 - _ease(time, shooter.release - 0.06, 0.12))
    return {
        "ankle": ankle, "knee": bent, "hip": hip, "shoulder": top, "elbow": elbow, "wrist": wrist,
        "fingers": wrist + HAND * turned(forearm, bend), "head": top + np.array([0.02, 0.22]),
        "rise": rise,
    }  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Acted:
    """The figure over time."""

    shooter: Shooter
    time: Floats
    #: world [m], float64 [row, 33, 3]; joints that are not modelled stand at the head
    joints: Floats
    #: ball centre until release, world [m], float64 [row, 3]
    ball: Floats


def act(shooter: Shooter, *, rate: float) -> Acted:
    """Play the shot at a frame rate."""
    time = np.arange(0.0, shooter.end, 1.0 / rate)
    flat = side_joints(shooter, time)
    joints = np.empty((len(time), COUNT, 3))
    joints[:] = _solid(flat["head"], np.zeros(len(time)))[:, None]
    for side, out in ((LEFT, -1.0), (RIGHT, 1.0)):
        _one_side(joints, flat, shooter, side=side, out=out)
    for k, out in ((1, -0.02), (2, -0.03), (3, -0.04), (7, -0.07)):
        joints[:, k] = _solid(flat["head"], np.full(len(time), out))
        joints[:, k + (1 if k == 7 else 3)] = _solid(flat["head"], np.full(len(time), -out))
    held = flat["wrist"] + np.array([0.05, 0.12])
    ball = _solid(held, np.full(len(time), shooter.sign * shooter.sight_line))
    return Acted(
        shooter=shooter, time=time, joints=_world(shooter, joints), ball=_world(shooter, ball)
    )


def _solid(flat: Floats, right: Floats) -> Floats:
    return np.column_stack([right, flat])


def _one_side(
    joints: Floats, flat: dict[str, Floats], shooter: Shooter, *, side: Side, out: float
) -> None:
    """Fill the joints of one side; the shooting arm is where the sight line offset says."""
    rows = len(joints)
    shoots = out == shooter.sign
    arm = np.full(rows, shooter.sign * shooter.sight_line if shoots else out * 0.2)
    flare = 0.9 * ARM * math.tan(math.radians(shooter.flare))
    for name, half, turn in (
        ("hip", shooter.hips, shooter.hip_turn),
        ("shoulder", shooter.shoulders, shooter.shoulder_turn),
    ):  # fmt: skip
        # toward the non-shooting side: for a right-hander the right joint goes ahead
        a = math.radians(turn) * shooter.sign
        shift = np.tile([half * out * math.cos(a), half * out * math.sin(a), 0.0], (rows, 1))
        joints[:, getattr(side, name)] = _solid(flat[name], np.zeros(rows)) + shift
    foot = 0.5 * shooter.width * out
    joints[:, side.knee] = _solid(flat["knee"], np.full(rows, foot))
    joints[:, side.ankle] = _solid(flat["ankle"], np.full(rows, foot))
    joints[:, side.elbow] = _solid(flat["elbow"], arm + out * flare)
    joints[:, side.wrist] = _solid(flat["wrist"], arm)
    for finger in side.fingers:
        joints[:, finger] = _solid(flat["fingers"], arm)
    a = -math.radians(shooter.stance_turn) * shooter.sign
    for row, along in ((side.heel, -0.12), (side.toe, 0.12)):
        floor = np.array([foot + along * math.sin(a), along * math.cos(a), SOLE])
        joints[:, row] = floor + np.column_stack([np.zeros(rows), flat["rise"]])


def _world(shooter: Shooter, points: Floats) -> Floats:
    ahead = shooter.ahead
    right = np.array([ahead[1], -ahead[0], 0.0])
    axes = np.vstack([right, ahead, (0.0, 0.0, 1.0)])
    world: Floats = points @ axes + np.array([*shooter.place, 0.0])
    return world


def camera_at(
    shooter: Shooter, *, yaw: float = 0.0, far: float = 10.0, height: float = 1.5,
    focal: float = 1600.0, side: float = 1.0,
) -> Camera:  # fmt: skip
    """A camera on the player's right (side −1: left), yaw degrees off square; 90 is behind."""
    feet = np.array([*shooter.place, 0.0])
    ahead = shooter.ahead
    right = np.array([ahead[1], -ahead[0], 0.0])
    a, up = math.radians(yaw), np.array([0.0, 0.0, 1.0])
    place = feet + far * (side * math.cos(a) * right - math.sin(a) * ahead)
    return at_place(place + up * height, feet + up * 1.1, width=1920, height=1080, focal=focal)


def jitter(
    rng: np.random.Generator, time: Floats, *, count: int, sd: float, memory: float = MEMORY
) -> Floats:
    """Pose-like errors [row, point, 2]: alike from frame to frame, independent between points."""
    alike = np.exp(-np.diff(time, prepend=time[0] - 1e9) / memory)
    fresh = rng.normal(0.0, sd, (len(time), count, 2))
    out = np.empty_like(fresh)
    last = np.zeros((count, 2))
    for k, a in enumerate(alike):
        last = a * last + math.sqrt(1.0 - a * a) * fresh[k]
        out[k] = last
    return out


def ball_path(shooter: Shooter, acted: Acted, *, release_sd: float) -> BallPath:
    """The flight that leaves the hand at the planted release: 6.5 m/s at 55°."""
    point = tuple(float(np.interp(shooter.release, acted.time, acted.ball[:, k])) for k in range(3))
    at = (point[0], point[1], point[2])
    none = Measured(value=0.0, sd=0.01)
    speed, angle = 6.5, math.radians(55.0)
    cov = np.diag([0.03**2, 0.005**2, 1e-4, 1e-3, 1e-3])
    flight = Flight(
        time=shooter.release, position=at, velocity=(0.0, 3.7, 5.3), spin=12.0, drag=1.0,
        covariance=tuple(np.eye(8).ravel() * 1e-4), first=shooter.release, last=2.2, rows=(),
        misfit=1.0,
    )  # fmt: skip
    return BallPath(
        flight=flight, release_time=Measured(value=shooter.release, sd=release_sd),
        ring_time=none,
        release=MeasuredRelease(
            speed=speed, angle=angle, direction=0.0, height=at[2], along=0.0, across=0.0,
            covariance=tuple(cov.ravel()),
        ),
        release_point=at, entry_angle=none, apex=none,
        release_height=Measured(value=at[2], sd=0.02), made=True, made_chance=0.9,
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Noise:
    """What is added to the projected joints."""

    rng: np.random.Generator = field(default_factory=lambda: np.random.default_rng(1))
    #: [px]
    sd: float = 0.0
    #: what the poses say of it [px]
    told: float = 1.0


def watch(
    acted: Acted, camera: Camera, *, rate: float, noise: Noise | None = None,
    ball: bool = True, held: bool = True, stature: float | None = 1.85,
) -> Watched:  # fmt: skip
    """Project the figure and hand it on as the pose and ball stages would."""
    n = noise or Noise()
    rows = len(acted.time)
    points = project(camera, acted.joints.reshape(-1, 3)).reshape(rows, COUNT, 2)
    points = points + jitter(n.rng, acted.time, count=COUNT, sd=n.sd)
    before = acted.time <= acted.shooter.release
    middle = project(camera, acted.ball[before])
    middle = middle + n.rng.normal(0.0, 0.3 * n.sd, middle.shape)
    count = int(before.sum()) if held else 0
    return Watched(
        poses=poses_of(acted.time, points, sd=max(n.sd, n.told)), camera=camera, rate=rate,
        hand=acted.shooter.hand,
        ball=ball_path(acted.shooter, acted, release_sd=0.0) if ball else None,
        held=Held(
            time=acted.time[before][:count], middle=middle[:count], sd=np.full(count, 1.0)
        ),
        stature=stature,
    )  # fmt: skip


def poses_of(time: Floats, points: Floats, *, sd: float) -> Poses:
    """Wrap picture points as Poses, all of them seen."""
    rows, count = points.shape[:2]
    box = np.concatenate([np.nanmin(points, axis=1), np.nanmax(points, axis=1)], axis=1)
    return Poses(
        frame=np.arange(rows), time=time, points=points, sd=np.full((rows, count), sd),
        presence=np.ones((rows, count)), shape=np.full((rows, count, 3), np.nan), box=box,
    )  # fmt: skip


def lowest_ball(shooter: Shooter) -> float:
    """When the ball is lowest before it rises [s]."""
    time = np.arange(shooter.release - 0.9, shooter.set, 1e-4)
    return float(time[int(np.argmin(side_joints(shooter, time)["wrist"][:, 1]))])


def planted(shooter: Shooter) -> dict[Moment, float]:
    """When things happen, by construction [s]; the dip is the ball's, not the hips'."""
    times = {
        Moment.DIP: lowest_ball(shooter), Moment.SET: shooter.set, Moment.RELEASE: shooter.release,
        Moment.HOLD_END: shooter.hold_end,
    }  # fmt: skip
    if shooter.jump > 0.0:
        times |= {Moment.TOE_OFF: shooter.toe_off, Moment.APEX: shooter.apex}
    return times


def planted_events(shooter: Shooter, *, sd: float = 1e-5) -> tuple[Event, ...]:
    """The planted events as if they were found, all but exactly."""
    return tuple(Event(moment=m, time=t, sd=sd) for m, t in planted(shooter).items())
