"""Which ball-like places are a shot: the free flights that explain them, through the camera.

``follow`` is the way in. What tells the ball from heads, hands and passers-by is that it falls as
a ball of its size must at the depth its size and its fall agree on. Flights grow from threes of
rows, the best explained first; those that rise to the ring and go to it are shots.
"""

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from hoopwright.court.equipment import Ball
from hoopwright.film import _track_kernel as kernel
from hoopwright.film.camera import Camera
from hoopwright.film.results import Candidates, Flight
from hoopwright.flight.air import STANDARD_AIR, Air, force_constants

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: backspin taken while linking [rad/s]: 2 revolutions a second (good free throws have 2 to 3)
USUAL_SPIN = 4.0 * math.pi
#: how far off that may be [rad/s], and the usual drag
_SPIN_SD, _DRAG_SD = 2.0 * math.pi, 0.06
#: error of a middle that linking takes at least [px]; of a radius, its share (blur, edge, shade)
_MIDDLE_ERROR, _RADIUS_ERROR = 0.5, 0.06
#: time between the rows of a seed [s], threes kept of one picture
_SEED_GAPS, _SEEDS_EACH = (0.05, 0.1), 3
#: most rows of one flight
_MOST_ROWS = 600
#: least evidence, rows, and time [s] of a flight
_LEAST_EVIDENCE, _LEAST_ROWS, _LEAST_TIME = 12.0, 6, 0.2
#: chi-square of a row (3 degrees of freedom) beyond which it is dropped again
_DROP = 16.0
#: a shot comes up to this far under the ring, comes down within this of its centre [m]
_UNDER, _WIDE = 0.5, 1.6
#: least way a shot goes along the floor, and floor distance from which it comes [m]
_LEAST_WAY, _FROM = 0.5, 0.9
#: a flight that begins this near the ring [m], this soon after a shot [s], is its rebound
_REBOUND, _JUST_AFTER = 1.6, 0.7


def follow(
    candidates: Candidates,
    *,
    camera: Camera,
    ball: Ball,
    ring_height: float,
    air: Air = STANDARD_AIR,
    spin: float = USUAL_SPIN,
) -> tuple[Flight, ...]:
    """Return the free flights of the shots of a clip, in order of time.

    Parameters
    ----------
    candidates
        As ``ball.find`` gives them.
    camera
        The scene.
    ball
        Its size and mass.
    ring_height
        Top of the ring above the floor. [m]
    air
        Density and coefficients.
    spin
        Backspin taken. [rad/s]

    Returns
    -------
    tuple
        Flights of no common rows. Their covariance is that of the rows at this camera: the
        scene's error is added where the flight is fitted for its numbers (``fit``).

    Notes
    -----
    Derived; see ``docs/film-ball.md``.
    """
    linker = _Linker(candidates, camera, ball, air=air, spin=spin)
    shots = [linker.told(f) for f in linker.flights() if linker.is_shot(f, ring_height)]
    return _no_rebounds(shots)


@dataclass(slots=True)
class _Path:
    """One grown flight, in camera axes about ``t0``."""

    rows: Ints
    value: float
    t0: float
    theta: Floats
    bent: Floats
    left: Floats


class _Linker:
    """Rows of a clip as the kernels want them."""

    def __init__(
        self, candidates: Candidates, camera: Camera, ball: Ball, *, air: Air, spin: float
    ) -> None:
        self.camera, self.spin = camera, spin
        self.order = np.argsort(candidates.frame, kind="stable")
        self.data = _data(candidates, self.order, camera)
        frames = candidates.frame[self.order]
        starts = np.flatnonzero(np.diff(frames, prepend=-1) != 0)
        self.firsts = np.append(starts, len(frames)).astype(np.int64)
        self.picture_of = np.repeat(np.arange(len(starts)), np.diff(self.firsts))
        self.world = _world(camera, force_constants(ball, air), ball.radius, spin)

    def flights(self) -> list[_Path]:
        """Return disjoint flights, the best explained taking their rows first."""
        grown = sorted(self._grown(), key=lambda path: -path.value)
        taken, chosen = np.zeros(len(self.data), dtype=bool), []
        for path in grown:
            if np.mean(taken[path.rows]) > 0.3:
                continue
            path.rows = path.rows[~taken[path.rows]]
            if self._settle(path):
                taken[path.rows] = True
                chosen.append(path)
        return chosen

    def _seeds(self) -> Ints:
        """Return threes of rows, the most ball-like first, int64 [seed, 3]."""
        many = _SEEDS_EACH * len(self.firsts)
        every, quality = [np.empty((0, 3), dtype=np.int64)], [np.empty(0)]
        for gap in _SEED_GAPS:
            rows, good = np.empty((many, 3), dtype=np.int64), np.empty(many)
            found = kernel.seeds(self.data, self.firsts, self.world, gap, _SEEDS_EACH, rows, good)
            every.append(rows[:found])
            quality.append(good[:found])
        best = np.argsort(-np.concatenate(quality), kind="stable")
        return np.concatenate(every)[best]

    def _grown(self) -> list[_Path]:
        """Grow a flight from every seed that no good flight has already taken."""
        owned, paths = np.zeros(len(self.data), dtype=bool), []
        rows = np.empty(_MOST_ROWS, dtype=np.int64)
        for seed in self._seeds():
            if np.count_nonzero(owned[seed]) >= 2:
                continue
            theta, bent = np.empty(6), np.empty((2 * kernel.EACH_WAY + 1, 3))
            many, value, t0 = kernel.grow(
                self.data, self.firsts, self.picture_of, self.world, seed, rows, theta, bent
            )
            if many >= _LEAST_ROWS and value >= _LEAST_EVIDENCE:
                owned[rows[:many]] = True
                chosen = np.sort(rows[:many])
                paths.append(_Path(chosen, value, t0, theta, bent, np.empty((6, 6))))
        return paths

    def _settle(self, path: _Path) -> bool:
        """Refit a flight about its middle and drop rows that don't fit; False if none is left."""
        for _ in range(6):
            if len(path.rows) < _LEAST_ROWS:
                return False
            self._recentre(path)
            chi = kernel.refit(
                self.data, path.rows, path.t0, self.world, path.theta, path.bent, path.left
            )
            if chi > 1e8:
                return False
            bad = self._off(path) > _DROP
            if not np.any(bad):
                break
            path.rows = path.rows[~bad]
        times = self.data[path.rows, kernel.T]
        return bool(len(times) >= _LEAST_ROWS and times[-1] - times[0] >= _LEAST_TIME)

    def _recentre(self, path: _Path) -> None:
        """Move t0 to the middle of the rows, so that the bend reaches both ends."""
        middle = float(np.mean(self.data[path.rows[[0, -1]], kernel.T]))
        near, here = np.empty(3), np.empty(3)
        tau = middle - path.t0
        kernel.place(path.theta, path.bent, tau, here)
        kernel.place(path.theta, path.bent, tau + kernel.STEP, near)
        back = np.empty(3)
        kernel.place(path.theta, path.bent, tau - kernel.STEP, back)
        path.theta = np.concatenate([here, (near - back) / (2.0 * kernel.STEP)])
        path.t0 = middle

    def _off(self, path: _Path) -> Floats:
        """Return each row's chi-square."""
        place, out = np.empty(3), np.empty(len(path.rows))
        for i, row in enumerate(path.rows):
            kernel.place(path.theta, path.bent, self.data[row, kernel.T] - path.t0, place)
            out[i] = kernel.off(self.data, row, place, self.world, 0.0, 0.0)
        return out

    def is_shot(self, path: _Path, ring_height: float) -> bool:
        """Tell whether a flight rises to the ring and goes to it from some way off."""
        taus = (np.arange(2 * kernel.EACH_WAY + 1) - kernel.EACH_WAY) * kernel.STEP
        first, last = self.data[path.rows[[0, -1]], kernel.T] - path.t0
        here = path.theta[:3] + taus[:, None] * path.theta[3:] + path.bent
        way = self._to_world(here)[taus > first - kernel.STEP]
        seen = int(np.sum(taus < last)) - int(np.sum(taus <= first - kernel.STEP))
        top = float(np.max(way[:, 2]))
        if top < ring_height - _UNDER or np.max(way[: seen + 1, 2]) < ring_height - 2.0 * _UNDER:
            return False
        height = min(ring_height, top - 0.05)
        falls = np.flatnonzero((way[:-1, 2] >= height) & (way[1:, 2] < height))
        return bool(len(falls)) and _goes_to_ring(way[0], way[falls[-1]])

    def _to_world(self, places: Floats) -> Floats:
        world: Floats = (places - np.array(self.camera.translation)) @ self.camera.turned
        return world

    def told(self, path: _Path) -> Flight:
        """Return a flight in world axes."""
        both = np.kron(np.eye(2), self.camera.turned.T)
        covariance = np.diag([0.0] * 6 + [_SPIN_SD**2, _DRAG_SD**2])
        covariance[:6, :6] = both @ np.linalg.inv(path.left) @ both.T
        position = self._to_world(path.theta[None, :3])[0]
        velocity = path.theta[3:] @ self.camera.turned
        times = self.data[path.rows, kernel.T]
        misfit = math.sqrt(float(np.sum(self._off(path))) / max(3 * len(times) - 6, 1))
        return Flight(
            time=path.t0,
            position=(float(position[0]), float(position[1]), float(position[2])),
            velocity=(float(velocity[0]), float(velocity[1]), float(velocity[2])),
            spin=self.spin,
            drag=1.0,
            covariance=tuple(float(c) for c in covariance.ravel()),
            first=float(times[0]),
            last=float(times[-1]),
            rows=tuple(int(r) for r in self.order[path.rows]),
            misfit=misfit,
        )


def _goes_to_ring(begins: Floats, lands: Floats) -> bool:
    """Tell whether a flight comes from some way off, not from behind the board, nearer the ring."""
    came, left = math.hypot(*begins[:2]), math.hypot(*lands[:2])
    far = math.hypot(*(lands[:2] - begins[:2]))
    behind_board = begins[1] > 0.3 and abs(begins[0]) < 1.0
    return left < min(_WIDE, came) and came > _FROM and far > _LEAST_WAY and not behind_board


def _no_rebounds(flights: list[Flight]) -> tuple[Flight, ...]:
    """Drop flights that begin at the ring just after another ended there."""
    shots: list[Flight] = []
    for flight in sorted(flights, key=lambda f: f.first):
        span = flight.first - flight.time
        begins = [p + span * v for p, v in zip(flight.position[:2], flight.velocity, strict=False)]
        near = math.hypot(*begins) < _REBOUND
        if not (near and any(0.0 < flight.first - s.last < _JUST_AFTER for s in shots)):
            shots.append(flight)
    return tuple(shots)


def _data(candidates: Candidates, order: Ints, camera: Camera) -> Floats:
    """Return rows as lines of sight and angles, float64 [row, kernel.COLUMNS]."""
    data = np.empty((len(order), kernel.COLUMNS))
    if not len(order):
        return data
    lens = np.array([camera.lens, 0.0, 0.0, 0.0])
    points = candidates.middle[order].reshape(-1, 1, 2)
    flat = np.asarray(cv2.undistortPoints(points, camera.matrix, lens)).reshape(-1, 2)
    radius = candidates.radius[order]
    data[:, kernel.T], data[:, [kernel.U, kernel.V]] = candidates.time[order], flat
    sd = np.hypot(candidates.middle_sd[order], _MIDDLE_ERROR)
    data[:, kernel.SIGHT_SD], data[:, kernel.RHO] = sd / camera.focal, radius / camera.focal
    wide = np.hypot(candidates.radius_sd[order], _RADIUS_ERROR * radius)
    data[:, kernel.RHO_SD] = np.hypot(wide, 0.3) / camera.focal
    data[:, kernel.SCORE] = candidates.score[order]
    return data


def _world(camera: Camera, force: Floats, radius: float, spin: float) -> Floats:
    """Return what the kernels know of the world, float64 [kernel.ENTRIES]."""
    world = np.empty(kernel.ENTRIES)
    world[: kernel.ABOVE] = camera.turned @ np.array([0.0, 0.0, 1.0])
    world[kernel.ABOVE] = camera.position[2]
    world[kernel.GRAVITY], world[kernel.DRAG] = force[0], force[1]
    world[kernel.LIFT], world[kernel.BALL] = force[2] * spin, radius
    wide, high = 0.5 * camera.width / camera.focal, 0.5 * camera.height / camera.focal
    world[kernel.U_LOW :] = (-wide, wide, -high, high)
    return world
