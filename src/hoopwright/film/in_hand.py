"""The ball before and around release: followed back in time, picture by picture, by its edge."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from hoopwright.errors import BadFilm
from hoopwright.film import video
from hoopwright.film.camera import ball_outline, pixels_per_metre, project
from hoopwright.film.ends import begins, rough_fit
from hoopwright.film.fit import FlightFit
from hoopwright.film.results import Candidates, Flight, Floats
from hoopwright.film.rim import middle_by_edge
from hoopwright.film.video import Picture
from hoopwright.film.view import View

#: how far back from the flight's first row the ball is followed, and how far into the flight [s]
BACK, INTO = 1.7, 0.3
#: the ball is given up when it was not found for this long [s]
_PATIENCE = 0.12
#: the flight itself leads to the ball no further before its first row than this [s]
_UNLED = 0.05
#: a step may differ from the one before by no more than this [m/s²] over the gap, plus room [m]
_JERK, _ROOM = 90.0, 0.03
#: a sight this far off the way through its neighbours is no sight of the ball, in radii
_SLIP = 0.35
#: the hands are within this of the release point, sideways and up, and down [m]
_ARM, _DOWN = 1.3, 2.0


def nothing() -> Candidates:
    """Return no rows."""
    none = np.empty(0)
    return Candidates(
        frame=np.empty(0, dtype=np.int64), time=none, middle=np.empty((0, 2)), middle_sd=none,
        radius=none, radius_sd=none, streak=np.empty((0, 2)), score=none,
    )  # fmt: skip


def follow_back(
    path: Path,
    candidates: Candidates,
    flights: Sequence[Flight],
    view: View,
    *,
    slowed: float | None = None,
) -> Candidates:
    """Return where the ball was in the hand before each flight, and just after release.

    Parameters
    ----------
    path
        The clip.
    candidates, flights
        What ``track.follow`` found in it.
    view
        Camera, ball, ring.
    slowed
        As for ``video.read``.

    Returns
    -------
    Candidates
        At most one row a picture, in order of time; radii are the scene's and carry no news.
    """
    found: list[tuple[float, ...]] = []
    for flight in flights:
        try:
            fit = rough_fit(candidates, flight, view)
        except BadFilm:
            continue
        first = begins(candidates, flight)
        pictures = video.read(path, slowed=slowed, first=max(first - BACK, 0.0), last=first + INTO)
        found.extend(_back(_cut_out(pictures, fit, first), fit, first=first))
    return _rows(found)


@dataclass(frozen=True, slots=True)
class _Part:
    """The part of a picture round the shooter's hands: whole pictures would fill the memory."""

    frame: int
    time: float
    image: NDArray[np.uint8]
    corner: Floats


def _cut_out(pictures: Iterable[Picture], fit: FlightFit, first: float) -> list[_Part]:
    place = fit.at([first])[:1, :3]
    camera = fit.camera
    scale, middle = float(pixels_per_metre(camera, place)[0]), project(camera, place)[0]
    if not np.all(np.isfinite(middle)):
        return []
    left, right = (int(middle[0] + side * _ARM * scale) for side in (-1.0, 1.0))
    top, bottom = int(middle[1] - _ARM * scale), int(middle[1] + _DOWN * scale)
    left, top = max(left, 0), max(top, 0)
    corner = np.array([float(left), float(top)])
    return [
        _Part(p.frame, p.time, p.image[top : max(bottom, 0), left : max(right, 0)].copy(), corner)
        for p in pictures
    ]


def _back(parts: Sequence[_Part], fit: FlightFit, *, first: float) -> list[tuple[float, ...]]:
    start = fit.at([first])[0]
    scale = float(pixels_per_metre(fit.camera, start[:3])[0])
    radius = scale * fit.view.ball.radius
    found: list[tuple[float, ...]] = []
    times = np.array([max(part.time, first) for part in parts])
    # in flight the ball goes away from the camera, or comes nearer
    radii = ball_outline(fit.camera, fit.at(times)[:, :3], fit.view.ball.radius)[1]
    for part, wide in zip(reversed(parts), radii[::-1].tolist(), strict=True):
        expected, room = _expected(found, fit, part.time, scale)
        lost = found and found[-1][1] - part.time > _PATIENCE
        # a poor fit, run back in time, may come from behind the camera, where nothing is drawn
        # and it does not lead to a ball that the hand still held
        unled = len(found) < 2 and part.time < first - _UNLED
        if lost or unled or not np.all(np.isfinite(expected)):
            break
        seen = middle_by_edge(part.image, expected - part.corner, wide)
        if seen is None:
            continue
        place = seen[0] + part.corner
        if float(np.linalg.norm(place - expected)) <= room:
            x, y = place.tolist()
            found.append((float(part.frame), part.time, x, y, seen[1], wide))
    return _without_slips(found, radius)


def _expected(
    found: list[tuple[float, ...]], fit: FlightFit, time: float, scale: float
) -> tuple[Floats, float]:
    """Return where the ball should be, and how far off it may be [px]."""
    if len(found) < 2:
        place = project(fit.camera, fit.at([time])[:, :3])[0]
        return place, (_ROOM + 0.05) * scale
    last = np.array([row[1:4] for row in found[-3:]])
    gap, between = float(last[-1, 0]) - time, float(last[-2, 0] - last[-1, 0])
    room = (_ROOM + 0.5 * _JERK * gap * (gap + max(gap, between))) * scale
    return _led_on(last, time), room


def _led_on(last: Floats, time: float) -> Floats:
    """Return where the last two or three sights (time, x, y) lead, evenly moved or turned."""
    degree = min(len(last) - 1, 2)
    since = last[:, 0] - last[-1, 0]
    ways = np.vander(since, degree + 1)
    there = np.vander([time - last[-1, 0]], degree + 1)
    place: Floats = (there @ np.linalg.lstsq(ways, last[:, 1:], rcond=None)[0])[0]
    return place


def _without_slips(found: list[tuple[float, ...]], radius: float) -> list[tuple[float, ...]]:
    """Leave out sights that lie off the way through their neighbours."""
    kept = []
    for i, row in enumerate(found):
        beside = found[max(i - 2, 0) : i] + found[i + 1 : i + 3]
        around = np.array([r[1:4] for r in beside])
        if len(beside) < 4 or np.ptp(around[:, 0]) > _PATIENCE + 0.02:
            kept.append(row)
            continue
        ways = np.vander(around[:, 0] - row[1], 3)
        middle = np.linalg.lstsq(ways, around[:, 1:], rcond=None)[0][-1]
        if float(np.linalg.norm(np.array(row[2:4]) - middle)) <= _SLIP * radius:
            kept.append(row)
    return kept


def _rows(found: list[tuple[float, ...]]) -> Candidates:
    if not found:
        return nothing()
    table = np.array(sorted(found, key=lambda r: r[1]))
    table = table[np.unique(table[:, 0], return_index=True)[1]]
    count = len(table)
    return Candidates(
        frame=table[:, 0].astype(np.int64), time=table[:, 1], middle=table[:, 2:4],
        middle_sd=table[:, 4], radius=table[:, 5], radius_sd=np.full(count, np.inf),
        streak=np.zeros((count, 2)), score=np.ones(count),
    )  # fmt: skip
