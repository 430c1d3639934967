"""Known shots, and where the ball is at every moment of a clip of them.

Before release the hand's path runs smoothly into the release; then the real flight, ring and
board; then net, floor, a rebounder's hands and a pass back. World axes as in ``film.camera``.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicHermiteSpline

from hoopwright.court.equipment import Ball
from hoopwright.court.standards import RuleBook
from hoopwright.errors import BadInput
from hoopwright.film.synthetic import _fall_kernel
from hoopwright.flight.air import STANDARD_AIR, force_constants
from hoopwright.flight.arc import Release
from hoopwright.flight.contact import Contact
from hoopwright.flight.path import EVERY, WholePath, free_flight, whole_path
from hoopwright.records import Spot

Floats = NDArray[np.float64]

#: speed ratio of a bounce on a wooden floor (rule books' drop tests, 0.74 to 0.80)
FLOOR_RESTITUTION = 0.76
#: net length [m] (rule books: 0.40 to 0.45), and how it slows a ball: common practice, no source
_NET = np.array([0.42, 8.0, 14.0, -2.2])
#: from the first bounce until a rebounder has the ball [s]
_FREE_BOUNCE = 0.55
#: the rebounder's hands take the ball in, the pass flies, the shooter's hands take it in [s]
_GATHER, _PASS, _TAKEN = 0.25, 0.85, 0.15
#: way of the push ahead and up over release speed [s]: common practice, no source
_PUSH = (0.029, 0.050)
#: a shot starts no sooner than this after the one before it [s]
SHORTEST_GAP = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """How the ball is brought to the release; times in seconds, lengths in metres."""

    #: held before the dip
    hold: float = 0.25
    #: hold to lowest point
    dip: float = 0.28
    #: lowest point to set point
    lift: float = 0.27
    #: set point to release
    push: float = 0.16
    #: lowest ball point below the set point
    dip_depth: float = 0.75
    #: ball held below the set point
    hold_depth: float = 0.55
    #: upward speed of the ball at the set point [m/s]
    lift_speed: float = 1.0
    #: release less toe-off, below zero where the ball leaves first
    release_to_toe_off: float = 0.04
    #: hips at the jump's apex less hips at toe-off
    jump_rise: float = 0.12
    #: how long the arm stays up after release
    follow_hold: float = 0.7
    #: between the ankles
    stance_width: float = 0.34
    #: feet, hips and shoulders from the shot line, + toward the non-shooting side [rad]
    stance_turn: float = 0.17
    hip_turn: float = 0.14
    shoulder_turn: float = 0.12
    #: inside angle of the knee at the dip, π is straight [rad]
    knee_dip: float = 2.05
    #: inside angle of the elbow at release [rad]
    elbow_release: float = 2.7
    #: elbow outward of the shooting plane [rad]
    elbow_flare: float = 0.12
    #: lean from upright, + forward [rad]
    trunk_dip: float = 0.32
    trunk_release: float = 0.04
    #: ball to the shooting side of the body's middle
    sight_offset: float = 0.09

    def __post_init__(self) -> None:
        spans = (self.hold, self.dip, self.lift, self.push)
        if not all(0.02 <= s <= 3.0 for s in spans):
            raise BadInput("Hold, dip, lift and push must each take 0.02 to 3 s.")
        if not 0.0 <= self.jump_rise <= 1.0 or self.lift + self.push < 0.15 - min(
            self.release_to_toe_off, 0.0
        ):
            raise BadInput("A jump rises 0 to 1 m, and takes off 0.15 s or more after the dip.")
        if not 1.0 <= self.knee_dip <= 3.0 or not 1.2 <= self.elbow_release <= 3.1:
            raise BadInput("Knees bend to 57° to 172° at the dip, elbows open to 69° to 178°.")

    @property
    def length(self) -> float:
        """Start of the shot to release [s]."""
        return self.hold + self.dip + self.lift + self.push


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownShot:
    """A shot to be drawn."""

    #: the floor below the ball's centre at release
    spot: Spot
    release: Release
    #: when the shooter has the ball and begins, since the clip's first picture [s]
    start: float
    motion: Motion = field(default_factory=Motion)
    contact: Contact = field(default_factory=Contact)

    @property
    def release_time(self) -> float:
        """When the ball leaves the hand, since the clip's first picture [s]."""
        return self.start + self.motion.length


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A part of the ball's way."""

    #: [s], float64 [point]
    times: Floats
    #: [m], float64 [point, 3]
    points: Floats
    #: [rad/s], float64 [3]
    spin: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotWay:
    """One shot's way through the clip."""

    shot: KnownShot
    whole: WholePath
    stretches: tuple[Stretch, ...]
    #: where a rebounder takes the ball [m], float64 [3], and when [s]
    caught: Floats
    caught_time: float


def ahead_of(spot: Spot) -> Floats:
    """Return the level direction from a spot to the ring, a unit world vector, float64 [3]."""
    return np.array([-math.sin(spot.bearing), math.cos(spot.bearing), 0.0])


def release_state(shot: KnownShot) -> tuple[Floats, Floats]:
    """Return place [m] and velocity [m/s] of the ball as it leaves the hand, float64 [3] each."""
    r, ahead = shot.release, ahead_of(shot.spot)
    right = np.array([ahead[1], -ahead[0], 0.0])
    level = math.cos(r.direction) * ahead + math.sin(r.direction) * right
    velocity = r.speed * (math.cos(r.angle) * level + math.sin(r.angle) * np.array([0.0, 0, 1]))
    return np.array([shot.spot.x, -shot.spot.y, r.height]), velocity


def hand_path(shot: KnownShot) -> Stretch:
    """Return the ball's way in the hands: held, dip, set point, push; then release.

    Place and velocity run into the release without a step.
    """
    m, (place, velocity) = shot.motion, release_state(shot)
    lift = np.array([0.0, 0.0, m.lift_speed])
    ahead, up = ahead_of(shot.spot), np.array([0.0, 0.0, 1.0])
    # the way of the push grows with the speed it must give; the arms' length is what it is
    point = place - shot.release.speed * (_PUSH[0] * ahead + _PUSH[1] * up)
    low = point + 0.10 * ahead - m.dip_depth * up
    held = point + 0.13 * ahead - m.hold_depth * up
    marks = np.cumsum([0.0, m.hold, m.dip, m.lift, m.push])
    still = np.zeros(3)
    way = CubicHermiteSpline(
        marks,
        np.stack([held, held, low, point, place]),
        np.stack([still, still, still, lift, velocity]),
    )
    times = np.append(np.arange(0.0, marks[-1], EVERY), marks[-1])
    return Stretch(times=shot.start + times, points=way(times), spin=still)


def _fall(way: WholePath, start: float, *, ball: Ball, book: RuleBook) -> tuple[Stretch, int]:
    """Let the ball drop from the ring, through the net when it went in."""
    rows = 2600
    out = np.empty((rows, 3))
    made = way.outcome <= 4
    net = _NET if made else np.zeros(4)
    state = (*way.points[-1], *way.velocity)
    force = force_constants(ball, STANDARD_AIR)
    landed = _fall_kernel.fall(
        state,
        tuple(way.spin),
        ball.radius,
        book.ring.height,
        net,
        force,
        FLOOR_RESTITUTION,
        EVERY,
        out,
    )
    times = np.asarray(start + EVERY * np.arange(rows), dtype=np.float64)
    return Stretch(times=times, points=out, spin=way.spin), int(landed)


def _cut(stretch: Stretch, end: float) -> Stretch:
    kept = stretch.times <= end
    return Stretch(times=stretch.times[kept], points=stretch.points[kept], spin=stretch.spin)


def _eased(start: Floats, end: Floats, times: tuple[float, float], speeds: Floats) -> Stretch:
    """Move smoothly from a place to another with a velocity at either end [2, 3]."""
    way = CubicHermiteSpline(times, np.stack([start, end]), speeds)
    moments = np.append(np.arange(times[0], times[1], EVERY), times[1])
    return Stretch(times=moments, points=way(moments), spin=np.zeros(3))


def pass_between(
    start: Floats, end: Floats, times: tuple[float, float], ball: Ball
) -> tuple[Stretch, Floats, Floats]:
    """Throw the ball so that it flies freely from one place to another in a given time.

    Returns
    -------
    tuple
        The flight, and the velocities at its start and end [m/s], float64 [3].
    """
    force, seconds = force_constants(ball, STANDARD_AIR), times[1] - times[0]
    v = (end - start) / seconds + np.array([0.0, 0.0, 0.5 * force[0] * seconds])
    line = end - start
    spin = 12.0 * np.array([line[1], -line[0], 0.0]) / max(float(np.linalg.norm(line)), 1e-9)
    for _ in range(8):
        state = (times[0], tuple(start), tuple(v), tuple(spin))
        moments, points, last = free_flight(state, seconds, force)
        v = v + (end - points[-1]) / seconds
    return Stretch(times=moments, points=points, spin=spin), np.asarray(state[2]), np.array(last)


def way_of(shot: KnownShot, following: KnownShot | None, *, ball: Ball, book: RuleBook) -> ShotWay:
    """Return the ball's whole way from one shot's start to the next one's.

    Parameters
    ----------
    shot, following
        The shot, and the one the ball is passed back for; None after the last.
    ball, book
        The ball, and the rule book whose ring and board it meets.

    Raises
    ------
    NotAShot
        The ball never comes down through the ring plane.

    Notes
    -----
    A ball that is still rolling on the ring when it must come back stays out of play: the shooter
    has another one in hand for the next shot.
    """
    spot = shot.spot
    whole = whole_path(
        shot.release, ball=ball, ring=book.ring, board=book.board, distance=spot.distance,
        bearing=spot.bearing, contact=shot.contact,
    )  # fmt: skip
    flown = Stretch(times=shot.release_time + whole.times, points=whole.points, spin=_spin_of(shot))
    drop, landed = _fall(whole, float(flown.times[-1]), ball=ball, book=book)
    caught = float(drop.times[max(landed, 0)]) + _FREE_BOUNCE
    if following is not None:
        caught = min(caught, following.start - _TAKEN - _PASS - _GATHER - 0.05)
        if caught <= flown.times[-1] + 0.1:
            return _left_on_ring(shot, whole, flown, following)
    drop = _cut(drop, caught)
    back = _passed_back(drop, following, ball)
    return ShotWay(
        shot=shot, whole=whole, stretches=(hand_path(shot), flown, drop, *back),
        caught=drop.points[-1], caught_time=caught,
    )  # fmt: skip


def _left_on_ring(
    shot: KnownShot, whole: WholePath, flown: Stretch, following: KnownShot
) -> ShotWay:
    """Return the way of a ball that is not back for the next shot."""
    played = _cut(flown, following.start - _TAKEN)
    return ShotWay(
        shot=shot, whole=whole, stretches=(hand_path(shot), played), caught=played.points[-1],
        caught_time=float(played.times[-1]),
    )  # fmt: skip


def _spin_of(shot: KnownShot) -> Floats:
    ahead, r = ahead_of(shot.spot), shot.release
    return np.array([r.spin * ahead[1], -r.spin * ahead[0], -r.sidespin])


def _passed_back(drop: Stretch, following: KnownShot | None, ball: Ball) -> tuple[Stretch, ...]:
    """Gather the ball, hold it, and pass it to the shooter in time for the next shot."""
    at, place = float(drop.times[-1]), drop.points[-1]
    speed = (drop.points[-1] - drop.points[-2]) / EVERY
    hands = np.array([place[0], place[1], 1.25]) + 0.08 * speed * (1.0, 1.0, 0.0)
    still = np.zeros(3)
    gather = _eased(place, hands, (at, at + _GATHER), np.stack([speed, still]))
    if following is None:
        return (gather,)
    held = hand_path(following).points[0]
    leaves, comes = following.start - _TAKEN - _PASS, following.start - _TAKEN
    reach = held + 0.18 * (hands - held) / np.linalg.norm(hands - held)
    flight, _, arriving = pass_between(hands, reach, (leaves, comes), ball)
    rest = Stretch(
        times=np.array([at + _GATHER, leaves]), points=np.stack([hands, hands]), spin=still
    )
    taken = _eased(reach, held, (comes, following.start), np.stack([arriving, still]))
    return gather, rest, flight, taken


def ways_of(shots: Sequence[KnownShot], *, ball: Ball, book: RuleBook) -> tuple[ShotWay, ...]:
    """Return the ball's way for shots in order of time.

    Parameters
    ----------
    shots
        At least one; each ``SHORTEST_GAP`` or more after the one before.
    ball, book
        As for ``way_of``.

    Raises
    ------
    BadInput
        There is no shot, or they come too soon after one another.
    """
    if not shots:
        raise BadInput("A drawn clip needs at least one shot.")
    after: list[KnownShot | None] = [*shots[1:], None]
    for one, two in pairwise(shots):
        if two.start - one.start < SHORTEST_GAP:
            raise BadInput(f"Leave {SHORTEST_GAP:g} s or more from one drawn shot to the next.")
    return tuple(way_of(s, f, ball=ball, book=book) for s, f in zip(shots, after, strict=True))


class BallWay:
    """The ball's place at any moment of the clip."""

    def __init__(self, ways: Sequence[ShotWay]) -> None:
        parts = [s for way in ways for s in way.stretches]
        self._times = np.concatenate([p.times for p in parts])
        self._points = np.concatenate([p.points for p in parts])
        self._starts = np.array([p.times[0] for p in parts])
        self._spins = np.stack([p.spin for p in parts])

    def at(self, times: Floats) -> Floats:
        """Return places of the ball's centre [m], float64 [time, 3]."""
        return np.stack(
            [np.interp(times, self._times, self._points[:, k]) for k in range(3)], axis=-1
        )

    def spin_at(self, time: float) -> tuple[Floats, float]:
        """Return the spin [rad/s], float64 [3], and for how long the ball has had it [s]."""
        part = max(int(np.searchsorted(self._starts, time, side="right")) - 1, 0)
        return self._spins[part], time - float(self._starts[part])
