"""Candidates of a whole clip without pictures: shots, and all that is round and is not a shot."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.court.standards import ball
from hoopwright.film.camera import Camera, pixels_per_metre, project
from hoopwright.film.results import Candidates
from hoopwright.flight.air import STANDARD_AIR, force_constants
from hoopwright.flight.moments import backspin, path_at

Floats = NDArray[np.float64]
_FORCE = force_constants(ball(7), STANDARD_AIR)
#: seconds from one shot's release to the next; release comes this long after its start
GAP, LEAD = 4.0, 1.5


@dataclass(frozen=True)
class Clip:
    """What a clip has: rows, and for each shot its release, ring time and its rows in flight."""

    candidates: Candidates
    release: Floats
    contact: Floats
    #: the shot each row is a sight of in flight, −1 for all others
    shot_of: NDArray[np.int64]


def fly(state: Floats, times: Floats, spin: float = 12.0) -> Floats:
    """Return position and velocity of a free flight."""
    return path_at(state, times, spin=backspin(state[3:6], spin), force=_FORCE)


def shot_state(rng: np.random.Generator, distance: float) -> Floats:
    """Draw a release that about reaches the ring from a distance; usual spreads."""
    angle = math.radians(rng.normal(52.0, 2.0))
    rise = 3.05 - 2.2
    flat = 1.04 * math.sqrt(
        9.70 * distance**2 / (2 * math.cos(angle) ** 2 * (distance * math.tan(angle) - rise))
    )
    speed, turn = flat * rng.normal(1.0, 0.012), math.radians(rng.normal(0.0, 1.2))
    across, up = speed * math.cos(angle), speed * math.sin(angle)
    return np.array([0.0, -distance, 2.2, across * math.sin(turn), across * math.cos(turn), up])


def _ball_way(rng: np.random.Generator, times: Floats, distance: float) -> tuple[Floats, float]:
    """One shot's ball: carried, pushed, flown, off the ring or through the net, and bounced."""
    state = shot_state(rng, distance)
    free = fly(state, times)
    grid = np.arange(0.4, 2.5, 0.005)
    way = fly(state, grid)
    at_ring = (way[:, 2] < 3.13) & (way[:, 5] < 0) & (np.hypot(way[:, 0], way[:, 1]) < 0.35)
    low = way[:, 2] < 2.9
    board = way[:, 1] > 0.26
    stop = float(grid[np.flatnonzero(at_ring | low | board)[0]])
    places = free[:, :3].copy()
    # before: still in the hands, then one push along the way of release
    push, unit = 50.0, state[3:] / np.linalg.norm(state[3:])
    since = np.maximum(times, -0.16)
    held = state[:3] + state[3:] * since[:, None] + 0.5 * push * unit * since[:, None] ** 2
    held += (times - since)[:, None] * np.array([0.05, 0.1, 0.4])
    places[times < 0] = held[times < 0]
    # after: off the ring any way, or through the net; then bounces
    end = fly(state, np.array([stop]))[0]
    v = end[3:] * rng.uniform(-0.4, 0.4, 3) + rng.normal(0.0, 0.8, 3)
    v[2] = rng.choice([-2.0, 1.5, 2.8])
    after = np.array([*end[:3], *v])
    for i in np.flatnonzero(times > stop):
        places[i] = _bounced(after, float(times[i] - stop))
    return places, stop


def _bounced(state: Floats, span: float) -> Floats:
    """Where a ball is after a time, bouncing on the floor with restitution 0.76."""
    p, v, g = state[:3].copy(), state[3:].copy(), 9.7
    for _ in range(6):
        falls = (v[2] + math.sqrt(v[2] ** 2 + 2 * g * max(p[2] - 0.12, 0.0))) / g
        if span <= falls:
            break
        p = p + v * falls - np.array([0, 0, 0.5 * g * falls**2])
        v = np.array([v[0], v[1], -0.76 * (v[2] - g * falls)])
        span -= falls
    down: Floats = p + v * span - np.array([0, 0, 0.5 * g * span**2])
    return down


def _others(rng: np.random.Generator, times: Floats) -> list[Floats]:
    """World paths of what else is round: heads that walk and jump, a dribbled ball, passes."""
    paths = []
    for _ in range(3):
        place = np.array([rng.uniform(-3, 3), rng.uniform(-7, 0), 1.7])
        walk = rng.normal(0, 0.5, 2)
        head = place + np.outer(times, [*walk, 0.0]) + 0.03 * np.sin(9 * times)[:, None]
        jump = np.mod(times + rng.uniform(0, 2), 2.6)
        head[:, 2] += np.clip(3.1 * jump - 4.9 * jump**2, 0, None)
        paths.append(head)
    spot = np.array([rng.uniform(-4, 4), rng.uniform(-6, 1), 0.0])
    beat = np.mod(times, 0.62)
    high = 0.12 + 3.0 * beat - 4.85 * beat**2
    paths.append(spot + np.column_stack([0.1 * times, 0 * times, np.maximum(high, 0.12)]))
    pass_time = np.mod(times, 3.3)
    toss = np.array([1.0, -0.5, 1.6]) + np.outer(pass_time, [-1.2, -6.0, 3.0])
    toss[:, 2] -= 4.85 * pass_time**2
    toss[pass_time > 0.6] = np.nan
    paths.append(toss)
    return paths


def _seen(
    rng: np.random.Generator, camera: Camera, places: Floats, noise: float
) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Middles and radii as drawn, with noise, and which are in the picture."""
    known = np.isfinite(places[:, 0])
    safe = np.where(known[:, None], places, (0.0, 0.0, 1.0))
    middle = project(camera, safe)
    radius = pixels_per_metre(camera, safe) * ball(7).radius * rng.normal(1.0, 0.03, len(safe))
    size = (camera.width, camera.height)
    inside = known & np.all((middle > 0.7 * radius[:, None]), axis=1)
    inside &= np.all(middle < size - 0.7 * radius[:, None], axis=1)
    middle = middle + rng.normal(0.0, noise, middle.shape)
    return middle, radius + rng.normal(0.0, noise, len(radius)), inside & np.isfinite(radius)


def clip(
    camera: Camera,
    rng: np.random.Generator,
    *,
    shots: int = 5,
    rate: float = 30.0,
    missing: float = 0.3,
    false: int = 6,
    noise: float = 0.4,
    distance: float = 4.2,
) -> Clip:
    """Draw the candidates of a clip of shots, one every GAP seconds."""
    times = np.arange(0.0, shots * GAP, 1.0 / rate)
    ball_places, whose = np.empty((len(times), 3)), np.full(len(times), -1)
    release = (LEAD + GAP * np.arange(shots)).astype(np.float64)
    contact = np.empty(shots)
    for k in range(shots):
        own = (times >= k * GAP) & (times < (k + 1) * GAP)
        since = times[own] - release[k]
        ball_places[own], stop = _ball_way(rng, since, distance)
        contact[k] = release[k] + stop
        flying = np.flatnonzero(own)[(since >= 0) & (since <= stop)]
        whose[flying] = k
    pieces = [_rows(rng, camera, times, ball_places, whose, missing, noise, 0.75)]
    for path in _others(rng, times):
        nobody = np.full(len(times), -1)
        pieces.append(_rows(rng, camera, times, path, nobody, missing, noise, 0.5))
    pieces.append(_chance(rng, camera, times, false))
    return _together(pieces, release, contact)


def _rows(
    rng: np.random.Generator, camera: Camera, times: Floats, places: Floats,
    whose: NDArray[np.int64], missing: float, noise: float, score: float,
) -> Floats:  # fmt: skip
    middle, radius, seen = _seen(rng, camera, places, noise)
    seen &= rng.random(len(times)) > missing
    frames = np.arange(len(times))
    scores = np.clip(rng.normal(score, 0.12, len(times)), 0.1, 1.0)
    every = np.column_stack([frames, times, middle, radius, scores, whose])
    return every[seen & (radius > 2.0)]


def _chance(rng: np.random.Generator, camera: Camera, times: Floats, false: int) -> Floats:
    """Rows anywhere, of any size."""
    many = rng.poisson(false, len(times))
    frames = np.repeat(np.arange(len(times)), many)
    n = len(frames)
    middle = rng.uniform(0, 1, (n, 2)) * np.array([camera.width, camera.height])
    columns = (rng.uniform(4, 25, n), rng.uniform(0.1, 0.7, n), np.full(n, -1))
    every: Floats = np.column_stack([frames, times[frames], middle, *columns])
    return every


def _together(pieces: list[Floats], release: Floats, contact: Floats) -> Clip:
    every: Floats = np.concatenate(pieces)
    every = every[np.argsort(every[:, 0], kind="stable")]
    n = len(every)
    candidates = Candidates(
        frame=every[:, 0].astype(np.int64), time=every[:, 1].copy(),
        middle=every[:, 2:4].copy(), middle_sd=np.full(n, 0.4),
        radius=every[:, 4].copy(), radius_sd=np.full(n, 0.5),
        streak=np.zeros((n, 2)), score=every[:, 5].copy(),
    )  # fmt: skip
    return Clip(candidates, release, contact, every[:, 6].astype(np.int64))
