"""Ranges of a mixture of normals: what is left when one number of a model is integrated over."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import integrate, interpolate, special

from hoopwright.records import Estimate

Floats = NDArray[np.float64]

#: where the 50, 80 and 95 % ranges end
SHARES = np.array([0.025, 0.1, 0.25, 0.75, 0.9, 0.975])
_ROOT_TWO_PI = math.sqrt(2.0 * math.pi)
# an end is found when no step moves it by more than this share of the quantity's own spread
_EXACT = 1e-9
_MOST_STEPS = 60


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Mixture:
    """Quantities that are normal given a node of the number integrated over."""

    #: float64 [node], sum 1
    weights: Floats
    #: float64 [quantity, node]
    means: Floats
    #: float64 [quantity, node], above zero
    sds: Floats

    def below(self, x: Floats) -> Floats:
        """Return the chance of less than ``x`` [quantity, place], same shape."""
        z = (x[..., None] - self.means[:, None]) / self.sds[:, None]
        return np.asarray(special.ndtr(z) @ self.weights, np.float64)

    def mean(self) -> Floats:
        """Return the mean, float64 [quantity]."""
        return np.asarray(self.means @ self.weights, np.float64)

    def sd(self) -> Floats:
        """Return the standard deviation, float64 [quantity]."""
        square = (self.sds**2 + self.means**2) @ self.weights
        return np.asarray(np.sqrt(square - self.mean() ** 2), np.float64)

    def density(self, x: Floats) -> Floats:
        """Return the density at ``x`` [quantity, place], same shape."""
        z = (x[..., None] - self.means[:, None]) / self.sds[:, None]
        heights = np.exp(-0.5 * z**2) / (self.sds[:, None] * _ROOT_TWO_PI)
        return np.asarray(heights @ self.weights, np.float64)

    def estimates(self) -> list[Estimate]:
        """Return each quantity with its ranges, by Newton's steps kept within brackets."""
        centre, spread = self.mean()[:, None], self.sd()[:, None]
        # no end of 0.975 lies further from the mean than 6.25 standard deviations (Cantelli)
        low = np.repeat(centre - 7.0 * spread, len(SHARES), axis=1)
        high = np.repeat(centre + 7.0 * spread, len(SHARES), axis=1)
        x = centre + spread * special.ndtri(SHARES)
        for _ in range(_MOST_STEPS):
            over = self.below(x) - SHARES
            low, high = np.where(over < 0.0, x, low), np.where(over < 0.0, high, x)
            step = x - over / np.maximum(self.density(x), 1e-300)
            following = np.where((low < step) & (step < high), step, 0.5 * (low + high))
            moved = np.abs(following - x)
            x = following
            if np.all(moved <= _EXACT * spread):
                break
        return [estimate(m, e) for m, e in zip(self.mean(), x, strict=True)]


def estimate(value: float, ends: Floats) -> Estimate:
    """Return an estimate from its value and the ends of its ranges, in the order of SHARES."""
    low95, low80, low50, high50, high80, high95 = map(float, ends)
    return Estimate(
        value=float(value),
        low50=low50, high50=high50, low80=low80, high80=high80, low95=low95, high95=high95,
    )  # fmt: skip


def on_grid(values: Floats, density: Floats) -> Estimate:
    """Return mean and ranges of a quantity that rises along an evenly spaced grid.

    Parameters
    ----------
    values
        The quantity at each node, rising, float64 [node].
    density
        Of the grid's own coordinate, up to a factor, float64 [node].
    """
    area = integrate.cumulative_simpson(density, dx=1.0, initial=0.0)
    share = np.maximum.accumulate(area / area[-1])
    kept = np.concatenate([[True], np.diff(share) > 1e-13])
    inverse = interpolate.PchipInterpolator(share[kept], values[kept])
    return estimate(float(integrate.simpson(density * values) / area[-1]), inverse(SHARES))
