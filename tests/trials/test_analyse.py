"""The verdict: covers the truth, doesn't fool under looks, and says no more than the shots do."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from hoopwright.errors import BadInput
from hoopwright.trials.analyse import pairs_seen, read_trial
from hoopwright.trials.design import extended, layout_for, plan_trial
from hoopwright.trials.nouns import (
    Better,
    BlockResult,
    BodyMeasure,
    Guard,
    Kind,
    Measure,
    Phase,
    Said,
    Topic,
    TrialPlan,
    Verdict,
)
from hoopwright.trials.simulate import Truth, Variation, simulate_results

Planned = Callable[..., TrialPlan]

#: trials simulated; a share of them may lie off by luck on top of the four points promised
RUNS = 200


def read(plan: TrialPlan, truth: Truth, seed: int) -> Verdict:
    return read_trial(plan, simulate_results(plan, truth, rng=np.random.default_rng(seed)))


def slack(nominal: float) -> float:
    return 0.04 + 1.96 * float(np.sqrt(nominal * (1 - nominal) / RUNS))


@pytest.mark.parametrize(
    ("measure", "kind", "pairs", "truth", "true"),
    [
        (Measure.MAKE, Kind.PAIRED, 6, Truth(share=0.6, gain=0.1), 10.0),
        (Measure.MAKE, Kind.MIRRORED, 5, Truth(share=0.4), 0.0),
        (Measure.ALONG, Kind.PAIRED, 6, Truth(shift=0.04), 0.04),
        (Measure.DISTANCE_CONTROL, Kind.PAIRED, 10, Truth(ratio=0.8, error=0.04), -0.024),
    ],
)
def test_the_ranges_cover_the_truth(
    planned: Planned, measure: Measure, kind: Kind, pairs: int, truth: Truth, true: float
) -> None:
    """80 and 95 % ranges within four points of that; days, blocks and practice vary. Simulated;
    ``benchmarks/trials.py`` runs it in full."""
    truth = replace(truth, makes=Variation(learning=0.002))
    found = [read(planned(measure, kind=kind, pairs=pairs, seed=s), truth, s) for s in range(RUNS)]
    own = [v.effect.own for v in found]
    cover80 = np.mean([e.low80 <= true <= e.high80 for e in own])
    cover95 = np.mean([e.low95 <= true <= e.high95 for e in own])
    assert abs(cover80 - 0.80) <= slack(0.80)
    assert abs(cover95 - 0.95) <= slack(0.95)


def test_looking_after_every_block_fools_at_most_one_in_twenty(planned: Planned) -> None:
    """Nothing differs; days, blocks and learning vary; the coach stops at the first "better".

    Simulated, 200 trials; three standard errors allowed. The full run is in ``docs/trials.md``.
    """
    truth = Truth(share=0.45, makes=Variation(learning=0.004))
    said = [{look.said for look in read(planned(pairs=12, seed=s), truth, s).looks}
            for s in range(RUNS)]  # fmt: skip
    for word in (Said.BETTER, Said.WORSE):
        assert np.mean([word in words for words in said]) <= 0.05 + 3 * np.sqrt(0.0475 / RUNS)


@pytest.mark.parametrize(("gain", "word"), [(0.45, Said.BETTER), (-0.45, Said.WORSE)])
def test_a_plain_difference_is_called_one(planned: Planned, gain: float, word: Said) -> None:
    found = read(planned(pairs=10), Truth(share=0.5, gain=gain), 2)
    assert found.said is word
    assert found.shots_needed is None
    assert found.by_luck is not None and found.by_luck < 0.01
    assert found.effect.own.low95 <= 100 * gain <= found.effect.own.high95
    assert found.looks[-1].said is found.said
    assert [look.after for look in found.looks] == list(range(3, 22, 2))


def test_less_is_better_where_the_question_says_so(planned: Planned) -> None:
    truth = Truth(shift=-0.10)
    asked = {"better": Better.LESS}
    assert read(planned(Measure.ACROSS, **asked), truth, 1).said is Said.BETTER
    assert read(planned(Measure.ACROSS), truth, 1).said is Said.WORSE
    body = BodyMeasure(name="stance turn", unit="rad", better=Better.STEADIER)
    tighter = Truth(middle=0.3, scatter=0.05, ratio=0.4)
    assert read(planned(body), tighter, 1).said is Said.BETTER


def test_it_says_both_makes_and_metres_where_both_are_known(planned: Planned) -> None:
    found = read(planned(Measure.ALONG), Truth(gain=0.1, shift=0.05), 4)
    assert found.effect.own == found.effect.along
    assert found.effect.makes_per_100 is not None
    assert found.effect.across is None
    assert found.effect.own_sd == pytest.approx(0.02, abs=0.008)
    makes = read(planned(), Truth(gain=0.1), 4)
    assert makes.effect.own == makes.effect.makes_per_100 and makes.effect.along is None
    assert (makes.habit_shots, makes.change_shots) == (100, 100)


def test_washout_shots_and_sets_that_stop_on_makes_are_left_out(planned: Planned) -> None:
    plan = planned()
    results = simulate_results(plan, Truth(), rng=np.random.default_rng(6))
    before = read_trial(plan, results)
    lucky = [replace(r, made=np.concatenate([~r.made[:2], r.made[2:]])) for r in results]
    assert read_trial(plan, lucky).effect == before.effect
    stopped = [replace(r, stops_on_makes=r.block in (2, 3)) for r in results]
    found = read_trial(plan, stopped)
    assert found.habit_shots == found.change_shots == 90
    assert Guard.STOPS_ON_MAKES in {w.guard for w in found.guards}
    as_entered = [replace(r, washout=0) for r in results]
    assert read_trial(plan, as_entered).habit_shots == 120


def test_half_a_pair_waits_for_its_other_half(planned: Planned) -> None:
    plan = planned()
    results = simulate_results(plan, Truth(gain=0.2), rng=np.random.default_rng(7))
    whole, half = read_trial(plan, results[:9]), read_trial(plan, results[:10])
    assert half.looks == whole.looks and half.effect == whole.effect


def test_a_shot_not_measured_is_left_out_of_that_measure_alone(planned: Planned) -> None:
    plan = planned(Measure.ALONG)
    results = simulate_results(plan, Truth(), rng=np.random.default_rng(8))
    first = results[1].along
    assert first is not None
    holes = np.where(np.arange(len(first)) % 2 == 0, np.nan, first)
    found = read_trial(plan, [results[0], replace(results[1], along=holes), *results[2:]])
    whole = read_trial(plan, results)
    assert found.effect.along != whole.effect.along
    assert found.effect.makes_per_100 == whole.effect.makes_per_100
    assert found.habit_shots + found.change_shots == 200


def test_shots_still_needed_are_those_of_the_closed_form(planned: Planned) -> None:
    """Nothing seen, 5 per 100 worth knowing, base 50 %, no washout: 1,565 each way (80 % power,
    two-sided 5 %, Fleiss 1981), and up to a third more for blocks that vary."""
    plan = planned(pairs=60)
    plan = replace(plan, blocks=tuple(replace(b, washout=0) for b in plan.blocks))
    made = np.arange(10) % 2 == 0
    results = [BlockResult(block=b.number, day=plan.start, made=made) for b in plan.blocks[1:]]
    needed = read_trial(plan, results).shots_needed
    assert needed is not None
    assert 2 * 1565 <= needed + 1200 <= 2 * 1565 * 1.33


def test_fewer_shots_are_needed_for_a_larger_smallest_difference(planned: Planned) -> None:
    def needed(smallest: float) -> int:
        plan = planned(smallest=smallest)
        found = read(plan, Truth(), 11).shots_needed
        assert found is not None
        return found

    assert needed(20.0) < needed(10.0)


def test_more_pairs_may_be_added_and_read(planned: Planned) -> None:
    plan = extended(planned(pairs=6), pairs=14)
    found = read(plan, Truth(gain=0.3), 12)
    assert len(found.looks) == 20 and found.said is Said.BETTER


def phased(planned: Planned, seed: int = 1) -> TrialPlan:
    asked = planned(Measure.ALONG, topic=Topic.DIP).question
    return plan_trial(asked, layout_for(Topic.DIP), start=planned().start, seed=seed)


def test_phases_claim_nothing_before_a_delayed_test(planned: Planned) -> None:
    plan = phased(planned)
    truth = Truth(shift=0.25)
    results = simulate_results(plan, truth, rng=np.random.default_rng(1), until=Phase.DELAYED)
    early = read_trial(plan, results)
    assert early.said is Said.LEANING_BETTER
    assert early.by_luck is None and early.shots_needed == 60
    assert Guard.SAME_DAY in {w.guard for w in early.guards}
    late = read(plan, truth, 1)
    assert late.said is Said.BETTER
    assert len(late.looks) == 2
    assert Guard.SAME_DAY not in {w.guard for w in late.guards}


def test_phases_seldom_claim_where_nothing_differs(planned: Planned) -> None:
    """At most 5 in 100 at either delayed test; simulated, three standard errors allowed."""
    said = [{look.said for look in read(phased(planned, s), Truth(), s).looks} for s in range(RUNS)]
    share = np.mean([Said.BETTER in words for words in said])
    assert share <= 0.05 + 3 * np.sqrt(0.0475 / RUNS)


def test_each_pair_can_be_shown(planned: Planned) -> None:
    plan = planned(pairs=5)
    results = simulate_results(plan, Truth(), rng=np.random.default_rng(3))
    seen = pairs_seen(plan, results)
    first = {plan.block(r.block).arm: r.made[2:].mean() * 100 for r in results[1:3]}
    habit, change = (share for _, share in sorted(first.items(), reverse=True))
    assert seen[0].difference == pytest.approx(change - habit)
    assert seen[0].sd == pytest.approx(22, abs=3)
    assert pairs_seen(plan, results[:2]) == ()


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda r: r[:2], "first pair"),
        (lambda r: [*r, r[1]], "twice"),
        (lambda r: [replace(r[1], block=99)], "no block 99"),
    ],
)
def test_what_can_not_be_read_is_said_in_a_sentence(
    planned: Planned, spoil: Callable[[list[BlockResult]], list[BlockResult]], said: str
) -> None:
    plan = planned()
    results = simulate_results(plan, Truth(), rng=np.random.default_rng(1))
    with pytest.raises(BadInput, match=said):
        read_trial(plan, spoil(results))


def test_a_measure_nobody_took_is_asked_for(planned: Planned) -> None:
    plan = planned(Measure.ENTRY_ANGLE)
    results = simulate_results(plan, Truth(), rng=np.random.default_rng(1))
    with pytest.raises(BadInput, match="entry angle"):
        read_trial(plan, [replace(r, value=None, value_sd=None) for r in results])
    with pytest.raises(BadInput, match="alike"):
        read_trial(plan, [replace(r, value=np.zeros(len(r.made))) for r in results])
    with pytest.raises(BadInput, match="length"):
        replace(results[0], value=np.zeros(3))
    with pytest.raises(BadInput, match="negative"):
        replace(results[0], washout=-1)


def test_scatter_below_the_measuring_error_is_not_judged(planned: Planned) -> None:
    plan = planned(Measure.LINE_CONTROL)
    results = simulate_results(plan, Truth(scatter=0.02), rng=np.random.default_rng(1))
    blurred = [replace(r, across_sd=np.full(len(r.made), 0.05)) for r in results]
    with pytest.raises(BadInput, match="measuring error"):
        read_trial(plan, blurred)


def test_a_day_later_than_planned_is_read_all_the_same(planned: Planned) -> None:
    plan = planned()
    results = simulate_results(plan, Truth(), rng=np.random.default_rng(1))
    late = [replace(r, day=r.day + timedelta(days=3)) for r in results]
    assert read_trial(plan, late).effect == read_trial(plan, results).effect
