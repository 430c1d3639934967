"""The practice-to-game ratio: its start, its pooling, and a check against emcee.

Reference library: emcee (affine-invariant ensemble sampler, PyPI), on the same posterior written
out anew; it shares no code with the project.
"""

from uuid import UUID

import emcee
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import special

from hoopwright.errors import BadInput
from hoopwright.transfer.nouns import ShotType
from hoopwright.transfer.ratio import RULE_OF_THUMB, Played, prior_for, read_ratios
from hoopwright.transfer.shares import PracticeShare

Floats = NDArray[np.float64]
#: makes and attempts in practice, then in games, of three invented players
THREE_PLAYERS = ((30, 50, 8, 30), (80, 100, 70, 150), (12, 20, 2, 3))


def played(
    made: int, attempts: int, game_made: int, game_attempts: int, *,
    number: int = 1, shot_type: ShotType = ShotType.THREE,
) -> Played:  # fmt: skip
    return Played(
        player_id=UUID(int=number), shot_type=shot_type,
        practice=PracticeShare.from_counts(made, attempts),
        attempts=game_attempts, made=game_made,
    )  # fmt: skip


def test_eight_of_ten_alone_reads_about_forty_per_cent_in_games_and_wide() -> None:
    """Rule of thumb: a game percentage is about half the practice one (common practice, no
    source)."""
    [found] = read_ratios([played(8, 10, 0, 0)])
    assert found.game.value == pytest.approx(0.40, abs=0.03)
    assert found.game.low80 < 0.27 and found.game.high80 > 0.53
    assert found.ratio.value == pytest.approx(0.5, abs=0.06)
    assert found.attempts_needed > 100


def test_free_throws_start_near_practice() -> None:
    [found] = read_ratios([played(80, 100, 0, 0, shot_type=ShotType.FREE_THROW)])
    assert 0.68 < found.game.value < 0.80
    assert found.game.high95 < 1.0


def test_own_games_take_over() -> None:
    [few] = read_ratios([played(70, 100, 7, 10)])
    [many] = read_ratios([played(70, 100, 700, 1000)])
    assert 0.35 < few.game.value < 0.60
    assert many.game.value == pytest.approx(0.70, abs=0.01)
    assert many.attempts_needed == 0 < few.attempts_needed


def test_other_players_of_the_coach_move_the_start() -> None:
    others = [played(60, 100, 110, 200, number=n) for n in range(2, 12)]
    [alone, *_] = read_ratios([played(60, 100, 0, 0)])
    beside = read_ratios([played(60, 100, 0, 0), *others])[0]
    assert beside.others == 10
    assert beside.ratio.value > alone.ratio.value + 0.25
    width = beside.ratio.high80 - beside.ratio.low80
    assert width < 0.7 * (alone.ratio.high80 - alone.ratio.low80)


def test_kinds_of_shot_do_not_mix() -> None:
    threes = [played(60, 100, 110, 200, number=n) for n in range(2, 12)]
    mid = played(60, 100, 0, 0, shot_type=ShotType.MID)
    beside, alone = read_ratios([mid, *threes])[0], read_ratios([mid])[0]
    assert beside.ratio == alone.ratio


def test_order_of_players_does_not_matter() -> None:
    group = [played(*numbers, number=n) for n, numbers in enumerate(THREE_PLAYERS)]
    there, back = read_ratios(group), read_ratios(group[::-1])[::-1]
    assert [one.ratio.value for one in there] == pytest.approx([one.ratio.value for one in back])


def log_posterior(z: Floats) -> Floats:
    """Log density of (centre, log spread, then practice and game log odds per player) [walker]."""
    made, attempts, game_made, game_attempts = np.array(THREE_PLAYERS).T
    prior, centre, log_spread = RULE_OF_THUMB, z[:, :1], z[:, 1:2]
    spread = np.exp(log_spread)
    practice, game = special.expit(z[:, 2::2]), special.expit(z[:, 3::2])
    total = -0.5 * ((centre - np.log(prior.centre)) / prior.centre_sd) ** 2
    total = total - 0.5 * (spread / prior.spread) ** 2 + log_spread
    each = special.xlogy(made + 1, practice) + (attempts - made + 1) * np.log1p(-practice)
    each = each - 0.5 * ((np.log(game / practice) - centre) / spread) ** 2 - log_spread
    each = each + np.log1p(-game) - special.log_ndtr((-np.log(practice) - centre) / spread)
    each = each + special.xlogy(game_made, game) + (game_attempts - game_made) * np.log1p(-game)
    return np.asarray((total + each.sum(axis=1, keepdims=True))[:, 0])


def test_agrees_with_a_general_sampler() -> None:
    """Means within 0.1 standard deviation, of ratio and of game share, three players at once."""
    rng = np.random.default_rng(4)
    start = np.tile([np.log(0.5), np.log(0.25), 0.4, -0.5, 1.2, 0.0, 0.4, -0.5], (64, 1))
    start += 0.1 * rng.standard_normal(start.shape)
    moves = [(emcee.moves.DEMove(), 1.0)]
    sampler = emcee.EnsembleSampler(64, 8, log_posterior, vectorize=True, moves=moves)
    np.random.seed(4)  # noqa: NPY002 — emcee draws from the global state
    sampler.run_mcmc(start, 5000)
    chain = sampler.get_chain(discard=1000, flat=True)
    practice, game = special.expit(chain[:, 2::2]), special.expit(chain[:, 3::2])
    ratio = game / practice
    found = read_ratios([played(*n, number=i) for i, n in enumerate(THREE_PLAYERS)])
    for i, one in enumerate(found):
        assert one.ratio.value == pytest.approx(ratio[:, i].mean(), abs=0.1 * ratio[:, i].std())
        assert one.game.value == pytest.approx(game[:, i].mean(), abs=0.1 * game[:, i].std())
        assert one.share.sd == pytest.approx(game[:, i].std(), rel=0.1)


def test_counts_that_cannot_be() -> None:
    with pytest.raises(BadInput, match="game attempts"):
        played(5, 10, 3, 2)
    with pytest.raises(BadInput, match="practice attempts"):
        PracticeShare.from_counts(3, 2)
    with pytest.raises(BadInput, match="between 0 and 100"):
        PracticeShare(mean=0.5, sd=0.0)


def test_a_practice_share_from_draws_is_that_of_the_counts() -> None:
    draws = np.random.default_rng(1).beta(31, 21, 100_000)
    by_draws, by_counts = PracticeShare.from_draws(draws), PracticeShare.from_counts(30, 50)
    assert by_draws.mean == pytest.approx(by_counts.mean, abs=0.001)
    assert by_draws.sd == pytest.approx(by_counts.sd, rel=0.02)


def test_extremes_are_read() -> None:
    found = read_ratios([
        played(0, 3, 5, 5), played(50, 50, 0, 40, number=2), played(5000, 9000, 2, 3, number=3),
    ])  # fmt: skip
    for one in found:
        assert 0 < one.game.low95 < one.game.value < one.game.high95 < 1
        assert one.share.chances.sum() == pytest.approx(1)
    assert prior_for(ShotType.RIM) is RULE_OF_THUMB
