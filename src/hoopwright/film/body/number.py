"""A measure from picture points, with two errors: what differs shot by shot, and what is shared.

The *repeatable* part (points jitter, the event's time) differs from shot to shot; the *shared*
part (camera, joints outside their plane, the pose model's own bias) is the same in all shots of
one player from one camera place. A change against the player's own earlier shots needs only the
first; a value on its own needs both.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.film.results import Event
from hoopwright.film.shooter.local import jitter, near
from hoopwright.film.shooter.paths import seen_points
from hoopwright.film.shooter.stand import View
from hoopwright.film.shooter.watched import Watched

Floats = NDArray[np.float64]

#: view, picture points [copy, joint, 2] and metres out of the plane [joint] to a value a copy
Formula = Callable[[View, Floats, Floats], Floats]

#: half of the time over which a joint's place at an event is fitted [s]
HALF = 0.025
#: half of the time from which a joint's jitter is read [s]
AROUND = 0.3
#: share of a told error that differs from shot to shot at the same posture, whatever the jitter: a
#: model errs by posture, and postures repeat only so far; a judgement, no source
OWN_SHARE = 0.25
#: share of a measure's error by told errors that all shots share: biases of neighbouring joints go
#: together; from drawn figures seen by the pose model (docs/film-body.md)
BIAS_SHARE = 0.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """A value with its two errors, one standard deviation each."""

    value: float
    repeat_sd: float
    shared_sd: float

    @property
    def sd(self) -> float:
        """Of everything."""
        return math.hypot(self.repeat_sd, self.shared_sd)

    def plus(self, *, repeat_sd: float = 0.0, shared_sd: float = 0.0) -> "Number":
        """Return the same value with more error."""
        return Number(
            value=self.value,
            repeat_sd=math.hypot(self.repeat_sd, repeat_sd),
            shared_sd=math.hypot(self.shared_sd, shared_sd),
        )

    def steady(self, share: float) -> "Number":
        """Return the same value with only a share of the repeatable error."""
        return Number(value=self.value, repeat_sd=share * self.repeat_sd, shared_sd=self.shared_sd)


#: a measure, or the sentence why it was left out
Answer = Number | str


def joints_at(watched: Watched, rows: tuple[int, ...], *, at: float) -> Floats:
    """Return where joints are in the picture at a moment [px], float64 [joint, 2].

    Parameters
    ----------
    watched
        The shot.
    rows
        Which joints.
    at
        The moment [s], between frames too.

    Returns
    -------
    ndarray
        NaN where not seen around the moment.
    """
    points, sd = seen_points(watched, rows)
    place = np.full((len(rows), 2), np.nan)
    for k, axis in np.ndindex(len(rows), 2):
        fit = near(watched.poses.time, points[:, k, axis], sd=sd[:, k], at=at, half=HALF)
        place[k, axis] = np.nan if fit is None else fit.value
    return place


def joint_errors(watched: Watched, rows: tuple[int, ...], *, at: float) -> tuple[Floats, Floats]:
    """Return the errors of joints at a moment [px], float64 [joint] each.

    Parameters
    ----------
    watched, rows, at
        As for ``joints_at``.

    Returns
    -------
    tuple
        The part that differs from shot to shot, and all of it; NaN where not seen.
    """
    points, sd = seen_points(watched, rows)
    time = watched.poses.time
    around = np.abs(time - at) <= AROUND
    own, whole = np.full(len(rows), np.nan), np.full(len(rows), np.nan)
    for k in range(len(rows)):
        t, told = time[around], sd[around, k]
        if not np.isfinite(told).any():
            continue
        jitters = [jitter(t, points[around, k, axis], told=told) for axis in (0, 1)]
        error = np.maximum(np.maximum(*jitters), OWN_SHARE * told)
        fit = near(t, points[around, k, 0], sd=error, at=at, half=HALF)
        own[k] = np.nan if fit is None else fit.value_sd
        whole[k] = np.nanmedian(told)
    return own, whole


def propagate(
    formula: Formula, seen: Sequence[View], *, points: Floats, sd: Floats, out_sd: float
) -> Number | None:
    """Return a formula's value with the errors of points, planes and camera.

    Parameters
    ----------
    formula
        The measure.
    seen
        The view as fitted, then the ways in which the camera is uncertain; see ``stand.views``.
    points, sd
        Picture points [px], float64 [joint, 2], and their errors [px], float64 [joint].
    out_sd
        How far joints lie outside their plane [m].

    Returns
    -------
    Number or None
        None where a point is missing. Errors to first order, by central differences over one
        standard deviation [GUM2008]_.
    """
    flat = np.zeros(len(points))
    if not np.isfinite(points).all():
        return None
    moves = np.zeros((2 * points.size + 1, *points.shape))
    for k in range(points.size):
        joint, axis = divmod(k, 2)
        moves[2 * k + 1, joint, axis], moves[2 * k + 2, joint, axis] = sd[joint], -sd[joint]
    values = formula(seen[0], points + moves, flat)
    by_points = 0.5 * (values[1::2] - values[2::2])
    outs = [formula(seen[0], points[None], out)[0] for out in out_sd * np.eye(len(points))]
    others = [formula(view, points[None], flat)[0] for view in seen[1:]]
    shared = np.array([*outs, *others]) - values[0]
    if not (np.isfinite(values).all() and np.isfinite(shared).all()):
        return None
    return Number(
        value=float(values[0]),
        repeat_sd=float(np.linalg.norm(by_points)),
        shared_sd=float(np.linalg.norm(shared)),
    )


def at_event(
    formula: Formula,
    watched: Watched,
    *,
    seen: Sequence[View], rows: tuple[int, ...], event: Event, out_sd: float, bias: float,
) -> Number | None:  # fmt: skip
    """Return a formula's value at an event, the error of the event's time included.

    Parameters
    ----------
    formula, seen, out_sd
        As for ``propagate``.
    watched
        The shot.
    rows
        The joints the formula needs, in its order.
    event
        When.
    bias
        The least error that all shots share, by what pose models get wrong [SI].
    """
    points = joints_at(watched, rows, at=event.time)
    sd, whole = joint_errors(watched, rows, at=event.time)
    number = propagate(formula, seen, points=points, sd=sd, out_sd=out_sd)
    told = propagate(formula, seen[:1], points=points, sd=whole, out_sd=0.0)
    if number is None or told is None:
        return None
    number = number.plus(shared_sd=max(bias, BIAS_SHARE * told.repeat_sd))
    moved = [joints_at(watched, rows, at=event.time + shift) for shift in (event.sd, -event.sd)]
    if not np.isfinite(moved).all():
        return number
    ends = formula(seen[0], np.stack(moved), np.zeros(len(rows)))
    return number.plus(repeat_sd=0.5 * abs(float(ends[0] - ends[1])))
