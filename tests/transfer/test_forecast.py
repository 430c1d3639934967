"""Makes in the games to come: sums of known distributions, and limits."""

import numpy as np
import pytest
from scipy import stats

from hoopwright.errors import BadInput
from hoopwright.transfer.forecast import Expected, forecast
from hoopwright.transfer.nouns import ShotType
from hoopwright.transfer.shares import GameShare

CERTAIN = GameShare(shares=np.array([0.4]), chances=np.array([1.0]))


def spread_out(a: float, b: float) -> GameShare:
    """Return a beta on a fine grid."""
    at = (np.arange(2000) + 0.5) / 2000
    chances = stats.beta.pdf(at, a, b)
    return GameShare(shares=at, chances=chances / chances.sum())


def test_a_known_percentage_gives_the_binomial() -> None:
    """Quantiles by SciPy's binomial distribution."""
    one = Expected(shot_type=ShotType.THREE, attempts=30, share=CERTAIN)
    found = forecast([one])
    assert found.makes.value == pytest.approx(12)
    for got, q in ((found.makes.low80, 0.1), (found.makes.high80, 0.9), (found.makes.low95, 0.025)):
        assert got == stats.binom.ppf(q, 30, 0.4)
    assert (found.luck_low80, found.luck_high80) == (found.makes.low80, found.makes.high80)
    assert found.points.value == pytest.approx(36)
    assert found.points.low80 == 3 * found.makes.low80


def test_an_uncertain_percentage_gives_the_beta_binomial() -> None:
    """Quantiles by SciPy's beta-binomial distribution."""
    share = spread_out(8, 12)
    found = forecast([Expected(shot_type=ShotType.MID, attempts=200, share=share)])
    for got, q in (
        (found.makes.low95, 0.025),
        (found.makes.low80, 0.1),
        (found.makes.high95, 0.975),
    ):
        assert got == pytest.approx(stats.betabinom.ppf(q, 200, 8, 12), abs=1)
    assert found.luck_high80 - found.luck_low80 < 0.5 * (found.makes.high80 - found.makes.low80)


def test_kinds_add_up_and_points_go_by_kind() -> None:
    kinds = (ShotType.THREE, ShotType.FREE_THROW, ShotType.RIM)
    found = forecast([Expected(shot_type=kind, attempts=10, share=CERTAIN) for kind in kinds])
    assert found.attempts == 30
    assert found.makes.low95 == stats.binom.ppf(0.025, 30, 0.4)
    assert found.points.value == pytest.approx(4 * (3 + 1 + 2))
    # of the sum of 1, 2 and 3 times a count; normal, which holds to a point at 30 shots
    sd = np.sqrt(2.4 * (1 + 4 + 9))
    assert found.points.high80 == pytest.approx(24 + 1.2816 * sd, abs=1.5)


def test_a_season_is_told_better_than_a_game_in_its_share() -> None:
    share = spread_out(40, 60)
    game, season = (
        forecast([Expected(shot_type=ShotType.THREE, attempts=n, share=share)]) for n in (5, 300)
    )
    assert (season.makes.high80 - season.makes.low80) / 300 < (
        game.makes.high80 - game.makes.low80
    ) / 5


@pytest.mark.parametrize("attempts", [0, -3, 5001])
def test_attempts_that_make_no_sense(attempts: int) -> None:
    with pytest.raises(BadInput, match="attempts"):
        forecast([Expected(shot_type=ShotType.THREE, attempts=attempts, share=CERTAIN)])
