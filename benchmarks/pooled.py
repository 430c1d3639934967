"""Do pooled trials keep their word? Many groups of players with known effects.

    python benchmarks/pooled.py [groups] [known|counts|looks ...]

Prints, for effects with a known error and for makes and misses, how often the 80 and 95 % ranges
hold the true average, spread, player and next player; then how often a useless change is called
better or worse when the pool is looked at after every player; then the time taken.
"""

import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from uuid import UUID

import numpy as np

from hoopwright.records import Estimate
from hoopwright.trials.counted import PlayerCounts
from hoopwright.trials.nouns import Said
from hoopwright.trials.pooled import PlayerEffect, Pooled, pool
from hoopwright.trials.pooled_counts import pool_counts

#: name → (mean, spread) of the true effects [makes per 100], drawn from the prior where None
TRUTHS: dict[str, tuple[float, float] | None] = {
    "as the prior says": None,
    "average +5, spread 3": (5.0, 3.0),
    "average 0, spread 8": (0.0, 8.0),
}


def truth_of(name: str, rng: np.random.Generator) -> tuple[float, float]:
    """Return true average and spread [makes per 100]."""
    fixed = TRUTHS[name]
    return fixed or (10.0 * rng.standard_normal(), 7.5 * abs(rng.standard_normal()))


def known_errors(
    mean: float, spread: float, players: int, rng: np.random.Generator
) -> tuple[Pooled, np.ndarray]:
    """Return the pool of effects with known errors, and the true effects."""
    true = mean + spread * rng.standard_normal(players)
    sds = rng.uniform(4.0, 12.0, players)
    seen = true + sds * rng.standard_normal(players)
    effects = [
        PlayerEffect(player=UUID(int=i + 1), value=float(v), sd=float(s), shots=200)
        for i, (v, s) in enumerate(zip(seen, sds, strict=True))
    ]
    return pool(effects, smallest=5.0), true


def counted(
    mean: float, spread: float, players: int, rng: np.random.Generator
) -> tuple[list[PlayerCounts], np.ndarray]:
    """Return the makes of players, ten pairs of ten shots each way, and their true effects."""
    odds = (mean + spread * rng.standard_normal(players)) / 25.0
    level = 0.6 * rng.standard_normal(players)
    day = 0.24 * rng.standard_normal((players, 10, 1))
    block = 0.12 * rng.standard_normal((players, 10, 2))
    side = 0.5 * odds[:, None, None] * np.array([-1.0, 1.0])
    share = 1.0 / (1.0 + np.exp(-(level[:, None, None] + day + block + side)))
    made = rng.binomial(10, share)
    counts = [
        PlayerCounts(
            player=UUID(int=i + 1),
            habit_made=tuple(map(int, m[:, 0])), habit_shots=(10,) * 10,
            change_made=tuple(map(int, m[:, 1])), change_shots=(10,) * 10,
        )
        for i, m in enumerate(made)
    ]  # fmt: skip
    true = 100.0 / (1.0 + np.exp(-level - 0.5 * odds)) - 100.0 / (1.0 + np.exp(-level + 0.5 * odds))
    return counts, true


def held(found: Estimate, true: float) -> tuple[bool, bool]:
    """Return whether the 80 and 95 % ranges hold a true value."""
    return found.low80 <= true <= found.high80, found.low95 <= true <= found.high95


def coverage(
    groups: int, make: Callable[[int], Iterator[tuple[str, Estimate, float]]]
) -> dict[str, tuple[float, float]]:
    """Return the shares of true values held, by quantity."""
    seen: dict[str, list[tuple[bool, bool]]] = defaultdict(list)
    for group in range(groups):
        for name, found, true in make(group):
            seen[name].append(held(found, true))
    return {name: tuple(np.mean(hits, axis=0)) for name, hits in seen.items()}


def of_known(name: str, players: int, group: int) -> Iterator[tuple[str, Estimate, float]]:
    """Give each estimate of one simulated group with its truth: effects of known error."""
    rng = np.random.default_rng([1, players, group])
    mean, spread = truth_of(name, rng)
    pooled, true = known_errors(mean, spread, players, rng)
    yield "average", pooled.average, mean
    yield "spread", pooled.between, spread
    yield "next player", pooled.next_player, mean + spread * rng.standard_normal()
    for one, effect in zip(pooled.players, true, strict=True):
        yield "each player", one.effect, effect


def of_counts(name: str, players: int, group: int) -> Iterator[tuple[str, Estimate, float]]:
    """Give each estimate of one simulated group with its truth: makes and misses."""
    rng = np.random.default_rng([2, players, group])
    mean, spread = truth_of(name, rng)
    counts, true = counted(mean, spread, players, rng)
    pooled = pool_counts(counts)
    # the truth is in log odds; at 50 of 100 a log odds ratio is 25 makes per 100
    many = counted(mean, spread, 4000, rng)[1]
    level = np.array([p.level[0] / sum(p.level) for p in counts])
    logit, half = np.log(level / (1.0 - level)), mean / 50.0
    average = 100.0 * np.mean(1 / (1 + np.exp(-logit - half)) - 1 / (1 + np.exp(-logit + half)))
    yield "average", pooled.average, float(average)
    yield "spread", pooled.between, spread * 4.0 * float(np.mean(level * (1.0 - level)))
    yield "next player", pooled.next_player, float(many[0])
    for one, effect in zip(pooled.players, true, strict=True):
        yield "each player", one.effect, float(effect)


def print_coverage(title: str, groups: int, of: Callable[..., Iterator]) -> None:
    """Print a table of coverage."""
    quantities = ("average", "spread", "each player", "next player")
    print(f"\n{title}: share of 80 % / 95 % ranges that hold the truth, {groups} groups")
    print("| true effects | players | " + " | ".join(quantities) + " |")
    print("|---|---|" + "---|" * len(quantities))
    for name in TRUTHS:
        for players in (3, 8, 20):
            found = coverage(groups, lambda g, n=name, p=players: of(n, p, g))
            cells = " | ".join(
                f"{100 * a:.1f} / {100 * b:.1f}" for a, b in map(found.get, quantities)
            )
            print(f"| {name} | {players} | {cells} |", flush=True)


def misled(groups: int, spread: float, most: int = 20) -> tuple[float, float]:
    """Return how often a change useless on average is called better, worse, in any of its looks."""
    ever = np.zeros(2)
    for group in range(groups):
        rng = np.random.default_rng([3, int(10 * spread), group])
        true = spread * rng.standard_normal(most)
        sds = rng.uniform(5.0, 9.0, most)
        seen = true + sds * rng.standard_normal(most)
        effects = [
            PlayerEffect(player=UUID(int=i + 1), value=float(seen[i]), sd=float(sds[i]))
            for i in range(most)
        ]
        said = {pool(effects[:n], smallest=5.0).said for n in range(1, most + 1)}
        ever += (Said.BETTER in said, Said.WORSE in said)
    return ever[0] / groups, ever[1] / groups


def main() -> None:
    """Print all tables."""
    groups = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    asked = sys.argv[2:] or ["known", "counts", "looks"]
    if "known" in asked:
        print_coverage("Effects with a known error", groups, of_known)
    if "counts" in asked:
        print_coverage("Makes and misses", max(groups // 4, 50), of_counts)
    if "looks" in asked:
        print("\nA change useless on average, looked at after every player up to 20:")
        for spread in (0.0, 3.0, 6.0):
            better, worse = misled(max(groups // 2, 50), spread)
            print(f"spread {spread:.0f}: ever better {100 * better:.1f} %, "
                  f"ever worse {100 * worse:.1f} %", flush=True)  # fmt: skip
    rng = np.random.default_rng(4)
    start = time.perf_counter()
    known_errors(5.0, 3.0, 20, rng)
    quick = time.perf_counter() - start
    counts = counted(5.0, 3.0, 20, rng)[0]
    start = time.perf_counter()
    pool_counts(counts)
    print(f"\n20 players: counts take {(time.perf_counter() - start) / quick:.0f} times as long "
          f"as effects of known error ({1000 * quick:.0f} ms)")  # fmt: skip


if __name__ == "__main__":
    main()
