"""A stance from where somebody's joints were, such as motion capture gives."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from hoopwright.errors import BadInput
from hoopwright.film.synthetic.rig import UP, Pair, Rig, Stance

Floats = NDArray[np.float64]
Places = Mapping[str, Floats]

#: joints that must be given, each with ``_l`` and ``_r``
NEEDED = ("hip", "knee", "ankle", "toe", "shoulder", "elbow", "wrist", "index", "pinky")


def _unit(vector: Floats) -> Floats:
    return np.asarray(vector / max(float(np.linalg.norm(vector)), 1e-12))


def _frame(left: Floats, up: Floats) -> Floats:
    """Return the frame whose up is given and whose left is as near as that allows."""
    upward = _unit(up)
    sideways = _unit(left - upward * float(left @ upward))
    return np.column_stack([sideways, upward, np.cross(sideways, upward)])


def stance_from(places: Places, rig: Rig) -> Stance:
    """Return a stance whose limbs point as somebody's did.

    Parameters
    ----------
    places
        World places of ``NEEDED`` joints, and of ``head`` (its joint, not its top) if known [m],
        float64 [3] each.
    rig
        The figure. Its own bone lengths are kept: limbs get the directions that were measured,
        from the feet up, so that the standing foot stays where it was.

    Raises
    ------
    BadInput
        A joint is missing.
    """
    if missing := [f"{n}_{s}" for n in NEEDED for s in "lr" if f"{n}_{s}" not in places]:
        raise BadInput(f"A body needs all its joints; {', '.join(missing)} can't be found.")
    at = {name: np.asarray(place, dtype=np.float64) for name, place in places.items()}
    hips, chest = (0.5 * (at[f"{n}_l"] + at[f"{n}_r"]) for n in ("hip", "shoulder"))
    spine = chest - hips
    hip_line, shoulder_line = at["hip_l"] - at["hip_r"], at["shoulder_l"] - at["shoulder_r"]
    rest = rig.rest_places()
    rest_spine = 0.5 * (rest["shoulder_l"] + rest["shoulder_r"] - rest["hip_l"] - rest["hip_r"])
    back = _frame(np.array([1.0, 0.0, 0.0]), rest_spine).T
    pelvis, trunk = _frame(hip_line, spine) @ back, _frame(shoulder_line, spine) @ back
    head = trunk
    if "head" in at:
        rest_neck = rest["head"] - 0.5 * (rest["shoulder_l"] + rest["shoulder_r"])
        straight = _frame(np.array([1.0, 0.0, 0.0]), rest_neck).T
        head = _frame(shoulder_line, at["head"] - chest) @ straight
    return _stance(at, rig, hips, (pelvis, trunk, head))


def _stance(
    at: dict[str, Floats], rig: Rig, hips: Floats, frames: tuple[Floats, Floats, Floats]
) -> Stance:
    """Put legs and arms of the figure's own lengths along the measured directions."""
    legs = [_legs(at, rig, side) for side in "lr"]
    lower = int(at["ankle_r"][2] < at["ankle_l"][2])
    middle = 0.5 * (rig.head("thigh_l") + rig.head("thigh_r"))
    # hips so that the lower foot's ankle, over the figure's own leg, is where it was
    joint = frames[0] @ (rig.head(f"thigh_{'lr'[lower]}") - middle)
    own_hips = at[f"ankle_{'lr'[lower]}"] - legs[lower] - joint
    here = Stance(
        hips=own_hips, pelvis=frames[0], chest=frames[1], head=frames[2],
        ankles=_ankles(rig, own_hips, frames[0], legs), feet=_feet(at, rig),
        wrists=(hips, hips), hands=_hands(at), palms=_palms(at, rig),
        elbows=(_pole(at, "elbow", "l"), _pole(at, "elbow", "r")),
        knees=(_pole(at, "knee", "l"), _pole(at, "knee", "r")),
    )  # fmt: skip
    left, right = (rig.shoulder(here, s) + _arms(at, rig, s) for s in "lr")
    return Stance(
        hips=here.hips, pelvis=here.pelvis, chest=here.chest, head=here.head, ankles=here.ankles,
        feet=here.feet, wrists=(left, right), hands=here.hands, palms=here.palms,
        elbows=here.elbows, knees=here.knees,
    )  # fmt: skip


def _along(
    at: dict[str, Floats], names: tuple[str, str, str], lengths: tuple[float, float]
) -> Floats:
    """Return the way over two segments of given lengths in their measured directions."""
    one, two, three = (at[n] for n in names)
    return np.asarray(lengths[0] * _unit(two - one) + lengths[1] * _unit(three - two))


def _legs(at: dict[str, Floats], rig: Rig, side: str) -> Floats:
    bones = (f"thigh_{side}", f"calf_{side}", f"foot_{side}")
    return _along(at, (f"hip_{side}", f"knee_{side}", f"ankle_{side}"), rig.lengths(*bones))


def _arms(at: dict[str, Floats], rig: Rig, side: str) -> Floats:
    bones = (f"upperarm_{side}", f"lowerarm_{side}", f"hand_{side}")
    return _along(at, (f"shoulder_{side}", f"elbow_{side}", f"wrist_{side}"), rig.lengths(*bones))


def _ankles(rig: Rig, hips: Floats, pelvis: Floats, legs: list[Floats]) -> Pair:
    middle = 0.5 * (rig.head("thigh_l") + rig.head("thigh_r"))
    left, right = (
        hips + pelvis @ (rig.head(f"thigh_{s}") - middle) + leg
        for s, leg in zip("lr", legs, strict=True)
    )
    return left, right


def _feet(at: dict[str, Floats], rig: Rig) -> Pair:
    left, right = (_foot(at[f"toe_{s}"] - at[f"ankle_{s}"], rig, s) for s in "lr")
    return left, right


def _foot(line: Floats, rig: Rig, side: str) -> Floats:
    """Return a foot's frame from the line ankle to toes."""
    rest = rig.head(f"ball_{side}") - rig.head(f"foot_{side}")
    there = _frame(np.cross(np.array([0.0, 1.0, 0.0]), rest), rest)
    return np.asarray(_frame(np.cross(UP, line), line) @ there.T)


def _pole(at: dict[str, Floats], joint: str, side: str) -> Floats:
    """Return the side to which a middle joint sticks out, where the limb is bent."""
    start, end = ("shoulder", "wrist") if joint == "elbow" else ("hip", "ankle")
    a, b, c = at[f"{start}_{side}"], at[f"{joint}_{side}"], at[f"{end}_{side}"]
    line = _unit(c - a)
    return np.asarray((b - a) - line * float((b - a) @ line))


def _hands(at: dict[str, Floats]) -> Pair:
    left, right = (0.5 * (at[f"index_{s}"] + at[f"pinky_{s}"]) - at[f"wrist_{s}"] for s in "lr")
    return left, right


def _palms(at: dict[str, Floats], rig: Rig) -> Pair:
    """Return where palms face: out of the plane of wrist, index and little finger."""
    left, right = (
        rig.palm_sign(s)
        * np.cross(at[f"index_{s}"] - at[f"wrist_{s}"], at[f"pinky_{s}"] - at[f"wrist_{s}"])
        for s in "lr"
    )
    return left, right
