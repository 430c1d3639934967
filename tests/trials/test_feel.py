"""What feel knows: against general rank statistics, against truth, and never by luck."""

from dataclasses import astuple
from uuid import UUID

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import special, stats

from hoopwright.errors import BadInput
from hoopwright.trials.concordance import Agreement, agreement, laid_out, runs_of
from hoopwright.trials.feel import (
    BY_LUCK,
    FEWEST,
    TRUST,
    USUAL,
    Against,
    Feel,
    Told,
    Trust,
    read_feel,
)
from hoopwright.trials.feel_group import read_group_feel
from hoopwright.trials.feel_made import score_gain, steps_of

Floats = NDArray[np.float64]
FOUND = (Told.A_LOT, Told.SOMETHING)


def player(
    count: int, seed: int, *, knows: float = 0.0, warms: float = 0.0, lifted: float = 0.0
) -> dict[str, NDArray[np.generic]]:
    """Return simulated shots: sets of 20, 80 a day; ``knows`` is feel's correlation with the shot,
    ``warms`` what makes and feel both rise by over a day, ``lifted`` what a make adds to the next
    feel."""
    rng = np.random.default_rng([7, seed])
    number = np.arange(count)
    slow = warms * (number % 80 / 80 - 0.5)
    own, noise = rng.standard_normal((2, count))
    made = own + slow > 0.0
    before = lifted * np.concatenate([[0.0], made[:-1] - 0.5])
    felt = knows * own + np.sqrt(1.0 - knows**2) * noise + slow + before
    return {
        "feel": np.clip(np.round(5.5 + 2.0 * felt), 0.0, 10.0),
        "made": made,
        "off": 0.15 * np.exp(-0.6 * (own + slow)),
        "groups": number // 20,
        "days": number // 80,
    }


def read(shots: dict[str, NDArray[np.generic]], *, landing: bool = True) -> Feel:
    off = np.asarray(shots["off"], np.float64)
    return read_feel(
        np.asarray(shots["feel"], np.float64),
        np.asarray(shots["made"], np.bool_),
        off=off if landing else np.full(len(off), np.nan),
        groups=np.asarray(shots["groups"], np.int64),
        days=np.asarray(shots["days"], np.int64),
    )


def agreed(feel: Floats, result: Floats, runs: NDArray[np.int64]) -> Agreement:
    found = agreement(laid_out(feel, result, runs), rng=np.random.default_rng(1))
    assert found is not None
    return found


@pytest.mark.parametrize("seed", range(4))
def test_in_one_run_it_is_the_libraries_rank_statistics(seed: int) -> None:
    """Ties in both; references: SciPy's Kendall tau-b and Somers' D."""
    rng = np.random.default_rng(seed)
    feel = rng.integers(0, 6, 10).astype(float)
    result = np.round(feel / 3 + rng.standard_normal(10))
    found = agreed(feel, result, np.zeros(10, np.int64))
    assert found.rank.value == pytest.approx(stats.kendalltau(feel, result).statistic)
    somers = stats.somersd(result, feel).statistic
    assert found.concordance.value == pytest.approx(0.5 + 0.5 * somers)


def test_against_makes_it_is_the_area_under_the_curve() -> None:
    """Reference: SciPy's Mann–Whitney U over the number of pairs."""
    rng = np.random.default_rng(5)
    made = rng.random(10) < 0.5
    feel = np.round(5 + 2 * made + 2 * rng.standard_normal(10))
    found = agreed(feel, made.astype(float), np.zeros(10, np.int64))
    u = stats.mannwhitneyu(feel[made], feel[~made]).statistic
    assert found.concordance.value == pytest.approx(u / (made.sum() * (~made).sum()))
    assert found.pairs == made.sum() * (~made).sum()


def test_luck_is_that_of_all_orders() -> None:
    """One run of six: reference is every one of its 720 orders, by SciPy's permutation test."""
    feel, result = np.array([1.0, 4, 3, 6, 7, 7]), np.array([0.1, 0.2, 0.5, 0.4, 0.9, 0.7])
    exact = stats.permutation_test(
        (result,),
        lambda r: stats.kendalltau(feel, r).statistic,
        permutation_type="pairings",
        alternative="greater",
        n_resamples=10_000,
    ).pvalue
    found = agreed(feel, result, np.zeros(6, np.int64))
    assert found.by_luck == pytest.approx(exact, abs=0.015)


def test_runs_are_short_even_and_within_a_set() -> None:
    """A set of 20 makes four runs of 5; a set of 13 three, of 4 or 5; a set of 6 one."""
    runs = runs_of(np.repeat([4, 9, 2], [20, 13, 6]))
    sizes = np.bincount(runs)
    assert sizes.tolist() == [5, 5, 5, 5, 5, 4, 4, 6]
    assert np.all(np.diff(runs) >= 0)


def test_only_shots_of_one_run_are_compared() -> None:
    """Feel and result rise together from run to run but not within: nothing is seen."""
    rng = np.random.default_rng(3)
    level = np.repeat(np.arange(12.0), 10)
    feel = np.clip(level / 2 + np.round(2 * rng.standard_normal(120)), 0, 10)
    found = agreed(feel, level + rng.standard_normal(120), runs_of(np.repeat(np.arange(12), 10)))
    assert abs(found.concordance.value - 0.5) < 0.08


def test_ranges_hold_as_often_as_they_say() -> None:
    """250 players of 100 shots whose feel is right in 70 of 100 pairs: 80 and 95 % ranges within 4
    points, and 2.5 and 1.4 for luck; the whole table is in docs/feel.md."""
    truth = 0.5 + np.arcsin(0.6) / np.pi  # bivariate normal, Kendall's tau is 2/π · arcsin r
    hits = []
    for seed in range(250):
        rng = np.random.default_rng([8, seed])
        own, noise = rng.standard_normal((2, 100))
        found = agreed(0.6 * own + 0.8 * noise, own, runs_of(np.arange(100) // 20)).concordance
        hits.append((found.low80 <= truth <= found.high80, found.low95 <= truth <= found.high95))
    assert np.mean(hits, axis=0) == pytest.approx([0.80, 0.95], abs=0.06)


@pytest.mark.parametrize(
    "how", [{}, {"warms": 1.5}, {"lifted": 1.0}], ids=["noise", "rise", "lift"]
)
@pytest.mark.parametrize("landing", [True, False])
def test_noise_is_seldom_said_to_tell(how: dict[str, float], landing: bool) -> None:
    """Also where feel and makes rise over the day together, and where a make lifts the next feel:
    at most 5 of 100 (120 players here; 2.5 standard errors above 4 is 8.5)."""
    wrong = [read(player(120, seed, **how), landing=landing).told in FOUND for seed in range(120)]
    assert np.mean(wrong) <= 0.085


def test_feel_that_knows_is_found_and_trusted() -> None:
    found = read(player(240, 1, knows=0.8))
    assert found.told is Told.A_LOT
    assert found.trust is Trust.FEEL
    assert found.against is Against.LANDING
    assert found.right is not None and found.right.low95 > 0.65
    assert found.shots_needed is None and not found.backwards
    assert found.main is found.landing and found.main is not None
    assert found.main.by_luck <= BY_LUCK


def test_feel_that_knows_nothing_is_sent_to_film() -> None:
    found = read(player(480, 2))
    assert found.told is Told.NOTHING
    assert found.trust is Trust.FILM


def test_few_shots_can_not_tell_and_say_how_many_more() -> None:
    found = read(player(FEWEST - 5, 3, knows=0.8))
    assert found.told is Told.CANNOT_TELL
    assert found.trust is Trust.NOT_YET
    assert found.shots_needed == USUAL - FEWEST + 5


def test_the_shots_asked_for_are_enough_for_most() -> None:
    """Players who can't be told after 60 shots: with the number asked for on top, feel of use
    (right in 6 of 10) is told from none in most; roughly, as the number itself is a guess."""
    settled = []
    for seed in range(80):
        first = read(player(60, seed, knows=0.0))
        if first.told is Told.CANNOT_TELL and first.shots_needed is not None:
            settled.append(read(player(60 + first.shots_needed, seed)).told is not Told.CANNOT_TELL)
    assert len(settled) > 30
    assert np.mean(settled) > 0.6


def test_without_landings_makes_are_read() -> None:
    found = read(player(240, 1, knows=0.8), landing=False)
    assert found.against is Against.RESULT
    assert found.landing is None and found.main is found.made
    assert found.told in FOUND


def test_feel_the_wrong_way_round_is_noticed() -> None:
    shots = player(240, 4, knows=0.8)
    shots["feel"] = 10.0 - np.asarray(shots["feel"], np.float64)
    found = read(shots)
    assert found.told is Told.NOTHING
    assert found.backwards


def test_shots_without_feel_are_passed_over() -> None:
    shots = player(240, 1, knows=0.8)
    feel = np.asarray(shots["feel"], np.float64).copy()
    feel[::3] = np.nan
    found = read({**shots, "feel": feel})
    assert found.shots == 160
    assert sum(day.shots for day in found.days) == 160
    nothing = read({**shots, "feel": np.full(240, np.nan)})
    assert (nothing.shots, nothing.told, nothing.right) == (0, Told.CANNOT_TELL, None)
    assert nothing.steps == () and nothing.days == ()
    assert nothing.shots_needed == USUAL


def test_the_same_shots_read_the_same() -> None:
    assert read(player(160, 6, knows=0.4)) == read(player(160, 6, knows=0.4))


def test_a_feel_always_the_same_says_nothing() -> None:
    shots = player(160, 6)
    found = read({**shots, "feel": np.full(160, 7.0)})
    assert found.told not in FOUND
    assert found.score_gain is None
    assert len(found.steps) == 1


def test_steps_hold_all_shots_and_never_fall() -> None:
    shots = player(400, 5, knows=0.7)
    steps = read(shots).steps
    assert sum(s.shots for s in steps) == 400
    assert sum(s.made for s in steps) == np.count_nonzero(shots["made"])
    smooth = [s.smooth for s in steps]
    assert smooth == sorted(smooth)
    assert smooth[-1] - smooth[0] > 0.4
    assert all(s.low <= s.high for s in steps)


def test_the_share_of_a_step_has_jeffreys_range() -> None:
    """7 of 10: SciPy's Beta(7.5, 3.5)."""
    step = steps_of(np.full(10, 9.0), np.arange(10) < 7)[0]
    assert (step.shots, step.made) == (10, 7)
    assert (step.share.low95, step.share.high95) == pytest.approx(
        stats.beta(7.5, 3.5).interval(0.95), abs=1e-9
    )


def test_a_known_chance_saves_what_brier_says() -> None:
    """Closed form: makes of chance 0.2 at feel 2 and 0.8 at feel 8, equally often, have Brier
    scores 0.25 by the base rate and 0.16 by the feel: 36 % saved."""
    rng = np.random.default_rng(9)
    feel = np.where(rng.random(4000) < 0.5, 2.0, 8.0)
    made = rng.random(4000) < np.where(feel > 5, 0.8, 0.2)
    found = score_gain(feel, made)
    assert found is not None
    assert found.value == pytest.approx(0.36, abs=0.04)
    assert found.low95 < 0.36 < found.high95


def test_noise_saves_nothing() -> None:
    found = read(player(400, 11)).score_gain
    assert found is not None
    assert found.value < 0.01
    assert read(player(30, 11)).score_gain is None


def test_days_are_told_apart_and_drift_needs_three() -> None:
    found = read(player(240, 1, knows=0.7))
    assert [day.shots for day in found.days] == [80, 80, 80]
    assert all(day.right is not None for day in found.days)
    assert found.drift is not None
    assert found.drift.low95 < 0.0 < found.drift.high95
    assert read(player(160, 1, knows=0.7)).drift is None


def test_a_feel_that_is_learnt_shows_as_drift() -> None:
    """Noise on the first days, knowledge on the last: the change is told, and about as large."""
    before, after = player(240, 1), player(240, 2, knows=0.9)
    both = {name: np.concatenate([before[name], after[name]]) for name in before}
    both["days"] = np.arange(480) // 80
    both["groups"] = np.arange(480) // 20
    drift = read(both).drift
    assert drift is not None and drift.low95 > 0.05
    assert drift.value == pytest.approx(np.arcsin(0.9) / np.pi, abs=0.15)


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"feel": np.full(40, 11.0)}, "from 0 to 10"),
        ({"made": np.ones(39, np.bool_)}, "leave gaps"),
        ({"off": np.full(40, -0.1)}, "negative"),
    ],
)
def test_bad_input_says_what_to_do(change: dict[str, NDArray[np.generic]], why: str) -> None:
    with pytest.raises(BadInput, match=why):
        read({**player(40, 1), **change})


def group(knowing: int, players: int = 10, shots: int = 160) -> list[tuple[UUID, Feel]]:
    return [
        (UUID(int=i + 1), read(player(shots, 50 + i, knows=0.7 if i < knowing else 0.0)))
        for i in range(players)
    ]


def test_in_a_group_the_lucky_are_drawn_in() -> None:
    feels = group(0)
    found = read_group_feel(feels)
    assert found is not None
    alone = {p: f.right.value for p, f in feels if f.right is not None}
    together = {p.player: p.right.value for p in found.players}
    assert np.ptp(list(together.values())) < 0.7 * np.ptp(list(alone.values()))
    assert sum(p.told in FOUND for p in found.players) <= 1
    assert found.average.low95 < 0.5 < found.average.high95


def test_in_a_group_those_who_know_come_first() -> None:
    found = read_group_feel(group(3))
    assert found is not None
    assert {p.player.int for p in found.players[:3]} == {1, 2, 3}
    assert all(p.told in FOUND for p in found.players[:3])
    assert all(p.trust is TRUST[p.told] for p in found.players)
    assert found.between.low80 > 0.03


def test_a_group_waits_for_those_with_too_few_shots() -> None:
    few = read(player(3, 1))
    assert read_group_feel([(UUID(int=99), few)]) is None
    found = read_group_feel([*group(1, players=3), (UUID(int=99), few)])
    assert found is not None
    assert found.waiting == ((UUID(int=99), USUAL - 3),)
    with pytest.raises(BadInput, match="twice"):
        read_group_feel([(UUID(int=1), few), (UUID(int=1), few)])


def test_a_player_alone_in_a_group_is_near_the_own_reading() -> None:
    """Prior variance on the artanh scale about 0.4² + 0.3² against the player's own error."""
    one = read(player(400, 1, knows=0.6))
    found = read_group_feel([(UUID(int=1), one)])
    assert found is not None and one.right is not None
    assert found.players[0].right.value == pytest.approx(one.right.value, abs=0.03)
    assert astuple(found.players[0].right) != astuple(one.right)
    assert special.logit(found.players[0].chance) > 3.0


def test_agreement_without_a_slip_is_not_certainty() -> None:
    """24 shots that all agree: the exact range of 24 of 24 begins at 86 % (Clopper–Pearson)."""
    made = np.tile([True, False], 12)
    feel = np.where(made, 8.0, 3.0)
    nought = np.zeros(24, dtype=np.int64)
    laid = laid_out(feel, made.astype(float), runs_of(nought))
    found = agreement(laid, rng=np.random.default_rng(1))
    assert found is not None
    assert found.concordance.low95 < 0.9
    assert found.concordance.high95 > 0.97
