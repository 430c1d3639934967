"""The inner loops: flight by Taylor pieces, and the ball against ring and board.

Axes: x right, y ahead, z up, right-handed; spin is a vector in them, so backspin is + about x.
A *piece* is a stretch of flight short enough for a fifth-order Taylor polynomial in time; contacts
and crossings are roots on it. All in one file, so that numba's disk cache sees every change.
``force`` is ``air.force_constants``.
"""

import math

import numpy as np

from hoopwright.flight._compiled import Floats, compiled

#: [m/s] added to the speed in quadrature, so that drag is smooth where the ball stands still
_SLOW = 1e-3
#: no flight lasts longer [s]
_LONGEST = 20.0

Vector = tuple[float, float, float]
#: position, velocity, and the Taylor coefficients of position from t² to t⁵
Piece = tuple[Vector, Vector, Vector, Vector, Vector, Vector]


@compiled
def _dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


@compiled
def _plus(a: Vector, s: float, b: Vector) -> Vector:
    return (a[0] + s * b[0], a[1] + s * b[1], a[2] + s * b[2])


@compiled
def _times(s: float, a: Vector) -> Vector:
    return (s * a[0], s * a[1], s * a[2])


@compiled
def _cross(a: Vector, b: Vector) -> Vector:
    return (
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    )


@compiled
def _piece(p: Vector, v: Vector, w: Vector, force: Floats) -> Piece:
    """Expand the path at one moment: derivatives of gravity + drag + spin force, term by term."""
    g, drag = force[0], force[1]
    lift = _times(force[2], w)
    s = math.sqrt(_dot(v, v) + _SLOW * _SLOW)
    over = 1.0 / s
    a = _plus(_cross(lift, v), -drag * s, v)
    a = (a[0], a[1], a[2] - g)
    s1 = _dot(v, a) * over
    j = _plus(_plus(_cross(lift, a), -drag * s1, v), -drag * s, a)
    s2 = (_dot(a, a) + _dot(v, j) - s1 * s1) * over
    k = _plus(_plus(_plus(_cross(lift, j), -drag * s2, v), -2.0 * drag * s1, a), -drag * s, j)
    s3 = (3.0 * _dot(a, j) + _dot(v, k) - 3.0 * s1 * s2) * over
    q = _plus(_plus(_cross(lift, k), -drag * s3, v), -3.0 * drag * s2, a)
    q = _plus(_plus(q, -3.0 * drag * s1, j), -drag * s, k)
    return (p, v, _times(1 / 2, a), _times(1 / 6, j), _times(1 / 24, k), _times(1 / 120, q))


@compiled
def _at(piece: Piece, t: float) -> Vector:
    """Position at a time into a piece."""
    r = _plus(piece[4], t, piece[5])
    r = _plus(piece[3], t, r)
    r = _plus(piece[2], t, r)
    r = _plus(piece[1], t, r)
    return _plus(piece[0], t, r)


@compiled
def _velocity(piece: Piece, t: float) -> Vector:
    """Velocity at a time into a piece."""
    r = _plus(_times(4.0, piece[4]), 5.0 * t, piece[5])
    r = _plus(_times(3.0, piece[3]), t, r)
    r = _plus(_times(2.0, piece[2]), t, r)
    return _plus(piece[1], t, r)


@compiled
def _climb_end(piece: Piece, step: float) -> float:
    """Time into a piece at which the ball stops rising (Newton from the parabola's apex)."""
    t = -0.5 * piece[1][2] / piece[2][2]
    for _ in range(6):
        t -= _velocity(piece, t)[2] / (2.0 * piece[2][2] + 6.0 * piece[3][2] * t)
    return min(max(t, 0.0), step)


@compiled
def _falls_through(piece: Piece, height: float, step: float) -> float:
    """Time into a piece at which the falling ball reaches a height (Newton from its far end)."""
    t = step
    for _ in range(40):
        change = (_at(piece, t)[2] - height) / _velocity(piece, t)[2]
        t -= change
        if abs(change) < 1e-14:
            break
    return t


@compiled
def _flight(
    v: Vector, w: Vector, rise: float, step: float, force: Floats, trail: Floats
) -> tuple[float, Vector, Vector, float, float]:
    """Fly from the origin until the ball falls through a height.

    Returns time (NaN where that never happens), position and velocity there, apex above the
    origin, time of apex. ``trail`` [row, (t, x, y, z)] receives the start of every piece.
    """
    p = (0.0, 0.0, 0.0)
    t, apex, apex_time, rows = 0.0, 0.0, 0.0, 0
    while t < _LONGEST:
        if rows < len(trail):
            trail[rows] = (t, p[0], p[1], p[2])
            rows += 1
        spin = _times(math.exp(-force[3] * (t + 0.5 * step)), w) if force[3] > 0.0 else w
        piece = _piece(p, v, spin, force)
        after, v_after = _at(piece, step), _velocity(piece, step)
        if v[2] > 0.0 >= v_after[2]:
            top = _climb_end(piece, step)
            apex, apex_time = _at(piece, top)[2], t + top
        if v_after[2] <= 0.0 and after[2] < rise:
            if apex < rise or (v[2] <= 0.0 and p[2] < rise):
                break
            last = _falls_through(piece, rise, step)
            return t + last, _at(piece, last), _velocity(piece, last), apex, apex_time
        p, v, t = after, v_after, t + step
    return math.nan, p, v, apex, apex_time


@compiled
def trace(
    v: Vector, w: Vector, rise: float, step: float, force: Floats, trail: Floats
) -> tuple[float, Vector, Vector, float, float]:
    """Fly one shot; see ``_flight``."""
    return _flight(v, w, rise, step, force, trail)


@compiled
def _reach(
    speed: float, angle: float, rise: float, spin: float, step: float, force: Floats
) -> tuple[float, float, Vector, float]:
    """Distance, time and velocity at the ring plane, and apex, of a shot straight ahead."""
    v = (0.0, speed * math.cos(angle), speed * math.sin(angle))
    none = np.empty((0, 4))
    t, p, u, apex, _ = _flight(v, (spin, 0.0, 0.0), rise, step, force, none)
    return (p[1] if t > 0.0 else math.nan), t, u, apex


@compiled
def cross_many(
    shots: tuple[Floats, ...], force: Floats, step: float, out: Floats, first: int, last: int
) -> None:
    """Fill ``out`` [shot, (distance, time, entry angle, entry speed, apex)].

    ``shots`` is (speed, angle, rise, spin), each of one element or one per shot.
    """
    s, a, r, w = shots
    ks, ka, kr, kw = min(s.size - 1, 1), min(a.size - 1, 1), min(r.size - 1, 1), min(w.size - 1, 1)
    for i in range(first, last):
        x, t, u, apex = _reach(s[i * ks], a[i * ka], r[i * kr], w[i * kw], step, force)
        fast = math.sqrt(_dot(u, u))
        out[i, 0], out[i, 1] = x, t
        out[i, 2] = math.atan2(-u[2], u[1]) if t > 0.0 else math.nan
        out[i, 3] = fast if t > 0.0 else math.nan
        out[i, 4] = apex if t > 0.0 else math.nan


@compiled
def _speed_for(
    distance: float, angle: float, rise: float, spin: float, step: float, force: Floats
) -> float:
    """Speed that crosses the ring plane at a distance: secant steps kept inside a bracket."""
    c = math.cos(angle)
    drop = distance * math.tan(angle) - rise
    if not (distance > 0.0 and c > 0.0 and drop > 0.0):
        return math.nan
    low, high = 0.0, math.inf
    speed: float = math.sqrt(force[0] * distance * distance / (2.0 * c * c * drop))
    speed *= 1.0 + 0.25 * force[1] * distance
    for _ in range(80):
        x = _reach(speed, angle, rise, spin, step, force)[0]
        if x < distance or math.isnan(x):
            low = speed
        else:
            high = speed
        if math.isnan(x):
            guess = speed * 1.1
        else:
            y = _reach(speed * 1.000001, angle, rise, spin, step, force)[0]
            guess = speed + (distance - x) * 0.000001 * speed / (y - x)
        if abs(guess - speed) < 1e-12 * speed:
            break
        if not low < guess < high:
            guess = 0.5 * (low + high) if high < math.inf else 1.5 * low
        speed = guess
        if speed > 100.0:
            return math.nan
    return speed


@compiled
def _least_angle(
    distance: float, rise: float, spin: float, step: float, force: Floats
) -> tuple[float, float]:
    """Angle of least speed and that speed: parabola steps of shrinking width."""
    angle = 0.25 * math.pi + 0.5 * math.atan2(rise, distance)
    for width in (0.04, 0.04, 0.01, 0.002):
        left = _speed_for(distance, angle - width, rise, spin, step, force)
        here = _speed_for(distance, angle, rise, spin, step, force)
        right = _speed_for(distance, angle + width, rise, spin, step, force)
        bend = left - 2.0 * here + right
        move = 0.5 * width * (left - right) / bend
        angle += min(max(move, -0.1), 0.1) if bend > 0.0 else math.copysign(width, left - right)
    return angle, _speed_for(distance, angle, rise, spin, step, force)


@compiled
def speed_many(
    shots: tuple[Floats, ...], force: Floats, step: float, out: Floats, first: int, last: int
) -> None:
    """Fill ``out`` [shot, 1] with the speed for shots = (distance, angle, rise, spin)."""
    d, a, r, w = shots
    kd, ka, kr, kw = min(d.size - 1, 1), min(a.size - 1, 1), min(r.size - 1, 1), min(w.size - 1, 1)
    for i in range(first, last):
        out[i, 0] = _speed_for(d[i * kd], a[i * ka], r[i * kr], w[i * kw], step, force)


@compiled
def least_many(
    shots: tuple[Floats, ...], force: Floats, step: float, out: Floats, first: int, last: int
) -> None:
    """Fill ``out`` [shot, (angle, speed)] for shots = (distance, rise, spin)."""
    d, r, w = shots
    kd, kr, kw = min(d.size - 1, 1), min(r.size - 1, 1), min(w.size - 1, 1)
    for i in range(first, last):
        out[i, 0], out[i, 1] = _least_angle(d[i * kd], r[i * kr], w[i * kw], step, force)
