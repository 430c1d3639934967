"""The shooter: feet, legs, trunk and hands at the ball, through dip, jump and landing."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from hoopwright.film.synthetic.people import Clothes
from hoopwright.film.synthetic.shots import BallWay, ShotWay, ahead_of
from hoopwright.film.synthetic.stick import ANKLE, HAND, SHANK, THIGH, UP, body

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shooter:
    """Somebody who takes all the shots."""

    ways: tuple[ShotWay, ...]
    stature: float
    clothes: Clothes

    def joints(self, time: float) -> Floats:
        """Return the joints at a time, float64 [joint, 3]."""
        starts = [w.shot.start - 1.0 for w in self.ways]
        way = self.ways[max(int(np.searchsorted(starts, time, side="right")) - 1, 0)]
        return self._shooting(way, time)

    def _shooting(self, way: ShotWay, time: float) -> Floats:
        shot, m, s = way.shot, way.shot.motion, self.stature
        ahead = ahead_of(shot.spot)
        right = np.array([ahead[1], -ahead[0], 0.0])
        leaves = shot.release_time
        feet = np.array([shot.spot.x, -shot.spot.y, 0.0]) - 0.38 * ahead
        legs = (THIGH + SHANK + ANKLE) * s
        stand, low = legs - 0.02 * s, legs - 0.11 * s
        marks = np.array(
            [-9.0, m.hold - m.length, m.hold + m.dip - m.length, -0.06, 0.05, 0.2, 0.36, 0.5, 9.0]
        )
        heights = [
            stand,
            stand,
            low,
            legs,
            legs + 0.14,
            legs + 0.24,
            legs + 0.1,
            stand - 0.08,
            stand,
        ]
        hips = feet + float(PchipInterpolator(marks, heights)(time - leaves)) * UP
        air = max(float(hips[2]) - legs, 0.0)
        ankles = [feet + side * 0.1 * s * right + (ANKLE * s + air) * UP for side in (-1.0, 1.0)]
        hands = self._hands(way, time, ahead, right)
        return body(hips, ahead, s, hands=hands, ankles=(ankles[0], ankles[1]))

    def _hands(
        self, way: ShotWay, time: float, ahead: Floats, right: Floats
    ) -> tuple[Floats, Floats]:
        """Return where the wrists are: at the ball, then held out, then hanging, ready."""
        shot, s = way.shot, self.stature
        held = BallWay((way,)).at(np.array([np.clip(time, shot.start, shot.release_time)]))[0]
        since = time - shot.release_time
        drop = np.clip((since - 0.6) / 0.5, 0.0, 1.0)
        push = min(max(since, 0.0), 0.1) * 2.0
        palm = held - 0.12 * (0.6 * UP + 0.8 * ahead) - HAND * s * UP
        shooting = palm + push * (0.7 * ahead + 0.3 * UP)
        rest = held * (1.0, 1.0, 0.0) + 1.0 * UP - 0.2 * ahead
        guide = held - 0.13 * right - 0.08 * UP - HAND * s * 0.5 * UP - 0.4 * push * right
        return guide + drop * (rest - 0.2 * right - guide), shooting + drop * (rest - shooting)
