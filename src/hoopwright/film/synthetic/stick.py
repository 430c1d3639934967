"""Where a person's joints are: standing, walking, and shooting with the hands at the ball.

Joints are world points [m]; a person faces ``ahead``, and left and right are the person's own.
Segment lengths are shares of stature (Winter, Biomechanics and Motor Control of Human Movement,
table after Drillis and Contini; from memory).
"""

import math
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


class Joint(IntEnum):
    """Rows of a body's joints."""

    HIPS = 0
    NECK = 1
    HEAD = 2
    LEFT_SHOULDER = 3
    RIGHT_SHOULDER = 4
    LEFT_ELBOW = 5
    RIGHT_ELBOW = 6
    LEFT_WRIST = 7
    RIGHT_WRIST = 8
    LEFT_HAND = 9
    RIGHT_HAND = 10
    LEFT_HIP = 11
    RIGHT_HIP = 12
    LEFT_KNEE = 13
    RIGHT_KNEE = 14
    LEFT_ANKLE = 15
    RIGHT_ANKLE = 16
    LEFT_TOE = 17
    RIGHT_TOE = 18


#: shares of stature
THIGH, SHANK, ANKLE, FOOT = 0.245, 0.246, 0.039, 0.152
TRUNK, NECK, SHOULDER, HIP = 0.30, 0.09, 0.115, 0.055
UPPER_ARM, FOREARM, HAND = 0.186, 0.146, 0.08
UP = np.array([0.0, 0.0, 1.0])


def bent(start: Floats, end: Floats, lengths: tuple[float, float], toward: Floats) -> Floats:
    """Return the middle joint of two segments between two points, bent toward a direction.

    Parameters
    ----------
    start, end
        World points [m], float64 [3].
    lengths
        Of the two segments [m].
    toward
        The side to which the joint sticks out, float64 [3].
    """
    line = end - start
    far = float(np.linalg.norm(line))
    one, two = lengths
    reach = min(max(far, abs(one - two) + 1e-6), one + two - 1e-6)
    unit = line / max(far, 1e-9)
    side = toward - unit * float(unit @ toward)
    side = side / max(float(np.linalg.norm(side)), 1e-9)
    along = (one * one - two * two + reach * reach) / (2.0 * reach)
    out = math.sqrt(max(one * one - along * along, 0.0))
    joint: Floats = start + along * unit + out * side
    return joint


def _level(ahead: Floats) -> Floats:
    return np.array([ahead[1], -ahead[0], 0.0])


def body(
    hips: Floats, ahead: Floats, stature: float, *, lean: float = 0.0,
    hands: tuple[Floats, Floats], ankles: tuple[Floats, Floats], flare: float = 0.2,
) -> Floats:  # fmt: skip
    """Return all joints from hips, ankles and wrists, float64 [joint, 3]."""
    right, at = _level(ahead), np.empty((len(Joint), 3))
    spine = math.cos(lean) * UP + math.sin(lean) * ahead
    at[Joint.HIPS] = hips
    at[Joint.NECK] = hips + TRUNK * stature * spine
    at[Joint.HEAD] = at[Joint.NECK] + NECK * stature * (0.97 * UP + 0.24 * ahead)
    for side, (shoulder, elbow, wrist, hand, hip, knee, ankle, toe), goal, sole in zip(
        (-1.0, 1.0), _SIDES, hands, ankles, strict=True
    ):
        at[shoulder] = at[Joint.NECK] + side * SHOULDER * stature * right - 0.03 * stature * spine
        at[hip] = hips + side * HIP * stature * right
        at[ankle] = sole
        at[knee] = bent(at[hip], sole, (THIGH * stature, SHANK * stature), ahead)
        at[toe] = sole + FOOT * stature * 0.75 * ahead - 0.03 * stature * UP
        arm = (UPPER_ARM * stature, FOREARM * stature)
        out = -UP + flare * side * right - 0.3 * ahead
        at[elbow] = bent(at[shoulder], goal, arm, out)
        reach = goal - at[elbow]
        at[wrist] = at[elbow] + arm[1] * reach / max(float(np.linalg.norm(reach)), 1e-9)
        at[hand] = at[wrist] + HAND * stature * reach / max(float(np.linalg.norm(reach)), 1e-9)
    return at


_SIDES = (
    (Joint.LEFT_SHOULDER, Joint.LEFT_ELBOW, Joint.LEFT_WRIST, Joint.LEFT_HAND, Joint.LEFT_HIP,
     Joint.LEFT_KNEE, Joint.LEFT_ANKLE, Joint.LEFT_TOE),
    (Joint.RIGHT_SHOULDER, Joint.RIGHT_ELBOW, Joint.RIGHT_WRIST, Joint.RIGHT_HAND, Joint.RIGHT_HIP,
     Joint.RIGHT_KNEE, Joint.RIGHT_ANKLE, Joint.RIGHT_TOE),
)  # fmt: skip


def walking(place: Floats, ahead: Floats, stature: float, phase: float, stride: float) -> Floats:
    """Return the joints of somebody who walks, or stands where the stride is 0.

    Parameters
    ----------
    place
        On the floor below the hips [m], float64 [3].
    ahead
        Level unit vector.
    stature
        [m]
    phase
        Of the stride [rad].
    stride
        Half the length of a step [m].
    """
    right, swing = _level(ahead), stride * math.sin(phase)
    hips = place + (THIGH + SHANK + ANKLE - 0.012) * stature * UP
    ankles, hands = [], []
    for side in (-1.0, 1.0):
        lift = max(math.cos(phase) * -side, 0.0) * 0.12 * min(stride / 0.3, 1.0)
        ankles.append(
            place + side * 0.06 * stature * right - side * swing * ahead
            + (ANKLE * stature + lift) * UP
        )  # fmt: skip
        hands.append(
            hips + side * 0.15 * stature * right + side * 0.7 * swing * ahead
            + (0.03 * stature) * UP + 0.05 * ahead
        )  # fmt: skip
    return body(
        hips, ahead, stature, hands=(hands[0], hands[1]), ankles=(ankles[0], ankles[1]), flare=0.6
    )
