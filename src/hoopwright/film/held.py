"""The ball before the flight: followed back in time from where it left the hand."""

import numpy as np

from hoopwright.film.camera import pixels_per_metre, project
from hoopwright.film.fit import FlightFit
from hoopwright.film.results import Candidates, Floats, Ints

#: how far the ball may move away from where it was going, per second squared [m/s²]
_JERKS = 70.0
#: a step is followed this long without a sighting [s]
_PATIENCE = 0.15
#: room for the error of a place [m]
_ROOM = 0.06
#: as much as a score of 1 is worth against a full room's distance
_SCORE = 0.7


def held_back(candidates: Candidates, fit: FlightFit, *, since: float, until: float) -> Ints:
    """Return the rows of the ball in the hand, in order of time, int64 [row].

    Parameters
    ----------
    candidates
        All ball-like places.
    fit
        The flight that the hand gave the ball.
    since, until
        First moment of interest, and the release. [s]

    Notes
    -----
    One row a picture: the nearest and most ball-like to where the last ones lead, within what a
    hand can do. Breaks off where the ball is lost for 0.15 s.
    """
    window = (candidates.time >= since) & (candidates.time < until)
    start = fit.at([until])[0]
    camera = fit.view.camera
    scale = float(pixels_per_metre(camera, start[:3])[0])
    ends = project(camera, np.array([start[:3], start[:3] + 1e-3 * start[3:]]))
    place, speed, now = ends[0], (ends[1] - ends[0]) * 1e3, until
    found: list[int] = []
    for frame in np.unique(candidates.frame[window])[::-1].tolist():
        rows = np.flatnonzero(window & (candidates.frame == frame))
        gap = now - float(candidates.time[rows[0]])
        if gap > _PATIENCE:
            break
        room = (_ROOM + 0.5 * _JERKS * gap**2) * scale
        row = _best(candidates, rows, place - speed * gap, room)
        if row is None:
            continue
        moved = (place - candidates.middle[row]) / max(gap, 1e-6)
        speed = moved if not found else 0.5 * (speed + moved)
        place, now = candidates.middle[row], float(candidates.time[row])
        found.append(row)
    return np.array(found[::-1], dtype=np.int64)


def _best(candidates: Candidates, rows: Ints, expected: Floats, room: float) -> int | None:
    off = np.linalg.norm(candidates.middle[rows] - expected, axis=1) / room
    worth = _SCORE * candidates.score[rows] - off
    worth[off > 1.0] = -np.inf
    best = int(np.argmax(worth))
    return int(rows[best]) if np.isfinite(worth[best]) else None
