"""Eight parallel experiments. Rubin, Journal of Educational Statistics 6:377–401 (1981).

Effects, errors and the posterior quartiles (Gelman et al., *Bayesian Data Analysis*, 3rd ed.,
table 5.3, from 200 simulated draws, flat priors): memory. The outer ends of the other schools are
not remembered for sure, and not checked. The same model is checked by emcee on an invented group in
tests/trials/test_pooled.py.
"""

from uuid import UUID

import numpy as np
import pytest

from hoopwright.trials.hierarchy import PoolPrior
from hoopwright.trials.pooled import PlayerEffect, Pooled, pool

EFFECTS = [28.0, 8.0, -3.0, 7.0, -1.0, 1.0, 18.0, 12.0]
ERRORS = [15.0, 10.0, 16.0, 11.0, 9.0, 11.0, 10.0, 18.0]
#: 25 and 75 % of each school
QUARTILES = [(7, 16), (3, 12), (2, 11), (4, 11), (1, 10), (2, 10), (7, 15), (3, 13)]


def flat() -> Pooled:
    """Read the eight with priors too wide to matter."""
    effects = [
        PlayerEffect(player=UUID(int=i + 1), value=v, sd=s)
        for i, (v, s) in enumerate(zip(EFFECTS, ERRORS, strict=True))
    ]
    wide = PoolPrior(average_sd=1e4, between_scale=1e4)
    return pool(effects, smallest=5.0, prior=wide)


def test_average_and_spread() -> None:
    """Memory: average about 8, spread's mean 6.6 (printed by many programs for this model)."""
    found = flat()
    assert found.average.value == pytest.approx(7.9, abs=0.2)
    assert found.between.value == pytest.approx(6.6, abs=0.2)


@pytest.mark.parametrize("school", range(8))
def test_quartiles_of_each_school(school: int) -> None:
    """Two hundred draws put about 0.8 on a quartile, one standard error; printed whole."""
    one = flat().players[school].effect
    assert (one.low50, one.high50) == pytest.approx(QUARTILES[school], abs=2.0)


def test_the_range_of_the_first_school() -> None:
    """Printed −2 to 31; about 3 by luck of the draws at an outer end."""
    one = flat().players[0].effect
    assert (one.low95, one.high95) == pytest.approx((-2, 31), abs=3.0)


def test_the_schools_come_together() -> None:
    """Rubin's point: the largest effect, 28, is drawn most of the way to the rest."""
    found = flat()
    assert found.players[0].effect.value == pytest.approx(11.4, abs=0.3)
    assert np.ptp([p.effect.value for p in found.players]) < 7.0
