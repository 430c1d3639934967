"""What each change would bring, in makes per 100 shots, over the spots charted."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.chart import _kernel as k
from hoopwright.chart.findings import Change, Worth
from hoopwright.chart.model import Places, landings, variants
from hoopwright.records import Estimate

Floats = NDArray[np.float64]

#: how much tighter "better control" is
TIGHTER = 0.10
#: how far the release angle is moved [rad]
ANGLE_STEP = math.radians(2.0)
#: aim shifts tried: along as a share of speed, across in radians
_ALONG_TRIED = np.linspace(-0.024, 0.024, 17)
_ACROSS_TRIED = np.linspace(-0.03, 0.03, 13)
_SEARCH_DRAWS = 64
# changes of the arc
_ARC = (Change.ANGLE_UP, Change.ANGLE_DOWN)


def _steps(change: Change, amount: float) -> Floats:
    """Return what a change adds to a draw, as ``model.variants`` takes it."""
    tighter = math.log1p(-amount) if change in (Change.DISTANCE_CONTROL, Change.LINE_CONTROL) else 0
    # distance is scattered by speed and angle together; both are tightened
    return {
        Change.AIM_ALONG: np.array([amount, 0.0, 0.0, 0.0, 0.0]),
        Change.AIM_ACROSS: np.array([0.0, 0.0, 0.0, amount, 0.0]),
        Change.DISTANCE_CONTROL: np.array([0.0, tighter, tighter, 0.0, 0.0]),
        Change.LINE_CONTROL: np.array([0.0, 0.0, 0.0, 0.0, tighter]),
    }[change]


def _made(psi: Floats, places: Places, shares: Floats, amounts: dict[Change, float]) -> Floats:
    """Return the share made with each change, float64 [change, draw]."""
    flat = [_steps(c, a) for c, a in amounts.items() if c not in _ARC]
    same_arc = variants(psi, places, steps=np.array(flat), shares=shares)
    columns = list(same_arc.T)
    for change in _ARC:
        moved = psi.copy()
        moved[:, k.ANGLE_OVER] += amounts[change]
        columns.append(landings(moved, places).made @ shares)
    return np.array(columns)


def best_aims(psi: Floats, places: Places, shares: Floats) -> tuple[float, float]:
    """Return the aim shifts (share of speed, radians) with most makes on average over draws."""
    few = psi[:: max(1, len(psi) // _SEARCH_DRAWS)]
    steps = [_steps(Change.AIM_ALONG, float(a)) for a in _ALONG_TRIED]
    steps += [_steps(Change.AIM_ACROSS, float(a)) for a in _ACROSS_TRIED]
    made = variants(few, places, steps=np.array(steps), shares=shares).mean(axis=0)
    split = len(_ALONG_TRIED)
    return _peak(_ALONG_TRIED, made[:split]), _peak(_ACROSS_TRIED, made[split:])


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
    #: changes that a chart with directions (or film, where there is some) can judge
    weighable: tuple[Change, ...]
    #: makes gained per 100 under each draw by those, float64 [change, draw]
    gains: Floats


def weigh(
    psi: Floats, places: Places, *, shares: Floats, now: Floats, along_per_speed: float,
    distance: float, judged: Sequence[Change],
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
    now
        Share made without a change, float64 [draw].
    along_per_speed, distance
        Metres along per share of speed, and release-to-ring distance [m], at the reference
        distance: they turn the aim shifts into metres there.
    judged
        The changes that the shots can judge. Others, as one of the arc without film, are weighed
        and shown but never put first.
    """
    along, across = best_aims(psi, places, shares)
    amounts = {
        Change.AIM_ALONG: along,
        Change.AIM_ACROSS: across,
        Change.DISTANCE_CONTROL: TIGHTER,
        Change.LINE_CONTROL: TIGHTER,
        Change.ANGLE_UP: ANGLE_STEP,
        Change.ANGLE_DOWN: -ANGLE_STEP,
    }
    gains = 100.0 * (_made(psi, places, shares, amounts) - now)
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
    told = [row.change in judged for row in rows]
    order = sorted(range(len(rows)), key=lambda i: (not told[i], -rows[i].makes_per_100.value))
    weighable = tuple(c for c in amounts if c not in _ARC or c in judged)
    kept = gains[[list(amounts).index(c) for c in weighable]]
    return Weighed(rows=tuple(rows[i] for i in order), weighable=weighable, gains=kept)
