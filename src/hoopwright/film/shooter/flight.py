"""The body in the air: a parabola whose curvature is known, so apex and speed come out well."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.film.shooter.local import smooth, widening
from hoopwright.film.shooter.paths import Track
from hoopwright.flight.air import STANDARD_GRAVITY

Floats = NDArray[np.float64]

#: a measured gravity further off than this share (and than four of its errors) is not a free
#: flight seen at the right scale, and gravity is then left free
GRAVITY_SHARE = 0.25
#: arms and legs move against the trunk: its speed differs from the body's by this [m/s]; a
#: judgement, no source
TRUNK_SPEED_SD = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyFlight:
    """The trunk's middle between toe-off and landing."""

    #: when it is highest [s]
    apex: float
    apex_sd: float
    #: of the highest point above the floor [m]
    height: float
    #: that the curve shows [m/s²], and its error
    gravity: float
    gravity_sd: float

    @property
    def free(self) -> bool:
        """Tell whether the curve is a free flight at the scene's scale."""
        off = abs(self.gravity - STANDARD_GRAVITY)
        return off <= max(GRAVITY_SHARE * STANDARD_GRAVITY, 4.0 * self.gravity_sd)

    def speed(self, time: float) -> float:
        """Return the upward speed at a moment of the flight [m/s]: v = g·t before the apex."""
        return STANDARD_GRAVITY * (self.apex - time)

    def rise(self, since: float) -> float:
        """Return how far the trunk rose from a moment of the flight to the apex [m]: ½·g·t²."""
        return 0.5 * STANDARD_GRAVITY * (self.apex - since) ** 2


def body_flight(trunk: Track, *, off: float) -> BodyFlight | None:
    """Fit the free flight of the trunk's middle.

    Parameters
    ----------
    trunk
        Its height above the floor [m].
    off
        When the toes left [s].

    Returns
    -------
    BodyFlight or None
        None where too little of the flight was seen. Apex by gravity as known where the curve
        agrees with it (see ``free``), else by the curve alone.
    """
    after = trunk.between(off, off + 0.8).seen
    if len(after.time) < 5:
        return None
    up = smooth(after.time, after.value, half=0.05)
    top = float(after.time[_first_top(up)])
    air = after.between(off, 2.0 * top - off)
    if len(air.time) < 5:
        return None
    return _parabola(air)


def _first_top(up: Floats) -> int:
    """Row of the first summit: nothing in the next rows is higher."""
    sinks = np.flatnonzero(np.diff(up) < 0.0)
    k = int(sinks[0]) if len(sinks) else len(up) - 1
    return k + int(np.argmax(up[k : k + 5]))


def _parabola(air: Track) -> BodyFlight | None:
    middle = float(air.time.mean())
    t, wide = air.time - middle, widening(float(np.median(np.diff(air.time))))
    weight = 1.0 / np.maximum(air.sd, 1e-9)
    free, free_cov = _weighted(np.vander(t, 3, increasing=True), air.value, weight)
    gravity, gravity_sd = -2.0 * free[2], 2.0 * wide * math.sqrt(free_cov[2, 2])
    if gravity <= 0.0:
        return None
    known, known_cov = _weighted(
        np.vander(t, 2, increasing=True), air.value + 0.5 * STANDARD_GRAVITY * t**2, weight
    )
    found = BodyFlight(
        apex=middle + known[1] / STANDARD_GRAVITY,
        apex_sd=wide * math.sqrt(known_cov[1, 1]) / STANDARD_GRAVITY,
        height=float(known[0] + known[1] ** 2 / (2.0 * STANDARD_GRAVITY)),
        gravity=float(gravity), gravity_sd=gravity_sd,
    )  # fmt: skip
    return found if found.free else _by_curve(free, free_cov, found, middle=middle, wide=wide)


def _by_curve(
    fit: Floats, cov: Floats, known: BodyFlight, *, middle: float, wide: float
) -> BodyFlight:
    slopes = np.array([0.0, -0.5 / fit[2], 0.5 * fit[1] / fit[2] ** 2])
    return BodyFlight(
        apex=middle - 0.5 * fit[1] / fit[2],
        apex_sd=wide * math.sqrt(float(slopes @ cov @ slopes)),
        height=float(fit[0] - 0.25 * fit[1] ** 2 / fit[2]),
        gravity=known.gravity, gravity_sd=known.gravity_sd,
    )  # fmt: skip


def _weighted(design: Floats, value: Floats, weight: Floats) -> tuple[Floats, Floats]:
    scaled = design * weight[:, None]
    cov: Floats = np.asarray(np.linalg.pinv(scaled.T @ scaled), dtype=np.float64)
    return cov @ (scaled.T @ (value * weight)), cov
