"""A flight filmed from the side and read with no marks at all, by two rulers that must agree.

The ball's diameter is one ruler, its fall the other: each says how many metres a pixel is. Nothing
is known of the hoop, so that there is no across and no made or missed; speed and angles come out
with what the unknown focal length, tilt and yaw of the camera leave open.
"""

import math
from dataclasses import replace

import cv2
import numpy as np

from hoopwright.court.equipment import Ball
from hoopwright.errors import BadFilm
from hoopwright.film.camera import Camera, at_place, with_parameters
from hoopwright.film.camera_fit import LENS_SPREAD, USUAL_FOCAL
from hoopwright.film.fit import FlightFit, fit_flight
from hoopwright.film.results import Floats, Measured, SideRead
from hoopwright.film.view import EDGE, READOUT, SIZE, Seen, View, view_of
from hoopwright.flight.air import STANDARD_GRAVITY

#: spread of the focal length of a phone's main lens, over itself; common practice, no source
_FOCAL_SPREAD = 0.25
#: tilt upward and its spread, spread of roll [rad]; common practice, no source
_TILT, _TILT_SPREAD, _ROLL_SPREAD = math.radians(5.0), math.radians(6.0), math.radians(4.0)
#: how far off square a coach sets a camera that is to film from the side [rad]; common practice
_YAW_SPREAD = math.radians(10.0)
#: beyond this yaw angles read wrong by a degree and more, and the clip is refused [rad]
MOST_YAW = math.radians(15.0)
#: the size of the ball is left open to find what the fall says of it
_ANY_SIZE = 30.0
#: how many standard deviations the rulers may differ by; 99 of 100 clips that are well stay below
_AGREE = 2.6
#: rulers that could differ by more than this share prove nothing
_VAGUE = 0.35
#: misfit of a path that is no flight, in expected errors
_NO_FLIGHT = 3.0
#: a phone plays at most this many times slower than it films; common practice, no source
_MOST_SLOWED = 16
#: how near a doubling of the clock must be to be named, in doublings
_NEAR = 0.2
#: rulers that differ beyond this factor on a first look need no fit
_FAR_OFF = 2.0


def _turned(tilt: float, roll: float) -> Floats:
    """Rotation vector of a camera that looks ahead, tilted up and rolled."""
    level = at_place(
        (0.0, 0.0, 0.0), (0.0, math.cos(tilt), math.sin(tilt)), width=64, height=64, focal=64.0
    )
    rolled = cv2.Rodrigues(np.array([0.0, 0.0, roll]))[0] @ level.turned
    return np.asarray(cv2.Rodrigues(rolled)[0], dtype=np.float64).ravel()


def _camera(width: int, height: int, *, focal_spread: float) -> Camera:
    """Return a phone at the origin that looks ahead, with what is open about it.

    Where it stands does not matter, and which way it faces goes into the ball's own direction.
    """
    focal, step = USUAL_FOCAL * max(width, height), 1e-4
    at = _turned(_TILT, 0.0)
    by_tilt = (_turned(_TILT + step, 0.0) - at) / step
    by_roll = (_turned(_TILT, step) - at) / step
    covariance = np.zeros((8, 8))
    covariance[0, 0], covariance[1, 1] = (focal_spread * focal) ** 2, LENS_SPREAD**2
    covariance[2:5, 2:5] = _TILT_SPREAD**2 * np.outer(by_tilt, by_tilt)
    covariance[2:5, 2:5] += _ROLL_SPREAD**2 * np.outer(by_roll, by_roll)
    plain = Camera(
        width=width, height=height, focal=focal, rotation=(0.0, 0.0, 0.0),
        translation=(0.0, 0.0, 0.0),
    )  # fmt: skip
    values = np.concatenate([[focal, 0.0], at, np.zeros(3)])
    return with_parameters(plain, values, covariance=covariance)


def _view(
    ball: Ball, *, width: int, height: int, focal_spread: float, size: float, readout: Measured
) -> View:
    camera = _camera(width, height, focal_spread=focal_spread)
    view = view_of(camera, ball, readout=readout)
    covariance = view.covariance.copy()
    covariance[-1, -1] = size**2
    return replace(view, covariance=covariance)


def side_view(ball: Ball, *, width: int, height: int, readout: Measured = READOUT) -> View:
    """Return the view of a phone of which only the picture size is known.

    Parameters
    ----------
    ball, width, height, readout
        As for ``read_side``.

    Notes
    -----
    The phone is at the origin of its world; neither floor nor ring are where the view has them.
    """
    return _view(
        ball, width=width, height=height, focal_spread=_FOCAL_SPREAD, size=SIZE.sd, readout=readout
    )


def _size_over_fall(fit: FlightFit) -> Measured:
    """Return how large the ball looks over how large its fall says that it should."""
    root = fit.view.root()
    spread = root @ np.linalg.inv(fit.information + np.eye(len(root))) @ root.T
    return Measured(value=float(fit.shared[-1]), sd=math.sqrt(max(float(spread[-1, -1]), 0.0)))


def _first_look(rows: Seen, ball: Ball) -> Measured:
    """Return the same from a parabola in the picture alone, to a fifth: no camera, no air."""
    spans = rows.time - rows.time.mean()
    fall = 2.0 * np.linalg.norm(np.polyfit(spans, rows.middle, 2)[0])
    by_fall = STANDARD_GRAVITY / max(float(fall), 1e-9)
    ratio = by_fall / _by_ball(rows, ball).value
    return Measured(value=ratio, sd=0.2 * ratio)


def _clock_sentence(ratio: float) -> str:
    """Say that the clip's clock is wrong, or "" where no usual slow motion explains the ratio."""
    clock = 0.5 * math.log2(max(ratio, 1e-9))
    times = 2 ** round(abs(clock))
    if not 2 <= times <= _MOST_SLOWED or abs(abs(clock) - round(abs(clock))) > _NEAR:
        return ""
    way = "slower" if clock > 0.0 else "faster"
    return (
        f"The ball falls as if the clip played {times} times {way} than it was filmed; "
        "give the clip's true rate and read it again."
    )


def _check_rulers(ratio: Measured) -> None:
    if ratio.sd > _VAGUE * max(ratio.value, 0.1):
        raise BadFilm(
            "Too little of the flight can be seen to read it without marks; film the whole arc "
            "from the side, or mark the hoop and the floor."
        )
    if abs(ratio.value - 1.0) <= _AGREE * math.hypot(ratio.sd, SIZE.sd):
        return
    more = 100.0 * abs(ratio.value - 1.0)
    raise BadFilm(
        _clock_sentence(ratio.value)
        or f"The ball looks {more:.0f} % {'larger' if ratio.value > 1.0 else 'smaller'} than its "
        "fall says; check the ball's size and the clip's true rate, and film from the side."
    )


def _yaw(fit: FlightFit, moment: float) -> float:
    """Return how far the flight goes off square to the level line of sight [rad]."""
    right, ahead, _up, *velocity = fit.at([moment])[0]
    sight = np.array([right, ahead]) / math.hypot(right, ahead)
    level = np.array(velocity[:2])
    return math.asin(float(sight @ level) / max(float(np.linalg.norm(level)), 1e-9))


def _numbers(fit: FlightFit, release: float, *, ring: float, middle: float) -> Floats:
    """Return speed, angle, entry angle, rise and yaw, float64 [5]."""
    start, end = fit.at([release, ring])
    way = fit.at(np.linspace(release, ring, 61))[:, 2]
    speed = float(np.linalg.norm(start[3:]))
    return np.array(
        [
            speed,
            math.asin(start[5] / speed),
            math.atan2(-end[5], math.hypot(end[3], end[4])),
            float(np.max(way)) - start[2],
            _yaw(fit, middle),
        ]
    )


def _set_up_square(numbers: Floats, spread: Floats) -> tuple[Floats, Floats]:
    """Add what is known beforehand: that the camera was set up about square to the shot.

    Derived: Gaussian update of all numbers by the yaw's own expectation of none.
    """
    gain = spread[:, 4] / (spread[4, 4] + _YAW_SPREAD**2)
    return numbers - gain * numbers[4], spread - np.outer(gain, spread[4])


def _check_yaw(yaw: float, sd: float) -> None:
    if abs(yaw) > MOST_YAW and abs(yaw) > 2.0 * sd:
        raise BadFilm(
            f"The camera looks about {abs(math.degrees(yaw)):.0f}° off square to the shot, beyond "
            f"{math.degrees(MOST_YAW):.0f}°; move it to the side of the shot, or mark the hoop and "
            "the floor."
        )


def _by_ball(rows: Seen, ball: Ball) -> Measured:
    """Return the ball's diameter as a ruler [m/px]."""
    known = np.isfinite(rows.radius_sd)
    weight = 1.0 / rows.radius_sd[known] ** 2
    radius = float(np.average(rows.radius[known], weights=weight))
    off = math.hypot(math.sqrt(1.0 / float(weight.sum())), EDGE.sd) / radius
    scale = ball.radius / radius
    return Measured(value=scale, sd=scale * math.hypot(off, SIZE.sd))


def _by_fall(rows: Seen, view: View, middle: float) -> Measured:
    """Return the ball's fall as a ruler, its size not looked at [m/px]."""
    blind = replace(rows, radius_sd=np.full(len(rows), np.inf))
    fit = fit_flight(blind, view)
    depth, spread = fit.derive(lambda f: [f.at([middle])[0] @ _into(f)])
    focal = float(fit.shared[0])
    return Measured(value=float(depth[0]) / focal, sd=math.sqrt(float(spread[0, 0])) / focal)


def _into(fit: FlightFit) -> Floats:
    """Direction of the optical axis, padded for position and velocity, float64 [6]."""
    axis = cv2.Rodrigues(fit.shared[2:5])[0][2]
    return np.concatenate([axis, np.zeros(3)])


def _check_rows(rows: Seen) -> None:
    if int(np.sum(np.isfinite(rows.radius_sd))) < 5:
        raise BadFilm(
            "Without marks the ball's size must be seen in 5 pictures or more; mark the hoop and "
            "the floor, or film nearer and in better light."
        )


def _check_fit(fit: FlightFit) -> FlightFit:
    if not fit.misfit < _NO_FLIGHT:
        raise BadFilm(
            "The places of the ball are no free flight; choose its start and end again, between "
            "the hand and the ring."
        )
    return fit


def _notes(yaw: Measured) -> tuple[str, ...]:
    most = math.degrees(abs(yaw.value) + 1.96 * yaw.sd)
    square = f"The camera stood square to the shot to within {most:.0f}° (95 % range)" + (
        "; mark the hoop and the floor for better angles." if most > 10.0 else "."
    )
    only = "Read without marks: speed and angles only, nothing of left and right, made or missed."
    return only, square


def read_side(
    rows: Seen,
    *,
    width: int,
    height: int,
    ball: Ball,
    release_time: float | None = None,
    ring_time: float | None = None,
    readout: Measured = READOUT,
) -> SideRead:
    """Read one flight of a side clip that has no marks.

    Parameters
    ----------
    rows
        Where the ball was seen in free flight, with its radius.
    width, height
        Of the upright picture [px].
    ball
        Whose diameter is the ruler.
    release_time, ring_time
        When it left the hand and when it came down to the ring [s]; the first and the last row
        where left out.
    readout
        Reading time of the whole picture height [s].

    Raises
    ------
    BadFilm
        Too little seen, no free flight, rulers that do not agree, or a camera that is seen to
        stand more than 15° off square.

    Notes
    -----
    The flight fit of ``fit`` through a phone of unknown focal length, tilt and roll. With the
    ball's size left open the fit says how large the fall makes it; that must be 1 within its
    error. Then both rulers are used together. See ``docs/film-scene.md``.
    """
    _check_rows(rows)
    size = {"width": width, "height": height}
    middle = float(rows.time[len(rows) // 2])
    release = float(rows.time[0]) if release_time is None else release_time
    ring = float(rows.time[-1]) if ring_time is None else ring_time
    look = _first_look(rows, ball)
    if abs(math.log(look.value)) > math.log(_FAR_OFF):
        _check_rulers(look)
    open_size = _view(ball, **size, focal_spread=_FOCAL_SPREAD, size=_ANY_SIZE, readout=readout)
    _check_rulers(_size_over_fall(_check_fit(fit_flight(rows, open_size))))
    both = side_view(ball, **size, readout=readout)
    fit = _check_fit(fit_flight(rows, both))
    numbers, spread = fit.derive(lambda f: _numbers(f, release, ring=ring, middle=middle))
    seen_yaw, yaw_sd = float(numbers[4]), math.sqrt(max(float(spread[4, 4]), 0.0))
    _check_yaw(seen_yaw, yaw_sd)
    numbers, spread = _set_up_square(numbers, spread)
    sds = np.sqrt(np.maximum(np.diag(spread), 0.0))
    speed, angle, entry, rise, yaw = (
        Measured(value=float(v), sd=float(sd)) for v, sd in zip(numbers, sds, strict=True)
    )
    fixed = _view(ball, **size, focal_spread=0.0, size=SIZE.sd, readout=readout)
    return SideRead(
        speed=speed, angle=angle, entry_angle=entry, rise=rise, yaw=yaw,
        metres_per_pixel_by_ball=_by_ball(rows, ball),
        metres_per_pixel_by_fall=_by_fall(rows, fixed, middle),
        notes=_notes(yaw),
    )  # fmt: skip
