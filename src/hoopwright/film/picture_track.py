"""Which ball-like places are a shot where no scene is known: parabolas in the picture.

A ball in flight before a camera from the side goes evenly across the picture, and up and down as a
parabola, at nearly one size. Neither metres nor gravity are asked for, since the clip's clock may
be wrong; ``side_plane`` judges that. Compare ``track``, which knows the camera.
"""

import math
from dataclasses import dataclass

import numpy as np

from hoopwright.film import _picture_kernel as kernel
from hoopwright.film.results import Candidates, Floats, Ints

#: pictures between the rows of a seed, threes kept of one picture
_GAPS, _EACH = (2, 4, 8), 2
#: most and least rows of one run
_MOST_ROWS, _LEAST_ROWS = 2000, 8
#: a shot rises, falls and goes across at least so far [radius of the ball]: about 1 m, a quarter
#: and 0.8 m
_RISE, _FALL, _ACROSS = 8.0, 2.0, 6.5
#: a pass leaves the hands flatter than a shot [rad]; a shot at the least speed leaves at 45° and
#: more (closed form), seen from aside even steeper
_FLATTEST = math.radians(40.0)
#: a run's distance from its best bent parabola, root mean square: of a radius, and [px]
_OFF, _OFF_PX = 0.12, 0.6
#: a row this many times farther off than most is dropped from the ends of a run
_FAR = 4.0
#: share of its rows that a run may have in common with a better one
_SHARED = 0.3
#: a run that begins this near to where a shot ended [radius], this soon [flight time], rebounds
_REBOUND, _SOON = 12.0, 0.8


@dataclass(frozen=True, slots=True)
class _Run:
    """One flight: its rows, where it goes, all in pixels and seconds."""

    rows: Ints
    start: Floats
    end: Floats
    first: float
    last: float
    radius: float
    rise: float

    @property
    def way(self) -> float:
        """Across the picture, + to the right."""
        return math.copysign(1.0, self.end[0] - self.start[0])


def follow_in_picture(candidates: Candidates) -> tuple[Ints, ...]:
    """Return the rows of each shot's flight, in order of time.

    Parameters
    ----------
    candidates
        As ``ball.find`` gives them without a camera.

    Returns
    -------
    tuple
        int64 [row] each, with no row in common. A few rows at either end may still be in the hand
        or at the ring. All go the same way across the picture as the highest: a ball that is thrown
        back is no shot.

    Notes
    -----
    Derived; see ``docs/film-scene.md``.
    """
    order = np.argsort(candidates.frame, kind="stable")
    data = np.column_stack(
        [
            candidates.time[order], candidates.middle[order], candidates.radius[order],
            candidates.score[order],
        ]
    )  # fmt: skip
    runs = _disjoint(_grown(np.ascontiguousarray(data), candidates.frame[order]), len(order))
    if not runs:
        return ()
    way = max(runs, key=lambda run: run.rise).way
    shots = _no_rebounds([run for run in runs if run.way == way])
    return tuple(np.sort(order[run.rows]) for run in shots)


def _grown(data: Floats, frames: Ints) -> list[_Run]:
    """Grow a run from every seed that none has taken, and keep those that are shots."""
    starts = np.flatnonzero(np.diff(frames, prepend=-1) != 0)
    firsts = np.append(starts, len(frames)).astype(np.int64)
    picture_of = np.repeat(np.arange(len(starts)), np.diff(firsts))
    owned, tried, runs = np.zeros(len(data), dtype=bool), np.zeros(len(data), dtype=bool), []
    rows = np.empty(_MOST_ROWS, dtype=np.int64)
    for seed in _seeds(data, firsts):
        if np.count_nonzero(owned[seed]) >= 2 or np.all(tried[seed]):
            continue
        many = kernel.grow(data, firsts, picture_of, seed, rows)
        run = _shot(data, np.sort(rows[:many])) if many >= _LEAST_ROWS else None
        tried[rows[:many]] = True
        if run is not None:
            owned[run.rows] = True
            runs.append(run)
    return runs


def _seeds(data: Floats, firsts: Ints) -> Ints:
    """Return threes of rows, the most ball-like first, int64 [seed, 3]."""
    every, quality = [np.empty((0, 3), dtype=np.int64)], [np.empty(0)]
    many = _EACH * len(firsts)
    for gap in _GAPS:
        rows, good = np.empty((many, 3), dtype=np.int64), np.empty(many)
        found = kernel.seeds(data, firsts, gap, _EACH, rows, good)
        every.append(rows[:found])
        quality.append(good[:found])
    best: Ints = np.concatenate(every)[np.argsort(-np.concatenate(quality), kind="stable")]
    return best


def _shot(data: Floats, rows: Ints) -> _Run | None:
    """Return a run cut to where it is one flight, or None where it is no shot."""
    rows = _cut(data, rows)
    if len(rows) < _LEAST_ROWS:
        return None
    places, radius = data[rows][:, [kernel.X, kernel.Y]], float(np.median(data[rows, kernel.R]))
    top = int(np.argmin(places[:, 1]))
    rise, fall = places[[0, -1], 1] - places[top, 1]
    across = abs(float(places[-1, 0] - places[0, 0]))
    early = max(top // 3, 1)
    steep = math.atan2(places[0, 1] - places[early, 1], abs(float(places[early, 0] - places[0, 0])))
    flat = across < _ACROSS * radius or steep < _FLATTEST
    if flat or rise < _RISE * radius or fall < _FALL * radius:
        return None
    first, last = data[rows[[0, -1]], kernel.T]
    return _Run(
        rows, places[0], places[-1], float(first), float(last), radius=radius, rise=float(rise)
    )


def _cut(data: Floats, rows: Ints) -> Ints:
    """Drop rows that lie off the bent parabola of most, and what is beyond them at the ends."""
    for _ in range(6):
        if len(rows) < _LEAST_ROWS:
            return rows
        off = _off(data, rows)
        usual = float(np.median(off)) / 0.6745 + 0.05
        good = off < _FAR * usual
        if np.all(good):
            break
        rows = rows[good]
    limit = _OFF * float(np.median(data[rows, kernel.R])) + _OFF_PX
    fits = float(np.sqrt(np.mean(np.square(_off(data, rows))))) < limit
    return rows if fits else rows[:0]


def _off(data: Floats, rows: Ints) -> Floats:
    """Return how far rows are from a cubic in time that gives little to far ones [px]."""
    time = data[rows, kernel.T]
    span = max(float(time[-1] - time[0]), 1e-9)
    share = 2.0 * (time - time[0]) / span - 1.0
    design, places = np.vander(share, 4), data[rows][:, [kernel.X, kernel.Y]]
    weight = np.ones(len(rows))
    for _ in range(5):
        curve = np.linalg.lstsq(design * weight[:, None], places * weight[:, None], rcond=None)[0]
        off = np.linalg.norm(places - design @ curve, axis=1)
        usual = float(np.median(off)) + 0.05
        weight = 1.0 / (1.0 + (off / (2.0 * usual)) ** 2)
    found: Floats = off
    return found


def _disjoint(runs: list[_Run], many: int) -> list[_Run]:
    """Return runs without rows in common, the longest keeping theirs, in order of time."""
    taken = np.zeros(many, dtype=bool)
    kept: list[_Run] = []
    for run in sorted(runs, key=lambda run: -len(run.rows)):
        if np.mean(taken[run.rows]) <= _SHARED and not _overlaps(run, kept):
            taken[run.rows] = True
            kept.append(run)
    return sorted(kept, key=lambda run: run.first)


def _overlaps(run: _Run, kept: list[_Run]) -> bool:
    """Tell whether most of a run's time is one of those already kept, nearby: the same ball."""
    return any(
        min(run.last, k.last) - max(run.first, k.first) > 0.5 * (run.last - run.first)
        and float(np.linalg.norm(run.start - k.start)) < _REBOUND * k.radius
        for k in kept
    )


def _no_rebounds(runs: list[_Run]) -> list[_Run]:
    shots: list[_Run] = []
    for run in runs:
        if not (shots and _from_the_end_of(shots[-1], run)):
            shots.append(run)
    return shots


def _from_the_end_of(shot: _Run, run: _Run) -> bool:
    """Tell whether a run begins just after a shot's end, near there."""
    soon = 0.0 < run.first - shot.last < _SOON * (shot.last - shot.first)
    return soon and float(np.linalg.norm(run.start - shot.end)) < _REBOUND * shot.radius
