"""Print the tables of docs/games.md and docs/progress.md on how often ranges hold the truth.

Run: PYTHONPATH=src python benchmarks/transfer.py [players] [part …], the parts being ratio,
forecast, transfer, progress, luck and power. Players are drawn as the readings suppose; shares
only, nothing is timed.
"""

import sys

import numpy as np
from scipy import special

from hoopwright.records import Estimate
from hoopwright.transfer.forecast import Expected, forecast
from hoopwright.transfer.levels import likelihoods
from hoopwright.transfer.nouns import ShotType
from hoopwright.transfer.progress import read_progress
from hoopwright.transfer.ratio import read_ratios
from hoopwright.transfer.simulate import (
    Season,
    coverage,
    draw_squad,
    draw_tests,
    draw_transfer,
    steady_tests,
)
from hoopwright.transfer.transferred import compare
from hoopwright.transfer.turning import SHOWN_FROM, weights
from hoopwright.trials.nouns import Said

SQUADS = {
    "1 player, practice 50, games 0": ([50], [0]),
    "1 player, practice 50, games 40": ([50], [40]),
    "1 player, practice 400, games 300": ([400], [300]),
    "8 players, practice 20 to 200, games 0 to 150": (
        [20, 40, 60, 100, 200, 50, 50, 50], [0, 5, 20, 60, 150, 30, 10, 100],
    ),
}  # fmt: skip
THREES, LINE, RIM = ((kind, None) for kind in (ShotType.THREE, ShotType.FREE_THROW, ShotType.RIM))
SEASONS = {
    "threes 40, then 40": [Season(kind=THREES, before=40, after=40)],
    "three kinds, 150 then 120": [
        Season(kind=THREES, before=60, after=40), Season(kind=LINE, before=40, after=40),
        Season(kind=RIM, before=50, after=40),
    ],
    "three kinds, 900 then 900": [
        Season(kind=kind, before=300, after=300) for kind in (THREES, LINE, RIM)
    ],
}  # fmt: skip


def row(name: str, found: list[Estimate], truths: list[float]) -> None:
    in80, in95 = coverage(found, truths)
    print(f"| {name} | {len(found)} | {100 * in80:.1f} | {100 * in95:.1f} |", flush=True)


def ratio(players: int) -> None:
    print("\n| ratio: game share | players | 80 % | 95 % |\n|---|---|---|---|")
    for name, (practice, games) in SQUADS.items():
        rng, found, truths = np.random.default_rng(1), [], []
        while len(found) < players:
            squad, truth = draw_squad(rng, practice=practice, games=games)
            found += [one.game for one in read_ratios(squad)]
            truths += truth.tolist()
        row(name, found, truths)


def forecasts(players: int) -> None:
    print("\n| makes to come | forecasts | 80 % | 95 % |\n|---|---|---|---|")
    for attempts in (8, 40, 200):
        rng, found, truths = np.random.default_rng(2), [], []
        while len(found) < players:
            squad, truth = draw_squad(rng, practice=[50, 100, 30], games=[40, 10, 0])
            for one, share in zip(read_ratios(squad), truth, strict=True):
                asked = Expected(shot_type=ShotType.THREE, attempts=attempts, share=one.share)
                found.append(forecast([asked]).makes)
                truths.append(float(rng.binomial(attempts, share)))
        row(f"of {attempts} attempts", found, truths)


def transfer(players: int) -> None:
    print("\n| like for like, before and after | players | 80 % | 95 % |\n|---|---|---|---|")
    for name, seasons in SEASONS.items():
        rng = np.random.default_rng(3)
        drawn = [draw_transfer(rng, seasons) for _ in range(players)]
        row(name, [compare(k).difference for k, _ in drawn], [truth for _, truth in drawn])
    print("\n| nothing changed | better | leaning better | mix explains |\n|---|---|---|---|")
    for name, seasons in SEASONS.items():
        rng = np.random.default_rng(4)
        said = [compare(draw_transfer(rng, seasons, change=0.0)[0]) for _ in range(players)]
        shares = [
            np.mean([one.said is Said.BETTER for one in said]),
            np.mean([one.said is Said.LEANING_BETTER for one in said]),
            np.mean([one.mix_explains for one in said]),
        ]
        print(f"| {name} | " + " | ".join(f"{100 * s:.1f} %" for s in shares) + " |", flush=True)


def progress(players: int) -> None:
    print("\n| cold tests | levels | 80 % | 95 % |\n|---|---|---|---|")
    for tests, attempts in ((3, 20), (8, 25), (20, 25), (30, 50)):
        rng, last, lasts, gains, gained = np.random.default_rng(5), [], [], [], []
        for _ in range(players):
            drawn, levels = draw_tests(rng, tests=tests, attempts=attempts)
            line = read_progress(drawn).lines[0]
            last.append(line.points[-1].level)
            lasts.append(float(levels[-1]))
            assert line.gain is not None
            gains.append(line.gain)
            gained.append(100 * float(levels[-1] - levels[0]))
        row(f"{tests} of {attempts}: last level", last, lasts)
        row(f"{tests} of {attempts}: gain", gains, gained)


def steady_shown(
    rng: np.random.Generator, level: np.ndarray, table: np.ndarray, scatter: float
) -> bool:
    """Tell whether a change was shown after any of the tests, looking after each."""
    drawn = steady_tests(rng, level, attempts=len(table) - 1, scatter=scatter)
    return bool(np.any(weights(table[[test.made for test in drawn]]) >= SHOWN_FROM))


def as_row(name: str, shares: list[float]) -> str:
    return f"| {name} | " + " | ".join(f"{100 * share:.1f} %" for share in shares) + " |"


def luck(players: int) -> None:
    print("\n| shown, though none | day scatter 0 | 0.24 | 0.36 | 0.50 |\n|---|---|---|---|---|")
    for share in (0.5, 0.75):
        for tests, attempts in ((8, 25), (16, 50), (30, 25), (30, 50)):
            path = np.full(tests, float(special.logit(share)))
            table = likelihoods([attempts] * (attempts + 1), range(attempts + 1))
            cells = []
            for scatter in (0.0, 0.24, 0.36, 0.50):
                rng = np.random.default_rng(6)
                seen = [steady_shown(rng, path, table, scatter) for _ in range(players)]
                cells.append(float(np.mean(seen)))
            print(as_row(f"{share:.0%}, {tests} of {attempts}", cells), flush=True)


def power(players: int) -> None:
    print("\n| change shown, day scatter 0.24 | 10 points | 16 | 22 |\n|---|---|---|---|")
    for tests, attempts in ((8, 25), (16, 25), (16, 50), (30, 25)):
        table = likelihoods([attempts] * (attempts + 1), range(attempts + 1))
        cells = []
        for apart in (0.42, 0.65, 0.90):
            rng = np.random.default_rng(7)
            path = apart * ((np.arange(tests) >= tests // 2) - 0.5)
            drawn = [
                steady_tests(rng, path, attempts=attempts, scatter=0.24) for _ in range(players)
            ]
            seen = [weights(table[[t.made for t in one]])[-1] >= SHOWN_FROM for one in drawn]
            cells.append(float(np.mean(seen)))
        print(as_row(f"{tests} of {attempts}", cells), flush=True)


PARTS = {
    "ratio": ratio, "forecast": forecasts, "transfer": transfer,
    "progress": progress, "luck": luck, "power": power,
}  # fmt: skip

if __name__ == "__main__":
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    for part in sys.argv[2:] or PARTS:
        PARTS[part](number)
