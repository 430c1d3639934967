"""A plan's order: fair, balanced, dated, and provable from its seed."""

import hashlib
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from scipy import stats

from hoopwright.errors import BadInput
from hoopwright.records import Spot
from hoopwright.trials.design import (
    check_plan,
    coin,
    extended,
    fewest_pairs,
    kind_for,
    layout_for,
    order_rows,
    plan_trial,
    switch_at_once,
)
from hoopwright.trials.nouns import Arm, Kind, Layout, Measure, Phase, Question, Topic, TrialPlan

Planned = Callable[..., TrialPlan]
START = date(2026, 1, 5)


def test_a_coin_is_the_checksum_anybody_can_work_out() -> None:
    """FIPS 180-4, SHA-256, through the standard library; the rule is written in the docs."""
    digest = hashlib.sha256(b"7 pair 3").hexdigest()
    assert coin(7, "pair 3") == int(digest[-1], 16) % 2
    assert coin(7, "start", 3) == int(digest_of("7 start"), 16) % 3


def digest_of(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def test_the_coins_are_fair() -> None:
    """Counts and neighbours over 4,000 coins, by exact binomial tests at 1 in 1,000."""
    thrown = np.array([coin(seed, f"pair {pair}") for seed in range(200) for pair in range(1, 21)])
    assert stats.binomtest(int(thrown.sum()), len(thrown)).pvalue > 1e-3
    alike = thrown[1:] == thrown[:-1]
    assert stats.binomtest(int(alike.sum()), len(alike)).pvalue > 1e-3


def test_each_pair_has_both_ways_on_one_day_at_one_spot(asked: Callable[..., Question]) -> None:
    spots = (Spot(name="left wing", x=-4.0, y=4.0), Spot(name="right wing", x=4.0, y=4.0))
    layout = Layout(kind=Kind.PAIRED, pairs=9, days=3)
    plan = plan_trial(asked(spots=spots), layout, start=START, seed=4)
    compared = [b for b in plan.blocks if b.phase is Phase.COMPARE]
    for first, second in zip(compared[::2], compared[1::2], strict=True):
        assert {first.arm, second.arm} == set(Arm)
        assert (first.day, first.spot, first.due) == (second.day, second.spot, second.due)
    assert Counter(b.day for b in compared) == {1: 6, 2: 6, 3: 6}
    assert {b.spot for b in compared} == {0, 1}
    assert [b.number for b in plan.blocks] == list(range(1, 20))


def test_fours_are_mirrored_so_that_a_straight_trend_cancels(planned: Planned) -> None:
    plan = planned(kind=Kind.MIRRORED, pairs=12, seed=3)
    starts = set()
    for four in range(1, 13):
        blocks = [b for b in plan.blocks if b.pair == four]
        way = np.array([1 if b.arm is Arm.CHANGE else -1 for b in blocks])
        assert way.sum() == 0
        assert (way * [b.number for b in blocks]).sum() == 0
        starts.add(int(way[0]))
    assert starts == {-1, 1}


@pytest.mark.parametrize("kind", list(Kind))
def test_the_order_is_proved_from_its_seed(planned: Planned, kind: Kind) -> None:
    plan = planned(kind=kind, pairs=12)
    assert check_plan(plan)
    assert not check_plan(replace(plan, blocks=plan.blocks[::-1]))
    other = [planned(kind=kind, pairs=12, seed=s) for s in range(2, 6)]
    assert any(not check_plan(replace(plan, blocks=o.blocks)) for o in other)


def test_more_pairs_leave_those_planned_as_they_are(planned: Planned) -> None:
    plan = planned(pairs=10)
    more = extended(extended(plan, pairs=2), pairs=3)
    assert more.blocks[: len(plan.blocks)] == plan.blocks
    assert len(more.blocks) == len(plan.blocks) + 10
    assert more.layout.pairs == 10 and more.added == 5
    assert check_plan(more)
    assert max(b.day for b in more.blocks) > max(b.day for b in plan.blocks)


def test_phases_test_the_habit_first_and_the_change_cold_later(planned: Planned) -> None:
    """Delays of one week and three to four weeks: the usual retention tests (common practice)."""
    plan = plan_trial(
        planned(topic=Topic.RELEASE_TIME).question,
        layout_for(Topic.RELEASE_TIME),
        start=START,
        seed=5,
    )
    phases = [b.phase for b in plan.blocks]
    assert phases == sorted(phases, key=list(Phase).index)
    assert all((b.arm is Arm.HABIT) == (b.phase is Phase.BASELINE) for b in plan.blocks)
    base = [b for b in plan.blocks if b.phase is Phase.BASELINE]
    assert len({b.due for b in base}) == len(base) >= 3
    last = max(b.due for b in plan.blocks if b.phase is Phase.PROBE and b.due)
    delayed = [b.due - last for b in plan.blocks if b.phase is Phase.DELAYED and b.due]
    assert delayed[0] == timedelta(weeks=1)
    assert timedelta(weeks=3) <= delayed[1] <= timedelta(weeks=4)
    assert sum(b.shots for b in plan.blocks if b.phase is Phase.FAMILIARISATION) == 100


def test_starts_of_phases_differ_from_player_to_player(planned: Planned) -> None:
    """A multiple baseline: the change starts after three, four or five habit tests, as drawn."""
    counts = Counter(
        sum(b.phase is Phase.BASELINE for b in planned(kind=Kind.PHASES, pairs=2, seed=s).blocks)
        for s in range(60)
    )
    assert set(counts) == {2, 3, 4}
    assert min(counts.values()) >= 10


def test_what_can_be_switched_at_once_is_compared_side_by_side() -> None:
    assert {t for t in Topic if switch_at_once(t)} == {
        Topic.FEET_TURN, Topic.AIM_POINT, Topic.WHERE_TO_LOOK, Topic.BALL, Topic.ROUTINE, Topic.CUE
    }  # fmt: skip
    assert kind_for(Topic.CUE) is layout_for(Topic.CUE).kind is Kind.PAIRED
    assert kind_for(Topic.DIP) is layout_for(Topic.DIP).kind is Kind.PHASES


def test_the_order_reads_by_the_names_the_player_knows(planned: Planned) -> None:
    rows = order_rows(planned(pairs=5, habit="as always"))
    assert {r.way for r in rows} == {"as always", "feet turned"}
    assert rows[0].phase is Phase.FAMILIARISATION and rows[0].way == "feet turned"
    assert (rows[1].washout, rows[1].shots, rows[1].spot) == (2, 10, "free-throw line")
    assert all(r.due is not None for r in rows)


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"pairs": 4}, "pairs"),
        ({"shots_per_block": 2}, "shots_per_block"),
        ({"washout": -1}, "washout"),
        ({"days": 0}, "days"),
        ({"kind": Kind.PHASES, "days": 1}, "days"),
    ],
)
def test_a_layout_that_makes_no_trial_is_refused(
    asked: Callable[..., Question], changed: dict[str, int], field: str
) -> None:
    layout = replace(Layout(kind=Kind.PAIRED), **changed)  # type: ignore[arg-type]
    with pytest.raises(BadInput) as refused:
        plan_trial(asked(), layout, start=START, seed=1)
    assert refused.value.field == field


def test_more_measures_need_more_pairs(planned: Planned) -> None:
    """Closed form: a clean sweep of n pairs has chance 1 in 2ⁿ; 4 in 100 are shared out."""
    assert [fewest_pairs(m) for m in (1, 2, 3, 20)] == [5, 6, 7, 9]
    with pytest.raises(BadInput, match="Plan 6"):
        planned(pairs=5, measures_watched=2)


@pytest.mark.parametrize(
    "changed",
    [
        {"measures_watched": 0},
        {"change": " "},
        {"change": "habit"},
        {"spots": ()},
        {"smallest": 0.0},
    ],
)
def test_a_question_that_asks_nothing_is_refused(
    asked: Callable[..., Question], changed: dict[str, object]
) -> None:
    with pytest.raises(BadInput):
        asked(Measure.MAKE, **changed)
