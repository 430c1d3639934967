"""Sample sizes for two proportions. Fleiss, Statistical Methods for Rates and Proportions (1981);
Fleiss, Tytun and Ury, Biometrics 36:343 (1980), for the correction.

Status: derived outside this project from the formulas of the sources, to ±0.01. An R example
(power.prop.test, shares .50 and .75, power .90) prints 76.7: seen. A calculator page prints 94 for
.50 and .70: seen, one above the plain figure.
"""

import pytest

from hoopwright.trials.sample_size import shots_for_shares, shots_for_shares_corrected

ROWS = [
    (0.50, 0.60, 0.80, 387.34, 407.09),
    (0.50, 0.70, 0.80, 93.00, 102.76),
    (0.50, 0.75, 0.90, 76.71, 84.52),
    (0.60, 0.70, 0.80, 355.94, 375.68),
    (0.70, 0.80, 0.80, 293.15, 312.83),
    (0.60, 0.65, 0.80, 1470.5, 1510.2),
    (0.25, 0.40, 0.90, 202.81, 215.94),
]


@pytest.mark.parametrize(("first", "second", "power", "plain", "corrected"), ROWS)
def test_shots_each_way(
    first: float, second: float, power: float, plain: float, corrected: float
) -> None:
    within = 0.006 if plain < 1000 else 0.06
    assert shots_for_shares(first, second, power=power) == pytest.approx(plain, abs=within)
    got = shots_for_shares_corrected(first, second, power=power)
    assert got == pytest.approx(corrected, abs=within)
    assert shots_for_shares(second, first, power=power) == pytest.approx(plain, abs=within)
