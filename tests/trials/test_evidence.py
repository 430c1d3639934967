"""Looks as often as one likes: exact where it can be counted out, simulated where not."""

import itertools

import numpy as np
import pytest
from numpy.typing import NDArray

from hoopwright.trials import evidence

Floats = NDArray[np.float64]


def claims_by_hand(gains: Floats, planned: int) -> int:
    """Return the first look that may claim, by going through every order in plain Python."""
    orders = [np.array(o) for o in itertools.product([-1.0, 1.0], repeat=len(gains))]
    walks = [np.cumsum(o * np.abs(gains)) for o in orders]
    alive, gone = set(range(len(walks))), 0
    true = np.cumsum(gains)
    for look in range(len(gains)):
        allowed = evidence.spent(np.array([look + 1.0]), planned)[0] * len(walks)
        room = int(np.floor(allowed + 1e-9)) - gone
        ranked = sorted(alive, key=lambda w: -walks[w][look])
        if room <= 0:
            continue
        bound = walks[ranked[room]][look]
        if true[look] > bound + 1e-9:
            return look
        out = {w for w in alive if walks[w][look] > bound + 1e-9}
        alive, gone = alive - out, gone + len(out)
    return -1


@pytest.mark.parametrize("seed", range(12))
def test_claims_are_those_of_going_through_every_order(seed: int) -> None:
    """The compiled walk against a plain one, ten pairs, ties as makes give them."""
    rng = np.random.default_rng(seed)
    gains = np.round(rng.normal(1.0, 1.2, 10), 1)
    orders = evidence.coins(10, seed, bits=10)
    assert evidence.first_claims(gains[None], orders, planned=10)[0] == claims_by_hand(gains, 10)


def test_over_all_orders_no_more_claims_than_allowed() -> None:
    """Nothing differs: each of the 1,024 orders of ten differences is as likely. At most 4 in 100
    of them may claim at any of the ten looks; counted, not sampled."""
    sizes = np.abs(np.random.default_rng(5).normal(0, 1, 10))
    signs = np.array(list(itertools.product([-1.0, 1.0], repeat=10)))
    orders = evidence.coins(10, 1, bits=10)
    claims = evidence.first_claims(signs * sizes, orders, planned=10)
    assert 0.03 < np.mean(claims >= 0) <= 0.04


def test_the_error_allowed_never_adds_to_more_than_five_in_a_hundred() -> None:
    look = np.arange(1.0, 5001.0)
    allowed = evidence.spent(look, 20)
    assert (np.diff(allowed) >= 0).all()
    assert allowed[19] == pytest.approx(0.04)
    assert 0.0499 < allowed[-1] < 0.05


def test_far_more_pairs_than_planned_still_do_not_fool() -> None:
    """Nothing differs, 6 pairs planned, 40 shot, a look after each: claims in at most 5 in 100.

    Simulated, 1,500 trials; three standard errors allowed.
    """
    rng = np.random.default_rng(8)
    gains = rng.choice([-1.0, 1.0], (1500, 40)) * np.abs(rng.normal(0, 1, (1500, 40)))
    orders = evidence.coins(40, 3)
    share = np.mean(evidence.first_claims(gains, orders, planned=6) >= 0)
    assert share <= 0.05 + 3 * np.sqrt(0.05 * 0.95 / 1500)


def test_an_earlier_look_says_the_same_however_many_follow() -> None:
    gains = np.random.default_rng(2).normal(0.6, 1.0, 30)
    full = evidence.first_claims(gains[None], evidence.coins(30, 9), planned=20)[0]
    assert full >= 0
    short = gains[: full + 1]
    again = evidence.first_claims(short[None], evidence.coins(full + 1, 9), planned=20)[0]
    assert again == full


def test_many_measures_make_a_claim_harder() -> None:
    gains = np.ones(8)
    orders = evidence.coins(8, 1)
    one = evidence.first_claims(gains[None], orders, planned=8)[0]
    three = evidence.first_claims(gains[None], orders, planned=8, measures=3)[0]
    assert 0 <= one < three


def test_by_luck_is_the_share_of_all_orders() -> None:
    """Closed form: with five gains of one size all one way, 2 of 32 orders are as far out."""
    assert evidence.by_luck(np.ones(5), evidence.coins(5, 1)) == pytest.approx(2 / 32)
    mixed = np.array([1.0, 1.0, 1.0, 1.0, -1.0])
    assert evidence.by_luck(mixed, evidence.coins(5, 1)) == pytest.approx(12 / 32)
    assert evidence.by_luck(np.ones(4), evidence.coins(4, 1)) is None


def test_by_luck_of_many_pairs_is_that_of_a_general_library() -> None:
    """scipy.stats.permutation_test, sign flips, 20 pairs; both sampled: within 0.02."""
    from scipy import stats

    gains = np.random.default_rng(4).normal(0.35, 1.0, 20)
    got = evidence.by_luck(gains, evidence.coins(20, 4))
    reference = stats.permutation_test(
        (gains,),
        lambda x, axis: x.mean(axis=axis),
        permutation_type="samples",
        vectorized=True,
        n_resamples=20_000,
        rng=np.random.default_rng(1),
    )
    assert got == pytest.approx(reference.pvalue, abs=0.02)
