"""People of a drawn gym: who stands or walks where, and what they wear."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.film.synthetic.figure import Part, Shape
from hoopwright.film.synthetic.rig import UP, Posed, Rig, Stance, facing, tilted

Floats = NDArray[np.float64]

#: colours, blue green red
_SHIRTS = (
    (60, 40, 190),
    (180, 100, 40),
    (240, 240, 240),
    (70, 160, 80),
    (50, 50, 56),
    (40, 180, 240),
)
_SHORTS = ((62, 54, 50), (130, 70, 30), (70, 60, 170), (205, 205, 205))
_SKINS = ((132, 164, 222), (104, 142, 204), (70, 102, 160), (48, 70, 116), (152, 188, 238))
_HAIRS = ((30, 36, 46), (24, 24, 26), (50, 84, 122), (90, 140, 180))
_SHOES = ((235, 235, 235), (60, 60, 60), (70, 70, 200), (210, 140, 60))


def clothes(rng: np.random.Generator) -> Floats:
    """Choose somebody's colours, float64 [part, BGR]."""

    def one(of: tuple[tuple[int, int, int], ...]) -> Floats:
        return np.array(of[int(rng.integers(len(of)))], dtype=np.float64)

    skin, colours = one(_SKINS), np.empty((len(Part), 3))
    colours[Part.SKIN], colours[Part.LIP] = skin, skin * (0.78, 0.72, 0.92)
    colours[Part.SHIRT], colours[Part.SHORTS] = one(_SHIRTS), one(_SHORTS)
    colours[Part.SHOE], colours[Part.SOCK] = one(_SHOES), (232.0, 232.0, 232.0)
    colours[Part.HAIR], colours[Part.EYE] = one(_HAIRS), (40.0, 36.0, 34.0)
    return colours


def a_shape(rng: np.random.Generator) -> tuple[Shape, float]:
    """Choose a body and its stature [m]; means and spreads are common practice, no source."""
    shape = Shape(int(rng.integers(3)))
    middle, spread = {Shape.MAN: (1.83, 0.07), Shape.WOMAN: (1.70, 0.06), Shape.CHILD: (1.45, 0.1)}[
        shape
    ]
    return shape, float(np.clip(rng.normal(middle, spread), middle - 0.2, middle + 0.2))


@dataclass(frozen=True, slots=True, kw_only=True)
class Walker:
    """Somebody who walks from mark to mark."""

    rig: Rig
    #: colours of the parts, float64 [part, BGR]
    colours: Floats
    #: when somebody is where [s], float64 [mark], and floor places [m], float64 [mark, 2]
    times: Floats
    marks: Floats
    #: where somebody who stands still looks, floor place [m], float64 [2]
    looks_at: Floats

    def posed(self, time: float) -> Posed:
        """Return the body at a time [s]."""
        now, soon = (self._at(t) for t in (time, time + 0.05))
        pace = float(np.linalg.norm(soon - now)) / 0.05
        way = soon - now if pace > 0.2 else self.looks_at - now
        stride = 0.42 * math.sqrt(min(pace, 1.5)) if pace > 0.05 else 0.0
        # cadence grows with pace
        phase = 2.0 * math.pi * (0.6 + 0.35 * min(pace, 3.0)) * time
        return self.rig.pose(walking(self.rig, now, way, phase=phase, stride=stride))

    def _at(self, time: float) -> Floats:
        return np.array([np.interp(time, self.times, self.marks[:, k]) for k in range(2)])


def walking(rig: Rig, place: Floats, way: Floats, *, phase: float, stride: float) -> Stance:
    """Return the stance of somebody who walks, or stands where the stride is 0.

    Parameters
    ----------
    rig
        The figure.
    place, way
        On the floor below the hips [m], and the direction walked or looked, float64 [2].
    phase
        Of the stride [rad].
    stride
        Half the length of a step [m].
    """
    frame = facing(np.append(way, 0.0))
    left, ahead = frame[:, 0], frame[:, 2]
    size = rig.stature
    bob = 0.03 * size * min(stride, 0.4)
    hips = np.append(place, rig.head("thigh_l")[1] - 0.01 * size - bob)
    ankles, wrists, feet = [], [], []
    for side in (1.0, -1.0):
        swing = side * stride * math.sin(phase)
        lift = max(side * math.cos(phase), 0.0) * 0.3 * stride
        ankles.append(
            np.append(place, rig.sole[0] + lift) + side * 0.07 * size * left + swing * ahead
        )
        feet.append(tilted(frame, 1.2 * lift))
        wrists.append(
            hips + side * 0.16 * size * left - (0.75 * swing - 0.04) * ahead
            + (0.0 * size + 0.15 * abs(swing)) * UP
        )  # fmt: skip
    hand, poles = 0.25 * ahead - UP, tuple(-ahead + 0.3 * side * left for side in (1.0, -1.0))
    return Stance(
        hips=hips, pelvis=tilted(frame, 0.02), chest=tilted(frame, 0.05), head=frame,
        ankles=(ankles[0], ankles[1]), feet=(feet[0], feet[1]), wrists=(wrists[0], wrists[1]),
        hands=(hand, hand), palms=(-left, left), elbows=(poles[0], poles[1]), knees=(ahead, ahead),
        curl=(0.4, 0.4),
    )  # fmt: skip
