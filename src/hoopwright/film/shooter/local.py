"""Values, slopes and change-points of noisy tracks whose errors are alike from frame to frame.

A pose model's error of a point hardly changes from one frame to the next, so a high frame rate
gives fewer fresh looks than frames. Errors are taken as a first-order chain that forgets within
``MEMORY`` seconds: about twenty fresh looks a second at 60 frames/s and above (a judgement, no
source). Long fits are widened by that chain's factor for the error of a mean [Priestley1981]_.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

#: how long the error of a pose point stays alike [s]
MEMORY = 0.024
#: half of the time over which a track is smoothed to see its jitter [s]
JITTER_HALF = 0.06
#: the least share of a told error that is taken to differ from moment to moment
LEAST_JITTER = 0.1
#: a change-point is tried at this many places a frame
STEPS = 8
#: beyond this many standard deviations a row counts less (Huber's usual 1.345, memory)
HUBER = 1.345

Law = Callable[[Floats, Floats], tuple[Floats, Floats]]


def widening(gap: float) -> float:
    """Return how many times larger errors of a long fit are than those of fresh noise.

    Parameters
    ----------
    gap
        Time from one picture to the next [s].

    Notes
    -----
    √((1 + ρ)/(1 − ρ)) with ρ = exp(−gap/``MEMORY``) [Priestley1981]_.
    """
    alike = math.exp(-gap / MEMORY)
    return math.sqrt((1.0 + alike) / (1.0 - alike))


def jitter(time: Floats, value: Floats, *, told: Floats) -> Floats:
    """Return the error of each row that differs from moment to moment, float64 [row].

    Parameters
    ----------
    time, value
        Track, float64 [row]; NaN where not seen.
    told
        Error of each row as the pose model tells it, float64 [row]: it holds what the model gets
        wrong all along too, which moves no event and no difference between shots.

    Returns
    -------
    ndarray
        ``told`` times the share of it that the track itself shows: what is left of the track about
        local parabolas, over what such a chain of errors would leave. Never above what is told,
        never below ``LEAST_JITTER`` of it.
    """
    seen = np.isfinite(value) & np.isfinite(told)
    if seen.sum() < 8:
        return told
    t, y = time[seen], value[seen]
    left = np.abs(y - smooth(t, y, half=JITTER_HALF))
    # the middle half-width of a normal error is 0.6745 of its standard deviation
    found = float(np.median(left)) / 0.6745 / _left_over(float(np.median(np.diff(t))))
    share = min(max(found / float(np.median(told[seen])), LEAST_JITTER), 1.0)
    return told * share


@cache
def _left_over(gap: float) -> float:
    """Share of a chain of errors that is left about a local parabola, one standard deviation."""
    count = math.ceil(max(JITTER_HALF, 1.5 * gap) / gap)
    t = gap * np.arange(-count, count + 1)
    t = t[np.abs(t) <= max(JITTER_HALF, 1.5 * gap)]
    design = t[:, None] ** np.arange(3 if len(t) >= 5 else 2)
    weights = -np.linalg.pinv(design)[0]
    weights[len(t) // 2] += 1.0
    alike = np.exp(-np.abs(t[:, None] - t) / MEMORY)
    return math.sqrt(float(weights @ alike @ weights))


@dataclass(frozen=True, slots=True, kw_only=True)
class Local:
    """A track near one moment."""

    value: float
    #: [1/s]
    slope: float
    #: [1/s²]
    bend: float
    value_sd: float
    slope_sd: float


def near(
    time: Floats, value: Floats, *, sd: Floats, at: float, half: float, degree: int = 2
) -> Local | None:
    """Fit a polynomial to a track near a moment.

    Parameters
    ----------
    time, value, sd
        Track with its errors, float64 [row]; NaN where not seen.
    at
        The moment [s].
    half
        Half of the time looked at [s]; at least one frame each side is taken.
    degree
        Highest power; lowered where too few rows are seen.

    Returns
    -------
    Local or None
        None where fewer than two rows are seen or all lie on one side of the moment.
    """
    gap = float(np.median(np.diff(time))) if len(time) > 1 else half
    rows = (np.abs(time - at) <= max(half, 1.5 * gap)) & np.isfinite(value) & np.isfinite(sd)
    t, y, error = time[rows] - at, value[rows], np.maximum(sd[rows], 1e-9)
    if len(t) < 2 or t[0] > 0.5 * gap or t[-1] < -0.5 * gap:
        return None
    power = min(degree, 2 if len(t) >= 5 else 1)
    design = np.vander(t, power + 1, increasing=True) / error[:, None]
    inverse = np.linalg.pinv(design.T @ design)
    fit = inverse @ (design.T @ (y / error))
    wide = widening(gap)
    # a mean of alike errors is never worse than one of them
    value_sd = min(wide * math.sqrt(inverse[0, 0]), float(np.mean(error)))
    return Local(
        value=float(fit[0]), slope=float(fit[1]), bend=2.0 * float(fit[2]) if power == 2 else 0.0,
        value_sd=value_sd, slope_sd=wide * math.sqrt(inverse[1, 1]),
    )  # fmt: skip


def smooth(time: Floats, value: Floats, *, half: float) -> Floats:
    """Return a track smoothed by local parabolas.

    Parameters
    ----------
    time, value
        Track without gaps, float64 [row].
    half
        Half of the time looked at around each row [s]; at least one frame each side is taken.

    Returns
    -------
    ndarray
        float64 [row]; straight lines where fewer than five rows are near.
    """
    if len(time) < 3:
        return value.copy()
    gap = float(np.median(np.diff(time)))
    reach = max(half, 1.5 * gap)
    steps = np.arange(-math.ceil(reach / gap), math.ceil(reach / gap) + 1)
    rows = np.arange(len(time))[:, None] + steps
    inside = (rows >= 0) & (rows < len(time))
    rows = np.clip(rows, 0, len(time) - 1)
    t = (time[rows] - time[:, None]) / reach
    weight = (inside & (np.abs(t) <= 1.0)).astype(np.float64)
    design = t[..., None] ** np.arange(3)
    normal = np.einsum("rwi,rw,rwj->rij", design, weight, design)
    # too few rows for a parabola: a stiff third column makes it a line
    normal[weight.sum(axis=1) < 5, 2, 2] += 1e9
    normal += 1e-9 * np.eye(3)
    right = np.einsum("rwi,rw,rw->ri", design, weight, value[rows])
    fitted: Floats = np.linalg.solve(normal, right[..., None])[:, 0, 0]
    return fitted


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """Where a track changes."""

    #: [s]
    time: float
    #: one standard deviation by the noise alone [s]
    sd: float


def change_point(
    time: Floats, value: Floats, *, sd: Floats, laws: Sequence[Law], first: float, last: float,
    later: Floats | None = None,
) -> Change | None:  # fmt: skip
    """Find when a track starts to follow another law.

    Parameters
    ----------
    time, value, sd
        Track with its errors, float64 [row]; NaN where not seen.
    laws
        Each gives, for times [1, row] and change times [try, 1], the columns of the model,
        float64 [try, row, column], and what is known beside them, float64 [try, row]; the last
        column is zero before the change and its weight must come out above zero. Which of the laws
        holds is not known.
    first, last
        Where the change may be [s].
    later
        How long after the change, under each law, the moment is that is asked for [s],
        float64 [law]; the change itself where left out.

    Returns
    -------
    Change or None
        Mean and spread of the moment under a flat prior, rows far off counting less; None
        where too few rows are seen or no change of the right sign fits.
    """
    rows = np.isfinite(value) & np.isfinite(sd)
    t, y, error = time[rows], value[rows], np.maximum(sd[rows], 1e-9)
    if len(t) < 6 or last <= first:
        return None
    gap = float(np.median(np.diff(t)))
    tried = np.arange(first, last, gap / STEPS)
    cost = np.array([_cost(*law(t[None], tried[:, None]), y, error) for law in laws])
    least = float(cost.min())
    if not math.isfinite(least):
        return None
    misfit = max(1.0, least / len(t))
    chance = np.exp(-0.5 * (cost - least) / (misfit * widening(gap) ** 2))
    chance /= chance.sum()
    moment = tried + (np.zeros(len(laws)) if later is None else later)[:, None]
    middle = float((chance * moment).sum())
    return Change(time=middle, sd=math.sqrt(float((chance * (moment - middle) ** 2).sum())))


def _cost(design: Floats, known: Floats, value: Floats, sd: Floats) -> Floats:
    """Huber costs of linear fits, one a try; infinite where the last weight is not above zero."""
    left = (value - known) / sd
    scaled = design / sd[:, None]
    scale = np.ones_like(left)
    for _ in range(3):
        normal = np.einsum("tri,tr,trj->tij", scaled, scale, scaled)
        right = np.einsum("tri,tr,tr->ti", scaled, scale, left)
        normal += 1e-9 * np.trace(normal, axis1=1, axis2=2)[:, None, None] * np.eye(normal.shape[1])
        weights = np.linalg.solve(normal, right[..., None])[..., 0]
        off = np.abs(left - np.einsum("tri,ti->tr", scaled, weights))
        scale = np.minimum(1.0, HUBER / np.maximum(off, 1e-12))
    cost = np.where(off <= HUBER, off**2, 2.0 * HUBER * off - HUBER**2).sum(axis=1)
    found: Floats = np.where(weights[:, -1] > 0.0, cost, np.inf)
    return found


def falls_below(time: Floats, value: Floats, *, level: float, lasting: float) -> float | None:
    """Return when a track falls below a level and stays there, between frames [s].

    Parameters
    ----------
    time, value
        Track without gaps, float64 [row].
    level
        The level.
    lasting
        How long it must stay below [s].
    """
    below = value < level
    for k in np.flatnonzero(below[1:] & ~below[:-1]) + 1:
        stays = time[k:] <= time[k] + lasting
        if below[k:][stays].all() and time[-1] >= time[k] + lasting:
            share = (value[k - 1] - level) / (value[k - 1] - value[k])
            return float(time[k - 1] + share * (time[k] - time[k - 1]))
    return None
