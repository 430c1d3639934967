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
_HOPELESS, _SURE = 0.3, 0.7
#: pixels across a window, at first and at last; longest half streak over the radius
_COARSE, _FINE, _LONGEST = 14.0, 24.0, 2.2


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
    """Fill coverage and its slopes for a window; return the ball's colour and its shading.

    ``window`` [pixel, 2·channel] is picture less background, then the background. Returns
    [channel, (mean, change per radius to the right, down)], by least squares.
    """
    channels = window.shape[1] // 2
    left, right, line = np.zeros((3, 3)), np.zeros((3, channels)), np.empty(3)
    for i in range(len(window)):
        dx, dy = at[i, 0] - p[0], at[i, 1] - p[1]
        a, slopes[i, 0], slopes[i, 1], slopes[i, 2], slopes[i, 3], slopes[i, 4] = _covered(
            dx, dy, p[2], p[3], p[4], edge, many
        )
        cover[i] = a
        if a == 0.0:
            continue
        line[0], line[1], line[2] = a, a * dx / p[2], a * dy / p[2]
        for m in range(3):
            weighted = at[i, 2] * line[m]
            for n in range(3):
                left[m, n] += weighted * line[n]
            for c in range(channels):
                right[m, c] += weighted * (window[i, c] + a * window[i, channels + c])
    # held a little toward no shading, so that a sliver of ball has a colour too
    left[1, 1] += 0.02 * left[0, 0]
    left[2, 2] += 0.02 * left[0, 0]
    left[0, 0] += 1e-9
    return np.ascontiguousarray(np.linalg.solve(left, right).T)


@compiled
def _ball(window: Floats, at: Floats, i: int, c: int, p: Floats, colour: Floats) -> float:
    """Return how far the ball's colour is from the background's at one channel of one pixel."""
    shade = colour[c, 1] * (at[i, 0] - p[0]) + colour[c, 2] * (at[i, 1] - p[1])
    there: float = colour[c, 0] + shade / p[2] - window[i, window.shape[1] // 2 + c]
    return there


@compiled
def _weigh(
    window: Floats, at: Floats, p: Floats, colour: Floats, cover: Floats, noise: float
) -> None:
    """Set each pixel's weight (Huber), so that what hides the ball counts less."""
    channels = window.shape[1] // 2
    for i in range(len(window)):
        left = 0.0
        for c in range(channels):
            left += abs(window[i, c] - cover[i] * _ball(window, at, i, c, p, colour))
        at[i, 2] = min(1.0, 2.0 * channels * noise / (left + 1e-9))


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
        power = pull = 0.0
        for c in range(window.shape[1] // 2):
            ball = _ball(window, at, i, c, p, colour)
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
    image: Bytes, ground: Bytes, gain: float, x: float, y: float, half: float, across: float
) -> tuple[Floats, Floats]:
    """Return the pixels of a square: their differences and background, their places and weights."""
    stride = max(1, int(2.0 * half / across))
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
def _start_streak(window: Floats, at: Floats, p: Floats) -> bool:
    """Set the streak from how long what differs is, about where the ball is thought to be.

    False where it is a long stripe, such as a limb or the edge of a person: no ball.
    """
    colour = np.zeros(3)
    inside = 0
    for i in range(len(window)):
        dx, dy = at[i, 0] - p[0], at[i, 1] - p[1]
        if dx * dx + dy * dy < 0.36 * p[2] * p[2]:
            for c in range(3):
                colour[c] += window[i, c]
            inside += 1
    blue, green, red = colour
    power = blue * blue + green * green + red * red
    if inside == 0 or power <= 0.0:
        return False
    s = sx = sy = sxx = sxy = syy = 0.0
    for i in range(len(window)):
        dx, dy = at[i, 0] - p[0], at[i, 1] - p[1]
        if dx * dx + dy * dy > 6.3 * p[2] * p[2]:
            continue
        off = blue * window[i, 0] + green * window[i, 1] + red * window[i, 2]
        a = min(max(inside * off / power, 0.0), 1.0)
        a = 0.0 if a < 0.15 else a
        s += a
        sx += a * dx
        sy += a * dy
        sxx += a * dx * dx
        sxy += a * dx * dy
        syy += a * dy * dy
    if s < 4.0:
        return True
    mx, my = sx / s, sy / s
    sxx, sxy, syy = sxx / s - mx * mx, sxy / s - mx * my, syy / s - my * my
    apart = math.sqrt((sxx - syy) ** 2 + 4.0 * sxy * sxy)
    long = math.sqrt(3.0 * apart)
    if long < max(0.28 * p[2], 1.2):
        return True
    if long > 2.1 * p[2]:
        return False
    turn = 0.5 * math.atan2(2.0 * sxy, sxx - syy)
    p[0] += min(max(mx, -p[2]), p[2])
    p[1] += min(max(my, -p[2]), p[2])
    long = min(long, 1.8 * p[2])
    p[3], p[4] = long * math.cos(turn), long * math.sin(turn)
    # across the streak a disc's second moment is a quarter of its radius squared
    p[2] = min(max(2.0 * math.sqrt(max(0.5 * (sxx + syy - apart), 0.0)), 0.6 * p[2]), 1.4 * p[2])
    return True


@compiled
def _explained(
    window: Floats, at: Floats, p: Floats, colour: Floats, cover: Floats
) -> tuple[float, float, float]:
    """Share of the difference in and around the disc that it explains, and the residual's noise."""
    channels = window.shape[1] // 2
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
        for c in range(channels):
            rest += (window[i, c] - cover[i] * _ball(window, at, i, c, p, colour)) ** 2
            whole += window[i, c] ** 2
    if near == 0:
        return 0.0, 1e9, 0.0
    return 1.0 - rest / (whole + 1e-9), math.sqrt(rest / (channels * near)), inside


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
    ``out`` [place, FIELDS], NaN where no disc is there. First softly in every other pixel or
    fewer, which most places don't outlast, then sharply in all.
    """
    for k in range(len(starts)):
        out[k] = math.nan
        if _taken(starts[k], out[:k]):
            continue
        p, start, radii = np.zeros(5), starts[k], np.array([low[k], high[k]])
        p[:3] = start
        window, at = _cut(image, ground, gain, p[0], p[1], 2.6 * p[2] + 3.0, _COARSE)
        if len(window) < 25:
            continue
        if not _start_streak(window, at, p):
            continue
        window = _one_channel(window, at, p)
        if not _rounds(window, at, p, noise, start, radii, 0.5):
            continue
        if not _rounds(window, at, p, noise, start, radii, 0.25):
            continue
        reach = 1.3 * p[2] + math.hypot(p[3], p[4]) + 3.0
        window, at = _cut(image, ground, gain, p[0], p[1], reach, _FINE)
        if len(window) >= 25 and _rounds(window, at, p, noise, start, radii, 0.0):
            _fill(window, at, p, noise, out[k])


@compiled
def _one_channel(window: Floats, at: Floats, p: Floats) -> Floats:
    """Return a window along the one direction of colour in which the ball stands out."""
    stands_out = np.zeros(3)
    for i in range(len(window)):
        if (at[i, 0] - p[0]) ** 2 + (at[i, 1] - p[1]) ** 2 < 0.5 * p[2] * p[2]:
            for c in range(3):
                stands_out[c] += window[i, c]
    x, y, z = stands_out
    size = math.sqrt(x * x + y * y + z * z) + 1e-9
    x, y, z = x / size, y / size, z / size
    out = np.empty((len(window), 2))
    for i in range(len(window)):
        out[i, 0] = x * window[i, 0] + y * window[i, 1] + z * window[i, 2]
        out[i, 1] = x * window[i, 3] + y * window[i, 4] + z * window[i, 5]
    return out


@compiled
def _rounds(
    window: Floats, at: Floats, p: Floats, noise: float, start: Floats, radii: Floats, soft: float
) -> bool:
    """Improve a disc by Gauss-Newton; False where it runs away, or explains too little.

    The edge is ``soft`` radii wide, or a pixel and a quarter; the ball's colour is solved for at
    each step.
    """
    cover, slopes = np.empty(len(window)), np.empty((len(window), 5))
    left, right = np.empty((5, 5)), np.empty(5)
    free = 5 if p[3] != 0.0 or p[4] != 0.0 else 3
    stride = max(1.0, abs(at[1, 0] - at[0, 0]))
    edge = max(1.25 * stride, soft * p[2])
    for _ in range(2 if soft == 0.5 else 4 if soft > 0.0 else 8):
        colour = _colours(window, at, p, edge, _many(p, edge), cover, slopes)
        if soft < 0.5:
            _weigh(window, at, p, colour, cover, noise)
        _normal(window, at, p, colour, cover, slopes, free, left, right)
        if left[0, 0] <= 0.0 or left[1, 1] <= 0.0 or left[2, 2] <= 0.0:
            return False
        change = _step(left, right, free, p, radii)
        if math.hypot(p[0] - start[0], p[1] - start[1]) > 2.0 * start[2] + 2.0:
            return False
        if change < 0.02:
            break
    colour = _colours(window, at, p, edge, _many(p, edge), cover, slopes)
    if soft == 0.0:
        return bool(radii[0] <= p[2] <= radii[1] and math.hypot(p[3], p[4]) <= _LONGEST * p[2])
    return _explained(window, at, p, colour, cover)[0] > (
        _HOPELESS if soft < 0.5 else 0.7 * _HOPELESS
    )


@compiled
def _many(p: Floats, edge: float) -> int:
    """How many moments of the exposure are enough for a smooth streak."""
    long = math.hypot(p[3], p[4])
    return 1 if long == 0.0 else min(max(int(long / (0.6 * edge)) + 2, 3), 11)


@compiled
def _step(left: Floats, right: Floats, free: int, p: Floats, radii: Floats) -> float:
    """Move a disc by a damped step; return the largest change [px]."""
    for m in range(free):
        left[m, m] *= 1.0 + 1e-3
        left[m, m] += 1e-6 * left[0, 0] + (0.02 * left[0, 0] if m > 2 else 0.0)
    change = np.linalg.solve(left[:free, :free], right[:free])
    most, largest = 0.4 * p[2], 0.0
    for m in range(free):
        p[m] += min(max(change[m], -most), most)
        largest = max(largest, abs(change[m]))
    p[2] = min(max(p[2], 0.55 * radii[0]), 1.6 * radii[1])
    return largest


@compiled
def _fill(window: Floats, at: Floats, p: Floats, noise: float, out: Floats) -> None:
    """Write down a fitted disc: its errors from the curvature and from what is left over."""
    cover, slopes = np.empty(len(window)), np.empty((len(window), 5))
    left, right = np.empty((5, 5)), np.empty(5)
    free = 5 if p[3] != 0.0 or p[4] != 0.0 else 3
    stride = max(1.0, abs(at[1, 0] - at[0, 0]))
    edge = 1.25 * stride
    colour = _colours(window, at, p, edge, _many(p, edge), cover, slopes)
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
