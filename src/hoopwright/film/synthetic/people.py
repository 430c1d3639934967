"""People of a drawn gym: who stands or walks where, what they wear, and how they are drawn."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.film.camera import Camera, pixels_per_metre, project
from hoopwright.film.synthetic.stick import Joint, walking

Floats = NDArray[np.float64]

_J = Joint
#: joints a limb joins, radius at either end as a share of stature, and the colour it has
_LIMBS = (
    (_J.HIPS, _J.NECK, 0.075, 0.085, "shirt"),
    (_J.LEFT_SHOULDER, _J.RIGHT_SHOULDER, 0.045, 0.045, "shirt"),
    (_J.LEFT_HIP, _J.LEFT_SHOULDER, 0.055, 0.05, "shirt"),
    (_J.RIGHT_HIP, _J.RIGHT_SHOULDER, 0.055, 0.05, "shirt"),
    (_J.LEFT_HIP, _J.LEFT_KNEE, 0.055, 0.042, "shorts"),
    (_J.RIGHT_HIP, _J.RIGHT_KNEE, 0.055, 0.042, "shorts"),
    (_J.LEFT_KNEE, _J.LEFT_ANKLE, 0.033, 0.022, "skin"),
    (_J.RIGHT_KNEE, _J.RIGHT_ANKLE, 0.033, 0.022, "skin"),
    (_J.LEFT_ANKLE, _J.LEFT_TOE, 0.024, 0.02, "shoes"),
    (_J.RIGHT_ANKLE, _J.RIGHT_TOE, 0.024, 0.02, "shoes"),
    (_J.LEFT_SHOULDER, _J.LEFT_ELBOW, 0.028, 0.024, "skin"),
    (_J.RIGHT_SHOULDER, _J.RIGHT_ELBOW, 0.028, 0.024, "skin"),
    (_J.LEFT_ELBOW, _J.LEFT_WRIST, 0.022, 0.016, "skin"),
    (_J.RIGHT_ELBOW, _J.RIGHT_WRIST, 0.022, 0.016, "skin"),
    (_J.LEFT_WRIST, _J.LEFT_HAND, 0.018, 0.018, "skin"),
    (_J.RIGHT_WRIST, _J.RIGHT_HAND, 0.018, 0.018, "skin"),
    (_J.NECK, _J.HEAD, 0.03, 0.03, "skin"),
    (_J.HEAD, _J.HEAD, 0.062, 0.062, "skin"),
)
_SHIRTS = (
    (60, 40, 180),
    (170, 90, 30),
    (240, 240, 240),
    (60, 150, 70),
    (40, 40, 46),
    (40, 170, 230),
)
_SHORTS = ((50, 44, 40), (120, 60, 20), (60, 50, 160), (200, 200, 200))
_SKINS = ((120, 150, 205), (95, 130, 190), (60, 90, 145), (40, 60, 100), (140, 175, 225))
_SHOES = ((235, 235, 235), (40, 40, 40), (60, 60, 190))


@dataclass(frozen=True, slots=True, kw_only=True)
class Clothes:
    """Colours of one person, blue green red."""

    shirt: tuple[int, int, int]
    shorts: tuple[int, int, int]
    skin: tuple[int, int, int]
    shoes: tuple[int, int, int]


def clothes(rng: np.random.Generator) -> Clothes:
    """Choose somebody's colours."""

    def one(of: tuple[tuple[int, int, int], ...]) -> tuple[int, int, int]:
        return of[int(rng.integers(len(of)))]

    return Clothes(shirt=one(_SHIRTS), shorts=one(_SHORTS), skin=one(_SKINS), shoes=one(_SHOES))


@dataclass(frozen=True, slots=True, kw_only=True)
class Walker:
    """Somebody who walks from mark to mark."""

    #: when somebody is where [s], float64 [mark]
    times: Floats
    #: floor places [m], float64 [mark, 2]
    marks: Floats
    stature: float
    clothes: Clothes
    #: where somebody who stands still looks, floor place [m], float64 [2]
    looks_at: Floats

    def joints(self, time: float) -> Floats:
        """Return the joints at a time, float64 [joint, 3]."""
        now, soon = (self._at(t) for t in (time, time + 0.05))
        pace = float(np.linalg.norm(soon - now)) / 0.05
        way = soon - now if pace > 0.2 else self.looks_at - now
        level = way / max(float(np.linalg.norm(way)), 1e-9)
        stride = min(0.42 * pace**0.5, 0.45) if pace > 0.05 else 0.0
        # a step every two strides; cadence grows with pace
        phase = 2.0 * math.pi * (0.6 + 0.35 * min(pace, 3.0)) * time
        return walking(np.array([*now, 0.0]), np.array([*level, 0.0]), self.stature, phase, stride)

    def _at(self, time: float) -> Floats:
        return np.array([np.interp(time, self.times, self.marks[:, k]) for k in range(2)])


def limbs_of(camera: Camera, joints: Floats, *, stature: float, wears: Clothes) -> Floats:
    """Return a person's limbs as the kernel draws them [limb, 11]; near ones last."""
    drawn, scale = project(camera, joints), pixels_per_metre(camera, joints)
    rows = []
    for start, end, one, two, part in _LIMBS:
        rows.append(
            (
                *drawn[start], camera.focal / scale[start], one * stature * scale[start],
                *drawn[end], camera.focal / scale[end], two * stature * scale[end],
                *getattr(wears, part),
            )
        )  # fmt: skip
    limbs = np.array(rows, dtype=np.float64)
    seen = np.isfinite(limbs).all(axis=1) & (limbs[:, 2] > 0.3) & (limbs[:, 6] > 0.3)
    limbs = limbs[seen]
    return limbs[np.argsort(-(limbs[:, 2] + limbs[:, 6]), kind="stable")]
