"""Feet on the floor, and the turn of hips and shoulders."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from hoopwright.film import gates
from hoopwright.film.body.number import OWN_SHARE, Answer, Formula, Number, at_event, propagate
from hoopwright.film.results import Body, Event
from hoopwright.film.shooter.points import LEFT, RIGHT, TRUNK, toward_shooting_side
from hoopwright.film.shooter.stand import FOOT_HEIGHT, View, standing_points
from hoopwright.film.shooter.watched import Watched
from hoopwright.records import Hand

Floats = NDArray[np.float64]

#: heel and tip points are this unsure in height above the floor [m]; a judgement, no source
FOOT_HEIGHT_SD = 0.01
#: a hip or shoulder may stand this much higher than the other [m]; a judgement, no source
TILT_SD = 0.02
#: distance between the joints of one pair over the length from hips to shoulders, and its error:
#: from adult segment tables (memory: shoulders 0.26, hips 0.11 to 0.19, trunk 0.29 of stature)
PAIR_WIDTH = {Body.SHOULDER_TURN: 0.80, Body.HIP_TURN: 0.45}
PAIR_WIDTH_SHARE = 0.15
PAIRS = {
    Body.SHOULDER_TURN: (LEFT.shoulder, RIGHT.shoulder),
    Body.HIP_TURN: (LEFT.hip, RIGHT.hip),
}
#: a camera that looks down less at the hips can't tell a turn in the level plane [rad]
LEAST_DOWN = math.radians(25.0)
#: turns whose sine is larger are not told from the side
MOST_SINE = 0.95


def feet_apart(axis: int) -> Formula:
    """Return the floor vector from left to right foot, right (0) or ahead (1) [m]; joints: FEET."""

    def apart(view: View, points: Floats, out: Floats) -> Floats:
        feet = view.level(points, height=FOOT_HEIGHT + out)[..., axis]
        vector: Floats = feet[:, 2:].mean(axis=1) - feet[:, :2].mean(axis=1)
        return vector

    return apart


def stance_turn(view: View, points: Floats, out: Floats) -> Floats:
    """Return how far the feet point right of the ring [rad]; joints: FEET, out is up.

    The mean of both directions heel to foot tip, against the line from the feet to the ring.
    """
    feet = view.level(points, height=FOOT_HEIGHT + out)
    each = feet[:, 1::2] - feet[:, 0::2]
    unit = each / np.linalg.norm(each, axis=-1, keepdims=True)
    mean = unit.mean(axis=1)
    turned: Floats = np.arctan2(mean[:, 0], mean[:, 1])
    return turned


def stance(name: Body, watched: Watched, *, seen: Sequence[View], released: float) -> Answer:
    """Return the width or turn of the stance, on the floor, before the jump.

    Parameters
    ----------
    name
        STANCE_WIDTH, the floor distance between the middles of the feet [m]; or STANCE_TURN, the
        angle of the feet (mean of both directions heel to foot tip) to the line from the player
        to the ring [rad], + toward the non-shooting side.
    watched, seen
        The shot as seen.
    released
        When the ball left the hand [s].
    """
    if not watched.scene:
        return gates.NO_SCENE
    points, sd = standing_points(watched, released)
    formulas = (feet_apart(0), feet_apart(1)) if name is Body.STANCE_WIDTH else (stance_turn,)
    found = [propagate(f, seen, points=points, sd=sd, out_sd=FOOT_HEIGHT_SD) for f in formulas]
    # a foot at rest is mislaid alike in every frame and nearly alike in every shot
    known = [n.plus(shared_sd=n.repeat_sd).steady(OWN_SHARE) for n in found if n is not None]
    if len(known) < len(formulas):
        return "Both feet could not be seen before the jump; film so that the feet stay in view."
    if name is Body.STANCE_WIDTH:
        return _length(*known).plus(shared_sd=gates.PLACE_BIAS)
    return mirrored(known[0], watched.hand).plus(shared_sd=gates.POSE_BIAS[name])


def _length(across: Number, ahead: Number) -> Number:
    """Length of a vector; its error is taken whole, so that a short vector hides none of it."""
    return Number(
        value=math.hypot(across.value, ahead.value),
        repeat_sd=math.hypot(across.repeat_sd, ahead.repeat_sd),
        shared_sd=math.hypot(across.shared_sd, ahead.shared_sd),
    )


def mirrored(turn: Number, hand: Hand) -> Number:
    """Return a turn to the player's right as one toward the non-shooting side."""
    value = -toward_shooting_side(hand) * turn.value
    return Number(value=value, repeat_sd=turn.repeat_sd, shared_sd=turn.shared_sd)


def turn(name: Body, watched: Watched, *, seen: Sequence[View], event: Event) -> Answer:
    """Return the turn of hips or shoulders at an event [rad], + toward the non-shooting side.

    Parameters
    ----------
    name
        HIP_TURN or SHOULDER_TURN.
    watched, seen
        The shot as seen.
    event
        When.

    Notes
    -----
    Two ways, the one with the smaller error counts. From high above, the line of the two joints
    in their level plane. From the side, how far one joint of the pair is ahead of the other, over
    their distance from each other, which is taken from the length of the trunk; left is + for a
    right-hander. From behind at eye level neither tells the turn, and it is refused.
    """
    above = seen[0].looks_down >= LEAST_DOWN
    ways = [
        _above_turn(name, watched, seen=seen, event=event) if above else None,
        _side_turn(name, watched, seen=seen, event=event),
    ]
    found = [w for w in ways if w is not None]
    if not found and not above and gates.side_view(seen[0].yaw):
        return f"A turn can't be told from here; {gates.HOW[name]}."
    if not found:
        return gates.joints_unseen(name, event.moment)
    best = min(found, key=lambda n: n.sd)
    return mirrored(best, watched.hand)


def _above_turn(
    name: Body, watched: Watched, *, seen: Sequence[View], event: Event
) -> Number | None:
    """Turn to the right of a pair, from the line of its joints in their level plane."""
    return at_event(
        _level_turn, watched, seen=seen, rows=PAIRS[name], event=event, out_sd=TILT_SD,
        bias=gates.POSE_BIAS[name],
    )  # fmt: skip


def _level_turn(view: View, points: Floats, out: Floats) -> Floats:
    """Turn to the right of a pair, left then right, in the level plane of its mean height."""
    up = view.facing(points)[..., 1].mean(axis=1, keepdims=True)
    ends = view.level(points, height=up + out)
    across = ends[:, 1] - ends[:, 0]
    right: Floats = np.arctan2(-across[:, 1], across[:, 0])
    return right


def _side_turn(
    name: Body, watched: Watched, *, seen: Sequence[View], event: Event
) -> Number | None:
    """Turn to the right of a pair, from how far its right joint is behind its left one."""
    if gates.side_view(seen[0].yaw):
        return None
    first = 0 if name is Body.SHOULDER_TURN else 2

    def formula(view: View, points: Floats, out: Floats) -> Floats:
        body = view.side(points, through=view.feet)
        long = np.linalg.norm(body[:, :2].mean(axis=1) - body[:, 2:].mean(axis=1), axis=-1)
        width = PAIR_WIDTH[name] * long * (1.0 + out[0])
        # each joint lies half the pair's width beside the middle plane
        half = 0.5 * float(np.mean(width))
        beside = np.array([-half, half, -half, half])[first : first + 2]
        pair = view.side(points[:, first : first + 2], through=view.feet, out=beside)
        share = -(pair[:, 1, 0] - pair[:, 0, 0]) / width
        # near a quarter turn the sine tells nothing any more
        right: Floats = np.arcsin(np.where(np.abs(share) < MOST_SINE, share, np.nan))
        return right

    # the formula takes its first "out of plane" for the share by which the width may be wrong
    return at_event(
        formula, watched, seen=seen, rows=TRUNK, event=event, out_sd=PAIR_WIDTH_SHARE,
        bias=gates.POSE_BIAS[name],
    )  # fmt: skip
