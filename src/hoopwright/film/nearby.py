"""The same ball just before and just after a flight: in the hand, in the net, off the ring."""

import numpy as np
from numpy.typing import NDArray

from hoopwright.film.results import Candidates, Flight

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: how hard a hand or a floor may turn the ball [m/s²], how long it may be hidden there [s]
_TURN, _GAP = 60.0, 0.2
#: of a ball [m], where only the scale is needed
_USUAL_RADIUS = 0.12


def near(
    candidates: Candidates,
    flight: Flight,
    *,
    before: float = 1.0,
    after: float = 1.5,
) -> tuple[int, ...]:
    """Return the rows that may be the same ball just before and after a flight.

    Parameters
    ----------
    candidates
        As for ``follow``.
    flight
        One of what it returned.
    before, after
        How long to look. [s]

    Returns
    -------
    tuple
        Rows in order of time, without the flight's own: in the hand before, in the net or off the
        ring after. One row a picture at most; none after the ball was hidden for 0.2 s.
    """
    size = np.median(candidates.radius[list(flight.rows)[:3]])
    early = _trail(candidates, flight, until=flight.first - before, size=float(size))
    size = np.median(candidates.radius[list(flight.rows)[-3:]])
    late = _trail(candidates, flight, until=flight.last + after, size=float(size))
    return tuple(sorted((*early, *late), key=lambda r: float(candidates.time[r])))


def _trail(candidates: Candidates, flight: Flight, *, until: float, size: float) -> list[int]:
    """Follow the ball in the picture from one end of its flight, nearest row by nearest row."""
    back = until < flight.first
    rows = list(flight.rows)[:4][::-1] if back else list(flight.rows)[-4:]
    metre = size / _USUAL_RADIUS
    since = flight.first if back else flight.last
    own, found = set(flight.rows), list[int]()
    for frame in _frames_between(candidates, since, until):
        here = np.array([r for r in frame if r not in own], dtype=np.int64)
        now = float(candidates.time[frame[0]])
        gap = abs(now - float(candidates.time[rows[-1]]))
        if gap > _GAP:
            break
        guess = _carried_on(candidates, rows, now)
        if not len(here):
            continue
        off = np.hypot(*(candidates.middle[here] - guess).T)
        room = 0.5 * _TURN * gap**2 * metre + 3.0 + 0.5 * size
        cost = off / room - candidates.score[here] + np.abs(candidates.radius[here] / size - 1.0)
        cost[(off > room) | (np.abs(np.log(candidates.radius[here] / size)) > 0.5)] = np.inf
        if np.isfinite(np.min(cost)):
            rows.append(int(here[np.argmin(cost)]))
            found.append(rows[-1])
    return found


def _frames_between(candidates: Candidates, since: float, until: float) -> list[Ints]:
    """Return the rows of each picture after a time, outward from it."""
    low, high = min(since, until), max(since, until)
    rows = np.flatnonzero((candidates.time >= low) & (candidates.time <= high))
    frames = np.split(rows, np.flatnonzero(np.diff(candidates.frame[rows])) + 1)
    frames = [f for f in frames if len(f)]
    return frames[::-1] if until < since else frames


def _carried_on(candidates: Candidates, rows: list[int], now: float) -> Floats:
    """Return where the ball would be if it moved on as between its last rows [px]."""
    last, before = rows[-1], rows[max(-3, -len(rows))]
    span = float(candidates.time[last] - candidates.time[before])
    if span == 0.0:
        return np.asarray(candidates.middle[last])
    speed = (candidates.middle[last] - candidates.middle[before]) / span
    on = candidates.middle[last] + speed * (now - float(candidates.time[last]))
    return np.asarray(on)
