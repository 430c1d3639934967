"""The same ball, ring, board and air in MuJoCo, as nearly as its models allow.

Its contacts are springs with damping, not impacts; stiffness gives a contact of 10 ms and damping
is set by trial so that a ball comes back at the restitution asked for. The ring is 48 capsules.
"""

import math
from itertools import pairwise

import mujoco
import numpy as np
from mujoco import rollout
from numpy.typing import NDArray

from hoopwright.court.equipment import Ball, Board, Ring
from hoopwright.flight.air import STANDARD_AIR, STANDARD_GRAVITY
from hoopwright.flight.contact import Contact

Floats = NDArray[np.float64]

#: [s]
STEP = 0.001
#: length of a shot, release to below the ring [s]
LENGTH = 2.2
_CONTACT_TIME = 0.010
_SPRING = (math.pi / _CONTACT_TIME) ** 2


def _solref(damping: float) -> str:
    return f"{-_SPRING:.6g} {-2.0 * damping * math.sqrt(_SPRING):.6g}"


def _ball_xml(ball: Ball) -> str:
    lifted = STANDARD_AIR.density * 4.0 / 3.0 * math.pi * ball.radius**3 / ball.mass
    # MuJoCo's drag is ρ·A·c·v², without the half; its spin force is ρ·V·c·ω×v, ours is
    # ½·ρ·A·slope·r·ω×v, so its coefficient is 3/8 of the slope
    drag, magnus = 0.5 * STANDARD_AIR.drag_coefficient, 0.375 * STANDARD_AIR.lift_slope
    return (
        f'<body gravcomp="{lifted:.6g}"><freejoint/>'
        f'<geom type="sphere" size="{ball.radius:.6g}" mass="{ball.mass}" shellinertia="true" '
        f'fluidshape="ellipsoid" fluidcoef="{drag} 0.25 0 0 {magnus}" '
        f'friction="{Contact().friction} 0 0"/></body>'
    )


def _world(inside: str, *, gravity: float = STANDARD_GRAVITY, density: float = 0.0) -> str:
    return (
        f'<mujoco><option timestep="{STEP}" gravity="0 0 {-gravity}" density="{density}" '
        f'viscosity="0" integrator="implicitfast"/><worldbody>{inside}</worldbody></mujoco>'
    )


def measured_restitution(ball: Ball, damping: float) -> float:
    """Speed ratio of a ball that meets a flat wall at 4 m/s, without gravity or air."""
    wall = f'<geom type="plane" size="5 5 1" priority="1" solref="{_solref(damping)}"/>'
    model = mujoco.MjModel.from_xml_string(_world(wall + _ball_xml(ball), gravity=0.0))
    data = mujoco.MjData(model)
    data.qpos[2], data.qvel[2] = ball.radius + 0.01, -4.0
    for _ in range(60):
        mujoco.mj_step(model, data)
    return float(data.qvel[2]) / 4.0


def damping_for(ball: Ball, restitution: float) -> float:
    """Damping ratio that gives a restitution, by bisection."""
    low, high = 0.0, 0.6
    for _ in range(30):
        middle = 0.5 * (low + high)
        if measured_restitution(ball, middle) > restitution:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def hoop_model(ball: Ball, ring: Ring, board: Board) -> mujoco.MjModel:
    """Ball, ring and board; x right, y ahead, z up, origin on the floor below ring centre."""
    contact = Contact()
    at_ring = _solref(damping_for(ball, contact.ring_restitution))
    at_board = _solref(damping_for(ball, contact.board_restitution))
    friction = f'friction="{contact.friction} 0 0" priority="1"'
    middle, z, count = ring.radius + ring.rod_radius, ring.height - ring.rod_radius, 48
    corners = [
        (middle * math.cos(a), middle * math.sin(a))
        for a in np.linspace(0.0, 2.0 * math.pi, count + 1)
    ]
    parts = [
        f'<geom type="capsule" size="{ring.rod_radius}" fromto="{x} {y} {z} {p} {q} {z}" '
        f'{friction} solref="{at_ring}"/>'
        for (x, y), (p, q) in pairwise(corners)
    ]
    thick, half = 0.01, 0.5 * board.height
    parts.append(
        f'<geom type="box" size="{0.5 * board.width} {thick} {half}" '
        f'pos="0 {board.setback + thick} {board.lower_edge + half}" '
        f'{friction} solref="{at_board}"/>'
    )
    model = mujoco.MjModel.from_xml_string(
        _world("".join(parts) + _ball_xml(ball), density=STANDARD_AIR.density)
    )
    # air dragged along with the ball (added mass and inertia), which our flight does not have
    model.geom_fluid[-1, 6:] = 0.0
    return model


def shots_made(
    model: mujoco.MjModel, starts: Floats, *, ball: Ball, ring: Ring, threads: int
) -> NDArray[np.bool_]:
    """Play shots and tell which went in; starts is [shot, (position, velocity, spin)]."""
    size = mujoco.mj_stateSize(model, mujoco.mjtState.mjSTATE_FULLPHYSICS)
    first = np.zeros((len(starts), size))
    first[:, 1:4], first[:, 4], first[:, 8:14] = starts[:, :3], 1.0, starts[:, 3:]
    data = [mujoco.MjData(model) for _ in range(threads)]
    states, _ = rollout.rollout(model, data, first, nstep=round(LENGTH / STEP))
    height = states[:, :, 3]
    under = (height[:, 1:] < ring.height - ball.radius) & (
        height[:, :-1] >= ring.height - ball.radius
    )
    when = under.argmax(axis=1) + 1
    there = states[np.arange(len(starts)), when]
    inside = np.hypot(there[:, 1], there[:, 2]) < ring.radius + ring.rod_radius
    return np.asarray(under.any(axis=1) & inside)
