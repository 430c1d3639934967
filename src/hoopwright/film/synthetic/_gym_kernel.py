"""Ray casting of the gym: which surface a pixel's line of sight meets first, and its colour."""

import math

import numpy as np

from hoopwright.flight._compiled import compiled

#: places in the array of court sizes
(
    RING, BOARD_Y, BOARD_HALF, BOARD_LOW, BOARD_TOP, TARGET_HALF, TARGET_TOP, END, HALF_COURT,
    FREE_THROW, LANE_HALF, THREE, CORNER, CIRCLE, LENGTH,
) = range(15)  # fmt: skip
_LINE = 0.05


@compiled
def _grain(table, u, v):
    """Smooth texture, −1 to 1, from a table that repeats."""
    n = table.shape[0]
    i, j = math.floor(u), math.floor(v)
    a, b = u - i, v - j
    i0, j0 = int(i) % n, int(j) % n
    i1, j1 = (i0 + 1) % n, (j0 + 1) % n
    top = (1.0 - a) * table[i0, j0] + a * table[i1, j0]
    low = (1.0 - a) * table[i0, j1] + a * table[i1, j1]
    return (1.0 - b) * top + b * low


@compiled
def _near(value, line):
    return abs(value - line) < 0.5 * _LINE


@compiled
def _on_line(x, out, s):
    """Tell whether a place of the floor (right, out from the board) is on a painted line."""
    side = abs(x)
    if side > s[HALF_COURT] or out < -s[END] or out > s[LENGTH]:
        return _near(side, s[HALF_COURT] + 0.025) or _near(out, -s[END] - 0.025)
    r = math.sqrt(x * x + out * out)
    if _near(out, s[FREE_THROW] - 0.025) and side < s[LANE_HALF]:
        return True
    if _near(side, s[LANE_HALF] - 0.025) and out < s[FREE_THROW]:
        return True
    if s[THREE] > 0.0:
        meets = math.sqrt(max(s[THREE] * s[THREE] - s[CORNER] * s[CORNER], 0.0))
        if out > meets and _near(r, s[THREE] - 0.025):
            return True
        if out <= meets and _near(side, s[CORNER] - 0.025):
            return True
    d = out - s[FREE_THROW]
    around = math.sqrt(x * x + d * d)
    return d > 0.0 and _near(around, s[CIRCLE])


@compiled
def _floor(x, y, s, table, paint, out):
    """Colour of the floor: boards of wood, the lane, lines, a soft light patch or two."""
    row = math.floor(x / 0.07)
    joint = math.floor((y + 1.7 * ((row * 37) % 11)) / 1.9)
    shade = 0.93 + 0.07 * table[int(row) % table.shape[0], int(joint) % table.shape[0]]
    shade *= 1.0 + 0.03 * _grain(table, 40.0 * x, 4.0 * y)
    if x / 0.07 - row < 0.04:
        shade *= 0.9
    shade *= 1.0 + 0.10 * _grain(table, 0.35 * x + 7.0, 0.3 * y + 3.0)
    which = 0
    if -s[END] < -y < s[FREE_THROW] and abs(x) < s[LANE_HALF]:
        which = 1
    if abs(x) > s[HALF_COURT] + 0.05 or -y < -s[END] - 0.05:
        which = 2
    if _on_line(x, -y, s):
        which, shade = 3, 0.97
    for k in range(3):
        out[k] = shade * paint[which, k]


@compiled
def _wall(u, z, table, paint, seed, out):
    """Colour of a wall: painted base, blocks, posters and windows."""
    block = 0.97 + 0.03 * table[math.floor(u / 0.6) % 256, math.floor(z / 0.3) % 256]
    shade = block * (1.0 + 0.05 * _grain(table, 0.5 * u + seed, 0.6 * z))
    if u / 0.6 - math.floor(u / 0.6) < 0.03 or z / 0.3 - math.floor(z / 0.3) < 0.05:
        shade *= 0.94
    which = 4 if z > 1.8 else 5
    if z < 0.12:
        which = 6
    cell = math.floor((u + seed) / 3.4)
    inside = (u + seed) / 3.4 - cell
    pick = table[cell % 256, int(seed) % 256]
    if pick > -0.2 and 0.25 < inside < 0.72 and 2.3 < z < 3.9:
        # a poster: a coloured sheet with a band, a round mark and lines of print
        which = 7 + cell % 3
        mark = (inside - 0.48) * 3.4
        if mark * mark + (z - 3.2) ** 2 < 0.12 or (
            z < 2.75 and int(z * 22.0) % 2 == 0 and 0.3 < inside < 0.3 + 0.3 * (1 + pick) / 2 + 0.1
        ):
            which = 10
    if 5.6 < z < 7.2 and 0.1 < (u + seed) / 4.6 - math.floor((u + seed) / 4.6) < 0.85:
        which, shade = 11, 0.95 + 0.05 * _grain(table, u, z)
    for k in range(3):
        out[k] = shade * paint[which, k]


@compiled
def _stands(u, z, table, paint, seed, out):
    """Colour of the stands: rows of seats, risers, and here and there somebody's head."""
    row = math.floor(z / 0.45)
    lift = z / 0.45 - row
    shade = 0.62 + 0.35 * lift + 0.06 * _grain(table, 3.0 * u, 9.0 * z)
    which = 12 if lift > 0.35 else 13
    seat = math.floor(u / 0.55 + 0.3 * row)
    across = u / 0.55 + 0.3 * row - seat
    if table[int(seat) % 256, int(row * 7 + seed) % 256] > 0.35:
        away = math.sqrt(((across - 0.5) * 0.55) ** 2 + ((lift - 0.8) * 0.45) ** 2)
        if away < 0.105:
            which, shade = 14 + int(seat) % 2, 1.0 - 2.5 * away
        elif lift < 0.6 and abs(across - 0.5) < 0.36:
            which, shade = 7 + int(seat + row) % 3, 0.8
    for k in range(3):
        out[k] = shade * paint[which, k]


@compiled
def _board(x, z, s, paint, out):
    """Colour of the board: white, an edge, and the painted rectangle."""
    which = 16
    inner = 0.05
    if abs(x) > s[BOARD_HALF] - inner or z > s[BOARD_TOP] - inner or z < s[BOARD_LOW] + inner:
        which = 17
    high = s[RING] + s[TARGET_TOP]
    if s[TARGET_HALF] > 0.0 and abs(x) < s[TARGET_HALF] and s[RING] - 0.05 < z < high - 0.05:
        edge = abs(x) > s[TARGET_HALF] - 0.05 or z < s[RING] or z > high - 0.1
        which = 17 if edge else 16
    shade = 0.96 + 0.03 * (z - s[BOARD_LOW])
    for k in range(3):
        out[k] = shade * paint[which, k]


@compiled
def _box(o, d, low, high):
    """Distance at which a ray enters a box, and through which axis; infinity where it misses."""
    start, end, axis = -math.inf, math.inf, -1
    for k in range(3):
        inverse = 1.0 / d[k] if abs(d[k]) > 1e-12 else 1e12
        a, b = (low[k] - o[k]) * inverse, (high[k] - o[k]) * inverse
        if a > b:
            a, b = b, a
        if a > start:
            start, axis = a, k
        end = min(end, b)
    if start > end or start <= 1e-6:
        return math.inf, -1
    return start, axis


@compiled
def _shell(o, d, hall):
    """Distance to the hall's own walls, floor and ceiling from inside, and which one is met."""
    best, which = math.inf, -1
    for w in range(6):
        k = w // 2
        if abs(d[k]) < 1e-12:
            continue
        t = (hall[w] - o[k]) / d[k]
        if 1e-6 < t < best:
            best, which = t, w
    return best, which


@compiled
def _shade_shell(p, which, s, table, paint, seed, out):
    """Colour of a place on the hall's own surfaces."""
    if which == 4:
        _floor(p[0], p[1], s, table, paint, out)
    elif which == 5:
        beam = p[1] / 3.0 - math.floor(p[1] / 3.0) < 0.08
        lamp = abs(p[0] / 5.0 - math.floor(p[0] / 5.0) - 0.5) < 0.1
        lamp = lamp and abs(p[1] / 4.0 - math.floor(p[1] / 4.0) - 0.5) < 0.15
        for k in range(3):
            out[k] = 250.0 if lamp else paint[6, k] * (0.7 if beam else 1.0)
    elif which < 2 and p[2] < 2.25 and p[1] < 1.0:
        _stands(p[1], p[2], table, paint, seed + 5 * which, out)
    else:
        _wall(p[1] if which < 2 else p[0], p[2], table, paint, seed + 11 * which, out)


@compiled
def _sight(origin, d, hall, boxes, s, table, paint, seed, p, out):
    """Colour and distance of what one line of sight meets first."""
    far, which = _shell(origin, d, hall)
    met, side = -1, 0
    for n in range(len(boxes)):
        t, axis = _box(origin, d, boxes[n, :3], boxes[n, 3:6])
        if t < far:
            far, met, side = t, n, axis
    for k in range(3):
        p[k] = origin[k] + far * d[k]
    if met == 0 and side == 1 and d[1] > 0.0:
        _board(p[0], p[2], s, paint, out)
    elif met >= 0:
        for k in range(3):
            out[k] = paint[int(boxes[met, 6]), k] * (1.0 - 0.15 * side)
    else:
        _shade_shell(p, which, s, table, paint, seed, out)
    return far


@compiled
def cast(origin, turned, rays, hall, boxes, s, table, paint, seed, samples, image, depth):
    """Fill a picture [row, column, BGR] and its depth [m] with the still gym.

    ``rays`` [row, column, 2] are the directions (x/z, y/z) in camera axes, and their steps to the
    next pixel are taken from neighbours; ``hall`` is (left, right, near, far wall, floor, ceiling);
    ``boxes`` [box, (low 3, high 3, paint)]: the first is the board.
    """
    rows, columns = depth.shape
    d, p, colour, total = np.empty(3), np.empty(3), np.empty(3), np.empty(3)
    for i in range(rows):
        for j in range(columns):
            total[:] = 0.0
            dx = rays[i, min(j + 1, columns - 1), 0] - rays[i, max(j - 1, 0), 0]
            dy = rays[min(i + 1, rows - 1), j, 1] - rays[max(i - 1, 0), j, 1]
            for n in range(samples * samples):
                u = rays[i, j, 0] + 0.5 * dx * ((n // samples + 0.5) / samples - 0.5)
                v = rays[i, j, 1] + 0.5 * dy * ((n % samples + 0.5) / samples - 0.5)
                for k in range(3):
                    d[k] = turned[0, k] * u + turned[1, k] * v + turned[2, k]
                depth[i, j] = _sight(origin, d, hall, boxes, s, table, paint, seed, p, colour)
                total += colour
            for k in range(3):
                image[i, j, k] = min(total[k] / (samples * samples), 255.0)


@compiled
def strands(lines, over, cover, depth):
    """Draw thin lines, such as ring and net, into a layer that lies over the picture.

    ``lines`` [line, (x1, y1, depth1, x2, y2, depth2, width px, B, G, R)]; ``over`` and ``cover``
    receive colour and how much of each pixel is covered; ``depth`` the nearest line's depth.
    """
    rows, columns = cover.shape
    for n in range(len(lines)):
        x1, y1, x2, y2 = lines[n, 0], lines[n, 1], lines[n, 3], lines[n, 4]
        half = 0.5 * lines[n, 6]
        reach = half + 1.0
        left, right = int(max(min(x1, x2) - reach, 0.0)), int(min(max(x1, x2) + reach + 1, columns))
        top, low = int(max(min(y1, y2) - reach, 0.0)), int(min(max(y1, y2) + reach + 1, rows))
        ex, ey = x2 - x1, y2 - y1
        long = max(ex * ex + ey * ey, 1e-12)
        for i in range(top, low):
            for j in range(left, right):
                share = ((j - x1) * ex + (i - y1) * ey) / long
                share = min(max(share, 0.0), 1.0)
                away = math.hypot(j - x1 - share * ex, i - y1 - share * ey)
                # how much of a pixel's width a band of this width covers
                part = min(away + half, 0.5) - max(away - half, -0.5)
                if part <= 0.0:
                    continue
                z = lines[n, 2] + share * (lines[n, 5] - lines[n, 2])
                if part > 0.25 and z < depth[i, j]:
                    depth[i, j] = z
                old = cover[i, j]
                new = max(old, min(part, 1.0))
                weight = 1.0 if old == 0.0 else part / (part + old)
                # light along the rod: brighter above
                for k in range(3):
                    over[i, j, k] += weight * (lines[n, 7 + k] - over[i, j, k])
                cover[i, j] = new
