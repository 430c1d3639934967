"""Each guard speaks when it should, with its numbers, and is silent when it should not."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from hoopwright.records import Spot
from hoopwright.trials.design import layout_for, plan_trial
from hoopwright.trials.guards import guards_of, spell_bias, usual_share
from hoopwright.trials.nouns import (
    Arm,
    BlockResult,
    EarlierTest,
    Guard,
    Measure,
    Phase,
    Topic,
    TrialPlan,
    Warned,
)
from hoopwright.trials.simulate import Truth, simulate_results

Planned = Callable[..., TrialPlan]
WING = Spot(name="right wing", x=4.0, y=4.0)
BEFORE = date(2025, 12, 1)


def shot(plan: TrialPlan, truth: Truth | None = None, seed: int = 1) -> list[BlockResult]:
    return simulate_results(plan, truth or Truth(), rng=np.random.default_rng(seed))


def spoken(plan: TrialPlan, results: list[BlockResult]) -> dict[Guard, Warned]:
    return {w.guard: w for w in guards_of(plan, results)}


def phased(planned: Planned) -> TrialPlan:
    asked = planned(topic=Topic.DIP).question
    return plan_trial(asked, layout_for(Topic.DIP), start=planned().start, seed=2)


@pytest.mark.parametrize(("tests", "rise"), [(3, 0.082), (5, 0.115)])
def test_the_worst_of_some_tests_is_bad_luck(tests: int, rise: float) -> None:
    """25 shots a test, true 60 %: the worst of 3 averages 51.8 %, that of 5 is 11.5 below.
    Derived outside this project by simulation, to 0.1 point."""
    assert spell_bias(0.60, shots=25, tests=tests) == pytest.approx(rise, abs=0.001)


def test_one_test_has_no_bias() -> None:
    assert spell_bias(0.6, shots=25, tests=1) == pytest.approx(0.0, abs=1e-12)


def test_a_clean_trial_has_no_guard(planned: Planned) -> None:
    plan = planned()
    assert guards_of(plan, shot(plan)) == ()


def test_two_changes_at_once(planned: Planned) -> None:
    plan = planned(also_changed=("new ball",))
    assert spoken(plan, shot(plan))[Guard.TWO_CHANGES].number("changes") == 2


@pytest.mark.parametrize(
    ("change", "guard"),
    [
        ({"spot": WING}, Guard.MIXED_SPOTS),
        ({"ball_size": 6}, Guard.MIXED_BALL),
        ({"ring_height": 2.6}, Guard.MIXED_RING),
    ],
)
def test_the_two_ways_were_not_alike(
    planned: Planned, change: dict[str, object], guard: Guard
) -> None:
    plan = planned()
    arms = {b.number: b.arm for b in plan.blocks}
    results = [
        replace(r, **change) if arms[r.block] is Arm.CHANGE else r  # type: ignore[arg-type]
        for r in shot(plan)
    ]
    assert guard in spoken(plan, results)
    assert guard not in spoken(plan, [replace(r, **change) for r in shot(plan)])  # type: ignore[arg-type]


def test_a_foot_mark_apart_is_the_same_spot(planned: Planned) -> None:
    plan = planned()
    near = Spot(name="free-throw line", x=0.12, y=4.20)
    results = [replace(r, spot=near) if r.block % 2 else r for r in shot(plan)]
    assert Guard.MIXED_SPOTS not in spoken(plan, results)


def test_another_camera_place_for_the_change_matters_where_film_decides(planned: Planned) -> None:
    for measure, speaks in ((Measure.ALONG, True), (Measure.MAKE, False)):
        plan = planned(measure)
        arms = {b.number: b.arm for b in plan.blocks}
        results = [replace(r, camera=arms[r.block].value) for r in shot(plan)]
        assert (Guard.MIXED_CAMERA in spoken(plan, results)) is speaks


def test_sets_that_stop_on_makes_are_counted(planned: Planned) -> None:
    plan = planned()
    results = [replace(r, stops_on_makes=r.block in (4, 5, 9)) for r in shot(plan)]
    assert spoken(plan, results)[Guard.STOPS_ON_MAKES].number("sets") == 3


def test_the_habit_needs_two_days(planned: Planned) -> None:
    plan = phased(planned)
    results = shot(plan)
    assert Guard.ONE_BASELINE not in spoken(plan, results)
    arms = {b.number: b.phase for b in plan.blocks}
    first = next(r for r in results if arms[r.block] is Phase.BASELINE)
    later = [r for r in results if arms[r.block] is not Phase.BASELINE]
    assert spoken(plan, [first, *later])[Guard.ONE_BASELINE].number("days") == 1


def earlier(made: int) -> list[EarlierTest]:
    return [EarlierTest(day=BEFORE + timedelta(days=i), made=made, shots=50) for i in range(5)]


def test_a_start_after_a_bad_spell_is_said_with_what_was_to_come_anyway(planned: Planned) -> None:
    plan = phased(planned)
    results = shot(plan, Truth(share=0.45))
    found = {w.guard: w for w in guards_of(plan, results, earlier=earlier(33))}
    warned = found[Guard.AFTER_BAD_SPELL]
    assert warned.number("usual per 100") == pytest.approx(100 * 166 / 252)
    gap = warned.number("usual per 100") - warned.number("start per 100")
    assert 0 < warned.number("to come anyway per 100") < gap
    good = {w.guard for w in guards_of(plan, results, earlier=earlier(12))}
    assert Guard.AFTER_GOOD_SPELL in good
    started = round(warned.number("start per 100") / 2)
    usual = {w.guard for w in guards_of(plan, results, earlier=earlier(started))}
    assert not usual & {Guard.AFTER_BAD_SPELL, Guard.AFTER_GOOD_SPELL}


def test_what_was_to_come_anyway_comes_on_average(planned: Planned) -> None:
    """Known truth: players vary by day about 60 %; those warned of a bad spell rise at their next
    test, with no coaching, by what the guard said, within 1.5 points. Simulated."""
    plan = phased(planned)
    rng = np.random.default_rng(5)
    rises, told = [], []
    for seed in range(400):
        days = 0.6 + 0.06 * rng.standard_normal(5)
        tests = [
            EarlierTest(day=BEFORE, made=int(rng.binomial(50, share)), shots=50) for share in days
        ]
        results = shot(plan, Truth(share=0.6), seed)
        for warned in guards_of(plan, results, earlier=tests):
            if warned.guard is Guard.AFTER_BAD_SPELL:
                rises.append(60 - warned.number("start per 100"))
                told.append(warned.number("to come anyway per 100"))
    assert len(told) > 30
    assert np.mean(told) == pytest.approx(np.mean(rises), abs=1.5)


def test_side_by_side_a_spell_does_not_matter(planned: Planned) -> None:
    plan = planned()
    assert guards_of(plan, shot(plan), earlier=earlier(48)) == ()


def test_a_gain_of_technique_on_the_day_is_not_yet_one(planned: Planned) -> None:
    plan = phased(planned)
    results = shot(plan)
    assert Guard.SAME_DAY not in spoken(plan, results)
    early = results[:-2]
    assert Guard.SAME_DAY in spoken(plan, early)
    assert Guard.BEFORE_AFTER in spoken(plan, early)


def test_a_change_the_player_is_not_used_to(planned: Planned) -> None:
    plan = planned()
    results = shot(plan)
    number = "shots to get used to it"
    assert spoken(plan, results[1:])[Guard.UNFAMILIAR].number(number) == 0
    technique = planned(topic=Topic.SET_POINT)
    assert Guard.UNFAMILIAR in spoken(technique, shot(technique))


def test_blocks_shot_out_of_order(planned: Planned) -> None:
    plan = planned()
    results = shot(plan)
    swapped = [replace(results[0], day=results[-1].day), *results[1:]]
    assert spoken(plan, swapped)[Guard.OUT_OF_ORDER].number("blocks") == 1


def test_the_best_of_many_measures(planned: Planned) -> None:
    """Closed form: twenty measures at one in twenty, 1 − 0.95²⁰."""
    plan = planned(measures_watched=20)
    warned = spoken(plan, shot(plan))[Guard.MANY_MEASURES]
    assert warned.number("chance that one looks good") == pytest.approx(0.6415, abs=1e-4)


def test_a_change_that_goes_past_the_aim(planned: Planned) -> None:
    plan = planned(Measure.ALONG)
    over = shot(plan, Truth(middle=-0.05, shift=0.20))
    warned = spoken(plan, over)[Guard.PAST_AIM]
    assert warned.number("habit off") < 0 < warned.number("change off")
    assert Guard.PAST_AIM not in spoken(plan, shot(plan, Truth(middle=-0.15, shift=0.15)))
    deeper = planned(Measure.ALONG, aim=0.15)
    assert Guard.PAST_AIM not in spoken(deeper, over)


def test_the_usual_share_trusts_many_tests_more() -> None:
    few, many = usual_share(earlier(30)[:1]), usual_share(earlier(30))
    assert few[0] == pytest.approx(many[0], abs=0.01)
    assert many[1] < few[1]
