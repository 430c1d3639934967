"""What filmed shots say by themselves: entry angle, release-angle band and speed control.

Read straight from the measured releases, with no prior: the film's own error is taken off the
scatter seen, shot by shot. The error that one camera's shots have in common is no scatter: each
camera's shots are compared among themselves, and it widens the usual angles instead.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

from hoopwright.chart.findings import FilmMeasure, FilmReading
from hoopwright.chart.shared_error import camera_of, mean_variance
from hoopwright.chart.spots import BACKSPIN, release_distance
from hoopwright.court.standards import ball
from hoopwright.flight.arc import cross_ring_plane, least_speed_angle
from hoopwright.records import Estimate, MeasuredRelease, ShotSet, Spot
from hoopwright.units import turns_per_second

Floats = NDArray[np.float64]

#: filmed shots from one spot from which a usual angle is told; common practice, no source
FEWEST = 5
#: a usual angle is told where its 80 % range spans no more than this [rad]
ANGLE_TOLD = np.radians(4.0)
#: a spread is told where the ends of its 80 % range are at most this many times apart
SPREAD_TOLD = 1.6
#: within-player speed spread above which the measurement is suspected, not the shooter [m/s];
#: practised shooters are at 0.05–0.13 (Slegers 2021, abstract)
SUSPECT = 0.2
#: most further shots that are asked for
MOST_ASKED = 400
#: how far the backspin of one player may lie from the usual one [rad/s]; common practice, no source
SPIN_DOUBT = turns_per_second(0.6)
#: more shots than would do on average, so that they do for most players; by simulation (tests)
_SPARE = 1.4
#: standard normal deviate of the ends of an 80 % range
_END80 = 1.2816
_GRID = 400
#: equally likely standard normal deviates
_DEVIATES = special.ndtri((np.arange(51) + 0.5) / 51)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shots:
    """Filmed shots of one condition, one row each."""

    spots: tuple[tuple[Spot, int, float], ...]
    #: float64 [shot, 4]: speed [m/s], angle [rad], height [m], entry angle [rad]
    values: Floats
    #: error of speed, angle and entry angle, float64 [shot, 3]
    sds: Floats
    #: what the backspin's doubt does to the entry angle [rad], float64 [shot]
    by_spin: Floats
    #: what tells the shots with one shared error from others
    cameras: tuple[Hashable, ...]
    #: variance of that error in angle and entry angle [rad²], float64 [shot, 2]
    shared: Floats

    @property
    def groups(self) -> list[Hashable]:
        """What shares a mean, as filmed: spot and camera."""
        return list(zip(self.spots, self.cameras, strict=True))

    def common(self, which: NDArray[np.bool_]) -> Floats:
        """Return the variances that shared errors leave in the mean of some shots, float64 [2]."""
        cameras = [one for one, is_in in zip(self.cameras, which, strict=True) if is_in]
        return np.array([mean_variance(v, cameras=cameras) for v in self.shared[which].T])


def film_reading(sets: Sequence[ShotSet]) -> FilmReading | None:
    """Return what the filmed shots of one condition say, or None where none was filmed.

    Parameters
    ----------
    sets
        Sets of one player under one condition; shots without a measured release are passed over.
    """
    shots = _gathered(sets)
    if shots is None:
        return None
    keys = list(dict.fromkeys(shots.spots))
    here = max(keys, key=shots.spots.count)
    place = np.array([keys.index(one) for one in shots.spots])
    main = place == keys.index(here)
    speed = scatter(shots.values[:, 0], shots.sds[:, 0], groups=shots.groups)
    angle = scatter(shots.values[:, 1], shots.sds[:, 1], groups=shots.groups)
    entry = scatter(shots.values[:, 3], shots.sds[:, 2], groups=shots.groups)
    by_camera = np.sqrt(shots.common(main))
    spot, size, ring_height = here
    rise = ring_height - float(np.mean(shots.values[main, 2]))
    return FilmReading(
        shots=len(place),
        spot=spot,
        spot_shots=int(main.sum()),
        entry_angle=_usual(entry, main, shots.values[:, 3], shots.sds[:, 2],
                           doubt=float(np.hypot(by_camera[1], np.mean(shots.by_spin[main])))),
        angle=_usual(angle, main, shots.values[:, 1], shots.sds[:, 1], doubt=float(by_camera[0])),
        angle_spread=_spread(angle),
        speed_spread=_spread(speed),
        speed_spread_seen=speed.seen,
        suspect=speed.draws.size > 0 and speed.value > SUSPECT,
        least_speed_angle=float(
            least_speed_angle(release_distance(spot), rise, ball=ball(size), spin=BACKSPIN)
        ),
    )  # fmt: skip


def _gathered(sets: Sequence[ShotSet]) -> _Shots | None:
    filmed = [one for one in sets if any(s.release is not None for s in one.shots)]
    parts = [part for part in map(_of_set, filmed) if part.spots]
    if not parts:
        return None
    return _Shots(
        spots=tuple(spot for part in parts for spot in part.spots),
        values=np.vstack([part.values for part in parts]),
        sds=np.vstack([part.sds for part in parts]),
        by_spin=np.concatenate([part.by_spin for part in parts]),
        cameras=tuple(camera for part in parts for camera in part.cameras),
        shared=np.vstack([part.shared for part in parts]),
    )


def _of_set(one: ShotSet) -> _Shots:
    found = [s.release for s in one.shots if s.release is not None]
    entry = entry_angles(found, ball_size=one.ball_size, ring_height=one.ring_height)
    covariance = np.array([r.covariance for r in found]).reshape(-1, 5, 5)
    rows = [(r.speed, r.angle, r.height) for r in found]
    sd = np.sqrt(np.maximum(covariance[:, [0, 1], [0, 1]], 0.0))
    # a release that never comes down through the ring plane has no entry angle
    whole = np.isfinite(entry.value)
    in_common = np.array([r.shared[6] if r.shared else 0.0 for r in found])
    return _Shots(
        spots=((one.spot, one.ball_size, one.ring_height),) * int(whole.sum()),
        values=np.column_stack([np.array(rows), entry.value])[whole],
        sds=np.column_stack([sd, entry.sd])[whole],
        by_spin=entry.by_spin[whole],
        cameras=tuple(camera_of(r) for r, down in zip(found, whole, strict=True) if down),
        shared=np.column_stack([in_common, entry.shared_sd**2])[whole],
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryAngles:
    """Entry angles of some shots [rad], float64 [shot] each; NaN where no ball comes down."""

    value: Floats
    #: error that differs from shot to shot, one standard deviation
    sd: Floats
    #: error that the shots of one camera have in common
    shared_sd: Floats
    #: change for SPIN_DOUBT more backspin
    by_spin: Floats


def entry_angles(
    found: Sequence[MeasuredRelease], *, ball_size: int, ring_height: float
) -> EntryAngles:
    """Return the entry angles of measured releases with their errors.

    Parameters
    ----------
    found
        Measured releases.
    ball_size, ring_height
        Ball size number and top of the ring [m].

    Notes
    -----
    Derived: first-order error through ``flight.arc.cross_ring_plane``.
    """
    speed, angle, height = (
        np.array([getattr(r, name) for r in found]) for name in ("speed", "angle", "height")
    )
    rise, the_ball = ring_height - height, ball(ball_size)

    def entry(faster: float, steeper: float, spin: float = BACKSPIN) -> Floats:
        flown = cross_ring_plane(speed + faster, angle + steeper, rise, ball=the_ball, spin=spin)
        return flown.entry_angle

    step = 1e-3
    slopes = np.column_stack([
        (entry(step, 0.0) - entry(-step, 0.0)) / (2.0 * step),
        (entry(0.0, step) - entry(0.0, -step)) / (2.0 * step),
    ])  # fmt: skip
    here = entry(0.0, 0.0)
    return EntryAngles(
        value=here,
        sd=_carried([r.covariance for r in found], slopes),
        shared_sd=_carried([r.shared or (0.0,) * 25 for r in found], slopes),
        by_spin=np.abs(entry(0.0, 0.0, BACKSPIN + SPIN_DOUBT) - here),
    )


def _carried(covariances: Sequence[tuple[float, ...]], slopes: Floats) -> Floats:
    """Return the error that covariances leave where speed and angle have slopes [shot, 2]."""
    both = np.array(covariances).reshape(-1, 5, 5)[:, :2, :2]
    variance = np.einsum("si,sij,sj->s", slopes, both, slopes)
    return np.asarray(np.sqrt(np.maximum(variance, 0.0)), np.float64)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scatter:
    """The player's own scatter of one number, the film's error taken off: weighted draws."""

    #: standard deviations on a grid, float64 [draw]; none where no spot has two shots
    draws: Floats
    #: float64 [draw]
    weights: Floats
    #: plain standard deviation about the spots' means, film error and all
    seen: float
    #: mean error variance
    error: float
    #: degrees of freedom
    free: int

    @property
    def value(self) -> float:
        """Mean of the draws."""
        return float(np.average(self.draws, weights=self.weights))


def scatter(values: Floats, sds: Floats, *, groups: Sequence[Hashable]) -> Scatter:
    """Return the scatter of values about their groups' means, known errors taken off.

    Parameters
    ----------
    values, sds
        Values and their errors, float64 [shot].
    groups
        What shares a mean, one per shot.

    Notes
    -----
    Derived: each value is normal about its group's mean with the player's variance plus its own
    error variance; the means are integrated out, the player's standard deviation has a flat prior
    over a grid up to three times what is seen.
    """
    keys = list(dict.fromkeys(groups))
    parts = [np.array([one == key for one in groups]) for key in keys]
    parts = [part for part in parts if part.sum() > 1]
    free = int(sum(part.sum() - 1 for part in parts))
    error = float(np.mean(sds**2))
    if free < 1:
        return Scatter(draws=np.empty(0), weights=np.empty(0), seen=0.0, error=error, free=0)
    squares = sum(float(np.sum((values[p] - values[p].mean()) ** 2)) for p in parts)
    seen = float(np.sqrt(squares / free))
    # a handful of shots allows of much more than was seen
    grid = seen * np.linspace(1.0 / _GRID, 1.0, _GRID) * (3.0 + 12.0 / free)
    logs = np.sum([_loglik(grid, values[p], sds[p]) for p in parts], axis=0)
    return Scatter(draws=grid, weights=np.exp(logs - logs.max()), seen=seen, error=error, free=free)


def _loglik(grid: Floats, values: Floats, sds: Floats) -> Floats:
    """Return the log-likelihood of standard deviations, the mean integrated out [grid]."""
    precise = 1.0 / (grid[:, None] ** 2 + sds**2 + 1e-18)
    total = precise.sum(axis=1)
    mean = precise @ values / total
    rest = np.sum(precise * (values - mean[:, None]) ** 2, axis=1)
    return np.asarray(0.5 * (np.log(precise).sum(axis=1) - np.log(total) - rest), np.float64)


def _spread(found: Scatter) -> FilmMeasure:
    """Return a spread, told or not."""
    if found.free < 1:
        return FilmMeasure(estimate=None, told=False, shots_needed=_first_shots())
    estimate = Estimate.from_draws(found.draws, found.weights)
    if estimate.high80 <= SPREAD_TOLD * max(estimate.low80, 1e-12):
        return FilmMeasure(estimate=estimate, told=True)
    # the relative error of a standard deviation is √(1/2n), the more so under a noise
    own = max(estimate.value**2, 1e-18)
    close = np.log(SPREAD_TOLD) / (2.0 * _END80)
    wanted = _SPARE * (1.0 + found.error / own) ** 2 / (2.0 * close**2)
    return _not_told(estimate, int(np.ceil(wanted - found.free)))


def _first_shots() -> int:
    """Return the shots that tell a spread where the film's error is small."""
    return int(np.ceil(1.0 + _SPARE * 2.0 * _END80**2 / np.log(SPREAD_TOLD) ** 2))


def _not_told(estimate: Estimate | None, more: int) -> FilmMeasure:
    beyond = more > MOST_ASKED
    return FilmMeasure(
        estimate=estimate, told=False, shots_needed=None if beyond else max(more, 3), beyond=beyond
    )


def _usual(
    found: Scatter, main: NDArray[np.bool_], values: Floats, sds: Floats, *, doubt: float = 0.0
) -> FilmMeasure:
    """Return a usual value at the main spot, told or not.

    Parameters
    ----------
    found
        Scatter over all spots.
    main
        The shots of the main spot, bool [shot].
    values, sds
        Of all shots, float64 [shot].
    doubt
        Error common to all shots, one standard deviation.
    """
    here = int(main.sum())
    if found.free < 1:
        return FilmMeasure(estimate=None, told=False, shots_needed=max(FEWEST - here, 1))
    precise = 1.0 / (found.draws[:, None] ** 2 + sds[main] ** 2 + 1e-18)
    total = precise.sum(axis=1)
    middle, sd = precise @ values[main] / total, np.sqrt(1.0 / total + doubt**2)
    draws = middle[:, None] + sd[:, None] * _DEVIATES
    weights = np.broadcast_to(found.weights[:, None], draws.shape)
    estimate = Estimate.from_draws(draws.ravel(), weights.ravel())
    wide = estimate.high80 - estimate.low80
    if here >= FEWEST and wide <= ANGLE_TOLD:
        return FilmMeasure(estimate=estimate, told=True)
    # more shots don't narrow what is common to all of them
    common = (2.0 * _END80 * doubt) ** 2
    if common >= ANGLE_TOLD**2:
        return _not_told(estimate, MOST_ASKED + 1)
    closer = int(np.ceil(here * ((wide**2 - common) / (ANGLE_TOLD**2 - common) - 1.0)))
    return _not_told(estimate, max(FEWEST - here, closer))
