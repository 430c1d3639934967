"""Shots filmed without pictures: where a known flight would be seen, with noise of a known size."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.court.standards import ball
from hoopwright.film.camera import (
    Camera,
    at_place,
    ball_outline,
    project,
    with_parameters,
)
from hoopwright.film.view import Seen, View, seen, view_of
from hoopwright.flight.air import STANDARD_AIR, force_constants
from hoopwright.flight.moments import backspin, path_at

Floats = NDArray[np.float64]

SIDE = at_place((9.0, -2.2, 1.5), (0.0, -2.2, 2.3), width=1280, height=720, focal=1000.0)
BEHIND = at_place((0.4, -8.0, 1.8), (0.0, 0.0, 3.0), width=1280, height=720, focal=1000.0)
#: errors of a scene marked by hand: focal, lens, turn, shift
MARKED = (6.0, 0.01, 0.002, 0.002, 0.002, 0.03, 0.03, 0.03)


@dataclass(frozen=True)
class Known:
    """One true shot."""

    #: position and velocity at release, backspin, drag over standard drag
    ball: Floats
    speed: float
    angle: float
    direction: float

    #: how hard the hand pushes before release [m/s²]
    push: float = 60.0

    def at(self, times: Floats) -> Floats:
        """Return position and velocity; before time 0 the hand pushes along the way of release."""
        free = self.free(times)
        held = np.minimum(times, 0.0)[:, None]
        way = self.ball[3:6] / np.linalg.norm(self.ball[3:6])
        state = self.ball[:6]
        pushed = state[:3] + state[3:] * held + 0.5 * self.push * way * held**2
        in_hand = (times < 0.0)[:, None]
        return np.where(in_hand, np.hstack([pushed, state[3:] + self.push * way * held]), free)

    def free(self, times: Floats) -> Floats:
        """Return the free flight, run back before release."""
        force = force_constants(ball(7), STANDARD_AIR)
        force[1] *= self.ball[7]
        return path_at(
            self.ball[:6], times, spin=backspin(self.ball[3:6], self.ball[6]), force=force
        )


def free_throw(rng: np.random.Generator, *, drag: float = 1.0) -> Known:
    """Draw a free throw; spreads from physics.md S1 (Slegers 2021), spin common practice."""
    speed = rng.normal(7.3, 0.1)
    angle, direction = (math.radians(rng.normal(52.0, 1.3)), math.radians(rng.normal(0.0, 1.2)))
    velocity = (
        speed * math.cos(angle) * math.sin(direction),
        speed * math.cos(angle) * math.cos(direction),
        speed * math.sin(angle),
    )
    state = np.array([0.0, -4.0, 2.15, *velocity, rng.normal(12.6, 4.0), drag])
    return Known(ball=state, speed=speed, angle=angle, direction=direction)


def told(camera: Camera, rng: np.random.Generator, errors: tuple[float, ...] = MARKED) -> View:
    """Return the view a coach would have of a camera: off by its stated errors."""
    sd = np.array(errors)
    off = camera.parameters + rng.normal(0.0, 1.0, 8) * sd
    return view_of(with_parameters(camera, off, covariance=np.diag(sd**2)), ball(7))


def film(
    shot: Known,
    camera: Camera,
    rng: np.random.Generator,
    *,
    rate: float = 60.0,
    noise: float = 0.4,
    readout: float = 0.012,
    first: float = 0.0,
    last: float = 0.93,
) -> Seen:
    """Return where a shot is seen, rolling shutter and noise included; only inside the picture."""
    times = np.arange(first, last, 1.0 / rate)
    exposed = times.copy()
    for _ in range(3):
        world = shot.at(exposed)[:, :3]
        pixels = project(camera, world)
        exposed = times + readout * (pixels[:, 1] / camera.height - 0.5)
    aside, radius = ball_outline(camera, world, ball(7).radius)
    pixels = pixels + aside
    inside = (np.abs(pixels / (camera.width, camera.height) - 0.5) < 0.5).all(axis=1)
    noisy = pixels + rng.normal(0.0, noise, pixels.shape)
    sizes = radius + rng.normal(0.0, noise, len(times))
    return seen(times[inside], noisy[inside], noise, radius=sizes[inside], radius_sd=noise)
