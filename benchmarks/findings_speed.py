"""How long a reading takes: one long chart, many players, and how cost grows with shots.

Run with ``make bench``. Prints seconds and ratios; nothing here is a test. Targets: 2,000 shots
over 12 spots within 0.3 s warm, 1,000 players with 500 shots each within 60 s on two cores.
"""

import argparse
import math
import time
from collections.abc import Callable
from uuid import UUID

import numpy as np

from hoopwright.chart.group import read_charts
from hoopwright.chart.infer import read_chart
from hoopwright.chart.prior import published_prior
from hoopwright.chart.simulate import Style, draw_shooter, simulate_sets
from hoopwright.records import Chart, Player, Spot


def spots(count: int) -> list[Spot]:
    """Places on two arcs around the ring, from wing to wing."""
    turns = np.linspace(-1.3, 1.3, count)
    far = [4.2 if i % 2 else 6.6 for i in range(count)]
    return [
        Spot(name=f"place {i + 1}", x=d * math.sin(t), y=d * math.cos(t))
        for i, (d, t) in enumerate(zip(far, turns, strict=True))
    ]


def a_chart(shots: int, places: int, style: Style, seed: int) -> Chart:
    """Chart one simulated player."""
    rng = np.random.default_rng(seed)
    shooter = draw_shooter(published_prior(), rng)
    sets = simulate_sets(shooter, spots(places), max(1, shots // places), style=style, rng=rng)
    return Chart(player=Player(id=UUID(int=seed), name=f"Invented {seed}"), sets=sets)


def seconds(run: Callable[[], object], times: int = 3) -> float:
    """Return the shortest of some runs."""
    best = math.inf
    for _ in range(times):
        start = time.perf_counter()
        run()
        best = min(best, time.perf_counter() - start)
    return best


def long_chart() -> None:
    """Time 2,000 shots over 12 spots, warm, in three charting styles."""
    print("2,000 shots over 12 spots, warm (target 0.3 s)")
    for style in (Style.ONE, Style.COUNTS, Style.POINTS):
        chart = a_chart(2000, 12, style, 1)
        read_chart(chart)
        took = seconds(lambda chart=chart: read_chart(chart))
        print(f"  {style.value:8} {took:6.3f} s   {0.3 / took:5.2f}× the target's speed")


def growth() -> None:
    """Time charts of 100 to 10,000 shots over 5 spots."""
    print("growth with shots, 5 spots, one direction per miss")
    first = 0.0
    for shots in (100, 300, 1000, 3000, 10_000):
        chart = a_chart(shots, 5, Style.ONE, 2)
        read_chart(chart)
        took = seconds(lambda chart=chart: read_chart(chart))
        first = first or took
        print(f"  {shots:6d} shots {took:6.3f} s   {took / first:5.2f}× the time of 100 shots")


def many_players(count: int) -> None:
    """Time a whole academy, with the prior refitted from its own players."""
    styles = list(Style)
    charts = [a_chart(500, 4, styles[i % len(styles)], i) for i in range(count)]
    took = seconds(lambda: read_charts(charts), times=1)
    scaled = took * 1000 / count
    print(f"{count} players × 500 shots, own prior refitted (target 60 s for 1,000)")
    print(f"  {took:6.1f} s, so {scaled:5.1f} s per 1,000: {60 / scaled:5.2f}× the target's speed")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--players", type=int, default=1000)
    chosen = parser.parse_args()
    long_chart()
    growth()
    many_players(chosen.players)
