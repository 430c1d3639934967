"""The inner loops of linking: seeds of three rows, and growing a flight along them.

All in camera axes (right, down, into the picture) [m] about a moment ``t0``. With the path's bend
by gravity and air taken from the last solution, a line of sight (u, v) is *linear* in position and
velocity: u·Z − X = 0, v·Z − Y = 0; so is the depth that the ball's apparent radius gives. Nothing
need be guessed to begin, and three rows are enough.
"""

import math

import numpy as np
from numpy.typing import NDArray

from hoopwright.flight._compiled import compiled

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: columns of ``data``: time, line of sight and its error, apparent radius and its error, score
T, U, V, SIGHT_SD, RHO, RHO_SD, SCORE, COLUMNS = range(8)
#: entries of ``world``: up in camera axes, height of the camera, gravity, drag, spin force, ball
#: radius, and what the picture shows: least and greatest u and v
UP, ABOVE, GRAVITY, DRAG, LIFT, BALL, U_LOW, U_HIGH, V_LOW, V_HIGH, ENTRIES = (
    0, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12,
)  # fmt: skip
#: step of the bend [s], steps each way
STEP, EACH_WAY = 0.02, 100
#: speed no ball has [m/s]; depths taken as possible [m]
_FASTEST, _NEAREST, _FARTHEST = 16.0, 0.8, 40.0
#: chi-square a seed (3 degrees of freedom) and a row (3) may have
_SEED_GATE, _ROW_GATE = 14.0, 16.0
#: how wrong the taken spin and air may be [m/s²]; how long the ball may be hidden in the picture,
#: and how long any flight lasts [s]
_ACCELERATION_SD, _HIDDEN, _LONGEST = 0.3, 0.35, 1.9
#: what a row is worth for its score, and what a missed one costs
_WORTH, _MISS = 6.0, 0.7


@compiled
def _pull(v: Floats, world: Floats, out: Floats) -> None:
    """Fill the acceleration: gravity, drag, and the lift of backspin about a level axis."""
    speed = math.sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2])
    # level axis to the right of the way: velocity × up
    sx = v[1] * world[2] - v[2] * world[1]
    sy = v[2] * world[0] - v[0] * world[2]
    sz = v[0] * world[1] - v[1] * world[0]
    size = math.sqrt(sx * sx + sy * sy + sz * sz)
    lift = world[LIFT] / size if size > 0.3 else 0.0
    drag = world[DRAG] * speed
    out[0] = -world[GRAVITY] * world[0] - drag * v[0] + lift * (sy * v[2] - sz * v[1])
    out[1] = -world[GRAVITY] * world[1] - drag * v[1] + lift * (sz * v[0] - sx * v[2])
    out[2] = -world[GRAVITY] * world[2] - drag * v[2] + lift * (sx * v[1] - sy * v[0])


@compiled
def bend(velocity: Floats, world: Floats, out: Floats) -> None:
    """Fill how far the path leaves its tangent at t0, [2·EACH_WAY + 1, 3], midpoint rule."""
    a = np.empty(3)
    for way in (1, -1):
        h = way * STEP
        v, p = velocity.copy(), np.zeros(3)
        out[EACH_WAY] = 0.0
        for i in range(1, EACH_WAY + 1):
            _pull(v, world, a)
            _pull(v + 0.5 * h * a, world, a)
            p += h * v + 0.5 * h * h * a
            v += h * a
            out[EACH_WAY + way * i] = p - way * i * STEP * velocity


@compiled
def place(theta: Floats, bent: Floats, tau: float, out: Floats) -> None:
    """Fill where the ball is at a time after t0."""
    at = min(max(tau / STEP + EACH_WAY, 0.0), 2.0 * EACH_WAY - 1e-9)
    i = min(max(int(at + 0.5), 1), 2 * EACH_WAY - 1)
    f = at - i
    for c in range(3):
        # a parabola through three steps: the bend is nearly one
        slope = 0.5 * (bent[i + 1, c] - bent[i - 1, c])
        curve = bent[i + 1, c] - 2.0 * bent[i, c] + bent[i - 1, c]
        out[c] = theta[c] + tau * theta[3 + c] + bent[i, c] + f * (slope + 0.5 * f * curve)


@compiled
def solve(
    data: Floats, rows: Ints, t0: float, world: Floats, bent: Floats, theta: Floats, left: Floats
) -> bool:
    """Refit position and velocity to rows; fill ``theta`` and the normal matrix ``left``."""
    left[:] = 0.0
    right, line, p = np.zeros(6), np.zeros(6), np.zeros(3)
    for r in rows:
        tau = data[r, T] - t0
        place(theta, bent, tau, p)
        depth = min(max(p[2], _NEAREST), _FARTHEST)
        for c in range(3):
            p[c] -= theta[c] + tau * theta[3 + c]
        for kind in range(3):
            line[:] = 0.0
            if kind < 2:
                sight = data[r, U + kind]
                line[kind], line[3 + kind] = -1.0, -tau
                line[2], line[5] = sight, sight * tau
                value = p[kind] - sight * p[2]
                weight = 1.0 / (depth * data[r, SIGHT_SD])
            else:
                line[2], line[5] = 1.0, tau
                value = world[BALL] / data[r, RHO] - p[2]
                weight = data[r, RHO] / (depth * data[r, RHO_SD])
            weight *= weight
            for m in range(6):
                right[m] += weight * line[m] * value
                for n in range(6):
                    left[m, n] += weight * line[m] * line[n]
    for m in range(6):
        left[m, m] += 1e-9
    theta[:] = np.linalg.solve(left, right)
    return bool(_NEAREST < theta[2] < _FARTHEST and np.abs(theta[3:]).max() < _FASTEST)


@compiled
def off(data: Floats, r: int, p: Floats, world: Floats, u_var: float, v_var: float) -> float:
    """Squared distance of a row from where the ball is thought to be, over its variance."""
    if p[2] < _NEAREST:
        return 1e9
    sight = data[r, SIGHT_SD] ** 2
    du, dv = data[r, U] - p[0] / p[2], data[r, V] - p[1] / p[2]
    size = (data[r, RHO] - world[BALL] / p[2]) / data[r, RHO_SD]
    total: float = du * du / (sight + u_var) + dv * dv / (sight + v_var) + size * size
    return total


@compiled
def _fit_three(
    data: Floats, rows: Ints, t0: float, world: Floats, bent: Floats, theta: Floats, left: Floats
) -> float:
    """Fit three rows from nothing; return chi-square."""
    theta[:] = 0.0
    depth = 0.0
    for r in rows:
        depth += world[BALL] / data[r, RHO] / 3.0
    theta[2] = depth
    for _ in range(2):
        bend(theta[3:], world, bent[:])
        if not solve(data, rows, t0, world, bent, theta, left):
            return 1e9
    return _chi(data, rows, t0, world, bent, theta)


@compiled
def _chi(data: Floats, rows: Ints, t0: float, world: Floats, bent: Floats, theta: Floats) -> float:
    p, total = np.empty(3), 0.0
    for r in rows:
        place(theta, bent, data[r, T] - t0, p)
        total += off(data, r, p, world, 0.0, 0.0)
    return total


@compiled
def _may_link(data: Floats, a: int, b: int, world: Floats) -> bool:
    """Tell whether two rows can be one ball: about one size, not too fast."""
    small, large = data[a, RHO], data[b, RHO]
    if small > large:
        small, large = large, small
    gap = abs(data[b, T] - data[a, T])
    depth = world[BALL] / (0.5 * (small + large))
    error = math.hypot(data[a, RHO_SD], data[b, RHO_SD]) / small
    if large / small > 1.0 + 3.0 * error + _FASTEST * gap / depth:
        return False
    way = math.hypot(data[a, U] - data[b, U], data[a, V] - data[b, V]) * depth
    return bool(way < 1.3 * _FASTEST * gap * (1.0 + 3.0 * error))


@compiled
def _outer(data: Floats, firsts: Ints, i: int, gap: float) -> tuple[int, int]:
    """Return the pictures about a gap before and after one; (-1, -1) where there are none."""
    now, back, ahead = data[firsts[i], T], i - 1, i + 1
    while back >= 0 and now - data[firsts[back], T] < 0.75 * gap:
        back -= 1
    while ahead < len(firsts) - 1 and data[firsts[ahead], T] - now < 0.75 * gap:
        ahead += 1
    if back < 0 or ahead >= len(firsts) - 1:
        return -1, -1
    if data[firsts[ahead], T] - data[firsts[back], T] > 3.5 * gap:
        return -1, -1
    return back, ahead


@compiled
def _threes(
    data: Floats, firsts: Ints, pictures: tuple[int, int, int], world: Floats, out: Ints,
    quality: Floats,
) -> int:  # fmt: skip
    """Fill the best threes of rows of three pictures; how many."""
    bent, theta, left = np.empty((2 * EACH_WAY + 1, 3)), np.empty(6), np.empty((6, 6))
    back, i, ahead = pictures
    kept = 0
    for b in range(firsts[i], firsts[i + 1]):
        for a in range(firsts[back], firsts[back + 1]):
            if not _may_link(data, a, b, world):
                continue
            for c in range(firsts[ahead], firsts[ahead + 1]):
                if not _may_link(data, b, c, world) or not _bends(data, a, b, c, world):
                    continue
                rows = np.array([a, b, c])
                chi = _fit_three(data, rows, data[b, T], world, bent, theta, left)
                if chi < _SEED_GATE:
                    good = data[a, SCORE] + data[b, SCORE] + data[c, SCORE] - 0.05 * chi
                    kept = _keep(out, quality, rows, good, kept)
    return kept


@compiled
def seeds(
    data: Floats, firsts: Ints, world: Floats, gap: float, each: int, out: Ints, quality: Floats
) -> int:
    """Fill the best threes of rows about every picture, [seed, 3]; how many.

    ``firsts`` [picture + 1] is where each picture's rows begin. The outer rows are about ``gap``
    seconds away each; ``each`` threes are kept of one middle picture at most.
    """
    found = 0
    for i in range(len(firsts) - 1):
        back, ahead = _outer(data, firsts, i, gap)
        if back >= 0:
            here = slice(found, found + each)
            found += _threes(data, firsts, (back, i, ahead), world, out[here], quality[here])
    return found


@compiled
def _bends(data: Floats, a: int, b: int, c: int, world: Floats) -> bool:
    """Tell whether three rows bend about as a falling ball's path can, whatever way it moves."""
    before, after = data[b, T] - data[a, T], data[c, T] - data[b, T]
    most = 0.0
    noise = data[a, SIGHT_SD] + 2.0 * data[b, SIGHT_SD] + data[c, SIGHT_SD]
    for k in (U, V):
        turn = (data[c, k] - data[b, k]) / after - (data[b, k] - data[a, k]) / before
        most = max(most, abs(turn))
    depth = world[BALL] / data[b, RHO]
    fall = world[GRAVITY] * (before + after) / 2.0 / depth
    return bool(most < 3.5 * fall + 3.0 * noise / before)


@compiled
def _keep(out: Ints, quality: Floats, rows: Ints, good: float, kept: int) -> int:
    """Put a seed among the best of its picture, in order."""
    at = kept
    while at > 0 and quality[at - 1] < good:
        at -= 1
    if at >= len(out):
        return kept
    kept = min(kept + 1, len(out))
    for n in range(kept - 1, at, -1):
        quality[n] = quality[n - 1]
        out[n] = out[n - 1]
    quality[at] = good
    out[at] = rows
    return kept


@compiled
def _best_row(
    data: Floats, first: int, last: int, p: Floats, tau: float, world: Floats, cov: Floats,
    gap: float,
) -> tuple[int, float]:  # fmt: skip
    """Return the row of a picture that fits best, -1 where none does, and its distance."""
    best, least = -1, _ROW_GATE
    line = np.zeros(6)
    loose = 0.5 * _ACCELERATION_SD * gap * gap / p[2]
    u_var = v_var = loose * loose
    for kind in range(2):
        line[:] = 0.0
        sight = p[kind] / p[2]
        line[kind], line[2] = 1.0 / p[2], -sight / p[2]
        line[3 + kind], line[5] = tau / p[2], -sight * tau / p[2]
        variance = line @ cov @ line
        if kind == 0:
            u_var += variance
        else:
            v_var += variance
    rank = 1e9
    for r in range(first, last):
        d = off(data, r, p, world, u_var, v_var)
        if d < _ROW_GATE and d - 4.0 * data[r, SCORE] < rank:
            best, least, rank = r, d, d - 4.0 * data[r, SCORE]
    return best, least


@compiled
def _seen(p: Floats, world: Floats) -> bool:
    """Tell whether a place is in the picture, a ball's width from its edge."""
    if p[2] < _NEAREST:
        return False
    u, v, room = p[0] / p[2], p[1] / p[2], world[BALL] / p[2]
    inside = world[U_LOW] + room < u < world[U_HIGH] - room
    return bool(inside and world[V_LOW] + room < v < world[V_HIGH] - room)


@compiled
def _gone(p: Floats, tau: float, world: Floats) -> bool:
    """Tell whether a free flight has ended for certain: below the floor, far off, too long."""
    height = world[0] * p[0] + world[1] * p[1] + world[2] * p[2] + world[ABOVE]
    return height < -0.1 or height > 10.0 or abs(tau) > _LONGEST or not 0.3 < p[2] < _FARTHEST


@compiled
def _hidden_for(
    theta: Floats, bent: Floats, t0: float, since: float, until: float, world: Floats
) -> float:
    """How long the ball should have been in the picture between two times [s]."""
    p, total, many = np.empty(3), 0.0, 8
    for k in range(many):
        place(theta, bent, since + (k + 0.5) / many * (until - since) - t0, p)
        if _seen(p, world):
            total += abs(until - since) / many
    return total


@compiled
def _next(ends: Ints, open_ends: Ints, times: Floats, t0: float) -> int:
    """Return which end is to grow: 1 the later, 0 the earlier, whichever is nearer to t0."""
    if open_ends[1] == 1 and (open_ends[0] == 0 or times[1] - t0 <= t0 - times[0]):
        return 1
    return 0


@compiled
def _try(
    data: Floats, firsts: Ints, picture: int, world: Floats, last: float, t0: float,
    theta: Floats, bent: Floats, left: Floats,
) -> tuple[int, float]:  # fmt: skip
    """Return the row of a picture that a flight takes, and what that is worth.

    The row is -1 where none fits, and -2 where the flight can't go on: it has ended, or the ball
    was not seen for too long though it should have been in the picture.
    """
    p, now = np.empty(3), data[firsts[picture], T]
    place(theta, bent, now - t0, p)
    if _gone(p, now - t0, world) or _hidden_for(theta, bent, t0, last, now, world) > _HIDDEN:
        return -2, 0.0
    cov = np.linalg.inv(left).astype(np.float64)
    gap = abs(now - last)
    best, d = _best_row(data, firsts[picture], firsts[picture + 1], p, now - t0, world, cov, gap)
    if best < 0:
        return -1, -_MISS if _seen(p, world) else 0.0
    return best, _WORTH * data[best, SCORE] - 0.5 * d


@compiled
def _between(
    data: Floats, firsts: Ints, picture_of: Ints, world: Floats, seed: Ints, rows: Ints,
    theta: Floats, bent: Floats, left: Floats,
) -> tuple[int, float]:  # fmt: skip
    """Add the rows of the pictures between a seed's own; return how many rows, and their worth."""
    many, value, t0 = 3, 0.0, data[seed[1], T]
    for at in range(picture_of[seed[0]] + 1, picture_of[seed[2]]):
        if at == picture_of[seed[1]] or many >= len(rows):
            continue
        row, worth = _try(data, firsts, at, world, data[firsts[at], T], t0, theta, bent, left)
        value += worth
        if row >= 0:
            rows[many] = row
            many += 1
    return many, value


@compiled
def grow(
    data: Floats, firsts: Ints, picture_of: Ints, world: Floats, seed: Ints, rows: Ints,
    theta: Floats, bent: Floats,
) -> tuple[int, float, float]:  # fmt: skip
    """Grow a flight both ways from a seed.

    Fills ``rows`` (in no order), ``theta`` and ``bent`` about the seed's middle; returns how many
    rows, the evidence for the flight, and t0.
    """
    left, t0 = np.empty((6, 6)), data[seed[1], T]
    rows[:3] = seed
    chi = _fit_three(data, seed, t0, world, bent, theta, left)
    if chi > 1e8:
        return 0, 0.0, t0
    many, value = _between(data, firsts, picture_of, world, seed, rows, theta, bent, left)
    value += _WORTH * data[seed, SCORE].sum() - 0.5 * chi
    ends = np.array([picture_of[seed[0]], picture_of[seed[2]]])
    times, open_ends = np.array([data[seed[0], T], data[seed[2], T]]), np.ones(2, np.int64)
    while open_ends.sum() > 0:
        side = _next(ends, open_ends, times, t0)
        ends[side] += 2 * side - 1
        if not 0 <= ends[side] < len(firsts) - 1 or many >= len(rows):
            open_ends[side] = 0
            continue
        row, worth = _try(data, firsts, ends[side], world, times[side], t0, theta, bent, left)
        if row == -2:
            open_ends[side] = 0
            continue
        value += worth
        if row < 0:
            continue
        rows[many], times[side] = row, data[row, T]
        many += 1
        if many < 24 or many % (many // 12) == 0:
            bend(theta[3:], world, bent)
            if not solve(data, rows[:many], t0, world, bent, theta, left):
                return 0, 0.0, t0
    return many, value, t0


@compiled
def refit(
    data: Floats, rows: Ints, t0: float, world: Floats, theta: Floats, bent: Floats, left: Floats
) -> float:
    """Fit rows with the bend of their own solution; return chi-square, 1e9 where none fits."""
    for _ in range(4):
        bend(theta[3:], world, bent)
        if not solve(data, rows, t0, world, bent, theta, left):
            return 1e9
    bend(theta[3:], world, bent)
    return _chi(data, rows, t0, world, bent, theta)
