"""The tables of docs/trials.md: false claims under looks, power, coverage; and what a look costs.

Run: python benchmarks/trials.py [trials]. With 1,000 trials a row it takes a few minutes.
"""

import sys
import time
from dataclasses import dataclass
from datetime import date

import numpy as np
from rich.progress import track

from hoopwright.records import Spot
from hoopwright.trials import evidence
from hoopwright.trials._kernel import first_crossing
from hoopwright.trials.analyse import read_trial
from hoopwright.trials.design import layout_for, plan_trial
from hoopwright.trials.nouns import Kind, Layout, Measure, Question, Said, Topic, TrialPlan, Verdict
from hoopwright.trials.power import Player, pair_gains, power_curve
from hoopwright.trials.sample_size import (
    cheaper_for_scatter,
    shots_for_shares,
    shots_for_shift,
)
from hoopwright.trials.simulate import Truth, Variation, simulate_results

LINE = Spot(name="free-throw line", x=0.0, y=4.225)
LEARNING = Variation(learning=0.003)
RESTLESS = Variation(day=0.12, block=0.08, learning=0.003)


def plan_of(measure: Measure, layout: Layout, seed: int) -> TrialPlan:
    topic = Topic.DIP if layout.kind is Kind.PHASES else Topic.FEET_TURN
    asked = Question(what="", change="new", topic=topic, measure=measure, spots=(LINE,))
    return plan_trial(asked, layout, start=date(2026, 1, 5), seed=seed)


def paired(pairs: int, shots: int, kind: Kind = Kind.PAIRED) -> Layout:
    return Layout(kind=kind, pairs=pairs, shots_per_block=shots, days=max(2, pairs // 4))


def false_claims(trials: int) -> None:
    print("\n| pairs × shots | share made | varies | better at some look | worse at some look |")
    print("|---|---|---|---|---|")
    rng = np.random.default_rng(1)
    for pairs, shots in ((6, 10), (12, 10), (20, 20), (40, 10)):
        for share, makes, said in (
            (0.5, Variation(), "day 6, block 3"),
            (0.8, LEARNING, "the same, + 0.3 a block"),
            (0.35, RESTLESS, "day 12, block 8, + 0.3 a block"),
        ):
            plan = plan_of(Measure.MAKE, paired(pairs, shots), 1)
            player = Player(share=share, makes=makes)
            gains = pair_gains(
                plan, Measure.MAKE, player=player, size=trials, difference=0.0, rng=rng
            )
            orders = evidence.coins(pairs, 1)
            found = [
                np.mean(evidence.first_claims(way * gains, orders, planned=pairs) >= 0)
                for way in (1.0, -1.0)
            ]
            print(f"| {pairs} × {shots} | {100 * share:.0f} % | {said} | "
                  f"{100 * found[0]:.1f} % | {100 * found[1]:.1f} % |")  # fmt: skip


def power(trials: int) -> None:
    print(
        "\n| pairs × shots | shots in all | gain | one t-test at the end | looks after every pair |"
    )
    print("|---|---|---|---|---|")
    rows = [(10, 10, 0.1), (20, 10, 0.1), (20, 20, 0.1), (30, 25, 0.1), (30, 25, 0.05)]
    for pairs, shots, gain in rows:
        plan = plan_of(Measure.MAKE, paired(pairs, shots), 1)
        curve = power_curve(plan, Measure.MAKE, player=Player(), trials=trials,
                            rng=np.random.default_rng(1), differences=(gain,))  # fmt: skip
        print(f"| {pairs} × {shots} | {2 * pairs * shots} | + {100 * gain:.0f} | "
              f"{100 * curve.found_once[0]:.0f} % | {100 * curve.found[0]:.0f} % |")  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    name: str
    measure: Measure
    layout: Layout
    truth: Truth
    true: float


CASES = [
    Case(name="makes, no gain", measure=Measure.MAKE, layout=paired(6, 10),
         truth=Truth(share=0.6, makes=LEARNING), true=0.0),
    Case(name="makes, + 10", measure=Measure.MAKE, layout=paired(6, 10),
         truth=Truth(share=0.6, gain=0.1, makes=LEARNING), true=10.0),
    Case(name="makes, + 10", measure=Measure.MAKE, layout=paired(20, 20),
         truth=Truth(share=0.75, gain=0.1, makes=LEARNING), true=10.0),
    Case(name="makes, fours, + 5", measure=Measure.MAKE, layout=paired(6, 10, Kind.MIRRORED),
         truth=Truth(share=0.4, gain=0.05, makes=LEARNING), true=5.0),
    Case(name="along, no shift", measure=Measure.ALONG, layout=paired(6, 8),
         truth=Truth(), true=0.0),
    Case(name="along, 4 cm", measure=Measure.ALONG, layout=paired(10, 10),
         truth=Truth(shift=0.04, error=0.05), true=0.04),
    Case(name="scatter, the same", measure=Measure.DISTANCE_CONTROL, layout=paired(6, 10),
         truth=Truth(), true=0.0),
    Case(name="scatter, 20 % less", measure=Measure.DISTANCE_CONTROL, layout=paired(12, 10),
         truth=Truth(ratio=0.8, error=0.03), true=-0.024),
    Case(name="phases, makes, + 10", measure=Measure.MAKE, layout=layout_for(Topic.DIP),
         truth=Truth(gain=0.1), true=10.0),
    Case(name="phases, along, 8 cm", measure=Measure.ALONG, layout=layout_for(Topic.DIP),
         truth=Truth(shift=0.08), true=0.08),
]  # fmt: skip


def verdicts(case: Case, trials: int) -> list[Verdict]:
    found = []
    for seed in track(range(trials), description=case.name, disable=not sys.stdout.isatty()):
        plan = plan_of(case.measure, case.layout, seed)
        rng = np.random.default_rng(seed)
        found.append(read_trial(plan, simulate_results(plan, case.truth, rng=rng)))
    return found


def coverage(trials: int) -> None:
    print("\n| case | blocks | 50 % | 80 % | 95 % | said better | leaning better | can't tell |")
    print("|---|---|---|---|---|---|---|---|")
    for case in CASES:
        found = verdicts(case, trials)
        own = [v.effect.own for v in found]
        shares = [
            np.mean([getattr(e, f"low{r}") <= case.true <= getattr(e, f"high{r}") for e in own])
            for r in (50, 80, 95)
        ]
        words = [np.mean([v.said is w for v in found])
                 for w in (Said.BETTER, Said.LEANING_BETTER, Said.CANNOT_TELL)]  # fmt: skip
        size = f"{case.layout.pairs} × {case.layout.shots_per_block}"
        cells = " | ".join(f"{100 * s:.0f}" for s in shares + words)
        print(f"| {case.name} | {size} | {cells} |")


def sample_sizes() -> None:
    print("\n| change | shots each way |\n|---|---|")
    for habit, change in ((0.35, 0.40), (0.35, 0.45), (0.50, 0.55), (0.50, 0.60), (0.50, 0.65),
                          (0.70, 0.75), (0.70, 0.80), (0.80, 0.85)):  # fmt: skip
        shots = shots_for_shares(habit, change)
        print(f"| {100 * habit:.0f} → {100 * change:.0f} % made | {shots:,.0f} |")
    for shift in (0.04, 0.08):
        shots = shots_for_shift(shift, 0.12)
        print(f"| {100 * shift:.0f} cm shift, scatter 12 cm | {shots:.0f} |")
    for habit, change in ((0.5, 0.55), (0.7, 0.8)):
        found = cheaper_for_scatter(habit, change)
        print(
            f"| {100 * habit:.0f} → {100 * change:.0f} % by less scatter | {found.by_landing:.0f} |"
        )


def seconds(work: object, times: int) -> float:
    assert callable(work)
    work()
    start = time.process_time()
    for _ in range(times):
        work()
    return (time.process_time() - start) / times


def speed() -> None:
    plan = plan_of(Measure.ALONG, paired(20, 10), 1)
    results = simulate_results(plan, Truth(), rng=np.random.default_rng(1))
    gains, orders = np.random.default_rng(1).normal(0.0, 1, 20), evidence.coins(20, 1)
    budget = np.floor(evidence.spent(np.arange(1.0, 21.0), 20) * len(orders)).astype(np.int64)
    fast = seconds(lambda: first_crossing(gains, orders, budget), 50)
    slow = seconds(lambda: first_crossing.py_func(gains, orders, budget), 1)
    reading = seconds(lambda: read_trial(plan, results), 20)
    print(f"\nreading a trial of 20 pairs, 20 looks: {1e3 * reading:.1f} ms")
    print(
        f"the walk through 4,096 orders: {1e3 * fast:.2f} ms, {slow / fast:.0f} times plain Python"
    )


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    sample_sizes()
    power(4 * count)
    false_claims(4 * count)
    coverage(count)
    speed()
