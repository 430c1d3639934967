"""What each change would bring, in makes per 100 shots, over the spots charted."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.chart import _kernel as k
from hoopwright.chart.findings import Change, Worth
from hoopwright.chart.model import Places, landings
from hoopwright.records import Estimate

Floats = NDArray[np.float64]

#: how much tighter "better control" is
TIGHTER = 0.10
#: how far the release angle is moved [rad]
ANGLE_STEP = math.radians(2.0)
#: aim shifts tried: along as a share of speed, across in radians
_ALONG_TRIED = np.linspace(-0.02, 0.02, 33)
_ACROSS_TRIED = np.linspace(-0.03, 0.03, 25)
_SEARCH_DRAWS = 64
# changes of the arc
_ARC = (Change.ANGLE_UP, Change.ANGLE_DOWN)


def changed(psi: Floats, change: Change, amount: float) -> Floats:
    """Return draws [draw, 8] with one change made.

    ``amount``: share of speed or radians for the aim, share for control, radians for the angle.
    """
    out = psi.copy()
    if change is Change.AIM_ALONG:
        out[:, k.SPEED_BIAS] += amount
    elif change is Change.AIM_ACROSS:
        out[:, k.TURN_BIAS] += amount
    elif change is Change.DISTANCE_CONTROL:
        # distance is scattered by speed and angle together; both are tightened
        out[:, [k.LOG_SPEED_SD, k.LOG_ANGLE_SD]] += math.log1p(-amount)
    elif change is Change.LINE_CONTROL:
        out[:, k.LOG_TURN_SD] += math.log1p(-amount)
    else:
        out[:, k.ANGLE_OVER] += amount
    return out


def best_aims(psi: Floats, places: Places, shares: Floats) -> tuple[float, float]:
    """Return the aim shifts (share of speed, radians) with most makes on average over draws."""
    few = psi[:: max(1, len(psi) // _SEARCH_DRAWS)]

    def gains(change: Change, tried: Floats) -> Floats:
        moved = np.concatenate([changed(few, change, float(a)) for a in tried])
        made = landings(moved, places).made @ shares
        return np.asarray(made.reshape(len(tried), len(few)).mean(axis=1), np.float64)

    along = _peak(_ALONG_TRIED, gains(Change.AIM_ALONG, _ALONG_TRIED))
    across = _peak(_ACROSS_TRIED, gains(Change.AIM_ACROSS, _ACROSS_TRIED))
    return along, across


def _peak(x: Floats, y: Floats) -> float:
    """Return the top of the parabola through the best point and its neighbours."""
    i = int(np.clip(np.argmax(y), 1, len(x) - 2))
    low, mid, high = y[i - 1 : i + 2]
    bend = low - 2 * mid + high
    shift = 0.0 if bend >= 0 else float(np.clip(0.5 * (low - high) / bend, -1, 1))
    return float(x[i] + shift * (x[1] - x[0]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """The worth of every change."""

    #: best first
    rows: tuple[Worth, ...]
    #: makes gained per 100 under each draw, of the changes the chart can judge,
    #: float64 [change, draw]
    gains: Floats


def weigh(
    psi: Floats, places: Places, *, shares: Floats, along_per_speed: float, distance: float,
    filmed: bool,
) -> Weighed:  # fmt: skip
    """Return the worth of every change.

    Parameters
    ----------
    psi
        Posterior draws of equal weight, float64 [draw, 8].
    places
        The spots charted.
    shares
        Share of the player's shots at each place, summing to 1, float64 [place].
    along_per_speed, distance
        Metres along per share of speed, and release-to-ring distance [m], at the reference
        distance: they turn the aim shifts into metres there.
    filmed
        Whether any shot was filmed. Without film the arc is hardly seen, so a change of it is
        weighed and shown but never put first.
    """
    now = landings(psi, places).made @ shares
    along, across = best_aims(psi, places, shares)
    amounts = {
        Change.AIM_ALONG: along,
        Change.AIM_ACROSS: across,
        Change.DISTANCE_CONTROL: TIGHTER,
        Change.LINE_CONTROL: TIGHTER,
        Change.ANGLE_UP: ANGLE_STEP,
        Change.ANGLE_DOWN: -ANGLE_STEP,
    }
    gains = np.array([
        100.0 * (landings(changed(psi, c, a), places).made @ shares - now)
        for c, a in amounts.items()
    ])  # fmt: skip
    best = np.bincount(np.argmax(gains, axis=0), minlength=len(gains)) / gains.shape[1]
    shown = {Change.AIM_ALONG: along_per_speed, Change.AIM_ACROSS: distance}
    rows = [
        Worth(
            change=change,
            amount=amount * shown.get(change, 1.0),
            makes_per_100=Estimate.from_draws(gain),
            chance_best=float(chance),
            chance_gain=float(np.mean(gain > 0)),
        )
        for (change, amount), gain, chance in zip(amounts.items(), gains, best, strict=True)
    ]
    judged = [filmed or row.change not in _ARC for row in rows]
    order = sorted(range(len(rows)), key=lambda i: (not judged[i], -rows[i].makes_per_100.value))
    return Weighed(rows=tuple(rows[i] for i in order), gains=gains[judged])
