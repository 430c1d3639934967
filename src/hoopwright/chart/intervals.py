"""Ranges for a plain share made, with no model behind them."""

from scipy import stats

from hoopwright.records import Estimate


def wilson(made: int, shots: int) -> Estimate:
    """Return the share made with its Wilson score ranges ([Wilson1927]_, through SciPy).

    With no shots the share is unknown and the range is everything.
    """
    if shots == 0:
        return Estimate(value=0.5, low50=0, high50=1, low80=0, high80=1, low95=0, high95=1)
    test = stats.binomtest(made, shots)
    r50, r80, r95 = (test.proportion_ci(level, method="wilson") for level in (0.5, 0.8, 0.95))
    return Estimate(
        value=made / shots,
        low50=float(r50.low), high50=float(r50.high),
        low80=float(r80.low), high80=float(r80.high),
        low95=float(r95.low), high95=float(r95.high),
    )  # fmt: skip
