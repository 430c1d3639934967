"""From the flights of a clip to its shots: ends, common corrections, numbers, made or missed."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from hoopwright.errors import BadFilm
from hoopwright.film.arc_numbers import ball_path
from hoopwright.film.camera import project
from hoopwright.film.doubts import doubts_of
from hoopwright.film.ends import begins, clean_flight, seen_rows
from hoopwright.film.fit import FlightFit, better_view, fit_flight
from hoopwright.film.in_hand import BACK, INTO, nothing
from hoopwright.film.outcome import Result, result
from hoopwright.film.results import (
    BallPath,
    Candidates,
    Doubt,
    Flight,
    Ints,
    Measured,
)
from hoopwright.film.view import Seen, View, joined

#: how long it is followed past the track's last row to look for the flight's end [s]
_PAST = 0.04
#: most shots that one camera correction is learnt from; more add little
_ENOUGH = 24
#: time between the points of a drawn path [s]
_TRAIL = 1.0 / 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Flown:
    """One shot's flight, ready to be told."""

    fit: FlightFit
    ball: BallPath
    seen: Result
    doubts: tuple[Doubt, ...]
    #: rows of the hands' Candidates before release, in order of time, int64 [row]
    held: Ints
    #: (time [s], x [px], y [px]) from release to ring, for drawing
    trail: tuple[tuple[float, float, float], ...]


@dataclass(frozen=True, slots=True)
class _Cleaned:
    rows: Seen
    fit: FlightFit
    release: Measured
    held: Ints
    flight: Flight


def shots_of(
    candidates: Candidates,
    flights: Sequence[Flight],
    view: View,
    *,
    rate: float,
    hands: Candidates | None = None,
    released: Sequence[float | None] = (),
) -> tuple[Flown, ...]:
    """Return the shots that the flights of a clip are, in order of time.

    Parameters
    ----------
    candidates
        All ball-like places of the clip.
    flights
        As ``track.follow`` gives them; one that is no shot after all is left out.
    view
        Camera, ball, ring.
    rate
        Pictures a second.
    hands
        The ball in the hands, as ``in_hand.follow_back`` gives it.
    released
        When each flight began, where a person said so. [s]
    """
    frame, before = 1.0 / rate, nothing() if hands is None else hands
    said = [*released, *[None] * (len(flights) - len(released))]
    cleaned = [
        c
        for flight, when in zip(flights, said, strict=True)
        if (c := _clean(candidates, before, flight, view, frame=frame, said=when)) is not None
    ]
    fits = [c.fit for c in cleaned]
    found = []
    for i, one in enumerate(cleaned):
        others = (fits[:i] + fits[i + 1 :])[:_ENOUGH]
        shot = _flown(candidates, _corrected(one, view, others), frame)
        if shot is not None:
            found.append(shot)
    return tuple(sorted(found, key=lambda f: f.ball.release_time.value))


def _clean(
    candidates: Candidates,
    hands: Candidates,
    flight: Flight,
    view: View,
    *,
    frame: float,
    said: float | None,
) -> _Cleaned | None:
    rows = np.array(flight.rows, dtype=np.int64)
    first, last = begins(candidates, flight), float(candidates.time[rows].max())
    rows = rows[candidates.time[rows] >= first]
    near = np.flatnonzero((hands.time > first - BACK) & (hands.time < first + INTO))
    # while the edge was followed, a blob is no measure of the ball, nor even surely it
    seen = hands.time[near] if len(near) else np.array([np.inf, -np.inf])
    times = candidates.time[rows]
    apart = (times > seen.max() + 1e-6) | (times < seen.min() - 1e-6)
    known = joined(seen_rows(candidates, rows[apart]), seen_rows(hands, near))
    try:
        fit, release = clean_flight(known, view, first=first, last=last + _PAST, frame=frame)
    except BadFilm:
        return None
    if said is not None:
        release = Measured(value=said, sd=frame / float(np.sqrt(12.0)))
    held = near[hands.time[near] < release.value]
    return _Cleaned(known, fit, release, held, flight)


def _corrected(one: _Cleaned, view: View, others: Sequence[FlightFit]) -> _Cleaned:
    """Fit again with what the clip's other shots say of camera, drag and shutter."""
    if not others:
        return one
    free = one.rows.time > one.release.value + 0.5 * one.release.sd
    used = free & (one.rows.time <= one.fit.until + 1e-9)
    try:
        fit = fit_flight(
            one.rows.only(used), better_view(view, others), start=one.fit.at([_mid(one, used)])[0]
        )
    except BadFilm:
        return one
    return replace(one, fit=fit)


def _mid(one: _Cleaned, used: np.ndarray) -> float:
    times = one.rows.time[used]
    return float(times[len(times) // 2])


def _flown(candidates: Candidates, one: _Cleaned, frame: float) -> Flown | None:
    try:
        ball = ball_path(
            one.fit, one.release, rows=one.flight.rows, first=one.release.value, last=one.fit.until
        )
    except BadFilm:
        return None
    seen = result(one.fit, ball, candidates)
    ball = replace(ball, made=seen.made, made_chance=seen.chance)
    return Flown(
        fit=one.fit, ball=ball, seen=seen, doubts=doubts_of(one.fit, ball, seen, frame=frame),
        held=one.held, trail=_trail(one.fit, ball),
    )  # fmt: skip


def _trail(fit: FlightFit, ball: BallPath) -> tuple[tuple[float, float, float], ...]:
    times = np.arange(ball.release_time.value, ball.ring_time.value + _TRAIL, _TRAIL)
    pixels = project(fit.camera, fit.at(times)[:, :3])
    return tuple(
        (float(t), round(float(x), 2), round(float(y), 2))
        for t, (x, y) in zip(times, pixels, strict=True)
    )
