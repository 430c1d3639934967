"""The inner loops: flight by Taylor pieces, and the ball against ring and board.

Axes: x right, y ahead, z up, right-handed; spin is a vector in them, so backspin is + about x.
A *piece* is a stretch of flight short enough for a fifth-order Taylor polynomial in time; contacts
and crossings are roots on it. All in one file, so that numba's disk cache sees every change; only
the vector arithmetic, which has no reason to change, is beside it.
``force`` is ``air.force_constants``.
"""

import math

import numpy as np

from hoopwright.flight._compiled import Floats, Outcomes, compiled
from hoopwright.flight._vector import Vector, cross, dot, pick, plus, times, turned, turned_back

#: added to the speed in quadrature, so that drag is smooth where the ball stands still [m/s]; no
#: flight lasts longer [s]
_SLOW, _LONGEST = 1e-3, 20.0

#: one array per quantity, each of one element or one per shot
Columns = tuple[Floats, ...]
#: position, velocity, and the Taylor coefficients of position from t² to t⁵
Piece = tuple[Vector, Vector, Vector, Vector, Vector, Vector]


@compiled
def _piece(p: Vector, v: Vector, w: Vector, force: Floats) -> Piece:
    """Expand the path at one moment: derivatives of gravity + drag + spin force, term by term."""
    g, drag = force[0], force[1]
    lift = times(force[2], w)
    s = math.sqrt(dot(v, v) + _SLOW * _SLOW)
    over = 1.0 / s
    a = plus(cross(lift, v), -drag * s, v)
    a = (a[0], a[1], a[2] - g)
    s1 = dot(v, a) * over
    j = plus(plus(cross(lift, a), -drag * s1, v), -drag * s, a)
    s2 = (dot(a, a) + dot(v, j) - s1 * s1) * over
    k = plus(plus(plus(cross(lift, j), -drag * s2, v), -2.0 * drag * s1, a), -drag * s, j)
    s3 = (3.0 * dot(a, j) + dot(v, k) - 3.0 * s1 * s2) * over
    q = plus(plus(cross(lift, k), -drag * s3, v), -3.0 * drag * s2, a)
    q = plus(plus(q, -3.0 * drag * s1, j), -drag * s, k)
    return (p, v, times(1 / 2, a), times(1 / 6, j), times(1 / 24, k), times(1 / 120, q))


@compiled
def _at(piece: Piece, t: float) -> Vector:
    """Position at a time into a piece."""
    r = plus(piece[4], t, piece[5])
    r = plus(piece[3], t, r)
    r = plus(piece[2], t, r)
    r = plus(piece[1], t, r)
    return plus(piece[0], t, r)


@compiled
def _velocity(piece: Piece, t: float) -> Vector:
    """Velocity at a time into a piece."""
    r = plus(times(4.0, piece[4]), 5.0 * t, piece[5])
    r = plus(times(3.0, piece[3]), t, r)
    r = plus(times(2.0, piece[2]), t, r)
    return plus(piece[1], t, r)


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
def flight(
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
        spin = times(math.exp(-force[3] * (t + 0.5 * step)), w) if force[3] > 0.0 else w
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
def _reach(
    speed: float, angle: float, rise: float, spin: float, step: float, force: Floats
) -> tuple[float, float, Vector, float]:
    """Distance, time and velocity at the ring plane, and apex, of a shot straight ahead."""
    v = (0.0, speed * math.cos(angle), speed * math.sin(angle))
    none = np.empty((0, 4))
    t, p, u, apex, _ = flight(v, (spin, 0.0, 0.0), rise, step, force, none)
    return (p[1] if t > 0.0 else math.nan), t, u, apex


@compiled
def cross_many(shots: Columns, force: Floats, step: float, out: Floats, at: int, last: int) -> None:
    """Fill ``out`` [shot, (distance, time, entry angle, entry speed, apex)].

    ``shots`` is (speed, angle, rise, spin).
    """
    for i in range(at, last):
        x, t, u, apex = _reach(
            pick(shots[0], i),
            pick(shots[1], i),
            pick(shots[2], i),
            pick(shots[3], i),
            step,
            force,
        )
        out[i] = math.nan
        if t > 0.0:
            out[i, 0], out[i, 1], out[i, 2] = x, t, math.atan2(-u[2], u[1])
            out[i, 3], out[i, 4] = math.sqrt(dot(u, u)), apex


@compiled
def _speed_for(
    distance: float, angle: float, rise: float, spin: float, step: float, force: Floats
) -> float:
    """Speed that crosses the ring plane at a distance: secant steps kept inside a bracket."""
    c = math.cos(angle)
    drop = distance * math.tan(angle) - rise
    if not (distance > 0.0 and c > 0.0 and drop > 0.0):
        return math.nan
    low, high, x = 0.0, math.inf, math.nan
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
            break
    # a jump from never reached to reached beyond is not a crossing
    return speed if abs(x - distance) < 1e-6 else math.nan


@compiled
def _least_angle(
    distance: float, rise: float, spin: float, step: float, force: Floats
) -> tuple[float, float]:
    """Angle of least speed and that speed: parabola steps of shrinking width."""
    angle = 0.25 * math.pi + 0.5 * math.atan2(rise, distance)
    # close under the ring, shots a little flatter than the least-speed one no longer come down
    scale = min(1.0, 1.0 / math.tan(angle) ** 2)
    for share in (0.04, 0.04, 0.01, 0.002):
        width = scale * share
        left = _speed_for(distance, angle - width, rise, spin, step, force)
        here = _speed_for(distance, angle, rise, spin, step, force)
        right = _speed_for(distance, angle + width, rise, spin, step, force)
        bend = left - 2.0 * here + right
        move = 0.5 * width * (left - right) / bend
        angle += min(max(move, -0.1), 0.1) if bend > 0.0 else math.copysign(width, left - right)
    speed = _speed_for(distance, angle, rise, spin, step, force)
    return (angle if speed > 0.0 else math.nan), speed


@compiled
def speed_many(shots: Columns, force: Floats, step: float, out: Floats, at: int, last: int) -> None:
    """Fill ``out`` [shot, 1] with the speed for shots = (distance, angle, rise, spin)."""
    for i in range(at, last):
        distance, angle = pick(shots[0], i), pick(shots[1], i)
        rise, spin = pick(shots[2], i), pick(shots[3], i)
        out[i, 0] = _speed_for(distance, angle, rise, spin, step, force)


@compiled
def least_many(shots: Columns, force: Floats, step: float, out: Floats, at: int, last: int) -> None:
    """Fill ``out`` [shot, (angle, speed)] for shots = (distance, rise, spin)."""
    for i in range(at, last):
        distance, rise, spin = pick(shots[0], i), pick(shots[1], i), pick(shots[2], i)
        out[i, 0], out[i, 1] = _least_angle(distance, rise, spin, step, force)


# ---- ring and board: x right of the ring facing the board, y toward the board, z above its top ---
# ``place`` is (ball radius, ring-circle radius, rod radius, setback, half width of the board, its
# lower and upper edge above the ring plane); ``law`` is (restitution at ring, at board, friction).

#: touching: the gap is below this [m]
_TOUCH = 1e-10
#: an impact does not rebound slower than this unless it came in slower [m/s]; so rolling is a run
#: of hops some 0.05 mm high, and friction acts on it as on a rolling ball
_HOP = 0.03
#: a ball that has touched this often, or for this long [s], is at rest: lodged, no goal
MOST_TOUCHES, _LONGEST_PLAY = 600, 12.0
#: shortest look ahead [s], for a gap that neither closes nor opens; room a free start has [m]
_INSTANT, _CLEAR = 1e-9, 0.01
#: what was touched
RING, BOARD_FACE, BOARD_EDGE, NOTHING = 1, 2, 3, 0


@compiled
def _ring_offset(p: Vector, place: Floats) -> tuple[Vector, float]:
    """Vector from the nearest point of the ring circle to the ball, and distance to the axis."""
    rho = math.sqrt(p[0] * p[0] + p[1] * p[1])
    share = (rho - place[1]) / max(rho, 1e-12)
    return (share * p[0], share * p[1], p[2] + place[2]), rho


@compiled
def _board_offset(p: Vector, place: Floats) -> Vector:
    """Vector from the nearest point of the board to the ball."""
    return (
        p[0] - min(max(p[0], -place[4]), place[4]),
        p[1] - place[3],
        p[2] - min(max(p[2], place[5]), place[6]),
    )


@compiled
def _no_sooner(gap: float, rate: float, bend: float) -> float:
    """Time before which a gap can't close whose second derivative is at least −bend."""
    left = max(gap, 0.0)
    root = math.sqrt(rate * rate + 2.0 * bend * left)
    return (rate + root) / bend if rate > 0.0 else 2.0 * left / max(root - rate, 1e-300)


@compiled
def _look(p: Vector, v: Vector, place: Floats, fastest: float, hardest: float) -> tuple[int, float]:
    """Say what is touched now, or how long nothing can be."""
    n, rho = _ring_offset(p, place)
    far = math.sqrt(dot(n, n))
    gap, rate = far - place[2] - place[0], dot(n, v) / max(far, 1e-12)
    if gap <= _TOUCH and rate < 0.0:
        return RING, 0.0
    # the distance to a circle bends down by at most (level speed)² / (distance to its axis)
    bend = hardest + 2.0 * (v[0] * v[0] + v[1] * v[1] + hardest * rho) / max(rho, 1e-12)
    free = min(_no_sooner(gap, rate, bend), 0.5 * rho / fastest)
    free = max(free, gap / fastest)
    b = _board_offset(p, place)
    far = math.sqrt(dot(b, b))
    gap, rate = far - place[0], dot(b, v) / max(far, 1e-12)
    if gap <= _TOUCH and rate < 0.0:
        return (BOARD_FACE if b[0] == 0.0 and b[2] == 0.0 else BOARD_EDGE), 0.0
    return NOTHING, min(free, _no_sooner(gap, rate, hardest))


@compiled
def _to_contact(
    piece: Piece, w: Vector, place: Floats, force: Floats, step: float
) -> tuple[float, int, bool]:
    """Time into a piece of the first contact or of its end; what is touched; whether it is over.

    Over is when the ball's centre falls one ball radius below the ring plane.
    """
    v = piece[1]
    speed = math.sqrt(dot(v, v)) + 0.5
    hardest = force[0] + (force[1] * speed + force[2] * math.sqrt(dot(w, w))) * speed
    fastest, t = speed + hardest * step, 0.0
    while t < step:
        p, v = _at(piece, t), _velocity(piece, t)
        below = p[2] + place[0]
        if below <= _TOUCH and v[2] < 0.0:
            return t, NOTHING, True
        what, free = _look(p, v, place, fastest, hardest)
        if what != NOTHING:
            return t, what, False
        t += max(min(free, _no_sooner(below, v[2], hardest)), _INSTANT)
    return step, NOTHING, False


@compiled
def _bounce(
    v: Vector, w: Vector, n: Vector, radius: float, e: float, friction: float
) -> tuple[Vector, Vector]:
    """Velocity and spin of a thin shell (I = ⅔ m r²) after an impact on a surface with normal n."""
    into = -dot(v, n)
    back = min(into, max(e * into, _HOP))
    slip = plus(plus(v, into, n), -radius, cross(w, n))
    slide = math.sqrt(dot(slip, slip))
    push = min(0.4 * slide, friction * (into + back)) / max(slide, 1e-300)
    v = plus(plus(v, into + back, n), -push, slip)
    return v, plus(w, 1.5 * push / radius, cross(n, slip))


@compiled
def _normal(p: Vector, what: int, place: Floats) -> Vector:
    """Direction from the surface touched to the ball's centre."""
    n = _ring_offset(p, place)[0] if what == RING else _board_offset(p, place)
    return times(1.0 / math.sqrt(dot(n, n)), n)


@compiled
def _note(
    row: Floats, t: float, what: int, p: Vector, n: Vector, into: float, v: Vector, w: Vector,
    radius: float,
) -> None:  # fmt: skip
    """Write one contact: time, what, point, normal speed, spin, velocity and centre after it."""
    row[0], row[1], row[5] = t, what, into
    for k in range(3):
        row[2 + k] = p[k] - radius * n[k]
        row[6 + k], row[9 + k], row[12 + k] = w[k], v[k], p[k]


@compiled
def _play_out(
    t: float, p: Vector, v: Vector, w: Vector, place: Floats, force: Floats, law: Vector,
    step: float, log: Floats,
) -> tuple[int, int, Vector, bool]:  # fmt: skip
    """Follow the ball until it is below the ring or at rest.

    Returns touches of the ring, what was touched first, where the ball was at its first touch of
    the ring (at the end where there was none), and whether it is in.
    """
    rings, boards, first, mark, end = 0, 0, NOTHING, p, t + _LONGEST_PLAY
    while rings + boards < MOST_TOUCHES and t < end:
        piece = _piece(p, v, w, force)
        passed, what, over = _to_contact(piece, w, place, force, step)
        p, v, t = _at(piece, passed), _velocity(piece, passed), t + passed
        if force[3] > 0.0:
            w = times(math.exp(-force[3] * passed), w)
        if over:
            inside = p[0] * p[0] + p[1] * p[1] < place[1] * place[1]
            return rings, first, (mark if rings else p), inside
        if what == NOTHING:
            continue
        n = _normal(p, what, place)
        into = -dot(v, n)
        v, w = _bounce(v, w, n, place[0], law[0] if what == RING else law[1], law[2])
        if rings + boards < len(log):
            _note(log[rings + boards], t, what, p, n, into, v, w, place[0])
        first = what if first == NOTHING else first
        if what == RING:
            mark = mark if rings else p
            rings += 1
        else:
            boards += 1
    return MOST_TOUCHES, first, mark, False


@compiled
def _is_free(p: Vector, v: Vector, place: Floats) -> bool:
    """Tell whether nothing can be touched before this moment of a path that comes down."""
    reach = place[0] + _CLEAR
    rho = math.sqrt(p[0] * p[0] + p[1] * p[1])
    inward = p[0] * v[0] + p[1] * v[1] < 0.0
    ring = p[2] > reach or (inward and rho > place[1] + place[2] + reach)
    ahead = v[1] > 0.0 and p[1] < place[3] - reach
    beside = p[0] * v[0] < 0.0 and abs(p[0]) > place[4] + reach
    return ring and (ahead or beside or p[2] > place[6] + reach)


@compiled
def _approach(
    p: Vector, v: Vector, w: Vector, place: Floats, force: Floats, step: float
) -> tuple[float, Vector, Vector]:
    """Go back along a path, as if ring and board were not there, to where it was free of both."""
    t = 0.0
    while v[2] < 0.0 and t > -_LONGEST_PLAY and not _is_free(p, v, place):
        piece = _piece(p, v, w, force)
        p, v, t = _at(piece, -step), _velocity(piece, -step), t - step
    return t, p, v


@compiled
def _overlaps(p: Vector, place: Floats) -> bool:
    """Tell whether a ball at p would be inside the board or the ring."""
    n, b = _ring_offset(p, place)[0], _board_offset(p, place)
    touch = place[0] + place[2] - _TOUCH
    return bool(dot(b, b) < (place[0] - _TOUCH) ** 2 or dot(n, n) < touch * touch)


@compiled
def _name(rings: int, first: int, inside: bool, along: float, across: float) -> int:
    """Return the number of the outcome; see ``ring.Outcome``."""
    if rings > 3:
        return 4 if inside else 5
    if inside:
        if first == NOTHING:
            return 0
        return 3 if first != RING else (1 if along >= 0.0 else 2)
    if first == NOTHING:
        return 10
    if abs(along) >= abs(across):
        return 7 if along >= 0.0 else 6
    return 9 if across > 0.0 else 8


@compiled
def _arrive(
    p: Vector, v: Vector, w: Vector, turn: tuple[float, float], place: Floats, force: Floats,
    law: Vector, step: float, log: Floats,
) -> int:  # fmt: skip
    """Play one shot from its undisturbed crossing; turn = (sin, cos) of the shooter's bearing."""
    t, start, u = _approach(p, v, w, place, force, step)
    if _overlaps(start, place):
        # the way down never was free of ring and board: it met them on the way up, and is no shot
        return _name(0, BOARD_EDGE, False, *turned_back(p, turn))
    rings, first, mark, inside = _play_out(t, start, u, w, place, force, law, step, log)
    # a make is named by where the ring was touched first, a miss by the undisturbed crossing;
    # off the board that crossing means nothing, so there both go by the first touch of the ring
    q = mark if inside or first in (BOARD_FACE, BOARD_EDGE) else p
    return _name(rings, first, inside, *turned_back(q, turn))


@compiled
def play_many(
    shots: Columns, law: Columns, place: Floats, force: Floats, step: float,
    log: Floats, out: Outcomes, first: int, last: int,
) -> None:  # fmt: skip
    """Fill ``out`` with outcomes of shots known at the ring plane.

    ``shots`` is (along, across, entry angle, entry speed, heading, bearing, spin, sidespin);
    ``law`` (ring restitution, board restitution, friction); ``log`` takes the contacts, if one
    shot. One that is not falling, or not a number, never came to the ring: an air ball.
    """
    for i in range(first, last):
        angle, speed = pick(shots[2], i), pick(shots[3], i)
        sound = pick(shots[0], i) + pick(shots[1], i)
        if not (0.0 < angle < 1.6 and 0.0 < speed < 100.0 and abs(sound) < 100.0):
            out[i] = 10
            continue
        bearing, heading = pick(shots[5], i), pick(shots[4], i)
        turn = (math.sin(bearing), math.cos(bearing))
        x, y = turned(pick(shots[0], i), pick(shots[1], i), turn)
        h, k = turned(math.cos(heading), math.sin(heading), turn)
        level, spin = speed * math.cos(angle), pick(shots[6], i)
        v = (level * h, level * k, -speed * math.sin(angle))
        w = (spin * k, -spin * h, -pick(shots[7], i))
        rules = (pick(law[0], i), pick(law[1], i), pick(law[2], i))
        p = (x, y, 0.0)
        out[i] = _arrive(p, v, w, turn, place, force, rules, step, log)


@compiled
def shoot_many(
    shots: Columns, law: Columns, place: Floats, force: Floats, step: float,
    landing: Floats, out: Outcomes, first: int, last: int,
) -> None:  # fmt: skip
    """Fill ``out`` with outcomes of shots known at release, and ``landing`` with their crossings.

    ``shots`` is (speed, angle, direction, distance, rise, bearing, spin, sidespin); ``landing``
    [shot, (along, across, entry angle, entry speed)] is NaN, and the shot an air ball, where the
    ring plane is never reached.
    """
    none = np.empty((0, 15))
    for i in range(first, last):
        speed, angle, aside = pick(shots[0], i), pick(shots[1], i), pick(shots[2], i)
        level, h, k = speed * math.cos(angle), math.sin(aside), math.cos(aside)
        bearing, back, side = pick(shots[5], i), pick(shots[6], i), pick(shots[7], i)
        v, w = (level * h, level * k, speed * math.sin(angle)), (back * k, -back * h, -side)
        t, p, v, _, _ = flight(v, w, pick(shots[4], i), step, force, none)
        landing[i], out[i] = math.nan, 10
        if t > 0.0:
            along, across = p[1] - pick(shots[3], i), p[0]
            landing[i, 0], landing[i, 1] = along, across
            landing[i, 2] = math.atan2(-v[2], math.sqrt(v[0] * v[0] + v[1] * v[1]))
            landing[i, 3] = math.sqrt(dot(v, v))
            rules = (pick(law[0], i), pick(law[1], i), pick(law[2], i))
            fade = math.exp(-force[3] * t)
            turn = (math.sin(bearing), math.cos(bearing))
            x, y = turned(along, across, turn)
            vx, vy = turned(v[1], v[0], turn)
            wx, wy = turned(w[1], w[0], turn)
            w = (fade * wx, fade * wy, fade * w[2])
            out[i] = _arrive((x, y, 0.0), (vx, vy, v[2]), w, turn, place, force, rules, step, none)
