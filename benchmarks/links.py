"""Print the table of docs/film-links.md: false links, links found, and how often ranges hold.

Run: PYTHONPATH=src python benchmarks/links.py [players]. A thousand players a row take some
minutes on two cores. Ratios and shares only; nothing is timed.
"""

import sys
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace

import numpy as np
from rich.progress import track

from hoopwright.film.links.found import Link, Outcome, Said
from hoopwright.film.links.read import links
from hoopwright.film.links.simulate import FAMILIES, OWN_SD, SPREADS, Case, simulated
from hoopwright.film.results import Body

DIP = (Body.DIP_DEPTH, Outcome.ALONG)
TURN = (Body.STANCE_TURN, Outcome.ACROSS)
ROWS: tuple[tuple[str, Case], ...] = (
    ("nothing linked, 40 shots", Case(shots=40)),
    ("nothing linked, 80 shots", Case()),
    ("nothing linked, 150 shots on 2 days", Case(shots=150, days=2)),
    ("… 80 shots, drift three times as large", Case(drift=2.1)),
    ("… 80 shots, tails of Student's t with 3", Case(tails=3.0)),
    ("… 80 shots, reliability 0.5, a fifth left out", Case(reliability=0.5, missing=0.2)),
    ("link 0.5, 80 shots, reliability 0.95", Case(reliability=0.95, slopes={DIP: 0.5})),
    ("link 0.5, 80 shots, reliability 0.9", Case(reliability=0.9, slopes={DIP: 0.5})),
    ("link 0.5, 80 shots, reliability 0.8", Case(reliability=0.8, slopes={DIP: 0.5})),
    ("link 0.5, 80 shots, reliability 0.65", Case(reliability=0.65, slopes={DIP: 0.5})),
    ("link 0.5, 80 shots, reliability 0.5", Case(reliability=0.5, slopes={DIP: 0.5})),
    ("… 0.9, stance turn beside across", Case(reliability=0.9, slopes={TURN: 0.5})),
    ("… 0.9, families that move together less (0.5)",
     Case(reliability=0.9, slopes={DIP: 0.5}, family=0.5)),
    ("link 0.5, 40 shots, reliability 0.9", Case(shots=40, reliability=0.9, slopes={DIP: 0.5})),
    ("link 0.5, 150 shots, reliability 0.8",
     Case(shots=150, days=2, reliability=0.8, slopes={DIP: 0.5})),
)  # fmt: skip


def one_player(asked: tuple[Case, int]) -> np.ndarray:
    """Return false, found, found by name, and four coverages of one player."""
    case, seed = asked
    film = simulated(case, np.random.default_rng(seed))
    found = links(film.measures, film.outcomes, runs=film.runs)
    true = set(case.slopes or {})
    named = [link for link in found if link.said is Said.WORTH_A_TRIAL]
    by_name = any((link.measure, link.outcome) in true for link in named)
    grouped = any((m, x.outcome) in true for x in named for m in (x.measure, *x.together))
    false = any(not _near(link, true) for link in named)
    inside = [_inside(link, case) for link in found if (link.measure, link.outcome) not in true]
    linked = [_inside(link, case) for link in found if (link.measure, link.outcome) in true]
    return np.array([false, grouped, by_name, *_mean(inside), *_mean(linked)], dtype=np.float64)


def _near(link: Link, true: set[tuple[Body, Outcome]]) -> bool:
    """Whether a named link is a true one, or of the same family beside the same outcome."""
    family = next(f for f in FAMILIES if link.measure in f)
    return any(link.outcome is o and m in family for m, o in true)


def _inside(link: Link, case: Case) -> tuple[float, float]:
    if link.slope is None:
        return (np.nan, np.nan)
    size = (case.slopes or {}).get((link.measure, link.outcome), 0.0)
    truth = size * SPREADS[link.outcome][0] * link.own_sd / OWN_SD
    one = link.slope
    return (float(one.low80 <= truth <= one.high80), float(one.low95 <= truth <= one.high95))


def _mean(rows: list[tuple[float, float]]) -> np.ndarray:
    return np.nanmean(np.array(rows), axis=0) if rows else np.full(2, np.nan)


def players(case: Case, count: int) -> Iterable[tuple[Case, int]]:
    return ((replace(case), 10_000 + seed) for seed in range(count))


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    print(
        "| players | a false link | the link found | by name "
        "| 80 and 95 % ranges, unlinked | linked |"
    )
    print("|---|---|---|---|---|---|")
    with ProcessPoolExecutor(2) as pool:
        for name, case in track(ROWS, description="kinds of players"):
            got = list(pool.map(one_player, players(case, count), chunksize=20))
            with np.errstate(invalid="ignore"):
                table = np.array(got)
                share = [100.0 * float(np.nanmean(c)) if np.isfinite(c).any() else None
                         for c in table.T]  # fmt: skip
            said = ["–" if s is None else f"{s:.1f} %" for s in share]
            linked = said if case.slopes else [*said[:1], "–", "–", *said[3:5], "–", "–"]
            print(f"| {name} | {linked[0]} | {linked[1]} | {linked[2]} | "
                  f"{linked[3]}, {linked[4]} | {linked[5]}, {linked[6]} |", flush=True)  # fmt: skip
