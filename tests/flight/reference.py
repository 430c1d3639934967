"""Reference flight: DOP853 at rtol 1e-12 on forces written out again, all shots as one system."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

Floats = NDArray[np.float64]


class World(NamedTuple):
    mass: float
    radius: float
    density: float
    drag_coefficient: float
    lift_slope: float
    gravity: float


def acceleration(velocity: Floats, spin: Floats, world: World) -> Floats:
    """[xyz, shot]: weight, buoyancy, drag and spin force over mass; x ahead, y left, z up."""
    area = np.pi * world.radius**2
    volume = 4.0 / 3.0 * np.pi * world.radius**3
    speed = np.linalg.norm(velocity, axis=0)
    drag = -0.5 * world.density * area * world.drag_coefficient * speed * velocity
    # CL = slope · r ω / v, so ½ρA CL v² (ω̂ × v̂) = ½ρA · slope · r (ω × v)
    lift = (
        0.5
        * world.density
        * area
        * world.lift_slope
        * world.radius
        * np.cross(spin, velocity, axis=0)
    )
    weight = np.zeros_like(velocity)
    weight[2] = world.gravity * (world.density * volume - world.mass)
    return np.asarray((drag + lift + weight) / world.mass)


def state_at(velocity: Floats, spin: Floats, times: Floats, world: World) -> tuple[Floats, Floats]:
    """Position and velocity [xyz, shot], each shot at its own time.

    Every shot's clock is scaled by its own end, so that one integration serves them all.
    """
    shape = (2, *velocity.shape)

    def change(_: float, flat: Floats) -> Floats:
        moving = flat.reshape(shape)[1]
        rate = np.stack([moving, acceleration(moving, spin, world)])
        return np.asarray((rate * times).reshape(-1))

    start = np.stack([np.zeros_like(velocity), velocity]).reshape(-1)
    done = solve_ivp(change, (0.0, 1.0), start, method="DOP853", rtol=1e-12, atol=1e-13)
    assert done.success
    position, moving = done.y[:, -1].reshape(shape)
    return position, moving
