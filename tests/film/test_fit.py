"""The flight fit: exact where nothing is uncertain, honest about its errors where something is."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import minimize
from tests.film.filmed import BEHIND, MARKED, SIDE, Floats, Known, film, free_throw, told

from hoopwright.court.standards import ball
from hoopwright.errors import BadFilm
from hoopwright.film.camera import Camera, ball_outline, project
from hoopwright.film.fit import FEWEST, FlightFit, better_view, fit_flight, linear_start
from hoopwright.film.results import Measured
from hoopwright.film.view import View, seen, view_of
from hoopwright.flight.air import Air


def certain(camera: Camera) -> View:
    """Return a view with nothing uncertain but the shot itself."""
    view = view_of(camera, ball(7))
    return replace(view, covariance=np.zeros((12, 12)), spin=Measured(value=12.6, sd=1e-6))


def test_the_start_without_air_is_exact() -> None:
    """Closed form: points of a parabola seen without error give it back."""
    view = replace(view_of(SIDE, ball(7)), air=Air.none())
    start = np.array([0.1, -4.0, 2.2, 0.2, 4.3, 6.0])
    t = np.linspace(0.0, 0.9, 9)[:, None]
    path = start[:3] + start[3:] * t + 0.5 * t**2 * (0.0, 0.0, -view.air.gravity)
    rows = seen(t[:, 0], project(SIDE, path), 0.5)
    assert linear_start(rows, view, time=0.0) == pytest.approx(start, abs=1e-6)


@pytest.mark.parametrize("camera", [SIDE, BEHIND])
def test_without_errors_the_flight_comes_back(camera: Camera) -> None:
    """Known motion: the flight model's own path, seen exactly."""
    rng = np.random.default_rng(5)
    shot = free_throw(rng)
    shot.ball[6] = 12.6
    rows = film(shot, camera, rng, noise=1e-9, readout=0.012)
    errors = np.full(len(rows), 0.3)
    fit = fit_flight(replace(rows, sd=errors, radius_sd=errors), certain(camera))
    assert fit.at([0.0, 0.8]) == pytest.approx(shot.at(np.array([0.0, 0.8])), abs=2e-4)
    assert fit.misfit < 1e-3


def test_no_general_optimiser_finds_a_better_fit() -> None:
    """scipy.optimize.minimize on the same likelihood, nothing but the flight unknown."""
    rng = np.random.default_rng(7)
    shot, view = free_throw(rng), certain(SIDE)
    rows = film(shot, SIDE, rng, readout=0.012)
    fit = fit_flight(rows, view)
    sd = np.sqrt(np.diag(fit.covariance))[:6]

    def cost(steps: Floats) -> float:
        known = Known(np.array([*(fit.ball[:6] + sd * steps), 12.6, 1.0]), 0.0, 0.0, 0.0)
        when = rows.time - fit.time + 0.012 * (rows.middle[:, 1] / SIDE.height - 0.5)
        world = known.free(when)[:, :3]
        aside, size = ball_outline(SIDE, world, ball(7).radius)
        left = np.column_stack([rows.middle - project(SIDE, world) - aside, rows.radius - size])
        # radii err together by 0.07 px, however many there are
        together = np.hypot(rows.radius_sd, 0.07 * np.sqrt(len(rows)))
        square = np.sum((left / np.column_stack([rows.sd, rows.sd, together])) ** 2, axis=1)
        # a t distribution with 4 degrees of freedom over each row
        return float(6.0 * np.sum(np.log1p(square / 4.0)))

    start = rng.normal(0.0, 1.0, 6)
    best = minimize(cost, start, method="BFGS")
    assert best.fun < cost(start) - 1.0
    assert cost(np.zeros(6)) <= best.fun + 1e-3
    assert np.abs(best.x).max() < 0.1


@pytest.mark.parametrize(("camera", "rate"), [(SIDE, 60.0), (SIDE, 30.0), (BEHIND, 60.0)])
def test_ranges_hold_the_truth_as_often_as_they_say(camera: Camera, rate: float) -> None:
    """Simulated scenes and shots, every error drawn from what the fit is told."""
    rng = np.random.default_rng(11)
    off = []
    for _ in range(120):
        shot = free_throw(rng, drag=rng.normal(1.0, 0.05))
        fit = fit_flight(
            film(shot, camera, rng, rate=rate, readout=rng.normal(0.012, 0.006)),
            told(camera, rng),
        )
        values, spread = fit.derive(lambda f: np.concatenate([f.at([0.0])[0], f.at([0.9])[0, :3]]))
        true = np.concatenate([shot.at(np.array([0.0]))[0], shot.at(np.array([0.9]))[0, :3]])
        off.append((values - true) / np.sqrt(np.diag(spread)))
    inside = (np.abs(np.array(off)) < 1.96).mean()
    assert 0.92 < inside < 0.99


def test_a_wrong_row_pulls_little() -> None:
    """Known motion with one row in eight put elsewhere."""
    rng = np.random.default_rng(13)
    shot, view = free_throw(rng), certain(SIDE)
    shot.ball[6] = 12.6
    rows = film(shot, SIDE, rng, readout=0.012)
    bad = rows.middle.copy()
    bad[::8] += rng.uniform(-60.0, 60.0, bad[::8].shape)
    clean, dirty = fit_flight(rows, view), fit_flight(replace(rows, middle=bad), view)
    assert dirty.at([0.0])[0, :3] == pytest.approx(clean.at([0.0])[0, :3], abs=0.05)
    assert dirty.weights[::8].mean() < 0.1 < 0.7 < dirty.weights[1::8].mean()


def test_flights_of_one_clip_correct_their_camera() -> None:
    """A focal length that is 3 % off shows in many flights, and a shot's error shrinks."""
    rng = np.random.default_rng(17)
    errors = (30.0, *MARKED[1:])
    before: list[float] = []
    after: list[float] = []
    for _ in range(6):
        view = told(SIDE, rng, errors)
        shots = [free_throw(rng) for _ in range(10)]
        rows = [film(shot, SIDE, rng) for shot in shots]
        fits = [fit_flight(r, view) for r in rows]
        better = better_view(view, fits[1:])
        again = fit_flight(rows[0], better)
        for fit, found in ((fits[0], before), (again, after)):
            found.append(float(np.linalg.norm(fit.at([0.0])[0, 3:])) - shots[0].speed)
        assert better.covariance[0, 0] < view.covariance[0, 0]
    assert np.std(after) < np.std(before)


def test_a_shots_own_error_is_what_shots_of_one_clip_differ_by() -> None:
    """Brute force: clips of ten shots, each scene off by its stated errors once for all of them.

    Errors less their clip's mean scatter by the own part, the clip's mean by the shared part; 160
    and 16 squares of six numbers each. Backspins are drawn a little closer than the fit is told, so
    that the first lie somewhat below one.
    """
    rng = np.random.default_rng(41)
    apart, alike, whole = [], [], []
    for _ in range(16):
        view, drag, readout = told(SIDE, rng), rng.normal(1.0, 0.05), rng.normal(0.012, 0.006)
        shots = [free_throw(rng, drag=drag) for _ in range(10)]
        rows = [film(one, SIDE, rng, readout=readout) for one in shots]
        # what the rows of one flight have in common, as the fit takes it
        rows = [replace(r, radius=r.radius + rng.normal(0.0, 0.07)) for r in rows]
        fits = [fit_flight(r, view) for r in rows]
        better = [better_view(view, [*fits[:i], *fits[i + 1 :]]) for i in range(10)]
        again = [fit_flight(r, v) for r, v in zip(rows, better, strict=True)]
        off, own, shared = map(np.array, zip(*map(_off, shots, again), strict=True))
        middle = off.mean(axis=0)
        apart.append((off - middle) ** 2 * (10 / 9) / own)
        whole.append((off - middle) ** 2 * (10 / 9) / (own + shared))
        alike.append(middle**2 / (shared.mean(axis=0) + own.mean(axis=0) / 10))
    assert np.mean(apart) == pytest.approx(1.0, abs=0.25)
    assert np.mean(alike) == pytest.approx(1.0, abs=0.5)
    assert np.mean(apart, axis=(0, 1)) == pytest.approx(np.ones(6), abs=0.5)
    # to take all of a shot's error for scatter would be wrong
    assert np.mean(whole) < 0.5


def _off(shot: Known, fit: FlightFit) -> tuple[Floats, Floats, Floats]:
    """Return errors of position at 0 and 0.9 s, and their own and shared variances."""
    times = np.array([0.0, 0.9])
    values, by = fit.slopes(lambda f: f.at(times)[:, :3].ravel())
    own, total = (np.diag(by @ c @ by.T) for c in (fit.own, fit.covariance))
    return values - shot.at(times)[:, :3].ravel(), own, total - own


def test_own_and_shared_errors_are_errors() -> None:
    rng = np.random.default_rng(43)
    fit = fit_flight(film(free_throw(rng), SIDE, rng), told(SIDE, rng))
    assert np.all(fit.own[7] == 0.0) and np.all(fit.own[:, 7] == 0.0)
    for part in (fit.own, fit.covariance - fit.own):
        scale = np.sqrt(np.diag(fit.covariance))
        assert np.linalg.eigvalsh(part / np.outer(scale, scale)).min() > -1e-9
    # where nothing is uncertain but the shot, all of it is the shot's own
    sure = fit_flight(film(free_throw(rng), SIDE, rng), certain(SIDE))
    assert sure.own == pytest.approx(sure.covariance, rel=1e-6, abs=1e-12)


def test_too_few_rows_are_refused() -> None:
    rng = np.random.default_rng(19)
    rows = film(free_throw(rng), SIDE, rng)
    few = rows.only(np.arange(len(rows)) < FEWEST - 1)
    with pytest.raises(BadFilm, match="whole arc"):
        fit_flight(few, view_of(SIDE, ball(7)))
