"""Where a free flight begins and ends: the ball leaves the hand, and meets ring or board.

The flight itself is fitted to its middle. Before release the ball is still slower, so that it is
nearer to where it will leave the hand than the flight run back in time has it; how that lead grows
tells when the flight began, finer than a frame.
"""

import math

import numpy as np

from hoopwright.film.camera import project
from hoopwright.film.fit import FEWEST, FlightFit, fit_flight
from hoopwright.film.results import Candidates, Flight, Floats, Ints, Measured
from hoopwright.film.view import Seen, View

#: how hard the hand pushes just before release, against a free fall [m/s²]: a release speed of 7
#: to 9 m/s reached within 0.08 to 0.2 s; common practice, no source
PUSH = Measured(value=75.0, sd=35.0)
#: how much weaker or stronger the push may have been before that [1/s], each as likely; and how
#: well its growth follows any of them, as a share
_EASINGS, _SHAPE = (-2.0, 0.0, 2.0, 4.0), 0.06
#: release is never known better than this [s]
_LEAST = 0.005
#: how long before and after the first row of a flight release is looked for [s]
_BEFORE, _AFTER = 0.2, 0.25
#: a row is never taken to be farther off than this many errors, since it may not be the ball
_FAR = 4.0
#: room for a flight that is not fitted well yet, run back along the line of sight [m]
_ROOM = 0.06
#: rounds of finding the ends and fitting between them
_ROUNDS = 3
#: a row is blurred from this many usual errors on, and a gap is this many usual steps long
_BLUR, _GAP = 5.0, 2.5
#: share of the rows at each end that the first fit leaves out
_UNSURE = 0.12


def meets(fit: FlightFit, *, last: float) -> float:
    """Return when the ball's surface first meets ring or board [s], or infinity.

    Parameters
    ----------
    fit
        The flight.
    last
        Look no further than this clip time. [s]

    Notes
    -----
    Derived: distance of the centre from the ring's circle and from the board's face, every
    millisecond.
    """
    times = np.arange(fit.time, last, 0.001)
    if not len(times):
        return float("inf")
    x, y, z = fit.at(times)[:, :3].T
    ring, board, radius = fit.view.rules.ring, fit.view.rules.board, fit.view.ball.radius
    circle = ring.radius + ring.rod_radius
    rod = np.hypot(np.hypot(x, y) - circle, z - (ring.height - ring.rod_radius))
    beside = np.maximum(np.abs(x) - 0.5 * board.width, 0.0)
    above = np.maximum(board.lower_edge - z, z - board.lower_edge - board.height)
    face = np.sqrt((board.setback - y) ** 2 + beside**2 + np.maximum(above, 0.0) ** 2)
    hit = np.flatnonzero((rod <= radius + ring.rod_radius) | (face <= radius))
    return float(times[hit[0]]) if len(hit) else float("inf")


def crossing_time(fit: FlightFit) -> float:
    """Return when the ball's centre falls through the ring plane [s]; NaN where it never does.

    Notes
    -----
    Derived: Newton steps from the last of ten grid points above the ring.
    """
    ring = fit.view.ring_height
    grid = fit.time + np.linspace(-1.0, 2.5, 141)
    path = fit.at(grid)
    falls = np.flatnonzero((path[:-1, 2] >= ring) & (path[1:, 2] < ring))
    if not len(falls):
        return float("nan")
    when = float(grid[falls[-1]])
    for _ in range(6):
        here = fit.at([when])[0]
        when += (ring - here[2]) / here[5]
    return when


def leads(fit: FlightFit, rows: Seen) -> tuple[Floats, Floats]:
    """Return how far each row lies ahead of the flight along its way, and its error [m].

    Parameters
    ----------
    fit
        The flight, run to each row's time.
    rows
        Where a ball was seen.
    """
    part = rows.middle[:, 1] / fit.view.camera.height - 0.5
    path = fit.at(rows.time + fit.shared[8] * part)
    camera = fit.camera
    here, soon = project(camera, path[:, :3]), project(camera, path[:, :3] + 1e-3 * path[:, 3:])
    way = (soon - here) * 1e3
    pixels = np.linalg.norm(way, axis=1)
    metres = np.linalg.norm(path[:, 3:], axis=1) / np.maximum(pixels, 1e-6)
    ahead_px = np.sum((rows.middle - here) * way, axis=1) / np.maximum(pixels, 1e-6)
    return ahead_px * metres, rows.sd * metres


def leaves_hand(fit: FlightFit, rows: Seen, *, first: float, frame: float) -> Measured:
    """Return when the ball left the hand [s].

    Parameters
    ----------
    fit
        The flight.
    rows
        Where the ball was seen from the hand to well into the flight.
    first
        Time of the first row that is thought to be in flight. [s]
    frame
        Time between pictures. [s]

    Notes
    -----
    Derived: least squares of a lead that grows with the square of the time before release, the
    push held by ``PUSH``; error from the curvature, no smaller than a fifth of a frame and 5 ms,
    and half a frame where the ball was not seen in the hand.
    """
    lead, sd = leads(fit, rows)
    near = (rows.time > first - _BEFORE) & (rows.time < first + _AFTER)
    # a ball in the hand is ahead of the flight run back, never behind it: what is, is not the ball
    near &= (rows.time > first + 0.5 * frame) | (lead > -_FAR * sd - _ROOM)
    times, lead, sd = rows.time[near], lead[near], sd[near]
    if not np.any(times < first - 0.5 * frame):
        earliest = float(times[0]) if len(times) else first
        return Measured(value=earliest - 0.5 * frame, sd=frame / np.sqrt(3.0))
    grid = np.arange(first - _BEFORE, first + _AFTER, 0.05 * frame)
    cost = np.array([[_lead_cost(t, e, times, lead, sd) for e in _EASINGS] for t in grid])
    chance = np.exp(-0.5 * (cost - cost.min())).sum(axis=1)
    chance /= chance.sum()
    mean = float(np.sum(chance * grid))
    spread = float(np.sqrt(np.sum(chance * (grid - mean) ** 2)))
    return Measured(value=mean, sd=math.hypot(spread, 0.2 * frame, _LEAST))


def _lead_cost(release: float, easing: float, times: Floats, lead: Floats, sd: Floats) -> float:
    before = np.maximum(release - times, 0.0)
    growth = 0.5 * before**2 * np.maximum(1.0 - easing * before, 0.3)
    push, known = PUSH.value, 1.0 / PUSH.sd**2
    error = sd
    for _ in range(3):
        # how the push grew is not known well, so that early rows count less
        error = np.hypot(sd, _SHAPE * push * growth)
        far = np.abs(lead - push * growth) > _FAR * error
        weight = np.where(far, 1e-6, 1.0) / error**2
        pull = float(np.sum(weight * growth * lead)) + PUSH.value * known
        push = min(max(pull / (float(np.sum(weight * growth**2)) + known), 15.0), 250.0)
    off = np.minimum(np.abs(lead - push * growth) / error, _FAR)
    spread = 2.0 * float(np.sum(np.log(error / sd)))
    return float(np.sum(off**2)) + spread + ((push - PUSH.value) / PUSH.sd) ** 2


def clean_flight(
    rows: Seen, view: View, *, first: float, last: float, frame: float
) -> tuple[FlightFit, Measured]:
    """Fit a flight between release and first contact, and find both.

    Parameters
    ----------
    rows
        Where the ball was seen, from the hand to the ring.
    view
        Camera, ball, ring.
    first, last
        Times of the rows that are thought to be its first and last in flight. [s]
    frame
        Time between pictures. [s]

    Returns
    -------
    tuple
        The flight, and when it began.

    Raises
    ------
    BadFilm
        No flight can be fitted.
    """
    cut = _UNSURE * (last - first)
    inside = (rows.time >= first + cut) & (rows.time <= last - cut)
    if inside.sum() < FEWEST + 1:
        inside = (rows.time >= first) & (rows.time <= last)
    fit = fit_flight(rows.only(inside), view)
    release = Measured(value=first, sd=frame)
    for _ in range(_ROUNDS):
        release = leaves_hand(fit, rows, first=first, frame=frame)
        # a contact moves the ball from the very next picture on
        end = min(last, meets(fit, last=last + frame) - 0.5 * frame)
        again = (rows.time > release.value + 0.5 * release.sd) & (rows.time <= end + 1e-9)
        if again.sum() < FEWEST or np.array_equal(again, inside):
            break
        inside = again
        fit = fit_flight(rows.only(inside), view, start=fit.at([_middle(rows, inside)])[0])
    return fit, release


def seen_rows(candidates: Candidates, rows: Ints) -> Seen:
    """Return rows of candidates as the fit takes them, in order of time."""
    order = rows[np.argsort(candidates.time[rows], kind="stable")]
    return Seen(
        time=candidates.time[order], middle=candidates.middle[order],
        sd=candidates.middle_sd[order], radius=candidates.radius[order],
        radius_sd=candidates.radius_sd[order],
    )  # fmt: skip


def begins(candidates: Candidates, flight: Flight) -> float:
    """Return when the first row of a flight is that is surely the free ball [s].

    A free ball is seen sharply, picture after picture. What is far less sharp before, or comes
    after a gap, is a hand or an arm that happens to lie where the flight run back would be.
    """
    rows = np.array(flight.rows, dtype=np.int64)
    rows = rows[np.argsort(candidates.time[rows], kind="stable")]
    times, sd = candidates.time[rows], candidates.middle_sd[rows]
    gaps = np.diff(times)
    sure = (sd[:-1] < _BLUR * np.median(sd)) & (gaps < _GAP * np.median(gaps))
    return float(times[np.argmax(sure)]) if sure.any() else float(times[0])


def rough_fit(candidates: Candidates, flight: Flight, view: View) -> FlightFit:
    """Fit a flight to the middle of what a track says belongs to it.

    Raises
    ------
    BadFilm
        No flight can be fitted.
    """
    rows = np.array(flight.rows, dtype=np.int64)
    first = begins(candidates, flight)
    cut, times = _UNSURE * (flight.last - first), candidates.time[rows]
    inside = (times >= first + cut) & (times <= flight.last - cut)
    return fit_flight(seen_rows(candidates, rows[inside]), view)


def _middle(rows: Seen, inside: np.ndarray) -> float:
    chosen = rows.time[inside]
    return float(chosen[len(chosen) // 2])
