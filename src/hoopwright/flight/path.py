"""Where the ball is from release, through every touch of ring and board, until it leaves them."""

import math
from dataclasses import dataclass, replace

import numpy as np

from hoopwright.court.equipment import Ball, Board, Ring
from hoopwright.flight import _kernel
from hoopwright.flight._compiled import Floats
from hoopwright.flight._vector import Vector, turned
from hoopwright.flight.air import STANDARD_AIR, force_constants
from hoopwright.flight.arc import Arc, Release, fly
from hoopwright.flight.contact import Contact
from hoopwright.flight.ring import Outcome, Played, Triple, play_one

#: time between the points of a path [s]; straight lines between them are within 2 µm of the curve
EVERY = 1e-3
#: a ball that lies on the ring is followed no longer than this after its last touch [s]
_STAYS = 0.2

#: a moment [s], and position, velocity and spin then
State = tuple[float, Vector, Vector, Vector]


@dataclass(frozen=True, slots=True, kw_only=True)
class WholePath:
    """One shot in the world (right, ahead, up; origin on the floor below ring centre)."""

    #: without ring and board in the way
    arc: Arc
    #: since release, the moments of all touches among them [s], float64 [point]
    times: Floats
    #: of the ball's centre [m], float64 [point, 3]
    points: Floats
    #: when ring or board was touched, since release [s], float64 [touch]
    touches: Floats
    #: at the last point [m/s], float64 [3]
    velocity: Floats
    #: at the last point [rad/s], float64 [3]
    spin: Floats
    outcome: Outcome


def whole_path(
    release: Release,
    *,
    ball: Ball,
    ring: Ring,
    board: Board,
    distance: float,
    bearing: float = 0.0,
    contact: Contact | None = None,
) -> WholePath:
    """Follow one shot until its centre is a ball radius below the ring plane, or it lies still.

    Parameters
    ----------
    release
        How the ball leaves the hand.
    ball, ring, board
        Equipment; see ``court.standards``.
    distance, bearing
        Floor distance from release to ring centre [m], and where the shooter stands [rad].
    contact
        Restitutions and friction; its backspin is not used, the release has its own.

    Raises
    ------
    NotAShot
        The ball never comes down through the ring plane.

    Notes
    -----
    The touches are those of ``ring.play_one``; between them the ball flies freely in standard air.
    """
    arc = fly(release, ball=ball, distance=distance, ring_height=ring.height)
    played = _played(release, arc, bearing, (ball, ring, board, contact or Contact()))
    turn = (math.sin(bearing), math.cos(bearing))
    states = [_leaving(release, distance, turn)]
    for touch in played.touches:
        x, y, z = _world(touch.centre, turn)
        roll, back, upright = touch.spin
        spin = _world((roll, back, 0.0), turn)
        states.append(
            (
                arc.time + touch.time,
                (x, y, z + ring.height),
                _world(touch.velocity, turn),
                (spin[0], spin[1], -upright),
            )
        )
    return _joined(
        states, ring.height - ball.radius, force_constants(ball, STANDARD_AIR), (arc, played)
    )


def _world(seen: Triple, turn: tuple[float, float]) -> Vector:
    """Turn (along, across, up) into the world's axes."""
    return (*turned(seen[0], seen[1], turn), seen[2])


def _leaving(release: Release, distance: float, turn: tuple[float, float]) -> State:
    """Return the ball's state as it leaves the hand."""
    level, up = release.speed * math.cos(release.angle), release.speed * math.sin(release.angle)
    straight, right = math.cos(release.direction), math.sin(release.direction)
    v = _world((level * straight, level * right, up), turn)
    wx, wy, _ = _world((-release.spin * right, release.spin * straight, 0.0), turn)
    x, y, _ = _world((-distance, 0.0, 0.0), turn)
    return 0.0, (x, y, release.height), v, (wx, wy, -float(release.sidespin))


def _played(
    release: Release, arc: Arc, bearing: float, things: tuple[Ball, Ring, Board, Contact]
) -> Played:
    """Play the shot at ring and board."""
    ball, ring, board, contact = things
    return play_one(
        arc.along, arc.across, arc.entry_angle, arc.entry_speed, ball=ball, ring=ring, board=board,
        bearing=bearing, heading=arc.heading, contact=replace(contact, spin=release.spin),
        sidespin=release.sidespin, most_touches=_kernel.MOST_TOUCHES,
    )  # fmt: skip


def free_flight(state: State, seconds: float, force: Floats) -> tuple[Floats, Floats, Vector]:
    """Fly freely for a time.

    Parameters
    ----------
    state
        Where it starts.
    seconds
        How long [s].
    force
        ``air.force_constants``.

    Returns
    -------
    tuple
        Moments [s], float64 [point]; places [m], float64 [point, 3]; the velocity at the end [m/s].
    """
    start, p, v, w = state
    pieces = max(math.ceil(seconds / EVERY), 1)
    # one piece more, whose start is the end
    step, trail = max(seconds, 1e-9) / pieces, np.full((pieces + 2, 4), np.nan)
    _kernel.flight(v, w, -1e3, step, force, trail)
    points = trail[:-1, 1:] + p
    end = tuple(float(c) for c in (trail[-1, 1:] - trail[-3, 1:]) / (2.0 * step))
    return start + trail[:-1, 0], points, (end[0], end[1], end[2])


def _lasts(state: State, level: float, force: Floats) -> float:
    """Return how long the last free flight takes to fall through a level [s]."""
    time = float(_kernel.flight(state[2], state[3], level - state[1][2], 1 / 24, force, _NONE)[0])
    return time if time > 0.0 else _STAYS


_NONE = np.empty((0, 4))


def _joined(
    states: list[State], level: float, force: Floats, told: tuple[Arc, Played]
) -> WholePath:
    """Join the free flights between the touches."""
    ends = [s[0] for s in states[1:]]
    ends.append(states[-1][0] + _lasts(states[-1], level, force))
    parts = [free_flight(s, end - s[0], force) for s, end in zip(states, ends, strict=True)]
    return WholePath(
        arc=told[0],
        times=np.concatenate([t for t, _, _ in parts]),
        points=np.concatenate([p for _, p, _ in parts]),
        touches=np.array(ends[:-1]),
        velocity=np.array(parts[-1][2]),
        spin=np.array(states[-1][3]),
        outcome=told[1].outcome,
    )
