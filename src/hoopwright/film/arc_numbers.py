"""From a fitted flight to the numbers of a shot, each with its error."""

import numpy as np

from hoopwright.errors import BadFilm
from hoopwright.film.ends import crossing_time
from hoopwright.film.fit import FlightFit, number
from hoopwright.film.results import BallPath, Flight, Floats, Measured
from hoopwright.records import MeasuredRelease

#: what ``_numbers`` gives, in order
_SPEED, _ANGLE, _DIRECTION, _HEIGHT, _ALONG, _ACROSS, _ENTRY, _APEX, _RING_TIME = range(9)


def toward_ring(place: Floats) -> tuple[Floats, Floats]:
    """Return the level unit vectors ahead and right of a shot from a world point, float64 [2].

    Ahead points to the place below ring centre.
    """
    ahead = -place[:2] / max(float(np.hypot(place[0], place[1])), 1e-9)
    return ahead, np.array([ahead[1], -ahead[0]])


def _numbers(fit: FlightFit, release_time: float) -> Floats:
    start = fit.at([release_time])[0]
    ahead, right = toward_ring(start)
    level = np.array([start[3:5] @ right, start[3:5] @ ahead])
    when = crossing_time(fit)
    ring = fit.at([when])[0]
    top = fit.at([_apex_time(fit, release_time)])[0]
    return np.array([
        np.linalg.norm(start[3:]), np.arctan2(start[5], np.hypot(*level)),
        np.arctan2(level[0], level[1]), start[2], ring[:2] @ ahead, ring[:2] @ right,
        np.arctan2(-ring[5], np.hypot(ring[3], ring[4])), top[2], when,
    ])  # fmt: skip


def _apex_time(fit: FlightFit, release_time: float) -> float:
    when = fit.time
    for _ in range(6):
        here = fit.at([when])[0]
        when += here[5] / fit.view.air.gravity
    return max(when, release_time)


def ball_path(
    fit: FlightFit, release: Measured, *, rows: tuple[int, ...], first: float, last: float
) -> BallPath:
    """Return the numbers of one shot; whether it was made is not said yet.

    Parameters
    ----------
    fit
        The flight.
    release
        When it began. [s]
    rows
        Rows of Candidates that belong to it.
    first, last
        When the ball was first and last seen in it. [s]

    Raises
    ------
    BadFilm
        The ball never comes down through the ring plane.
    """
    if not np.isfinite(crossing_time(fit)):
        raise BadFilm("This ball never comes down to the height of the ring; no shot is read.")
    values, by = fit.slopes(lambda one: _numbers(one, release.value))
    step = 1e-3
    slope = _numbers(fit, release.value + step) - _numbers(fit, release.value - step)
    own = by @ fit.own @ by.T + np.outer(slope, slope) * (release.sd / (2.0 * step)) ** 2
    shared = by @ (fit.covariance - fit.own) @ by.T
    spread = own + shared
    point = fit.at([release.value])[0]
    v = [float(x) for x in values]
    return BallPath(
        flight=_flight(fit, rows, first=first, last=last),
        release_time=release,
        ring_time=number(v[_RING_TIME], spread[_RING_TIME, _RING_TIME]),
        release=MeasuredRelease(
            speed=v[_SPEED], angle=v[_ANGLE], direction=v[_DIRECTION], height=v[_HEIGHT],
            along=v[_ALONG], across=v[_ACROSS],
            covariance=_flat(own), shared=_flat(shared),
        ),
        release_point=(float(point[0]), float(point[1]), float(point[2])),
        entry_angle=number(v[_ENTRY], spread[_ENTRY, _ENTRY]),
        apex=number(v[_APEX], spread[_APEX, _APEX]),
        release_height=number(v[_HEIGHT], spread[_HEIGHT, _HEIGHT]),
        made=False, made_chance=0.5,
    )  # fmt: skip


def _flat(covariance: Floats) -> tuple[float, ...]:
    keep = [_SPEED, _ANGLE, _DIRECTION, _ALONG, _ACROSS]
    return tuple(float(c) for c in covariance[np.ix_(keep, keep)].ravel())


def _flight(fit: FlightFit, rows: tuple[int, ...], *, first: float, last: float) -> Flight:
    b = [float(x) for x in fit.ball]
    return Flight(
        time=fit.time, position=(b[0], b[1], b[2]), velocity=(b[3], b[4], b[5]),
        spin=b[6], drag=b[7], covariance=tuple(float(c) for c in fit.covariance.ravel()),
        first=first, last=last, rows=rows, misfit=fit.misfit,
    )  # fmt: skip
