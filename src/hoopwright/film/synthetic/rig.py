"""How the figure is bent: from a few places and directions to every bone's turn.

Frames are rotation matrices whose columns are a body part's left, up and ahead in the world; at
rest they are the figure's own axes.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.film.synthetic import _rig_kernel as kernel
from hoopwright.film.synthetic.figure import Mark, Mesh

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Pair = tuple[Floats, Floats]

UP = np.array([0.0, 0.0, 1.0])
#: on the rest axes
_AHEAD = np.array([0.0, 0.0, 1.0])
_SIDES = ("l", "r")
_FINGERS = ("thumb", "index", "middle", "ring", "pinky")


def facing(ahead: Floats) -> Floats:
    """Return the upright frame that faces a level direction."""
    x, y = float(ahead[0]), float(ahead[1])
    size = max(math.hypot(x, y), 1e-12)
    x, y = x / size, y / size
    return np.array([[-y, 0.0, x], [x, 0.0, y], [0.0, 1.0, 0.0]])


def tilted(frame: Floats, forward: float, *, left: float = 0.0) -> Floats:
    """Return a frame leant forward about its left axis, then to its left about its own [rad]."""
    c, s = math.cos(forward), math.sin(forward)
    lean = np.array([[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]])
    c, s = math.cos(left), math.sin(left)
    roll = np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])
    return np.asarray(frame @ lean @ roll)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stance:
    """What a pose asks for; pairs are left, right."""

    #: midway between the hip joints [m], float64 [3]
    hips: Floats
    pelvis: Floats
    chest: Floats
    head: Floats
    #: where the ankles should be [m], and the feet's frames
    ankles: Pair
    feet: Pair
    #: where the wrists should be [m]
    wrists: Pair
    #: from wrist to knuckles, and where the palm faces
    hands: Pair
    palms: Pair
    #: the side to which elbows and knees stick out
    elbows: Pair
    knees: Pair
    #: how far the shoulders are lifted [rad]
    shrug: tuple[float, float] = (0.0, 0.0)
    #: bend of every finger joint [rad]
    curl: tuple[float, float] = (0.25, 0.25)


@dataclass(frozen=True, slots=True, kw_only=True)
class Posed:
    """Every bone's turn and place, and the joints that follow."""

    #: float64 [bone, 3, 3]
    turns: Floats
    #: where each bone begins [m], float64 [bone, 3]
    origins: Floats
    #: size over the figure at rest
    scale: float
    #: name → place [m], float64 [3]: hip, knee, ankle, shoulder, elbow, wrist, knuckle, index,
    #: pinky, thumb and toe with ``_l`` or ``_r``; neck, head; and the names of ``Mark``
    places: dict[str, Floats]


class Rig:
    """One shape at one size, ready to be bent."""

    def __init__(self, mesh: Mesh, stature: float) -> None:
        self.mesh, self.scale = mesh, stature / mesh.stature
        self._heads = self.scale * mesh.joints[:, 0]
        self._tails = self.scale * mesh.joints[:, 1]
        self._middle = 0.5 * (self.head("thigh_l") + self.head("thigh_r"))
        self._hands = {s: self._hand_rest(s) for s in _SIDES}
        self._legs = {s: self._limb_rest(_leg(s), _AHEAD) for s in _SIDES}
        self._arms = {s: self._limb_rest(_arm(s), self._elbow_rest(s)) for s in _SIDES}

    # ---- at rest --------------------------------------------------------------------------------

    def head(self, bone: str) -> Floats:
        """Return where a bone begins at rest [m]."""
        return np.asarray(self._heads[self.mesh.names[bone]])

    def lengths(self, one: str, two: str, end: str) -> tuple[float, float]:
        """Return the lengths of two bones that follow each other, the second up to ``end`` [m]."""
        a, b, c = self.head(one), self.head(two), self.head(end)
        return float(np.linalg.norm(b - a)), float(np.linalg.norm(c - b))

    @property
    def stature(self) -> float:
        """Height of the figure [m]."""
        return self.scale * self.mesh.stature

    @property
    def foot(self) -> Floats:
        """Ankle to the ball of the left foot at rest, on the rest axes [m]."""
        return np.asarray(self.head("ball_l") - self.head("foot_l"))

    @property
    def sole(self) -> tuple[float, float]:
        """How high ankle and ball of the foot are above the floor [m]."""
        return float(self.head("foot_l")[1]), float(self.head("ball_l")[1])

    def _elbow_rest(self, side: str) -> Floats:
        """Return where an elbow sticks out at rest."""
        a, b, c = (self.head(n) for n in _arm(side))
        return np.asarray((b - a) - (c - a) * float((b - a) @ (c - a)) / float((c - a) @ (c - a)))

    def _limb_rest(
        self, bones: tuple[str, str, str], pole: Floats
    ) -> tuple[Floats, Floats, Floats]:
        """Return the lengths of a limb's bones, and their frames at rest."""
        a, b, c = (self.head(n) for n in bones)
        hinge = kernel.cross(pole, c - a)
        return (
            np.array(self.lengths(*bones)), kernel.basis(b - a, hinge), kernel.basis(c - b, hinge)
        )  # fmt: skip

    def _hand_rest(self, side: str) -> tuple[Floats, Ints, Floats]:
        """Return a hand's frame (to knuckles, out of the palm), its finger bones, their bend."""
        names, wrist = self.mesh.names, self.head(f"hand_{side}")
        knuckles = self.head(f"middle_01_{side}") - wrist
        across = kernel.cross(
            self.head(f"index_01_{side}") - wrist, self.head(f"pinky_01_{side}") - wrist
        )
        palm = kernel.basis(knuckles, across)[:, 1].copy()
        # fingers at rest are a little bent, toward the palm
        palm *= np.sign(palm @ (self._tails[names[f"middle_03_{side}"]] - wrist))
        bones = np.array([names[f"{f}_0{n}_{side}"] for f in _FINGERS for n in (1, 2, 3)])
        shares = np.array([k * (n - 0.8) for k in (0.3, 1, 1, 1, 1) for n in (1, 2, 3)])
        return kernel.basis(knuckles, palm), bones, shares

    def palm_sign(self, side: str) -> float:
        """Return 1 where the palm faces along index × little finger (from the wrist), else −1."""
        wrist = self.head(f"hand_{side}")
        across = np.cross(
            self.head(f"index_01_{side}") - wrist, self.head(f"pinky_01_{side}") - wrist
        )
        return float(np.sign(across @ self._hands[side][0][:, 1]))

    def rest_places(self) -> dict[str, Floats]:
        """Return the joints at rest, on the rest axes; names as in ``Posed.places``."""
        turns = np.tile(np.eye(3), (len(self.mesh.parent), 1, 1))
        return self._places(turns, self._heads)

    # ---- bent -----------------------------------------------------------------------------------

    def shoulder(self, stance: Stance, side: str) -> Floats:
        """Return where a shoulder joint would be [m]."""
        return np.asarray(self._trunk(stance)[1][self.mesh.names[f"upperarm_{side}"]])

    def _trunk(self, stance: Stance) -> tuple[Floats, Floats]:
        """Turn pelvis, spine, neck, head and collar bones."""
        names, count = self.mesh.names, len(self.mesh.parent)
        turns = np.empty((count, 3, 3))
        turns[:] = np.eye(3)
        turns[names["pelvis"]] = stance.pelvis
        for share, bone in ((0.33, "spine_01"), (0.67, "spine_02"), (1.0, "spine_03")):
            turns[names[bone]] = kernel.between(stance.pelvis, stance.chest, share)
        turns[names["neck_01"]] = kernel.between(stance.chest, stance.head, 0.5)
        turns[names["head"]] = stance.head
        for k, side in enumerate(_SIDES):
            lift = stance.shrug[k] * (1.0 if side == "l" else -1.0)
            turns[names[f"clavicle_{side}"]] = tilted(stance.chest, 0.0, left=-lift)
        return turns, self._chained(turns, stance.hips)

    def _chained(self, turns: Floats, hips: Floats) -> Floats:
        """Place every bone at the end of its parent."""
        origins = np.empty((len(turns), 3))
        kernel.chain(turns, self.mesh.parent, self._heads, hips, self._middle, origins)
        return origins

    def pose(self, stance: Stance) -> Posed:
        """Bend the figure.

        Parameters
        ----------
        stance
            What is asked for; wrists and ankles out of reach are brought within it.
        """
        turns, origins = self._trunk(stance)
        for k, side in enumerate(_SIDES):
            self._bend_leg(stance, turns, origins, (k, side))
            self._bend_arm(stance, turns, origins, (k, side))
        origins = self._chained(turns, stance.hips)
        return Posed(
            turns=turns, origins=origins, scale=self.scale, places=self._places(turns, origins)
        )

    def _bend_leg(
        self, stance: Stance, turns: Floats, origins: Floats, which: tuple[int, str]
    ) -> None:
        k, s = which
        thigh, calf, foot, ball = (self.mesh.names[n] for n in (*_leg(s), f"ball_{s}"))
        lengths, upper, lower = self._legs[s]
        turns[thigh], turns[calf] = kernel.limb(
            origins[thigh], stance.ankles[k], lengths, stance.knees[k], upper, lower
        )
        turns[foot] = stance.feet[k]
        # toes stay flatter than the foot
        turns[ball] = kernel.between(stance.feet[k], facing(stance.feet[k][:, 2]), 0.6)

    def _bend_arm(
        self, stance: Stance, turns: Floats, origins: Floats, which: tuple[int, str]
    ) -> None:
        k, s = which
        upperarm, forearm, hand = (self.mesh.names[n] for n in _arm(s))
        lengths, upper, lower = self._arms[s]
        turns[upperarm], turns[forearm] = kernel.limb(
            origins[upperarm], stance.wrists[k], lengths, stance.elbows[k], upper, lower
        )
        rest, bones, shares = self._hands[s]
        turns[hand] = kernel.turn_to(kernel.basis(stance.hands[k], stance.palms[k]), rest)
        kernel.fingers(turns[hand], rest, bones, stance.curl[k] * shares, turns)

    def _places(self, turns: Floats, origins: Floats) -> dict[str, Floats]:
        names = self.mesh.names
        found = {"neck": origins[names["neck_01"]], "head": origins[names["head"]]}
        for part, bone in _JOINTS.items():
            for side in _SIDES:
                found[f"{part}_{side}"] = origins[names[f"{bone}_{side}"]]
        for mark in Mark:
            bone = "head" if mark <= Mark.RIGHT_EAR else f"foot_{'l' if mark < 7 else 'r'}"
            k = names[bone]
            away = self.scale * self.mesh.marks[mark] - self._heads[k]
            found[mark.name.lower()] = origins[k] + turns[k] @ away
        return found


def _leg(side: str) -> tuple[str, str, str]:
    return f"thigh_{side}", f"calf_{side}", f"foot_{side}"


def _arm(side: str) -> tuple[str, str, str]:
    return f"upperarm_{side}", f"lowerarm_{side}", f"hand_{side}"


#: names of joints and the bones that begin there
_JOINTS = {
    "hip": "thigh", "knee": "calf", "ankle": "foot", "toe": "ball", "shoulder": "upperarm",
    "elbow": "lowerarm", "wrist": "hand", "knuckle": "middle_01", "index": "index_01",
    "pinky": "pinky_01", "thumb": "thumb_02",
}  # fmt: skip
