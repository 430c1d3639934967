"""Ball against ring and board, written out again with SciPy's event-driven integrator.

Shares no code with the package. Axes: x right, y toward the board, z up from the ring plane.
"""

import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

Floats = NDArray[np.float64]
#: an impact rebounds at this speed at least, unless it came in slower [m/s]
HOP = 0.03
#: touches after which a ball lies still
MOST = 600


class Scene(NamedTuple):
    radius: float
    mass: float
    density: float
    drag: float
    lift: float
    gravity: float
    ring: float
    rod: float
    setback: float
    half_width: float
    low: float
    high: float


class Law(NamedTuple):
    ring: float
    board: float
    friction: float


class End(NamedTuple):
    made: bool
    rings: int
    boards: int
    energies: list[float]


def rate(state: Floats, spin: Floats, scene: Scene) -> Floats:
    """Time derivative of (x, y, z, u, v, w) in flight."""
    u, v, w = state[3:].tolist()
    area, speed = math.pi * scene.radius**2, math.sqrt(u * u + v * v + w * w)
    k = 0.5 * scene.density * area * scene.drag / scene.mass * speed
    m = 0.5 * scene.density * area * scene.lift * scene.radius / scene.mass
    lifted = scene.density * 4.0 / 3.0 * math.pi * scene.radius**3 / scene.mass
    p, q, r = spin
    return np.array([
        u, v, w,
        -k * u + m * (q * w - r * v),
        -k * v + m * (r * u - p * w),
        -k * w + m * (p * v - q * u) - scene.gravity * (1.0 - lifted),
    ])  # fmt: skip


def from_ring(place: Floats, scene: Scene) -> Floats:
    """Vector to the ball from the nearest point of the circle in the middle of the rod."""
    angle = math.atan2(place[1], place[0])
    middle = scene.ring + scene.rod
    return np.array(
        [
            place[0] - middle * math.cos(angle),
            place[1] - middle * math.sin(angle),
            place[2] + scene.rod,
        ]
    )


def from_board(place: Floats, scene: Scene) -> Floats:
    """Vector to the ball from the nearest point of the board."""
    near = [
        float(np.clip(place[0], -scene.half_width, scene.half_width)),
        scene.setback,
        float(np.clip(place[2], scene.low, scene.high)),
    ]
    return np.asarray(place - np.array(near))


def gaps(scene: Scene) -> list[Callable[[float, Floats], float]]:
    """What ends a stretch of flight: ring, board, and the ball a radius below the ring plane."""
    middle = scene.ring + scene.rod

    def ring(_: float, s: Floats) -> float:
        inward = math.hypot(s[0], s[1]) - middle
        return float(math.hypot(inward, s[2] + scene.rod) - scene.rod - scene.radius)

    def board(_: float, s: Floats) -> float:
        x = max(abs(s[0]) - scene.half_width, 0.0)
        z = max(s[2] - scene.high, scene.low - s[2], 0.0)
        return math.sqrt(x * x + (s[1] - scene.setback) ** 2 + z * z) - scene.radius

    def under(_: float, s: Floats) -> float:
        return float(s[2] + scene.radius)

    for event in (ring, board, under):
        event.terminal, event.direction = True, -1.0  # type: ignore[attr-defined]
    return [ring, board, under]


def bounce(
    velocity: Floats, spin: Floats, normal: Floats, scene: Scene, e: float, friction: float
) -> tuple[Floats, Floats]:
    """Impulses per mass on a thin-walled sphere, I = 2/3 m r²."""
    incoming = -float(velocity @ normal)
    outgoing = min(incoming, max(HOP, e * incoming))
    squeeze = incoming + outgoing
    contact = -scene.radius * normal
    slide = velocity + incoming * normal + np.cross(spin, contact)
    speed = float(np.linalg.norm(slide))
    inverse = 1.0 + scene.radius**2 / (2.0 / 3.0 * scene.radius**2)
    drag = np.zeros(3)
    if speed > 0.0:
        drag = -slide / speed * min(speed / inverse, friction * squeeze)
    turned = spin + np.cross(contact, drag) / (2.0 / 3.0 * scene.radius**2)
    return velocity + squeeze * normal + drag, turned


def energy(state: Floats, spin: Floats, scene: Scene) -> float:
    """Per mass [J/kg]."""
    moving, turning = state[3:] @ state[3:], spin @ spin
    return float(0.5 * moving + scene.radius**2 * turning / 3.0 + scene.gravity * state[2])


def play(state: Floats, spin: Floats, scene: Scene, law: Law) -> End:
    """Follow one ball from its crossing of the ring plane, taken back 0.3 s first."""

    def flight(_: float, s: Floats) -> Floats:
        return rate(s, spin, scene)

    state = solve_ivp(flight, (0.0, -0.3), state, rtol=1e-9, atol=1e-11).y[:, -1]
    counts, energies, events = [0, 0], [], gaps(scene)
    while sum(counts) < MOST:
        done = solve_ivp(
            flight, (0.0, 5.0), state, events=events, max_step=0.01, rtol=1e-8, atol=1e-10
        )
        state = done.y[:, -1]
        assert done.t_events is not None
        which = next(i for i in range(3) if len(done.t_events[i]))
        if which == 2:
            break
        counts[which] += 1
        away = (from_ring, from_board)[which](state[:3], scene)
        normal, e = away / np.linalg.norm(away), law[which]
        velocity, spin = bounce(state[3:], spin, normal, scene, e, law.friction)
        # a moment on, so that the touch just had is not found again
        wait = min(0.02 * float(velocity @ normal) / scene.gravity, 1e-5)
        state = np.concatenate([state[:3] + wait * velocity, velocity])
        state[5] -= wait * scene.gravity
        energies.append(energy(state, spin, scene))
        if state[2] < -scene.radius:
            which = 2
            break
    made = which == 2 and math.hypot(state[0], state[1]) < scene.ring + scene.rod
    return End(made, counts[0], counts[1], energies)


def fly(velocity: Floats, spin: Floats, rise: float, scene: Scene) -> Floats | None:
    """State where a ball from the origin falls through a height; None where it never does."""

    def flight(_: float, s: Floats) -> Floats:
        return rate(s, spin, scene)

    def plane(_: float, s: Floats) -> float:
        return float(s[2] - rise)

    plane.terminal, plane.direction = True, -1.0  # type: ignore[attr-defined]
    start = np.concatenate([np.zeros(3), velocity])
    done = solve_ivp(
        flight, (0.0, 10.0), start, events=[plane], max_step=0.1, rtol=1e-8, atol=1e-10
    )
    assert done.t_events is not None
    return done.y[:, -1] if len(done.t_events[0]) else None
