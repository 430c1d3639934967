"""Trials pooled from makes and misses, and the heap beside the comparison within players."""

from collections.abc import Sequence
from uuid import UUID

import emcee
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import special, stats

from hoopwright.errors import BadInput
from hoopwright.trials.counted import (
    PlayerCounts,
    gain,
    log_likelihood,
    pair_log_likelihood,
)
from hoopwright.trials.crude import crude_and_within
from hoopwright.trials.hierarchy import PoolPrior
from hoopwright.trials.pooled_counts import pool_counts

Floats = NDArray[np.float64]


def totals(rows: Sequence[tuple[int, int, int, int]]) -> list[PlayerCounts]:
    """Return players from (habit made, habit shots, change made, change shots), one pair each."""
    return [
        PlayerCounts(
            player=UUID(int=i + 1),
            habit_made=(a,), habit_shots=(b,), change_made=(c,), change_shots=(d,),
        )
        for i, (a, b, c, d) in enumerate(rows)
    ]  # fmt: skip


#: an invented group of six
ROWS = [(50, 100, 62, 100), (41, 100, 45, 100), (70, 100, 69, 100), (33, 80, 44, 80),
        (55, 120, 66, 120), (60, 100, 58, 100)]  # fmt: skip


@pytest.mark.parametrize("odds", [-1.5, 0.0, 0.7])
@pytest.mark.parametrize(("made", "taken", "habit", "shots"), [(7, 10, 4, 10), (0, 8, 3, 12)])
def test_a_pair_has_fishers_noncentral_likelihood(
    odds: float, made: int, taken: int, habit: int, shots: int
) -> None:
    """Reference: SciPy's noncentral hypergeometric of Fisher."""
    ours = pair_log_likelihood(made, taken, habit, shots, np.array([odds, 0.3]))
    theirs = [
        stats.nchypergeom_fisher.logpmf(made, taken + shots, taken, made + habit, np.exp(o))
        for o in (odds, 0.3)
    ]
    assert ours[0] - ours[1] == pytest.approx(theirs[0] - theirs[1], abs=1e-9)


def test_the_likeliest_odds_ratio_is_the_conditional_one() -> None:
    """Reference: SciPy's conditional odds ratio."""
    player = totals([(20, 50, 31, 50)])[0]
    odds = np.linspace(-1.0, 2.0, 30001)
    best = odds[np.argmax(log_likelihood(player, odds, block_sd=0.0))]
    theirs = stats.contingency.odds_ratio([[31, 19], [20, 30]]).statistic
    assert best == pytest.approx(np.log(theirs), abs=2e-4)


def test_wandering_blocks_weaken_long_blocks_more() -> None:
    """Closed form: design effect 1 + 99 · 0.03² / 0.25 = 1.3564 for blocks of 100 at half made."""
    player, odds = totals([(50, 100, 50, 100)])[0], np.array([0.0, 0.5])
    plain = np.diff(log_likelihood(player, odds, block_sd=0.0))[0]
    weaker = np.diff(log_likelihood(player, odds))[0]
    assert plain / weaker == pytest.approx(1.3564, abs=1e-4)


def test_days_that_both_blocks_share_drop_out() -> None:
    """A player shoots 2 of 10 both ways one day and 9 of 10 both ways another: no effect, however
    unequal the blocks; in one heap the change, shot mostly on the good day, looks far better."""
    player = PlayerCounts(
        player=UUID(int=1),
        habit_made=(8, 9), habit_shots=(40, 10), change_made=(2, 36), change_shots=(10, 40),
    )  # fmt: skip
    odds = np.linspace(-2.0, 2.0, 401)
    assert odds[np.argmax(log_likelihood(player, odds))] == pytest.approx(0.0, abs=0.011)
    heap = crude_and_within([player])
    assert heap.crude == pytest.approx(42.0)
    assert heap.within.value == pytest.approx(0.0, abs=1e-9)


def test_gain_is_the_difference_of_shares() -> None:
    """Closed form: 60 against 50 of 100 lie ln 1.5 apart about their midpoint in log odds."""
    middle = special.expit(0.5 * np.log(1.5))
    assert gain(np.array([np.log(1.5)]), np.array([middle]))[0] == pytest.approx(10.0)


def chain(rows: Floats, prior: PoolPrior, *, seed: int) -> Floats:
    """Draws by emcee of the full model, levels sampled: average and spread in log odds, then each
    player's makes per 100 gained; nothing is conditioned on, nothing taken midway."""
    habit, shots, change, taken = rows.T
    players = len(rows)

    def split(x: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        between = np.exp(x[:, 1])
        odds = x[:, :1] + between[:, None] * x[:, 2 : 2 + players]
        return x[:, 0], between, odds, x[:, 2 + players :]

    def log_posterior(x: Floats) -> Floats:
        average, between, odds, level = split(x)
        logs = np.zeros(len(x))
        for made, number, at in (
            (habit, shots, level - odds / 2),
            (change, taken, level + odds / 2),
        ):
            logs += np.sum(made * at - number * np.logaddexp(0.0, at), axis=1)
        logs -= 0.5 * np.sum(x[:, 2 : 2 + players] ** 2, axis=1) + 0.5 * np.sum(
            (level / 5.0) ** 2, axis=1
        )
        logs -= 0.5 * (average / prior.average_sd) ** 2
        return np.asarray(logs - 0.5 * (between / prior.between_scale) ** 2 + x[:, 1])

    walkers, rng = 80, np.random.default_rng(seed)
    at = special.logit((habit + change) / (shots + taken))
    start = np.column_stack(
        [
            0.2 * rng.standard_normal(walkers),
            -1.5 + 0.5 * rng.standard_normal(walkers),
            rng.standard_normal((walkers, players)),
            at + 0.1 * rng.standard_normal((walkers, players)),
        ]
    )
    moves = [(emcee.moves.DEMove(), 0.9), (emcee.moves.DEMove(gamma0=1.0), 0.1)]
    sampler = emcee.EnsembleSampler(
        walkers, 2 + 2 * players, log_posterior, vectorize=True, moves=moves
    )
    np.random.seed(seed)  # noqa: NPY002 — emcee draws from the global state
    sampler.run_mcmc(start, 6000)
    average, between, odds, level = split(sampler.get_chain(discard=1500, thin=5, flat=True))
    gained = 100.0 * (special.expit(level + odds / 2) - special.expit(level - odds / 2))
    return np.column_stack([average, between, gained])


def test_means_and_spreads_agree_with_a_markov_chain() -> None:
    """emcee on the same counts, blocks not wandering: within 0.1 standard deviation and 10 %."""
    rows = np.array(ROWS, float)
    share = (rows[:, 0] / rows[:, 1] + rows[:, 2] / rows[:, 3]) / 2
    per_odds = 100 * np.mean(share * (1 - share))
    prior = PoolPrior(average_sd=10.0, between_scale=7.5)
    scaled = PoolPrior(average_sd=10.0 / per_odds, between_scale=7.5 / per_odds)
    draws = chain(rows, scaled, seed=5)
    found = pool_counts(totals(ROWS), prior=prior, block_sd=0.0)
    ours = [p.effect for p in found.players]
    for one, reference in zip(ours, draws[:, 2:].T, strict=True):
        sd = float(reference.std())
        assert one.value == pytest.approx(float(reference.mean()), abs=0.1 * sd)
        wide = float(np.diff(np.quantile(reference, [0.025, 0.975]))[0])
        assert one.high95 - one.low95 == pytest.approx(wide, rel=0.10)
    average = gain(draws[::20, 0], share[:, None]).mean(axis=0)
    assert found.average.value == pytest.approx(average.mean(), abs=0.1 * average.std())
    between = per_odds * draws[:, 1]
    assert found.between.value == pytest.approx(between.mean(), abs=0.1 * between.std())
    assert found.chance_better == pytest.approx(float(np.mean(draws[:, 0] > 0)), abs=0.02)


def test_a_player_who_makes_all_both_ways_does_no_harm() -> None:
    found = pool_counts(totals([*ROWS, (12, 12, 12, 12)]))
    without = pool_counts(totals(ROWS))
    assert found.average.value == pytest.approx(without.average.value, abs=1.0)
    last = found.players[-1]
    assert -15.0 < last.effect.low95 < last.effect.high95 < 15.0


def test_many_shots_of_one_player_outweigh_the_others() -> None:
    found = pool_counts(totals([*ROWS, (1000, 2000, 1400, 2000)]), block_sd=0.0)
    assert found.players[-1].effect.value == pytest.approx(20.0, abs=1.0)
    assert found.between.value > pool_counts(totals(ROWS)).between.value


def simulated(seed: int, players: int) -> tuple[Floats, float, list[PlayerCounts]]:
    """Return true effects [makes per 100], average [log odds] and six pairs of ten shots each."""
    rng = np.random.default_rng([seed, players])
    average, between = 0.4 * rng.standard_normal(), 0.3 * abs(rng.standard_normal())
    odds = average + between * rng.standard_normal(players)
    level = 0.5 * rng.standard_normal(players)
    day = 0.24 * rng.standard_normal((players, 6, 1))
    block = 0.12 * rng.standard_normal((players, 6, 2))
    side = 0.5 * odds[:, None, None] * np.array([-1.0, 1.0])
    made = rng.binomial(10, special.expit(level[:, None, None] + day + block + side))
    counts = [
        PlayerCounts(
            player=UUID(int=i + 1),
            habit_made=tuple(map(int, m[:, 0])), habit_shots=(10,) * 6,
            change_made=tuple(map(int, m[:, 1])), change_shots=(10,) * 6,
        )
        for i, m in enumerate(made)
    ]  # fmt: skip
    return gain(odds, special.expit(level)), average, counts


def test_ranges_hold_as_often_as_they_say() -> None:
    """Forty groups of five, days and blocks wandering; the whole table is in the docs. Luck of 40
    groups: 6 and 3.5 points; of 200 players: 2.8 and 1.5."""
    players, averages = [], []
    for seed in range(40):
        true, average, counts = simulated(seed, 5)
        found = pool_counts(counts)
        for one, effect in zip(found.players, true, strict=True):
            e = one.effect
            players.append((e.low80 <= effect <= e.high80, e.low95 <= effect <= e.high95))
        shares = np.array([p.level[0] / sum(p.level) for p in counts])
        at, e = float(gain(np.full(5, average), shares).mean()), found.average
        averages.append((e.low80 <= at <= e.high80, e.low95 <= at <= e.high95))
    assert np.mean(players, axis=0) == pytest.approx([0.80, 0.95], abs=0.07)
    assert np.mean(averages, axis=0) == pytest.approx([0.80, 0.95], abs=0.15)


def test_the_heap_and_the_players_agree_where_nothing_is_mixed() -> None:
    heap = crude_and_within(totals([(50, 100, 60, 100), (40, 100, 50, 100)]))
    assert heap.crude == pytest.approx(10.0)
    assert heap.within.value == pytest.approx(10.0)
    assert not heap.flipped and not heap.flip_may_be_luck


def test_the_range_within_players_holds_as_often_as_it_says() -> None:
    """400 simulated groups of three with unequal arms and a true difference of 10 per 100."""
    hits = []
    for seed in range(400):
        rng = np.random.default_rng([11, seed])
        base = np.array([0.35, 0.5, 0.65])
        rows = [
            (int(rng.binomial(a, p)), int(a), int(rng.binomial(b, p + 0.1)), int(b))
            for p, a, b in zip(base, (40, 60, 90), (80, 50, 40), strict=True)
        ]
        e = crude_and_within(totals(rows)).within
        hits.append((e.low80 <= 10.0 <= e.high80, e.low95 <= 10.0 <= e.high95))
    assert np.mean(hits, axis=0) == pytest.approx([0.80, 0.95], abs=0.06)


def test_a_heap_without_misses_says_what_is_missing() -> None:
    with pytest.raises(BadInput, match="both makes and misses"):
        crude_and_within(totals([(10, 10, 10, 10)]))
    with pytest.raises(BadInput, match="both makes and misses"):
        crude_and_within([])


@pytest.mark.parametrize(
    ("row", "why"),
    [((11, 10, 5, 10), "from 0 to"), ((0, 0, 5, 10), "both ways"), ((-1, 10, 5, 10), "from 0 to")],
)
def test_counts_that_can_not_be(row: tuple[int, int, int, int], why: str) -> None:
    with pytest.raises(BadInput, match=why):
        totals([row])


def test_pairs_must_be_whole() -> None:
    with pytest.raises(BadInput, match="fill the gaps"):
        PlayerCounts(
            player=UUID(int=1),
            habit_made=(1, 2), habit_shots=(5,), change_made=(2,), change_shots=(5,),
        )  # fmt: skip


def test_pooling_needs_players_once() -> None:
    with pytest.raises(BadInput, match="each of them once"):
        pool_counts([])
    with pytest.raises(BadInput, match="each of them once"):
        pool_counts(totals(ROWS[:1]) * 2)
