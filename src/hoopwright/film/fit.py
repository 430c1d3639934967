"""The flight of a ball in the world, fitted through one camera, with all that is uncertain.

One camera sees no depth, but gravity does: a ball twice as far seems to fall half as fast. So the
whole arc is fitted at once, with air, for position and velocity at one moment; backspin, drag,
camera and rolling shutter are unknowns too, each held by what is known of it beforehand. The
covariance therefore holds the scene's error, and the flight may correct the camera a little. That
error is the same in all shots of a clip, so the shot's own part is kept beside the whole.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from hoopwright.errors import BadFilm
from hoopwright.film.camera import (
    Camera,
    ball_outline,
    project_with_slopes,
    sight_lines,
    with_parameters,
)
from hoopwright.film.results import Floats, Measured
from hoopwright.film.view import Seen, View
from hoopwright.flight.air import force_constants
from hoopwright.flight.moments import backspin, path_at

#: unknowns: the shot's own (position, velocity, spin), then what it shares with the clip's others,
#: as unit-variance steps from what is expected; see ``view.SHARED``
_OWN, _SHARED, _ALL = 7, slice(7, 19), 19
_READOUT, _DRAG, _EDGE, _SIZE = 8, 9, 10, 11
#: fewest rows a flight is fitted to
FEWEST = 5
#: freedom of the t distribution that rows are taken from, so that a wrong row pulls little
_FREEDOM = 4.0
#: error of the radius that all rows of a flight have in common, whatever its own sd says: blur and
#: light change along the arc, and the edge that is found with them [px]
_RADIUS_TOGETHER = 0.07
#: rounds of fitting; the change of the last must be below this many standard deviations
_ROUNDS, _STILL = 40, 0.003


@dataclass(frozen=True, slots=True, kw_only=True)
class FlightFit:
    """A fitted flight."""

    view: View
    #: a moment near the middle of the rows [s]
    time: float
    #: time of the last row [s]
    until: float
    #: position [m], velocity [m/s], backspin [rad/s], drag over standard drag, float64 [8]
    ball: Floats
    #: of the eight numbers of ``ball``, float64 [8, 8]
    covariance: Floats
    #: the part of it that is this shot's alone: what the clip's shots share held as found, so
    #: that drag has none, float64 [8, 8]
    own: Floats
    #: ``view.SHARED`` as this flight corrects it, float64 [12]
    shared: Floats
    #: that correction in the unit-variance steps of the view, float64 [12]
    shift: Floats
    #: information of this flight alone about those steps, float64 [12, 12]
    information: Floats
    #: seen less fitted over the error of the row: across, down, radius, float64 [row, 3]
    residuals: Floats
    #: radius seen and radius fitted [px], NaN where not seen, float64 [row, 2]
    sizes: Floats
    #: how far each row counts, 0 to about 1, float64 [row]
    weights: Floats
    #: root mean square of the weighted residuals
    misfit: float

    @property
    def camera(self) -> Camera:
        """The camera as this flight corrects it."""
        return self.view.corrected(self.shared, self.view.covariance).camera

    def at(self, times: ArrayLike) -> Floats:
        """Return position and velocity at clip times [s], float64 [moment, 6]."""
        return _follow(self.ball, np.asarray(times, dtype=np.float64) - self.time, self.view)

    def derive(self, number: Callable[["FlightFit"], ArrayLike]) -> tuple[Floats, Floats]:
        """Return numbers of a flight and their covariance, to first order.

        Parameters
        ----------
        number
            Gives float64 [n] of a flight.

        Returns
        -------
        tuple
            float64 [n] and float64 [n, n].
        """
        values, by = self.slopes(number)
        spread: Floats = by @ self.covariance @ by.T
        return values, spread

    def slopes(self, number: Callable[["FlightFit"], ArrayLike]) -> tuple[Floats, Floats]:
        """Return numbers of a flight and how they move with the eight of ``ball``.

        Parameters
        ----------
        number
            Gives float64 [n] of a flight.

        Returns
        -------
        tuple
            float64 [n] and float64 [n, 8].
        """
        steps = np.sqrt(np.maximum(np.diag(self.covariance), 1e-18)) * 0.05
        slopes = []
        for i, step in enumerate(steps):
            up, down = self.ball.copy(), self.ball.copy()
            up[i], down[i] = up[i] + step, down[i] - step
            there = np.asarray(number(replace(self, ball=up)), dtype=np.float64)
            here = np.asarray(number(replace(self, ball=down)), dtype=np.float64)
            slopes.append((there - here) / (2.0 * step))
        return np.asarray(number(self), dtype=np.float64), np.array(slopes).T


def _follow(ball: Floats, spans: Floats, view: View) -> Floats:
    force = force_constants(view.ball, view.air)
    force[1] *= ball[7]
    return path_at(ball[:6], spans, spin=backspin(ball[3:6], ball[6]), force=force)


def linear_start(rows: Seen, view: View, *, time: float) -> Floats:
    """Return position and velocity at a time from the rows alone, without air, float64 [6].

    Parameters
    ----------
    rows
        At least three.
    view
        Camera, and gravity.
    time
        The moment. [s]

    Notes
    -----
    Derived: a point of a known parabola on a known line of sight gives two linear equations, and
    gravity makes them independent.
    """
    camera, t = view.camera, rows.time - time
    turned, shift = camera.turned, np.array(camera.translation)
    into = sight_lines(camera, rows.middle) @ turned.T
    flat = into[:, :2] / into[:, 2:]
    across = turned[None, :2] - flat[:, :, None] * turned[2]  # [row, 2, 3]
    drop = np.array([0.0, 0.0, -0.5 * view.air.gravity]) * t[:, None] ** 2
    right = -(shift[:2] - flat * shift[2]) - np.einsum("rij,rj->ri", across, drop)
    left = np.concatenate([across, across * t[:, None, None]], axis=2)
    weight = (1.0 / rows.sd)[:, None]
    found = np.linalg.lstsq(
        (left * weight[..., None]).reshape(-1, 6), (right * weight).ravel(), rcond=None
    )[0]
    return np.asarray(found, dtype=np.float64)


@dataclass(frozen=True, slots=True)
class _Problem:
    rows: Seen
    view: View
    time: float
    #: how SHARED moves with its unit-variance steps, float64 [12, 12]
    loose: Floats

    def expected(self, start: Floats) -> Floats:
        x = np.zeros(_ALL)
        x[:6], x[6] = start, self.view.spin.value
        return x

    def shared(self, x: Floats) -> Floats:
        values: Floats = self.view.shared + self.loose @ x[_SHARED]
        return values

    def ball(self, x: Floats) -> Floats:
        return np.append(x[:_OWN], self.shared(x)[_DRAG])

    def off(self, x: Floats) -> tuple[Floats, Floats]:
        """Seen less fitted over its error [row, 3], and minus its slopes [row, 3, unknown]."""
        rows, shared, ball = self.rows, self.shared(x), self.ball(x)
        # rows further down the picture are read later
        part = rows.middle[:, 1] / self.view.camera.height - 0.5
        spans = rows.time - self.time + shared[_READOUT] * part
        path = _follow(ball, spans, self.view)
        by_ball = self._path_slopes(ball, spans, path)
        camera = with_parameters(self.view.camera, shared[:8], covariance=np.zeros((8, 8)))
        drawn, by_world, by_camera = project_with_slopes(camera, path[:, :3])
        aside, nominal = ball_outline(camera, path[:, :3], self.view.ball.radius)
        size = nominal * shared[_SIZE] + shared[_EDGE]
        by_shared = np.zeros((len(rows), 3, 12))
        by_shared[:, :2, :8] = by_camera
        moved = np.einsum("rij,rj->ri", by_world, path[:, 3:]) * part[:, None]
        by_shared[:, :2, _READOUT] = moved
        by_shared[:, :2, _DRAG] = (by_world @ by_ball[:, :, 7:])[..., 0]
        by_shared[:, 2, _EDGE], by_shared[:, 2, _SIZE] = 1.0, nominal
        away = camera.turned[2]
        nearer = -(nominal**2 / (camera.focal * self.view.ball.radius))
        by_shared[:, 2, 0], by_shared[:, 2, 7] = nominal / camera.focal, nearer
        slopes = np.empty((len(rows), 3, _ALL))
        slopes[:, :2, :_OWN] = by_world @ by_ball[:, :, :_OWN]
        slopes[:, 2, :_OWN] = nearer[:, None] * (away @ by_ball[:, :, :_OWN])
        slopes[:, :, _SHARED] = by_shared @ self.loose
        over = 1.0 / np.column_stack([rows.sd, rows.sd, _radius_sd(rows)])
        seen = np.column_stack([rows.middle - drawn - aside, rows.radius - size])
        return seen * over, slopes * over[..., None]

    def _path_slopes(self, ball: Floats, spans: Floats, path: Floats) -> Floats:
        """How the path moves with the eight numbers of the ball, float64 [row, 3, 8]."""
        slopes = np.zeros((len(spans), 3, 8))
        slopes[:, :, :3] = np.eye(3)
        for i, step in ((3, 1e-4), (4, 1e-4), (5, 1e-4), (6, 1e-2), (7, 1e-3)):
            near = ball.copy()
            near[i] += step
            slopes[:, :, i] = (_follow(near, spans, self.view)[:, :3] - path[:, :3]) / step
        return slopes

    def held(self, x: Floats) -> tuple[Floats, Floats]:
        """Return expected less taken over its error, of what was known beforehand, and 1/error."""
        off, weight = np.zeros(_ALL), np.zeros(_ALL)
        sd = max(self.view.spin.sd, 1e-9)
        off[6], weight[6] = (self.view.spin.value - x[6]) / sd, 1.0 / sd
        off[_SHARED], weight[_SHARED] = -x[_SHARED], 1.0
        return off, weight


def _cost(off: Floats, held: Floats) -> float:
    square = np.sum(off**2, axis=1)
    rows = (_FREEDOM + 2.0) * np.sum(np.log1p(square / _FREEDOM))
    return float(rows + np.sum(held**2))


def _weights(off: Floats) -> Floats:
    weights: Floats = (_FREEDOM + 2.0) / (_FREEDOM + np.sum(off**2, axis=1))
    return weights


def _information(slopes: Floats, weights: Floats) -> Floats:
    flat = (slopes * np.sqrt(weights)[:, None, None]).reshape(-1, _ALL)
    found: Floats = flat.T @ flat
    return found


def _solve(problem: _Problem, x: Floats) -> Floats:
    """Gauss–Newton with weights of the t distribution, damped where a step does not help."""
    damping = 1e-3
    off, slopes = problem.off(x)
    held, weight = problem.held(x)
    cost = _cost(off, held)
    for _ in range(_ROUNDS):
        w = _weights(off)
        known = np.diag(weight**2)
        square = _information(slopes, w) + known
        pull = np.einsum("rik,ri,r->k", slopes, off, w) + weight * held
        step = np.linalg.solve(square + damping * np.diag(np.diag(square)), pull)
        trial = x + step
        new_off, new_slopes = problem.off(trial)
        new_held = problem.held(trial)[0]
        new_cost = _cost(new_off, new_held)
        if not new_cost <= cost + 1e-9:
            damping *= 10.0
            if damping > 1e9:
                break
            continue
        done = float(step @ square @ step) < _STILL**2
        x, off, slopes, held, cost = trial, new_off, new_slopes, new_held, new_cost
        damping = max(0.1 * damping, 1e-9)
        if done:
            break
    return x


def fit_flight(rows: Seen, view: View, *, start: ArrayLike | None = None) -> FlightFit:
    """Fit one free flight.

    Parameters
    ----------
    rows
        Where the ball was seen, all of them in free flight; at least ``FEWEST``.
    view
        Camera with its covariance, ball, air, and what is known of spin, drag and shutter.
    start
        Position and velocity at the middle row's time, float64 [6]; found from the rows where
        left out.

    Raises
    ------
    BadFilm
        Too few rows, or no flight can be fitted to them.

    Notes
    -----
    Derived: maximum of the posterior by Gauss–Newton, covariance from its curvature, inflated by
    the misfit where that is above one.
    """
    if len(rows) < FEWEST:
        raise BadFilm(
            f"A flight needs the ball in {FEWEST} pictures or more, not {len(rows)}; "
            "film so that the whole arc can be seen."
        )
    time = float(rows.time[len(rows) // 2])
    problem = _Problem(rows, view, time, view.root())
    begin = linear_start(rows, view, time=time) if start is None else np.asarray(start, float)
    try:
        x = _solve(problem, problem.expected(begin))
    except np.linalg.LinAlgError as trouble:
        raise BadFilm("These places of the ball are no flight; check the scene's marks.") from (
            trouble
        )
    if not np.all(np.isfinite(x)):
        raise BadFilm("These places of the ball are no flight; check the scene's marks.")
    return _told(problem, x)


def _told(problem: _Problem, x: Floats) -> FlightFit:
    off, slopes = problem.off(x)
    weights = _weights(off)
    freedom = max(int(np.sum(np.isfinite(problem.rows.radius_sd))) + 2 * len(off) - 6, 1)
    misfit = float(np.sqrt(np.sum(weights * np.sum(off**2, axis=1)) / freedom))
    data = _information(slopes, weights) / max(1.0, misfit**2)
    known = data + np.diag(problem.held(x)[1] ** 2)
    full, own = np.linalg.inv(known), np.zeros((8, 8))
    own[:_OWN, :_OWN] = np.linalg.inv(known[:_OWN, :_OWN])
    # drag is one of the shared numbers; the ball's own eight take it along
    take = np.zeros((8, _ALL))
    take[:_OWN, :_OWN] = np.eye(_OWN)
    take[7, _SHARED] = problem.loose[_DRAG]
    return FlightFit(
        view=problem.view, time=problem.time, until=float(problem.rows.time[-1]),
        ball=problem.ball(x),
        covariance=take @ full @ take.T, own=own, shared=problem.shared(x), shift=x[_SHARED].copy(),
        information=np.linalg.inv(full[_SHARED, _SHARED]) - np.eye(12),
        residuals=off, sizes=_sizes(problem.rows, off), weights=weights, misfit=misfit,
    )  # fmt: skip


def _radius_sd(rows: Seen) -> Floats:
    """Return the error of each radius so that all together err no less than by what they share."""
    together: Floats = np.hypot(rows.radius_sd, _RADIUS_TOGETHER * np.sqrt(len(rows)))
    return together


def _sizes(rows: Seen, off: Floats) -> Floats:
    known = np.isfinite(rows.radius_sd)
    seen = np.where(known, rows.radius, np.nan)
    error = np.where(known, _radius_sd(rows), 0.0)
    return np.column_stack([seen, seen - off[:, 2] * error])


def better_view(view: View, others: Sequence[FlightFit]) -> View:
    """Return a view corrected by flights that were filmed with it.

    Parameters
    ----------
    view
        As the scene gave it; every fit must have been made with this very view.
    others
        The flights; to judge one of them, leave it out.

    Notes
    -----
    Derived: Gaussian information adds. A flight's own part is what its fit knows of SHARED
    beyond what it was told.
    """
    root = view.root()
    total, pull = np.eye(12), np.zeros(12)
    for fit in others:
        total = total + fit.information
        pull = pull + (fit.information + np.eye(12)) @ fit.shift
    spread = np.linalg.inv(total)
    return view.corrected(view.shared + root @ (spread @ pull), root @ spread @ root.T)


def number(value: float, variance: float) -> Measured:
    """Return a value with the error of a variance."""
    return Measured(value=float(value), sd=float(np.sqrt(max(variance, 0.0))))
