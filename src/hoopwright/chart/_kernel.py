"""Inner loops of the chart likelihood: float arrays in, float arrays out, no checks.

Parameter order of ``psi`` [draw, 8]: speed bias (share of speed), log of speed spread (share of
speed), release angle over the least-speed angle [rad], log of release-angle spread [rad],
atanh of the speed-angle correlation, direction bias [rad], log of direction spread [rad],
ring restitution.
"""

import math

import numpy as np
from numba import njit

from hoopwright.chart._normal_kernel import normal_loglik, shared_loglik, tell_shared

SPEED_BIAS, LOG_SPEED_SD, ANGLE_OVER, LOG_ANGLE_SD, CORRELATION, TURN_BIAS, LOG_TURN_SD, RING = (
    range(8)
)
# columns of a block's flight table
ENTRY, GAIN_SPEED, GAIN_ANGLE, CURVE_ANGLE, SPEED = range(5)
# columns of a block's counts
MAKE, MAKE_FRONT, MAKE_BACK, MISS, FIRST_WAY = range(5)
WAYS = 8

# the standard normal share below points of a fine grid; erf itself would take a third of the time
_CDF_END, _CDF_RATE = 6.0, 200.0
_CDF = np.array([0.5 * math.erfc(-(i / _CDF_RATE - _CDF_END) / math.sqrt(2)) for i in range(2401)])
# Gauss–Hermite nodes and weights of a standard normal, five points
_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(5)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()
_TINY = 1e-12
# share of makes and misses written down the wrong way round beside a tapped point
SLIP = 0.005


@njit(cache=True, nogil=True)
def interpolate_row(table, start, step, x, out):
    """Fill ``out`` with the rows of ``table`` around x, linearly; flat beyond both ends."""
    at = min(max((x - start) / step, 0.0), table.shape[0] - 1.000001)
    low = int(at)
    share = at - low
    for k in range(out.shape[0]):
        out[k] = table[low, k] * (1.0 - share) + table[low + 1, k] * share


@njit(cache=True, nogil=True)
def landing(psi, row, distance, out):
    """Fill ``out`` with mean along, sd along, mean across, sd across of one block."""
    speed_sd = math.exp(psi[LOG_SPEED_SD])
    angle_sd = math.exp(psi[LOG_ANGLE_SD])
    from_speed = row[GAIN_SPEED] * speed_sd
    from_angle = row[GAIN_ANGLE] * angle_sd
    bend = row[CURVE_ANGLE] * angle_sd * angle_sd
    variance = from_speed**2 + from_angle**2 + 0.5 * bend**2
    variance += 2.0 * math.tanh(psi[CORRELATION]) * from_speed * from_angle
    # the path is bent: a scattered angle brings the centre of the landings nearer, too
    out[0] = row[GAIN_SPEED] * psi[SPEED_BIAS] + 0.5 * bend
    out[1] = math.sqrt(max(variance, 1e-6))
    out[2] = distance * psi[TURN_BIAS]
    out[3] = distance * math.exp(psi[LOG_TURN_SD])


@njit(cache=True, nogil=True)
def normal_below(x):
    """Return the standard normal share below x, from a table to 1e-6."""
    at = (x + _CDF_END) * _CDF_RATE
    if at <= 0.0:
        return 0.0
    i = int(at)
    if i >= _CDF.shape[0] - 1:
        return 1.0
    return _CDF[i] + (at - i) * (_CDF[i + 1] - _CDF[i])


@njit(cache=True, nogil=True)
def cell_shares(mean, sd, start, step, out):
    """Fill ``out`` with the normal share of each grid cell; the end cells take the tails.

    Returns the first and one past the last cell that hold anything.
    """
    last = out.shape[0] - 1
    edge, width = (start + 0.5 * step - mean) / sd, step / sd
    before, first, end = 0.0, last, 0
    for i in range(last + 1):
        now = normal_below(edge) if i < last else 1.0
        out[i] = now - before
        if now > before:
            first, end = min(first, i), i + 1
        before = now
        edge += width
    return first, end


@njit(cache=True, nogil=True)
def blend(table, entry_at, ring_at, first, end, out):
    """Fill rows first to end of ``out`` [along, across] with chances between four slices."""
    i = int(min(max(entry_at, 0.0), table.shape[0] - 1.000001))
    j = int(min(max(ring_at, 0.0), table.shape[1] - 1.000001))
    u = np.float32(min(max(entry_at - i, 0.0), 1.0))
    w = np.float32(min(max(ring_at - j, 0.0), 1.0))
    one = np.float32(1.0)
    a, b, c, d = (one - u) * (one - w), (one - u) * w, u * (one - w), u * w
    for m in range(first, end):
        for n in range(out.shape[1]):
            out[m, n] = (
                a * table[i, j, m, n]
                + b * table[i, j + 1, m, n]
                + c * table[i + 1, j, m, n]
                + d * table[i + 1, j + 1, m, n]
            )


@njit(cache=True, nogil=True, fastmath=True)
def make_share(chances, along, across, first, end):
    """Return the share made, given cell shares along and across."""
    total = 0.0
    for m in range(first, end):
        row = np.float32(0.0)
        for n in range(chances.shape[1]):
            row += across[n] * chances[m, n]
        total += along[m] * row
    return total


@njit(cache=True, nogil=True, fastmath=True)
def missed_cells(chances, along, across, first, end, out):
    """Fill rows first to end of ``out`` with the share of shots missed in each cell."""
    for m in range(first, end):
        for n in range(chances.shape[1]):
            out[m, n] = along[m] * across[n] * (np.float32(1.0) - chances[m, n])


@njit(cache=True, nogil=True, fastmath=True)
def way_share(missed, way, first, end):
    """Return the share missed and called this way (``way`` holds the chance of the call)."""
    total = 0.0
    for m in range(first, end):
        row = np.float32(0.0)
        for n in range(missed.shape[1]):
            row += missed[m, n] * way[m, n]
        total += row
    return total


@njit(cache=True, nogil=True, fastmath=True)
def front_share(chances, along, across, front, first, end):
    """Return the share made and called the front half (``front`` [along])."""
    total = 0.0
    for m in range(first, end):
        row = np.float32(0.0)
        for n in range(chances.shape[1]):
            row += across[n] * chances[m, n]
        total += along[m] * front[m] * row
    return total


@njit(cache=True, nogil=True)
def counts_loglik(counts, made, chances, along, across, ways, front, cells, first, end):
    """Return the log-likelihood of one block's counts, ``made`` being the share made."""
    missed = max(1.0 - made, _TINY)
    made = max(made, _TINY)
    total = counts[MAKE] * math.log(made) + counts[MISS] * math.log(missed)
    if counts[MAKE_FRONT] + counts[MAKE_BACK] > 0.0:
        near = min(max(front_share(chances, along, across, front, first, end), _TINY), made)
        total += counts[MAKE_FRONT] * math.log(near)
        total += counts[MAKE_BACK] * math.log(max(made - near, _TINY))
    if np.sum(counts[FIRST_WAY:]) > 0.0:
        missed_cells(chances, along, across, first, end, cells)
    for k in range(WAYS):
        if counts[FIRST_WAY + k] > 0.0:
            share = way_share(cells, ways[k], first, end)
            total += counts[FIRST_WAY + k] * math.log(max(share, _TINY))
    return total


@njit(cache=True, nogil=True)
def chance_at(chances, grid, along, across):
    """Return the make chance at one point, bilinear; 0 short of or beside the grid."""
    x = (along - grid[0]) / grid[1]
    y = (across - grid[2]) / grid[3]
    if x < 0.0 or y < 0.0 or y > chances.shape[1] - 1.0:
        return 0.0
    x = min(x, chances.shape[0] - 1.000001)
    i, j = int(x), int(min(y, chances.shape[1] - 1.000001))
    u, w = x - i, y - j
    low = chances[i, j] * (1.0 - w) + chances[i, j + 1] * w
    high = chances[i + 1, j] * (1.0 - w) + chances[i + 1, j + 1] * w
    return low * (1.0 - u) + high * u


@njit(cache=True, nogil=True)
def chance_near(chances, grid, where, point):
    """Return the make chance of one shot, given its noisy landing point.

    ``point``: along, across and their error sds; ``where``: mean along, sd along, mean across,
    sd across of the landings it is one of.
    """
    gain_a = where[1] ** 2 / (where[1] ** 2 + point[2] ** 2)
    gain_c = where[3] ** 2 / (where[3] ** 2 + point[3] ** 2)
    mean_a = where[0] + gain_a * (point[0] - where[0])
    mean_c = where[2] + gain_c * (point[1] - where[2])
    sd_a, sd_c = math.sqrt(gain_a) * point[2], math.sqrt(gain_c) * point[3]
    chance = 0.0
    for i in range(5):
        for j in range(5):
            a, c = mean_a + sd_a * _NODES[i], mean_c + sd_c * _NODES[j]
            chance += _WEIGHTS[i] * _WEIGHTS[j] * chance_at(chances, grid, a, c)
    return chance


@njit(cache=True, nogil=True)
def outcome_table(table, grid, where, points, made, nodes, out):
    """Add to ``out`` [fine entry, fine ring] the log chance of these outcomes.

    ``table`` [entry, ring, along, across]; ``nodes``: how many fine nodes stand for one step of
    the table's entry and ring axes.
    """
    n_entry, n_ring = table.shape[0], table.shape[1]
    coarse = np.empty((n_entry, n_ring))
    for p in range(points.shape[0]):
        for i in range(n_entry):
            for j in range(n_ring):
                coarse[i, j] = chance_near(table[i, j], grid, where, points[p])
        for i in range(out.shape[0]):
            e = min(i // nodes[0], n_entry - 2)
            u = i / nodes[0] - e
            for j in range(out.shape[1]):
                r = min(j // nodes[1], n_ring - 2)
                w = j / nodes[1] - r
                low = coarse[e, r] * (1.0 - w) + coarse[e, r + 1] * w
                high = coarse[e + 1, r] * (1.0 - w) + coarse[e + 1, r + 1] * w
                # a slip of the finger keeps one surprising make from ruling all else out
                chance = SLIP + (1.0 - 2.0 * SLIP) * (low * (1.0 - u) + high * u)
                out[i, j] += math.log(chance if made[p] else 1.0 - chance)


@njit(cache=True, nogil=True)
def between(table, x, y):
    """Return a table's value between its nodes, bilinear; flat beyond its edges."""
    x = min(max(x, 0.0), table.shape[0] - 1.000001)
    y = min(max(y, 0.0), table.shape[1] - 1.000001)
    i, j = int(x), int(y)
    u, w = x - i, y - j
    low = table[i, j] * (1.0 - w) + table[i, j + 1] * w
    high = table[i + 1, j] * (1.0 - w) + table[i + 1, j + 1] * w
    return low * (1.0 - u) + high * u


@njit(cache=True, nogil=True)
def points_loglik(group, where):
    """Return the log density of points that share their errors.

    ``group``: count, mean along, mean across, summed squares about them, error sds.
    """
    count = group[0]
    var_a = where[1] ** 2 + group[5] ** 2
    var_c = where[3] ** 2 + group[6] ** 2
    square_a = group[3] + count * (group[1] - where[0]) ** 2
    square_c = group[4] + count * (group[2] - where[2]) ** 2
    return -0.5 * (square_a / var_a + square_c / var_c + count * math.log(var_a * var_c))


@njit(cache=True, nogil=True)
def film_loglik(psi, row, where, setting, film, information, pull):
    """Return the log density of one filmed shot if its camera is as told.

    ``setting``: distance and least-speed angle; ``film``: 5 values (speed, angle, direction,
    along, across), their 25 covariances, 25 steps and the number of the camera; what it says
    of that camera's error is added to ``information`` [camera, 5, 5] and ``pull`` [camera, 5].
    """
    distance, least_angle = setting
    speed = row[SPEED] * math.exp(psi[SPEED_BIAS])
    speed_sd, angle_sd = math.exp(psi[LOG_SPEED_SD]), math.exp(psi[LOG_ANGLE_SD])
    turn_var = math.exp(2.0 * psi[LOG_TURN_SD])
    mixed = math.tanh(psi[CORRELATION]) * speed_sd * angle_sd
    gap = np.empty(5)
    gap[0] = film[0] - speed
    gap[1] = film[1] - (least_angle + psi[ANGLE_OVER])
    gap[2] = film[2] - psi[TURN_BIAS]
    gap[3] = film[3] - where[0]
    gap[4] = film[4] - where[2]
    # how (ln speed, angle) deviations show in speed, angle and along
    by_speed = (speed, 0.0, row[GAIN_SPEED])
    by_angle = (0.0, 1.0, row[GAIN_ANGLE])
    places = (0, 1, 3)
    cov = np.empty((5, 5))
    for i in range(5):
        for j in range(5):
            cov[i, j] = film[5 + 5 * i + j]
    for i in range(3):
        for j in range(3):
            cov[places[i], places[j]] += (
                by_speed[i] * by_speed[j] * speed_sd**2
                + by_angle[i] * by_angle[j] * angle_sd**2
                + mixed * (by_speed[i] * by_angle[j] + by_angle[i] * by_speed[j])
            )
    cov[2, 2] += turn_var
    cov[4, 4] += turn_var * distance**2
    cov[2, 4] += turn_var * distance
    cov[4, 2] += turn_var * distance
    total = normal_loglik(gap, cov)
    camera = int(film[55])
    if camera >= 0:
        tell_shared(gap, cov, film[30:55], information[camera], pull[camera])
    return total


@njit(cache=True, nogil=True)
def scratch(tables):
    """Return arrays for :func:`set_block` to fill: row, where, chances, along, across."""
    chances = np.empty(tables.shape[3:], np.float32)
    along, across = np.empty(tables.shape[3], np.float32), np.empty(tables.shape[4], np.float32)
    return np.empty(5), np.empty(4), chances, along, across


@njit(cache=True, nogil=True)
def set_block(psi, flight, setting, tables, axes, grid, row, where, chances, along, across):
    """Fill row, where, chances and the cell shares of one block under one draw.

    Returns the first and one past the last cell along that hold anything.
    """
    interpolate_row(flight, axes[0], axes[1], psi[ANGLE_OVER], row)
    landing(psi, row, setting[0], where)
    first, end = cell_shares(where[0], where[1], grid[0], grid[1], along)
    cell_shares(where[2], where[3], grid[2], grid[3], across)
    entry_at, ring_at = (row[ENTRY] - axes[2]) / axes[3], (psi[RING] - axes[4]) / axes[5]
    blend(tables[int(setting[2])], entry_at, ring_at, first, end, chances)
    return first, end


@njit(cache=True, nogil=True)
def loglik(psi, flights, settings, tables, axes, grid, counts, styles, ways, front, groups,
           group_from, outcomes, films, film_from, out, made_out):  # fmt: skip
    """Fill ``out`` [draw] with log-likelihoods and ``made_out`` [draw, block] with make shares.

    Shapes: flights [block, angle node, 5]; settings [block, 5] (distance, least-speed angle,
    table index, has counts, has outcomes); tables [table, entry, ring, along, across] float32;
    axes: start and step of angle over least, entry angle, ring restitution, then the fine steps
    of entry and ring; grid: start and step along, across; counts [block, 12]; styles [block];
    ways [style, way, along, across] float32; front [along]; groups [group, 7] of tapped points
    sorted by block with ``group_from`` [block + 1]; outcomes [block, fine entry, fine ring];
    films [film, 56] likewise; the cameras' errors are integrated out.
    """
    row, where, chances, along, across = scratch(tables)
    cells = np.empty_like(chances)
    cameras = 1 + int(films[:, 55].max()) if films.shape[0] else 0
    information, pull = np.empty((cameras, 5, 5)), np.empty((cameras, 5))
    for d in range(psi.shape[0]):
        one = psi[d]
        total = 0.0
        pull[:] = 0.0
        information[:] = np.eye(5)
        for b in range(flights.shape[0]):
            first, end = set_block(
                one, flights[b], settings[b], tables, axes, grid, row, where, chances, along, across
            )
            made_out[d, b] = make_share(chances, along, across, first, end)
            if settings[b, 3] > 0.0:
                total += counts_loglik(
                    counts[b],
                    made_out[d, b],
                    chances,
                    along,
                    across,
                    ways[styles[b]],
                    front,
                    cells,
                    first,
                    end,
                )
            for g in range(group_from[b], group_from[b + 1]):
                total += points_loglik(groups[g], where)
            if settings[b, 4] > 0.0:
                entry_at = (row[ENTRY] - axes[2]) / axes[6]
                total += between(outcomes[b], entry_at, (one[RING] - axes[4]) / axes[7])
            for f in range(film_from[b], film_from[b + 1]):
                there = (settings[b, 0], settings[b, 1])
                total += film_loglik(one, row, where, there, films[f], information, pull)
        for c in range(cameras):
            total += shared_loglik(information[c], pull[c])
        out[d] = total


@njit(cache=True, nogil=True)
def way_shares(psi, flights, settings, tables, axes, grid, ways, front, out):
    """Fill ``out`` [draw, block, 12] with the chance of each count column, one set of ways.

    Columns as in counts; MAKE is all makes and MISS all misses, the rest parts of them.
    """
    row, where, chances, along, across = scratch(tables)
    cells = np.empty_like(chances)
    for d in range(psi.shape[0]):
        for b in range(flights.shape[0]):
            first, end = set_block(
                psi[d],
                flights[b],
                settings[b],
                tables,
                axes,
                grid,
                row,
                where,
                chances,
                along,
                across,
            )
            made = make_share(chances, along, across, first, end)
            near = front_share(chances, along, across, front, first, end)
            out[d, b, MAKE], out[d, b, MISS] = made, 1.0 - made
            out[d, b, MAKE_FRONT], out[d, b, MAKE_BACK] = near, made - near
            missed_cells(chances, along, across, first, end, cells)
            for k in range(WAYS):
                out[d, b, FIRST_WAY + k] = way_share(cells, ways[k], first, end)


@njit(cache=True, nogil=True)
def made_shares(psi, flights, settings, tables, axes, grid, out, where_out):
    """Fill ``out`` [draw, block] with make shares and ``where_out`` [draw, block, 5].

    ``where_out``: mean along, sd along, mean across, sd across, entry angle.
    """
    row, where, chances, along, across = scratch(tables)
    for d in range(psi.shape[0]):
        for b in range(flights.shape[0]):
            first, end = set_block(
                psi[d],
                flights[b],
                settings[b],
                tables,
                axes,
                grid,
                row,
                where,
                chances,
                along,
                across,
            )
            out[d, b] = make_share(chances, along, across, first, end)
            where_out[d, b, :4] = where
            where_out[d, b, 4] = row[ENTRY]


@njit(cache=True, nogil=True)
def made_variants(psi, steps, flights, settings, tables, axes, grid, shares, out):
    """Fill ``out`` [draw, variant] with the share made over places, weighted by ``shares``.

    ``steps`` [variant, 5] are added to speed bias, log speed spread, log angle spread, direction
    bias and log direction spread. The arc stays, so one blend of the table serves all variants.
    """
    row, where, chances, along, across = scratch(tables)
    one = np.empty(psi.shape[1])
    out[:] = 0.0
    for d in range(psi.shape[0]):
        for b in range(flights.shape[0]):
            interpolate_row(flights[b], axes[0], axes[1], psi[d, ANGLE_OVER], row)
            entry_at = (row[ENTRY] - axes[2]) / axes[3]
            ring_at = (psi[d, RING] - axes[4]) / axes[5]
            blend(tables[int(settings[b, 2])], entry_at, ring_at, 0, along.shape[0], chances)
            for v in range(steps.shape[0]):
                one[:] = psi[d]
                one[SPEED_BIAS] += steps[v, 0]
                one[LOG_SPEED_SD] += steps[v, 1]
                one[LOG_ANGLE_SD] += steps[v, 2]
                one[TURN_BIAS] += steps[v, 3]
                one[LOG_TURN_SD] += steps[v, 4]
                landing(one, row, settings[b, 0], where)
                first, end = cell_shares(where[0], where[1], grid[0], grid[1], along)
                cell_shares(where[2], where[3], grid[2], grid[3], across)
                out[d, v] += shares[b] * make_share(chances, along, across, first, end)
