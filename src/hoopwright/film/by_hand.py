"""What a person marked on a film, put in the place of what was found."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from hoopwright.film.pose import POINTS
from hoopwright.film.results import Candidates, Event, FilmedShot, Moment, Poses
from hoopwright.records import FilmMark, MarkKind

#: how well a person marks the middle of a ball and a body point [px of a 720-line picture];
#: common practice, no source
_BALL_SD, _POINT_SD = 1.0, 2.5
#: a mark belongs to a flight that is this near in time [s]
_NEAR = 1.0


def with_balls(candidates: Candidates, marks: Sequence[FilmMark], *, lines: int) -> Candidates:
    """Return candidates in which a marked picture holds the marked ball and nothing else.

    Parameters
    ----------
    candidates
        As they were found.
    marks
        Of any kind; those of the ball count.
    lines
        Height of the picture. [px]
    """
    balls = [m for m in marks if m.kind is MarkKind.BALL and m.x is not None and m.y is not None]
    if not balls:
        return candidates
    sd = _BALL_SD * lines / 720.0
    marked = Candidates(
        frame=np.array([m.frame for m in balls], dtype=np.int64),
        time=np.array([m.time for m in balls]),
        middle=np.array([[m.x, m.y] for m in balls], dtype=np.float64),
        middle_sd=np.full(len(balls), sd),
        radius=np.array([1.0 if m.value is None else m.value for m in balls]),
        radius_sd=np.array([np.inf if m.value is None else 1.5 * sd for m in balls]),
        streak=np.zeros((len(balls), 2)),
        score=np.ones(len(balls)),
    )
    kept = ~np.isin(candidates.frame, marked.frame)
    names = ("frame", "time", "middle", "middle_sd", "radius", "radius_sd", "streak", "score")
    both = {n: np.concatenate([getattr(candidates, n)[kept], getattr(marked, n)]) for n in names}
    order = np.lexsort((both["frame"], both["time"]))
    return Candidates(**{n: both[n][order] for n in names})


def released_at(marks: Sequence[FilmMark], first: float) -> float | None:
    """Return when a flight began, where a person said so [s]."""
    said = [m for m in marks if m.kind is MarkKind.EVENT and m.name == Moment.RELEASE.value]
    near = [m.time for m in said if abs(m.time - first) < _NEAR]
    return min(near, key=lambda t: abs(t - first)) if near else None


def with_points(poses: Poses, marks: Sequence[FilmMark], *, lines: int) -> Poses:
    """Return body points with those that were marked put in their places.

    Parameters
    ----------
    poses, marks, lines
        As for ``with_balls``.
    """
    points, sd, presence = poses.points.copy(), poses.sd.copy(), poses.presence.copy()
    for mark in marks:
        if mark.kind is not MarkKind.POINT or mark.name not in POINTS:
            continue
        for row in np.flatnonzero(poses.frame == mark.frame).tolist():
            at = POINTS.index(mark.name)
            points[row, at] = (mark.x, mark.y)
            sd[row, at], presence[row, at] = _POINT_SD * lines / 720.0, 1.0
    return replace(poses, points=points, sd=sd, presence=presence)


def events_in(
    marks: Sequence[FilmMark], first: float, last: float, *, rate: float
) -> tuple[Event, ...]:
    """Return the events a person set between two moments.

    Parameters
    ----------
    marks
        Of any kind.
    first, last
        The shot. [s]
    rate
        Pictures a second: a person sees an event to one picture.
    """
    return tuple(
        Event(
            moment=Moment(m.name), time=m.time, sd=float(1.0 / (np.sqrt(12.0) * rate)), by_hand=True
        )
        for m in marks
        if m.kind is MarkKind.EVENT and first <= m.time <= last
    )


def with_result(shot: FilmedShot, marks: Sequence[FilmMark]) -> FilmedShot:
    """Return a shot with made or missed as a person said."""
    said = [
        m.name == "made"
        for m in marks
        if m.kind is MarkKind.RESULT and shot.start <= m.time <= shot.end
    ]
    if shot.ball is None:
        return replace(shot, said=said[-1] if said and shot.side is not None else None)
    if not said:
        return shot
    return replace(shot, ball=replace(shot.ball, made=said[-1], made_chance=1.0))
