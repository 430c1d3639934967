"""Ranges of a mixture of normals: what is left when one number of a model is integrated over."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import integrate, interpolate, special

from hoopwright.records import Estimate

Floats = NDArray[np.float64]

#: where the 50, 80 and 95 % ranges end
SHARES = np.array([0.025, 0.1, 0.25, 0.75, 0.9, 0.975])
# halvings of a bracket 80 standard deviations wide: ends right to 1e-9 of one
_HALVINGS = 36


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

    def estimates(self) -> list[Estimate]:
        """Return each quantity with its ranges, by halving brackets of its distribution."""
        low = np.repeat((self.means - 40.0 * self.sds).min(axis=1)[:, None], len(SHARES), axis=1)
        high = np.repeat((self.means + 40.0 * self.sds).max(axis=1)[:, None], len(SHARES), axis=1)
        for _ in range(_HALVINGS):
            middle = 0.5 * (low + high)
            under = self.below(middle) < SHARES
            low, high = np.where(under, middle, low), np.where(under, high, middle)
        return [estimate(m, e) for m, e in zip(self.mean(), 0.5 * (low + high), strict=True)]


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
