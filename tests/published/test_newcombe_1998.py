"""Wilson score intervals. Newcombe, Stat Med 17:857 (1998), Table I.

Status: the two first rows match the paper's table from memory; all rows are derived (recomputed
from Wilson's formula to ±0.0001). 23/60: example counts seen on a public statistics page.
"""

import pytest
from scipy import stats

from hoopwright.chart.intervals import wilson


@pytest.mark.parametrize(
    ("made", "shots", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0000, 0.1611),
        (1, 29, 0.0061, 0.1718),
        (23, 60, 0.2709, 0.5098),
        (7, 10, 0.3968, 0.8922),
        (18, 25, 0.5242, 0.8572),
        (50, 50, 0.9287, 1.0000),
    ],
)
def test_wilson_95(made: int, shots: int, low: float, high: float) -> None:
    got = wilson(made, shots)
    assert got.low95 == pytest.approx(low, abs=1e-4)
    assert got.high95 == pytest.approx(high, abs=1e-4)


def test_no_shots_say_nothing() -> None:
    got = wilson(0, 0)
    assert (got.low95, got.high95) == (0.0, 1.0)


@pytest.mark.parametrize("level", [0.5, 0.8, 0.95])
def test_wilson_is_scipys(level: float) -> None:
    got = wilson(31, 40)
    ours = {0.5: (got.low50, got.high50), 0.8: (got.low80, got.high80)}.get(
        level, (got.low95, got.high95)
    )
    theirs = stats.binomtest(31, 40).proportion_ci(level, method="wilson")
    assert ours == pytest.approx((theirs.low, theirs.high), abs=1e-12)
