"""The inner loops of looking closely: a disc that moves over the exposure, fitted to a picture.

Pictures are uint8 [row, column, blue green red]; places are (x, y) in pixels.
"""

import math

import numpy as np
from numpy.typing import NDArray

from hoopwright.flight._compiled import compiled

Bytes = NDArray[np.uint8]
Floats = NDArray[np.float64]

#: columns of what ``fit`` fills
X, Y, RADIUS, STREAK_X, STREAK_Y, X_VAR, Y_VAR, RADIUS_VAR, EXPLAINED, CONTRAST = range(10)
BLUE, GREEN, RED, INSIDE, FIELDS = 10, 11, 12, 13, 14
#: a soft disc that explains less of what differs is given up, one that explains more is no other
_HOPELESS, _SURE = 0.2, 0.7
#: pixels across a window; longest half streak over the radius
_ACROSS, _LONGEST = 24.0, 2.2


@compiled
def _covered(
    dx: float, dy: float, radius: float, sx: float, sy: float, edge: float, many: int
) -> tuple[float, float, float, float, float, float]:
    """How much of a pixel a moving disc covers over the exposure, and its slopes.

    ``dx, dy``: pixel less middle. The disc moves evenly from −streak to +streak; its edge is a
    smooth step ``edge`` px wide each way. Slopes by x, y, radius, streak x, streak y.
    """
    a = ax = ay = ar = tx = ty = 0.0
    far, reach = dx * dx + dy * dy, math.sqrt(sx * sx + sy * sy) + edge
    if far > (radius + reach) * (radius + reach):
        return a, ax, ay, ar, tx, ty
    if radius > reach and far < (radius - reach) * (radius - reach):
        return 1.0, ax, ay, ar, tx, ty
    for k in range(many):
        t = (2.0 * k + 1.0) / many - 1.0
        ux, uy = dx - t * sx, dy - t * sy
        away = math.sqrt(ux * ux + uy * uy)
        u = (radius - away) / edge
        if u >= 1.0:
            a += 1.0
        elif u > -1.0:
            a += 0.5 + u * (0.75 - 0.25 * u * u)
            slope = 0.75 * (1.0 - u * u) / edge
            over = slope / max(away, 1e-6)
            ax += over * ux
            ay += over * uy
            ar += slope
            tx += t * over * ux
            ty += t * over * uy
    n = 1.0 / many
    return a * n, ax * n, ay * n, ar * n, tx * n, ty * n


@compiled
def _colours(
    window: Floats, at: Floats, p: Floats, edge: float, many: int, cover: Floats, slopes: Floats
) -> Floats:
    """Fill coverage and its slopes for a window; return colour and its shading down the ball.

    ``window`` [pixel, 6] is picture less background, then the background, by channel. Returns
    [channel, (off the background's mean, shading per radius)], by least squares.
    """
    sums = np.zeros((3, 5))
    for i in range(len(window)):
        dx, dy = at[i, 0] - p[0], at[i, 1] - p[1]
        a, slopes[i, 0], slopes[i, 1], slopes[i, 2], slopes[i, 3], slopes[i, 4] = _covered(
            dx, dy, p[2], p[3], p[4], edge, many
        )
        cover[i] = a
        if a > 0.0:
            v = dy / p[2]
            for c in range(3):
                y = window[i, c] + a * window[i, 3 + c]
                w = at[i, 2]
                sums[c, 0] += w * a * a
                sums[c, 1] += w * a * a * v
                sums[c, 2] += w * a * a * v * v
                sums[c, 3] += w * a * y
                sums[c, 4] += w * a * v * y
    out = np.zeros((3, 2))
    for c in range(3):
        n, first, second = sums[c, 0] + 1e-9, sums[c, 1], sums[c, 2] + 0.05 * sums[c, 0] + 1e-9
        det = n * second - first * first
        out[c, 0] = (sums[c, 3] * second - sums[c, 4] * first) / det
        out[c, 1] = (n * sums[c, 4] - first * sums[c, 3]) / det
    return out


@compiled
def _off(window: Floats, i: int, c: int, a: float, colour: Floats, v: float) -> float:
    """Return what is left of one channel of one pixel after background and ball."""
    ball = colour[c, 0] + colour[c, 1] * v - window[i, 3 + c]
    left: float = window[i, c] - a * ball
    return left


@compiled
def _weigh(
    window: Floats, at: Floats, p: Floats, colour: Floats, cover: Floats, noise: float
) -> float:
    """Set each pixel's weight (Huber), so that what hides the ball counts less; mean residual."""
    total = 0.0
    for i in range(len(window)):
        v = (at[i, 1] - p[1]) / p[2]
        left = 0.0
        for c in range(3):
            left += abs(_off(window, i, c, cover[i], colour, v))
        at[i, 2] = min(1.0, 6.0 * noise / (left + 1e-9))
        total += left
    return total / (3.0 * len(window))


@compiled
def _normal(
    window: Floats,
    at: Floats,
    p: Floats,
    colour: Floats,
    cover: Floats,
    slopes: Floats,
    free: int,
    left: Floats,
    right: Floats,
) -> None:
    """Fill the normal equations of the disc's place, radius and streak."""
    left[:] = 0.0
    right[:] = 0.0
    for i in range(len(window)):
        if slopes[i, 2] == 0.0:
            continue
        v = (at[i, 1] - p[1]) / p[2]
        power = pull = 0.0
        for c in range(3):
            ball = colour[c, 0] + colour[c, 1] * v - window[i, 3 + c]
            power += ball * ball
            pull += ball * (window[i, c] - cover[i] * ball)
        for m in range(free):
            weighted = at[i, 2] * slopes[i, m]
            right[m] += weighted * pull
            for n in range(m + 1):
                left[m, n] += weighted * power * slopes[i, n]
    for m in range(free):
        for n in range(m):
            left[n, m] = left[m, n]


@compiled
def _cut(
    image: Bytes, ground: Bytes, gain: float, x: float, y: float, half: float
) -> tuple[Floats, Floats]:
    """Return the pixels of a square: their differences and background, their places and weights."""
    stride = max(1, int(2.0 * half / _ACROSS))
    rows, columns = image.shape[0], image.shape[1]
    top, bottom = max(0, int(y - half)), min(rows, int(y + half) + 2)
    first, last = max(0, int(x - half)), min(columns, int(x + half) + 2)
    high, wide = (
        max(0, (bottom - top + stride - 1) // stride),
        max(0, (last - first + stride - 1) // stride),
    )
    window, at = np.empty((high * wide, 6)), np.ones((high * wide, 3))
    n = 0
    for i in range(top, bottom, stride):
        for j in range(first, last, stride):
            for c in range(3):
                usual = gain * ground[i, j, c]
                window[n, c] = image[i, j, c] - usual
                window[n, 3 + c] = usual
            at[n, 0], at[n, 1] = j, i
            n += 1
    return window, at


@compiled
def _start_streak(window: Floats, at: Floats, p: Floats) -> None:
    """Set the streak from how long what differs is, about where the ball is thought to be."""
    colour = np.zeros(3)
    inside = 0
    for i in range(len(window)):
        dx, dy = at[i, 0] - p[0], at[i, 1] - p[1]
        if dx * dx + dy * dy < 0.36 * p[2] * p[2]:
            colour += window[i, :3]
            inside += 1
    power = (colour * colour).sum()
    if inside == 0 or power <= 0.0:
        return
    s = sx = sy = sxx = sxy = syy = 0.0
    for i in range(len(window)):
        dx, dy = at[i, 0] - p[0], at[i, 1] - p[1]
        if dx * dx + dy * dy > 6.3 * p[2] * p[2]:
            continue
        a = min(max(inside * (window[i, :3] * colour).sum() / power, 0.0), 1.0)
        a = 0.0 if a < 0.15 else a
        s += a
        sx += a * dx
        sy += a * dy
        sxx += a * dx * dx
        sxy += a * dx * dy
        syy += a * dy * dy
    if s < 4.0:
        return
    mx, my = sx / s, sy / s
    sxx, sxy, syy = sxx / s - mx * mx, sxy / s - mx * my, syy / s - my * my
    apart = math.sqrt((sxx - syy) ** 2 + 4.0 * sxy * sxy)
    long = math.sqrt(3.0 * apart)
    if long < max(0.28 * p[2], 1.2):
        return
    turn = 0.5 * math.atan2(2.0 * sxy, sxx - syy)
    p[0] += min(max(mx, -p[2]), p[2])
    p[1] += min(max(my, -p[2]), p[2])
    long = min(long, 1.8 * p[2])
    p[3], p[4] = long * math.cos(turn), long * math.sin(turn)
    # across the streak a disc's second moment is a quarter of its radius squared
    p[2] = min(max(2.0 * math.sqrt(max(0.5 * (sxx + syy - apart), 0.0)), 0.6 * p[2]), 1.4 * p[2])


@compiled
def _explained(
    window: Floats, at: Floats, p: Floats, colour: Floats, cover: Floats
) -> tuple[float, float, float]:
    """Share of the difference in and around the disc that it explains, and the residual's noise."""
    rest = whole = 0.0
    near, inside = 0, 0.0
    reach = p[2] + max(2.5, 0.35 * p[2])
    long = p[3] * p[3] + p[4] * p[4]
    for i in range(len(window)):
        dx, dy = at[i, 0] - p[0], at[i, 1] - p[1]
        t = min(max((dx * p[3] + dy * p[4]) / long, -1.0), 1.0) if long > 0.0 else 0.0
        ux, uy = dx - t * p[3], dy - t * p[4]
        if ux * ux + uy * uy > reach * reach:
            continue
        near += 1
        inside += cover[i]
        for c in range(3):
            rest += _off(window, i, c, cover[i], colour, dy / p[2]) ** 2
            whole += window[i, c] ** 2
    if near == 0:
        return 0.0, 1e9, 0.0
    return 1.0 - rest / (whole + 1e-9), math.sqrt(rest / (3.0 * near)), inside


@compiled
def _taken(start: Floats, found: Floats) -> bool:
    """Tell whether a start lies on a disc that was already found, and is no larger."""
    for i in range(len(found)):
        if not found[i, EXPLAINED] > _SURE or start[2] > 1.6 * found[i, RADIUS]:
            continue
        dx, dy = start[0] - found[i, X], start[1] - found[i, Y]
        reach = 1.1 * found[i, RADIUS] + math.hypot(found[i, STREAK_X], found[i, STREAK_Y])
        if dx * dx + dy * dy < reach * reach:
            return True
    return False


@compiled
def fit(
    image: Bytes,
    ground: Bytes,
    gain: float,
    noise: float,
    starts: Floats,
    low: Floats,
    high: Floats,
    out: Floats,
) -> None:
    """Fit a disc of one shaded colour, moving evenly over the exposure, to places of a picture.

    ``starts`` [place, (x, y, radius)] is where to begin, ``low`` and ``high`` the radii allowed;
    ``out`` [place, FIELDS], NaN where no disc is there.
    """
    for k in range(len(starts)):
        out[k] = math.nan
        if _taken(starts[k], out[:k]):
            continue
        p = np.zeros(5)
        p[:3] = starts[k]
        window, at = _cut(image, ground, gain, p[0], p[1], 2.6 * p[2] + 3.0)
        if len(window) < 25:
            continue
        _start_streak(window, at, p)
        if p[3] != 0.0 or p[4] != 0.0:
            reach = 1.5 * p[2] + math.hypot(p[3], p[4]) + 3.0
        else:
            reach = 1.7 * p[2] + 3.0
        window, at = _cut(image, ground, gain, p[0], p[1], reach)
        if len(window) < 25:
            continue
        _fit_one(window, at, p, noise, starts[k], low[k], high[k], out[k])


@compiled
def _fit_one(
    window: Floats,
    at: Floats,
    p: Floats,
    noise: float,
    start: Floats,
    low: float,
    high: float,
    out: Floats,
) -> None:
    """Gauss-Newton from a soft edge to a sharp one; the ball's colour is solved for each time."""
    cover, slopes = np.empty(len(window)), np.empty((len(window), 5))
    left, right = np.empty((5, 5)), np.empty(5)
    free = 5 if p[3] != 0.0 or p[4] != 0.0 else 3
    stride = max(1.0, abs(at[1, 0] - at[0, 0]))
    radius, long = p[2], math.hypot(p[3], p[4])
    colour, many = np.zeros((3, 2)), 1
    for step in range(12):
        edge = max(1.25 * stride, (0.5 if step < 3 else 0.25 if step < 5 else 0.0) * radius)
        long = math.hypot(p[3], p[4])
        many = 1 if free == 3 else min(max(int(long / (0.6 * edge)) + 2, 3), 11)
        colour = _colours(window, at, p, edge, many, cover, slopes)
        if step == 3 and _explained(window, at, p, colour, cover)[0] < _HOPELESS:
            return
        if step >= 3:
            _weigh(window, at, p, colour, cover, noise)
        _normal(window, at, p, colour, cover, slopes, free, left, right)
        if left[0, 0] <= 0.0 or left[1, 1] <= 0.0 or left[2, 2] <= 0.0:
            return
        for m in range(free):
            left[m, m] *= 1.0 + 1e-3
            left[m, m] += 1e-6 * left[0, 0] + (0.02 * left[0, 0] if m > 2 else 0.0)
        change = np.linalg.solve(left[:free, :free], right[:free])
        most = 0.4 * radius
        for m in range(free):
            p[m] += min(max(change[m], -most), most)
        p[2] = min(max(p[2], 0.55 * low), 1.6 * high)
        if math.hypot(p[0] - start[0], p[1] - start[1]) > 2.0 * start[2] + 2.0:
            return
        if step > 5 and np.abs(change).max() < 0.02:
            break
    if not low <= p[2] <= high or math.hypot(p[3], p[4]) > _LONGEST * p[2]:
        return
    _fill(window, at, p, colour, cover, slopes, free, noise, stride, out)


@compiled
def _fill(
    window: Floats,
    at: Floats,
    p: Floats,
    colour: Floats,
    cover: Floats,
    slopes: Floats,
    free: int,
    noise: float,
    stride: float,
    out: Floats,
) -> None:
    """Write down a fitted disc: its errors from the curvature and from what is left over."""
    left, right = np.empty((5, 5)), np.empty(5)
    _normal(window, at, p, colour, cover, slopes, free, left, right)
    explained, rest, inside = _explained(window, at, p, colour, cover)
    spread = max(rest, noise)
    for m in range(free):
        left[m, m] += 1e-6 * left[0, 0] + 1e-9
    errors = np.linalg.inv(left[:free, :free]) * spread**2
    out[:5] = p
    out[X_VAR], out[Y_VAR], out[RADIUS_VAR] = errors[0, 0], errors[1, 1], errors[2, 2]
    out[EXPLAINED] = explained
    weight = power = 0.0
    for i in range(len(window)):
        for c in range(3):
            power += cover[i] * (colour[c, 0] - window[i, 3 + c]) ** 2
        weight += cover[i]
    out[CONTRAST] = math.sqrt(power / max(weight, 1e-9)) / spread
    out[BLUE], out[GREEN], out[RED] = colour[0, 0], colour[1, 0], colour[2, 0]
    out[INSIDE] = inside * stride * stride
