"""Angles of the body in the side plane and in the front plane."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from hoopwright.film import gates
from hoopwright.film.body.number import Answer, Formula, at_event, joints_at
from hoopwright.film.results import Body, Event, Moment
from hoopwright.film.shooter.points import (
    HEAD,
    LEFT,
    RIGHT,
    TRUNK,
    Side,
    shooting_side,
    toward_shooting_side,
)
from hoopwright.film.shooter.stand import View
from hoopwright.film.shooter.watched import Watched

Floats = NDArray[np.float64]

#: joints lie this far outside the plane of the motion [m]; a judgement, no source
OUT_OF_PLANE = 0.04
#: at the set point hand and elbow are this far behind where the ball is let go [m], give or take
SET_BEHIND, SET_BEHIND_SD = 0.15, 0.10


def turn_between(first: Floats, second: Floats, *, lowest: float) -> Floats:
    """Return the angle from one vector of a plane to another, counter-clockwise [rad].

    Parameters
    ----------
    first, second
        Vectors, float64 [..., 2].
    lowest
        The angle is given in [lowest, lowest + 2π), so that it does not fold at a straight joint.
    """
    cross = first[..., 0] * second[..., 1] - first[..., 1] * second[..., 0]
    angle = np.arctan2(cross, (first * second).sum(axis=-1))
    wrapped: Floats = (angle - lowest) % (2.0 * math.pi) + lowest
    return wrapped


def knee(view: View, points: Floats, out: Floats) -> Floats:
    """Return the inside angle of a knee [rad]; joints: hip, knee, ankle. π is straight."""
    hip, middle, ankle = np.moveaxis(view.side(points, through=view.feet, out=out), 1, 0)
    return turn_between(hip - middle, ankle - middle, lowest=0.0)


def elbow(view: View, points: Floats, out: Floats) -> Floats:
    """Return the inside angle of the elbow [rad]; joints: shoulder, elbow, wrist."""
    shoulder, middle, wrist = np.moveaxis(view.side(points, through=view.release, out=out), 1, 0)
    return turn_between(wrist - middle, shoulder - middle, lowest=0.0)


def shoulder(view: View, points: Floats, out: Floats) -> Floats:
    """Return the angle of upper arm to trunk [rad], + forward and up; hip, shoulder, elbow."""
    hip, middle, arm = np.moveaxis(view.side(points, through=view.release, out=out), 1, 0)
    return turn_between(hip - middle, arm - middle, lowest=-0.5 * math.pi)


def trunk_lean(view: View, points: Floats, out: Floats) -> Floats:
    """Return the lean of the trunk from upright [rad], + toward the ring; joints: TRUNK."""
    body = view.side(points, through=view.feet, out=out)
    up = body[:, :2].mean(axis=1) - body[:, 2:].mean(axis=1)
    return turn_between(up, np.array([0.0, 1.0]), lowest=-math.pi)


def wrist(view: View, points: Floats, out: Floats) -> Floats:
    """Return how far the hand is bent back [rad]; joints: elbow, wrist, two fingers."""
    body = view.side(points, through=view.release, out=out)
    forearm, hand = body[:, 1] - body[:, 0], body[:, 2:].mean(axis=1) - body[:, 1]
    return turn_between(forearm, hand, lowest=-math.pi)


def near_side(view: View) -> Side:
    """Return the side of the body that is nearer to the camera."""
    return RIGHT if float(view.sight @ view.right) < 0.0 else LEFT


def _joints(name: Body, view: View, *, side: Side) -> tuple[Formula, tuple[int, ...]]:
    if name in gates.KNEES:
        leg = near_side(view)
        return knee, (leg.hip, leg.knee, leg.ankle)
    if name in gates.ELBOWS:
        return elbow, (side.shoulder, side.elbow, side.wrist)
    if name in gates.SHOULDERS:
        return shoulder, (side.hip, side.shoulder, side.elbow)
    if name in gates.TRUNKS:
        return trunk_lean, TRUNK
    return wrist, (side.elbow, side.wrist, *side.fingers)


def side_angle(name: Body, watched: Watched, *, seen: Sequence[View], event: Event) -> Answer:
    """Return a joint angle in the side plane at an event.

    Parameters
    ----------
    name
        One of ``gates.SIDE_ANGLES``. Knees: the leg nearer to the camera.
    watched, seen
        The shot as seen.
    event
        When.
    """
    yaw = seen[0].yaw
    refused = gates.side_view(yaw) if watched.scene else gates.picture_only(yaw)
    if refused:
        return refused
    formula, rows = _joints(name, seen[0], side=shooting_side(watched.hand))
    found = at_event(
        formula,
        watched,
        seen=seen,
        rows=rows,
        event=event,
        out_sd=OUT_OF_PLANE,
        bias=gates.POSE_BIAS[name],
    )
    if found is None:
        return gates.joints_unseen(name, event.moment)
    return found if watched.scene else found.plus(shared_sd=gates.UNKNOWN_YAW_SD)


def elbow_flare(watched: Watched, seen: Sequence[View], *, event: Event) -> Answer:
    """Return how far the elbow stands out at the set point, seen along the shot line [rad].

    Parameters
    ----------
    watched, seen
        The shot as seen.
    event
        The set point.

    Notes
    -----
    Tilt of the line elbow to wrist from upright in the front plane, + where the elbow is further
    to the shooting side than the wrist.
    """
    refused = gates.front_view(seen[0].yaw)
    if refused:
        return refused
    sign = toward_shooting_side(watched.hand)

    def flare(view: View, points: Floats, out: Floats) -> Floats:
        arm = view.front(points, through=view.release - SET_BEHIND * view.ahead, out=out)
        up = arm[:, 1] - arm[:, 0]
        return np.arctan2(-sign * up[:, 0], up[:, 1])

    side = shooting_side(watched.hand)
    found = at_event(
        flare,
        watched,
        seen=seen,
        rows=(side.elbow, side.wrist),
        event=event,
        out_sd=SET_BEHIND_SD,
        bias=gates.POSE_BIAS[Body.ELBOW_FLARE],
    )
    if found is None:
        return gates.joints_unseen(Body.ELBOW_FLARE, event.moment)
    return found


def sight_line(watched: Watched, seen: Sequence[View], *, event: Event) -> Answer:
    """Return how far the wrist is beside the line from the eyes to the ring at the set point [m].

    Parameters
    ----------
    watched, seen
        The shot as seen.
    event
        The set point.

    Notes
    -----
    Level distance of the shooting wrist from the upright plane through the middle of the head
    points and the ring, + on the shooting side. The head is taken above the feet, the wrist
    ``SET_BEHIND`` behind where the ball is let go.
    """
    refused = gates.front_view(seen[0].yaw)
    if refused:
        return refused
    sign = toward_shooting_side(watched.hand)
    heads = _heads(watched, event)

    def offset(view: View, points: Floats, out: Floats) -> Floats:
        hand = view.release - SET_BEHIND * view.ahead
        face = view.front(points[:, 1:], through=view.feet, out=out[1:])[..., 0].mean(axis=1)
        wrist_right = view.front(points[:, 0], through=hand, out=out[0])[:, 0]
        far = float(np.linalg.norm(view.feet))
        # the line from the eyes meets the shot line at the ring
        left_of_it = 1.0 - float((hand - view.feet) @ view.ahead) / far
        beside: Floats = sign * (wrist_right - face * left_of_it)
        return beside

    rows = (shooting_side(watched.hand).wrist, *heads)
    found = at_event(
        offset,
        watched,
        seen=seen,
        rows=rows,
        event=event,
        out_sd=SET_BEHIND_SD,
        bias=gates.PLACE_BIAS,
    )
    if not heads or found is None:
        return gates.joints_unseen(Body.SIGHT_LINE, Moment.SET)
    return found


def _heads(watched: Watched, event: Event) -> tuple[int, ...]:
    """Head points seen on both sides, in pairs, so that their mean is the middle of the head."""
    pairs = (*zip(HEAD[:3], HEAD[3:6], strict=True), HEAD[6:8])
    there = [p for p in pairs if np.isfinite(joints_at(watched, p, at=event.time)).all()]
    return tuple(row for pair in there for row in pair)
