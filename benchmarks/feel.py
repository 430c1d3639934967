"""Does the reading of feel keep its word? Many players whose feel is known to us.

    python benchmarks/feel.py [players] [noise|knows|groups|drift ...]

Prints how often feel that is noise is said to tell something (also where feel and makes drift
together, or a make lifts the next feel), how often feel of use is found, how often the ranges
hold the truth, the same for groups, and the time taken.
"""

import sys
import time
from dataclasses import dataclass
from functools import cache
from uuid import UUID

import numpy as np
from scipy import special

from hoopwright.trials.concordance import RUN, laid_out, runs_of
from hoopwright.trials.feel import Feel, Told, read_feel
from hoopwright.trials.feel_group import read_group_feel

FOUND = (Told.A_LOT, Told.SOMETHING)


@dataclass(frozen=True)
class Player:
    """How feel and shots come about."""

    name: str
    #: correlation of feel with how near the shot comes to the aim
    knows: float = 0.0
    #: swing of makes over a visit, and of feel with it [spreads], from first shot to last
    warms: float = 0.0
    #: step of a walk from shot to shot that both follow [spreads]
    walk: float = 0.0
    #: how much a make lifts the next feel [spreads of feel]
    lifted: float = 0.0
    #: share made
    made: float = 0.5
    #: True for a player who says only 0 or 10
    curt: bool = False


NOISE = (
    Player("noise"),
    Player("noise, 80 of 100 made", made=0.8),
    Player("noise, says 0 or 10 only", curt=True),
    Player("feel and makes rise over the visit", warms=1.5),
    Player("feel and makes wander together", walk=0.15),
    Player("a make lifts the next feel", lifted=1.0),
)


def shots(
    player: Player, count: int, rng: np.random.Generator, *, a_day: int = 80, a_set: int = 20
) -> dict[str, np.ndarray]:
    """Return simulated shots as ``read_feel`` takes them."""
    number = np.arange(count)
    day, of_day = number // a_day, number % a_day
    steps = player.walk * rng.standard_normal(count)
    walk = np.concatenate([np.cumsum(steps[day == d]) for d in np.unique(day)])
    slow = player.warms * (of_day / a_day - 0.5) + walk
    own, noise = rng.standard_normal((2, count))
    # makes from own scatter and what is slow; the landing is off by less where that is high
    quality = own + slow
    made = quality > -np.sqrt(2.0) * _erfinv(2.0 * player.made - 1.0)
    off = 0.15 * np.exp(-0.6 * quality)
    before = np.concatenate([[0.0], made[:-1] - player.made]) * (of_day > 0)
    felt = player.knows * own + np.sqrt(1.0 - player.knows**2) * noise
    felt = felt + slow + player.lifted * before
    feel = (
        np.where(felt > 0.0, 10.0, 0.0) if player.curt else np.clip(np.round(5.5 + 2 * felt), 0, 10)
    )
    return {"feel": feel, "made": made, "off": off, "groups": number // a_set, "days": day}


def _erfinv(x: float) -> float:
    return float(special.erfinv(x))


def read(player: Player, count: int, *, seed: list[int], landing: bool) -> Feel:
    """Return the reading of one simulated player."""
    told = shots(player, count, np.random.default_rng(seed))
    off = told["off"] if landing else np.full(count, np.nan)
    return read_feel(
        told["feel"], told["made"], off=off, groups=told["groups"], days=told["days"], seed=seed[-1]
    )


@cache
def truth(player: Player, *, landing: bool) -> tuple[float, float]:
    """Return the true chance of feel being right, and tau-b, from very many shots."""
    told = shots(player, 400_000, np.random.default_rng(99))
    result = -told["off"] if landing else told["made"].astype(float)
    laid = laid_out(told["feel"], result, runs_of(np.arange(400_000) // RUN))
    first, second = np.triu_indices(RUN, 1)
    felt = np.sign(laid.feel[:, first] - laid.feel[:, second])
    came = np.sign(laid.result[:, first] - laid.result[:, second])
    alike, told_apart, felt_apart = (float(x.sum()) for x in (felt * came, came**2, felt**2))
    return 0.5 + 0.5 * alike / told_apart, alike / np.sqrt(told_apart * felt_apart)


def false_alarms(players: int) -> None:
    """Print how often noise is said to tell."""
    print(f"Feel that knows nothing, said to tell, of {players} players each [%]")
    print("| players | 40 shots, landing | 160, landing | 160, made | 400, landing | 400, made |")
    print("|---|---|---|---|---|---|")
    for player in NOISE:
        cells = []
        for count, landing in ((40, True), (160, True), (160, False), (400, True), (400, False)):
            found = [
                read(player, count, seed=[1, count, i], landing=landing).told in FOUND
                for i in range(players)
            ]
            cells.append(f"{100 * np.mean(found):.1f}")
        print(f"| {player.name} | " + " | ".join(cells) + " |", flush=True)


def power_and_coverage(players: int) -> None:
    """Print how often feel of use is found, and how often ranges hold."""
    print(
        f"\nFeel that knows, {players} players each: verdicts [%]; 80 / 95 % ranges that hold [%]"
    )
    print("| knows | chance right | shots | against | a lot | something | nothing | can't tell | "
          "chance | rank | brier gain |")  # fmt: skip
    print("|---|---|---|---|---|---|---|---|---|---|---|")
    for knows in (0.0, 0.3, 0.6):
        player = Player(f"knows {knows}", knows=knows)
        for count in (60, 160, 400):
            for landing in (True, False):
                _row(player, count, landing=landing, players=players)


def _row(player: Player, count: int, *, landing: bool, players: int) -> None:
    right, tau = truth(player, landing=landing)
    feels = [read(player, count, seed=[2, count, i], landing=landing) for i in range(players)]
    told = [100.0 * np.mean([f.told is t for f in feels]) for t in Told]
    mains = [f.main for f in feels if f.main is not None]
    gains = [f.score_gain for f in feels if f.score_gain is not None]
    # what such a forecast saves on average: there is no closed form for it
    mean_gain = float(np.mean([g.value for g in gains])) if gains else 0.0
    held = " | ".join(
        f"{100 * np.mean([e.low80 <= t <= e.high80 for e in estimates]):.1f} / "
        f"{100 * np.mean([e.low95 <= t <= e.high95 for e in estimates]):.1f}"
        for estimates, t in (
            ([m.concordance for m in mains], right),
            ([m.rank for m in mains], tau),
            (gains, mean_gain),
        )
        if estimates
    )
    against = "landing" if landing else "made"
    print(f"| {player.knows} | {right:.2f} | {count} | {against} | "
          + " | ".join(f"{t:.0f}" for t in told) + f" | {held} |", flush=True)  # fmt: skip


def groups_of_players(groups: int) -> None:
    """Print the same for groups read together."""
    print(f"\nGroups of 12, 160 shots each, made or missed, {groups} groups")
    print("| group | noise said to tell, per player [%] | knowing found [%] | 80 / 95 % held |")
    print("|---|---|---|---|")
    for name, knowing in (("nobody knows", ()), ("four know (0.6)", range(4))):
        wrong, right, held = [], [], []
        for g in range(groups):
            kinds = [Player("p", knows=0.6 if i in knowing else 0.0) for i in range(12)]
            feels = [
                (UUID(int=i + 1), read(p, 160, seed=[3, g, i], landing=False))
                for i, p in enumerate(kinds)
            ]
            group = read_group_feel(feels)
            if group is None:
                continue
            for one in group.players:
                kind = kinds[one.player.int - 1]
                (right if kind.knows else wrong).append(one.told in FOUND)
                t = truth(kind, landing=False)[0]
                held.append((one.right.low80 <= t <= one.right.high80,
                             one.right.low95 <= t <= one.right.high95))  # fmt: skip
        share = f"{100 * np.mean(right):.0f}" if right else "–"
        low, high = 100 * np.mean(held, axis=0)
        print(f"| {name} | {100 * np.mean(wrong):.1f} | {share} | {low:.1f} / {high:.1f} |")


def drifts(players: int) -> None:
    """Print how often the drift's range holds where there is none."""
    for knows in (0.0, 0.5):
        held = []
        for i in range(players):
            told = shots(Player("p", knows=knows), 400, np.random.default_rng([4, i]), a_day=80)
            found = read_feel(
                told["feel"],
                told["made"],
                off=told["off"],
                groups=told["groups"],
                days=told["days"],
            ).drift
            if found is not None:
                held.append((found.low80 <= 0 <= found.high80, found.low95 <= 0 <= found.high95))
        low, high = 100 * np.mean(held, axis=0)
        print(f"\nNo drift over five days, knows {knows}: ranges hold 0: {low:.1f} / {high:.1f}")


def main() -> None:
    """Print all tables."""
    players = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    asked = sys.argv[2:] or ["noise", "knows", "groups", "drift"]
    parts = {
        "noise": lambda: false_alarms(players),
        "knows": lambda: power_and_coverage(max(players // 2, 50)),
        "groups": lambda: groups_of_players(max(players // 20, 10)),
        "drift": lambda: drifts(max(players // 2, 50)),
    }
    for part in asked:
        parts[part]()
    start = time.perf_counter()
    read(Player("p", knows=0.5), 400, seed=[5], landing=True)
    print(f"\n400 shots of one player: {1000 * (time.perf_counter() - start):.0f} ms")


if __name__ == "__main__":
    main()
