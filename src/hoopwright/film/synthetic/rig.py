"""How the figure is bent: from a few places and directions to every bone's turn.

Frames are rotation matrices whose columns are a body part's left, up and ahead in the world; at
rest they are the figure's own axes.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.film.synthetic.figure import Mark, Mesh

Floats = NDArray[np.float64]
Pair = tuple[Floats, Floats]

UP = np.array([0.0, 0.0, 1.0])
_SIDES = ("l", "r")
_FINGERS = ("thumb", "index", "middle", "ring", "pinky")


def facing(ahead: Floats) -> Floats:
    """Return the upright frame that faces a level direction."""
    flat = np.array([ahead[0], ahead[1], 0.0])
    flat /= max(float(np.linalg.norm(flat)), 1e-12)
    return np.column_stack([np.array([-flat[1], flat[0], 0.0]), UP, flat])


def tilted(frame: Floats, forward: float, *, left: float = 0.0) -> Floats:
    """Return a frame leant forward about its left axis, then to its left about its own [rad]."""
    c, s = np.cos(forward), np.sin(forward)
    lean = np.array([[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]])
    c, s = np.cos(left), np.sin(left)
    roll = np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])
    return np.asarray(frame @ lean @ roll)


def _basis(along: Floats, side: Floats) -> Floats:
    """Return orthonormal columns: along, the part of side across it, and their cross product."""
    a = along / max(float(np.linalg.norm(along)), 1e-12)
    b = side - a * float(a @ side)
    b = b / max(float(np.linalg.norm(b)), 1e-12)
    return np.column_stack([a, b, np.cross(a, b)])


def bend_point(start: Floats, end: Floats, lengths: tuple[float, float], pole: Floats) -> Pair:
    """Return the middle joint of two segments bent toward a pole, and the end within reach."""
    line = end - start
    far = float(np.linalg.norm(line))
    unit = line / max(far, 1e-12)
    one, two = lengths
    reach = min(max(far, abs(one - two) + 1e-4), one + two - 1e-4)
    out = _basis(unit, pole)[:, 1]
    along = (one * one - two * two + reach * reach) / (2.0 * reach)
    high = np.sqrt(max(one * one - along * along, 0.0))
    return start + along * unit + high * out, start + reach * unit


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

    def head(self, bone: str) -> Floats:
        """Return where a bone begins at rest [m]."""
        return np.asarray(self._heads[self.mesh.names[bone]])

    def lengths(self, one: str, two: str, end: str) -> tuple[float, float]:
        """Return the lengths of two bones that follow each other, the second up to ``end`` [m]."""
        a, b, c = self.head(one), self.head(two), self.head(end)
        return float(np.linalg.norm(b - a)), float(np.linalg.norm(c - b))

    @property
    def foot(self) -> Floats:
        """Ankle to the ball of the left foot at rest, on the rest axes [m]."""
        return np.asarray(self.head("ball_l") - self.head("foot_l"))

    @property
    def sole(self) -> tuple[float, float]:
        """How high ankle and ball of the foot are above the floor [m]."""
        return float(self.head("foot_l")[1]), float(self.head("ball_l")[1])

    def shoulder(self, stance: Stance, side: str) -> Floats:
        """Return where a shoulder joint would be [m]."""
        _, origins = self._trunk(stance)
        k = self.mesh.names[f"upperarm_{side}"]
        return np.asarray(origins[k])

    def _trunk(self, stance: Stance) -> tuple[Floats, Floats]:
        """Turn pelvis, spine, neck, head and collar bones."""
        names, count = self.mesh.names, len(self.mesh.parent)
        turns = np.tile(np.eye(3), (count, 1, 1))
        turns[names["pelvis"]] = stance.pelvis
        for share, bone in ((0.33, "spine_01"), (0.67, "spine_02"), (1.0, "spine_03")):
            turns[names[bone]] = _between(stance.pelvis, stance.chest, share)
        turns[names["neck_01"]] = _between(stance.chest, stance.head, 0.5)
        turns[names["head"]] = stance.head
        for k, side in enumerate(_SIDES):
            lift = stance.shrug[k] * (1.0 if side == "l" else -1.0)
            turns[names[f"clavicle_{side}"]] = tilted(stance.chest, 0.0, left=-lift)
        return turns, self._chained(turns, stance)

    def _chained(self, turns: Floats, stance: Stance) -> Floats:
        """Place every bone at the end of its parent."""
        names, origins = self.mesh.names, np.empty((len(turns), 3))
        middle = 0.5 * (self.head("thigh_l") + self.head("thigh_r"))
        for k, parent in enumerate(self.mesh.parent):
            if parent < 0:
                root = names["pelvis"]
                origins[k] = stance.hips + turns[root] @ (self._heads[k] - middle)
            else:
                origins[k] = origins[parent] + turns[parent] @ (
                    self._heads[k] - self._heads[parent]
                )
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
            self._leg(stance, turns, origins, (k, side))
            self._arm(stance, turns, origins, (k, side))
        origins = self._chained(turns, stance)
        return Posed(
            turns=turns, origins=origins, scale=self.scale, places=self._places(turns, origins)
        )

    def _limb(
        self, bones: tuple[str, str, str], start: Floats, goal: Floats, poles: Pair
    ) -> tuple[Floats, Floats]:
        """Return the turns of a limb's two bones that bring its end to a goal."""
        a, b, c = (self.head(n) for n in bones)
        joint, end = bend_point(start, goal, self.lengths(*bones), poles[0])
        hinge, rest_hinge = np.cross(poles[0], goal - start), np.cross(poles[1], c - a)
        upper = _basis(joint - start, hinge) @ _basis(b - a, rest_hinge).T
        lower = _basis(end - joint, hinge) @ _basis(c - b, rest_hinge).T
        return upper, lower

    def _leg(self, stance: Stance, turns: Floats, origins: Floats, which: tuple[int, str]) -> None:
        k, s = which
        names = self.mesh.names
        bones = (f"thigh_{s}", f"calf_{s}", f"foot_{s}")
        poles = (stance.knees[k], np.array([0.0, 0.0, 1.0]))
        upper, lower = self._limb(bones, origins[names[bones[0]]], stance.ankles[k], poles)
        turns[names[bones[0]]], turns[names[bones[1]]] = upper, lower
        turns[names[bones[2]]] = stance.feet[k]
        level = stance.feet[k][:, 2]
        turns[names[f"ball_{s}"]] = _between(stance.feet[k], facing(level), 0.6)

    def _arm(self, stance: Stance, turns: Floats, origins: Floats, which: tuple[int, str]) -> None:
        k, s = which
        names = self.mesh.names
        bones = (f"upperarm_{s}", f"lowerarm_{s}", f"hand_{s}")
        a, b, c = (self.head(n) for n in bones)
        rest_pole = (b - a) - (c - a) * float((b - a) @ (c - a)) / float((c - a) @ (c - a))
        poles = (stance.elbows[k], rest_pole)
        upper, lower = self._limb(bones, origins[names[bones[0]]], stance.wrists[k], poles)
        turns[names[bones[0]]], turns[names[bones[1]]] = upper, lower
        rest = _basis(self.head(f"middle_01_{s}") - c, self.rest_palm(s))
        turn = _basis(stance.hands[k], stance.palms[k]) @ rest.T
        turns[names[bones[2]]] = turn
        self._fingers(turns, turn, s, stance.curl[k])

    def rest_palm(self, side: str) -> Floats:
        """Return where a palm faces at rest, a unit vector on the rest axes."""
        wrist = self.head(f"hand_{side}")
        across = np.cross(
            self.head(f"index_01_{side}") - wrist, self.head(f"pinky_01_{side}") - wrist
        )
        tips = self._tails[self.mesh.names[f"middle_03_{side}"]] - wrist
        palm = _basis(self.head(f"middle_01_{side}") - wrist, across)[:, 1]
        return np.asarray(palm * np.sign(palm @ tips))

    def _fingers(self, turns: Floats, hand: Floats, side: str, curl: float) -> None:
        """Bend every finger joint toward the palm."""
        wrist = self.head(f"hand_{side}")
        rest = _basis(self.head(f"middle_01_{side}") - wrist, self.rest_palm(side))
        for finger in _FINGERS:
            bend = 0.3 * curl if finger == "thumb" else curl
            for n in (1, 2, 3):
                c, s = np.cos(bend * (n - 0.8)), np.sin(bend * (n - 0.8))
                turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
                turns[self.mesh.names[f"{finger}_0{n}_{side}"]] = hand @ rest @ turn @ rest.T

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


#: names of joints and the bones that begin there
_JOINTS = {
    "hip": "thigh", "knee": "calf", "ankle": "foot", "toe": "ball", "shoulder": "upperarm",
    "elbow": "lowerarm", "wrist": "hand", "knuckle": "middle_01", "index": "index_01",
    "pinky": "pinky_01", "thumb": "thumb_02",
}  # fmt: skip


def _between(one: Floats, two: Floats, share: float) -> Floats:
    """Return a frame part of the way from one to another; near enough for small turns."""
    mixed = (1.0 - share) * one + share * two
    left, _, right = np.linalg.svd(mixed)
    return np.asarray(left @ right)
