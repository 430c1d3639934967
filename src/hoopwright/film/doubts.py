"""Why a filmed shot may not be what it seems: checks against physics and against what was seen."""

import math

import numpy as np

from hoopwright.film.fit import FlightFit
from hoopwright.film.outcome import Result
from hoopwright.film.results import BallPath, Doubt, Flag
from hoopwright.flight.arc import least_speed

#: a shot this much below the least speed, in errors, is impossible
_ERRORS = 3.0
#: a ball that would fall this far short of ring centre is no shot that was just short [m]
_SHORT = 1.5
#: least share of the time from release to ring in which the ball must have been seen
_SEEN = 0.45
#: a fit this much worse than its errors is no flight
_MISFIT = 2.5
#: heights a ball is released from [m]
_LOW, _HIGH = 0.7, 3.6
#: size of the ball in the picture over the size gravity asks for: beyond this the clock is wrong
_SIZES = (0.72, 1.4)
#: chances that contradict what was seen
_NEVER, _SURE = 0.02, 0.98
#: log odds from what was seen that count as seen for sure
_STRONG = 3.0


def doubts_of(fit: FlightFit, ball: BallPath, seen: Result, *, frame: float) -> tuple[Doubt, ...]:
    """Return all reasons to doubt one shot.

    Parameters
    ----------
    fit, ball
        The flight and its numbers.
    seen
        Made or missed.
    frame
        Time between pictures. [s]
    """
    checks = (
        _clock(fit),
        _too_slow(fit, ball, seen),
        _place(ball),
        _contradicts(seen),
        _lost(ball, frame),
        _misfit(fit),
    )
    return tuple(d for d in checks if d is not None)


def size_ratio(fit: FlightFit) -> float:
    """Return the ball's size in the picture over the size at the depth gravity gives; NaN: unknown.

    Notes
    -----
    A clip that plays k times too slowly makes gravity look k² times weaker, the ball k² times
    farther, and so this ratio k².
    """
    known = np.isfinite(fit.sizes[:, 0]) & (fit.sizes[:, 1] > 0.0)
    if known.sum() < 3:
        return math.nan
    return float(np.median(fit.sizes[known, 0] / fit.sizes[known, 1]))


def _clock(fit: FlightFit) -> Doubt | None:
    ratio = size_ratio(fit)
    if math.isnan(ratio) or _SIZES[0] < ratio < _SIZES[1]:
        return None
    factor = math.sqrt(ratio)
    way = f"{factor:.1f} times too slow" if factor > 1.0 else f"{1 / factor:.1f} times too fast"
    return Doubt(
        flag=Flag.FRAME_RATE, refused=True,
        message=f"The ball falls as if the clip played {way}; say how fast it was filmed, "
        "or check the scene's marks and the ball's size.",
    )  # fmt: skip


def _too_slow(fit: FlightFit, ball: BallPath, seen: Result) -> Doubt | None:
    x, y, z = ball.release_point
    distance = math.hypot(x, y) - (fit.view.rules.ring.radius if seen.made else _SHORT)
    if distance <= 0.5:
        return None
    rise = fit.view.ring_height - z
    least = float(least_speed(distance, rise, ball=fit.view.ball, air=fit.view.air))
    error = math.sqrt(ball.release.total[0])
    if not ball.release.speed + _ERRORS * error < least:
        return None
    return Doubt(
        flag=Flag.TOO_SLOW, refused=True,
        message=f"{ball.release.speed:.1f} m/s can't carry a ball to this ring (at least "
        f"{least:.1f} m/s is needed); check the scene's marks and the frame rate.",
    )  # fmt: skip


def _place(ball: BallPath) -> Doubt | None:
    height = ball.release_height
    if _LOW < height.value < _HIGH:
        return None
    return Doubt(
        flag=Flag.MISFIT, refused=True,
        message=f"A release {height.value:.1f} m above the floor can't be right; check the "
        "scene's marks.",
    )  # fmt: skip


def _contradicts(seen: Result) -> Doubt | None:
    strong = abs(seen.by_sight) >= _STRONG
    if seen.made and seen.by_flight < _NEVER and strong:
        what = "The ball is seen to go in, but its flight passes the ring"
    elif not seen.made and seen.by_flight > _SURE and strong:
        what = "The ball's flight goes in, but it is seen to come out"
    else:
        return None
    return Doubt(
        flag=Flag.OUTCOME, refused=False,
        message=f"{what}; look at the clip and set made or missed by hand.",
    )  # fmt: skip


def _lost(ball: BallPath, frame: float) -> Doubt | None:
    whole = ball.ring_time.value - ball.release_time.value
    seen = min(len(ball.flight.rows) * frame, ball.flight.last - ball.flight.first)
    if seen >= _SEEN * whole:
        return None
    return Doubt(
        flag=Flag.BALL_LOST, refused=seen < 0.25 * whole,
        message=f"The ball was seen in {100 * seen / whole:.0f} % of its flight only; film with "
        "the whole arc in the picture, or mark the ball by hand.",
    )  # fmt: skip


def _misfit(fit: FlightFit) -> Doubt | None:
    if fit.misfit <= _MISFIT:
        return None
    return Doubt(
        flag=Flag.MISFIT, refused=True,
        message="No flight of a ball fits what was seen; look at the drawn path and mark the ball "
        "by hand where it is wrong.",
    )  # fmt: skip
