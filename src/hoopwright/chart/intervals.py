"""Ranges for a plain share made, with no model behind them."""

import math

from scipy import special

from hoopwright.records import Estimate


def wilson(made: int, shots: int) -> Estimate:
    """Return the share made with its Wilson score ranges ([Wilson1927]_).

    With no shots the share is unknown and the range is everything.

    Notes
    -----
    The formula is written out, as the libraries' functions run a whole test to get to it; checked
    against published intervals and SciPy in the tests.
    """
    if shots == 0:
        return Estimate(value=0.5, low50=0, high50=1, low80=0, high80=1, low95=0, high95=1)
    (low50, high50), (low80, high80), (low95, high95) = (
        _wilson(made, shots, level) for level in (0.50, 0.80, 0.95)
    )
    return Estimate(
        value=made / shots,
        low50=low50, high50=high50, low80=low80, high80=high80, low95=low95, high95=high95,
    )  # fmt: skip


def _wilson(made: int, shots: int, level: float) -> tuple[float, float]:
    z = float(special.ndtri(0.5 + level / 2))
    middle = (made + z * z / 2) / (shots + z * z)
    half = z / (shots + z * z) * math.sqrt(made * (shots - made) / shots + z * z / 4)
    return max(0.0, middle - half), min(1.0, middle + half)
