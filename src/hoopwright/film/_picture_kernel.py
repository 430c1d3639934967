"""Runs of ball-like places whose path in the picture is a parabola in time, grown both ways."""

import math

import numpy as np
from numpy.typing import NDArray

from hoopwright.flight._compiled import compiled

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: columns of a row: time [s], place and radius [px], score
T, X, Y, R, SCORE = range(5)
#: radii of one ball differ by this share and this much [px]
_LIKE, _LIKE_PX = 0.3, 0.7
#: a row lies this near its prediction: of a radius, and [px]
_NEAR, _NEAR_PX = 0.45, 1.2
#: a seed's middle row sags above its chord by no more than this, and below by [radius]
_SAG, _BELOW = 1.8, 0.35
#: least way of a seed [radius]
_WAY = 1.2
#: pictures without a ball after which a run has ended
_PATIENCE = 5
#: rows that a parabola, and a bent one, need
_CURVED, _BENT = 6, 14
#: the last rows, whose mean distance corrects the prediction
_LATEST = 4


@compiled
def seeds(data: Floats, firsts: Ints, gap: int, each: int, out: Ints, good: Floats) -> int:
    """Fill threes of rows ``gap`` pictures apart that may be one ball; return how many.

    Parameters
    ----------
    data
        float64 [row, 5], in order of pictures.
    firsts
        First row of each picture and the end, int64 [picture + 1].
    gap
        In pictures.
    each
        Most threes of one picture.
    out, good
        Filled: int64 [three, 3], and how much they look like a ball, float64 [three].
    """
    found = 0
    for p in range(len(firsts) - 1 - 2 * gap):
        start = found
        for a in range(firsts[p], firsts[p + 1]):
            for c in range(firsts[p + 2 * gap], firsts[p + 2 * gap + 1]):
                if _alike(data, a, c) and _way(data, a, c) > _WAY * data[a, R]:
                    for b in range(firsts[p + gap], firsts[p + gap + 1]):
                        if _between(data, a, b, c):
                            score = data[a, SCORE] * data[b, SCORE] * data[c, SCORE]
                            found = _keep(out, good, start, found, each, (a, b, c), score)
    return found


@compiled
def _keep(
    out: Ints, good: Floats, start: int, found: int, each: int, three: tuple[int, int, int],
    score: float,
) -> int:  # fmt: skip
    at = found
    if found - start >= each:
        at = start + int(np.argmin(good[start:found]))
        if score <= good[at]:
            return found
    elif found >= len(good):
        return found
    for i in range(3):
        out[at, i] = three[i]
    good[at] = score
    return found + 1 if at == found else found


@compiled
def _alike(data: Floats, a: int, b: int) -> bool:
    one, other = data[a, R], data[b, R]
    return bool(abs(one - other) < _LIKE * min(one, other) + _LIKE_PX)


@compiled
def _way(data: Floats, a: int, b: int) -> float:
    return math.hypot(data[b, X] - data[a, X], data[b, Y] - data[a, Y])


@compiled
def _between(data: Floats, a: int, b: int, c: int) -> bool:
    share = (data[b, T] - data[a, T]) / max(data[c, T] - data[a, T], 1e-9)
    x = data[a, X] + share * (data[c, X] - data[a, X])
    above = data[a, Y] + share * (data[c, Y] - data[a, Y]) - data[b, Y]
    radius = data[a, R]
    along = abs(data[b, X] - x) < _NEAR * radius + _NEAR_PX
    sags = -_BELOW * radius - _NEAR_PX < above < _SAG * radius + _NEAR_PX
    return bool(along and sags and _alike(data, a, b))


@compiled
def grow(data: Floats, firsts: Ints, picture_of: Ints, seed: Ints, rows: Ints) -> int:
    """Grow a run from three rows, forward and then backward; return how many rows it has.

    Parameters
    ----------
    data, firsts
        As for ``seeds``.
    picture_of
        Of each row, int64 [row].
    seed
        int64 [3].
    rows
        Filled, in no order, int64 [most].
    """
    many = 3
    rows[:3] = seed
    for way in (1, -1):
        many = _walk(data, firsts, picture_of, seed[0] if way > 0 else seed[2], way, rows, many)
        if many < _CURVED:
            return many
    return many


@compiled
def _walk(
    data: Floats, firsts: Ints, picture_of: Ints, begin: int, way: int, rows: Ints, many: int
) -> int:
    """Step from picture to picture, the seed's own included, taking the nearest row in reach."""
    missed, picture = 0, picture_of[begin]
    latest = np.empty(_LATEST, dtype=np.int64)
    known = 0
    while 0 <= picture + way < len(firsts) - 1 and missed < _PATIENCE and many < len(rows):
        picture += way
        own = _own(picture_of, rows, many, picture)
        if own >= 0:
            latest[known % _LATEST] = own
            known, missed = known + 1, 0
            continue
        if firsts[picture] == firsts[picture + 1]:
            missed += 1
            continue
        best = _nearest(data, firsts, picture, rows[:many], latest[: min(known, _LATEST)], missed)
        if best < 0:
            missed += 1
            continue
        rows[many] = best
        latest[known % _LATEST] = best
        many, known, missed = many + 1, known + 1, 0
    return many


@compiled
def _own(picture_of: Ints, rows: Ints, many: int, picture: int) -> int:
    for i in range(many):
        if picture_of[rows[i]] == picture:
            return int(rows[i])
    return -1


@compiled
def _nearest(
    data: Floats, firsts: Ints, picture: int, rows: Ints, latest: Ints, missed: int
) -> int:
    time = data[firsts[picture], T]
    middle = data[rows[0], T]
    terms = 2 if len(rows) < _CURVED else 3 if len(rows) < _BENT else 4
    across, down = _curve(data, rows, middle, terms, X), _curve(data, rows, middle, terms, Y)
    x, y = _value(across, time - middle), _value(down, time - middle)
    off_x, off_y, radius = 0.0, 0.0, 0.0
    for row in latest:
        off_x += (data[row, X] - _value(across, data[row, T] - middle)) / len(latest)
        off_y += (data[row, Y] - _value(down, data[row, T] - middle)) / len(latest)
    for row in rows:
        radius += data[row, R] / len(rows)
    best, least = -1, (_NEAR * radius + _NEAR_PX) * (1.0 + 0.3 * missed)
    for row in range(firsts[picture], firsts[picture + 1]):
        far = math.hypot(data[row, X] - x - off_x, data[row, Y] - y - off_y)
        if far < least and abs(data[row, R] - radius) < _LIKE * radius + _LIKE_PX:
            best, least = row, far
    return best


@compiled
def _curve(data: Floats, rows: Ints, middle: float, terms: int, column: int) -> Floats:
    """Return the least-squares polynomial of a column in time."""
    left, right = np.zeros((4, 4)), np.zeros(4)
    for row in rows:
        t, power = data[row, T] - middle, 1.0
        for i in range(terms):
            right[i] += power * data[row, column]
            along = power
            for j in range(terms):
                left[i, j] += along
                along *= t
            power *= t
    return _solved(left, right, terms)


@compiled
def _solved(left: Floats, right: Floats, terms: int) -> Floats:
    """Solve symmetric equations in place, by elimination: LAPACK takes long to compile in."""
    for i in range(terms):
        left[i, i] += 1e-12
        for k in range(i + 1, terms):
            share = left[k, i] / left[i, i]
            for j in range(i, terms):
                left[k, j] -= share * left[i, j]
            right[k] -= share * right[i]
    for i in range(terms - 1, -1, -1):
        for j in range(i + 1, terms):
            right[i] -= left[i, j] * right[j]
        right[i] /= left[i, i]
    return right[:terms]


@compiled
def _value(curve: Floats, t: float) -> float:
    value = 0.0
    for i in range(len(curve) - 1, -1, -1):
        value = value * t + curve[i]
    return value
