"""Print the table of docs/chart-model.md on the error that all shots of one camera share.

Run: PYTHONPATH=src python benchmarks/shared_error.py [players]. Players drawn from the published
prior shoot free throws, flown by the physics, and are filmed in two clips of twenty shots, each by
a camera with an error of its own. Shares and ratios only; nothing is timed.
"""

import math
import sys
from dataclasses import dataclass
from uuid import UUID

import numpy as np
from numpy.typing import NDArray

from hoopwright.chart import model
from hoopwright.chart.film_measures import film_reading
from hoopwright.chart.posterior import posteriors
from hoopwright.chart.prior import published_prior
from hoopwright.chart.simulate import Shooter, draw_shooter
from hoopwright.chart.simulate_film import FilmErrors, as_if_apart, filmed_set
from hoopwright.records import Chart, Estimate, Player, ShotSet, Spot

LINE = Spot(name="free throw", x=0.0, y=4.225)
PLAYER = Player(id=UUID(int=1), name="Invented", height=1.85)
CLIPS, SHOTS = 2, 20
#: errors of speed, angle, direction, along and across, one standard deviation: of each shot alone,
#: and of the camera; common practice, no source
OWN = np.array([0.04, math.radians(0.4), math.radians(0.3), 0.03, 0.03])
CAMERA = np.array([0.06, math.radians(0.6), math.radians(0.6), 0.05, 0.05])
NAMES = ("aim along", "aim across", "entry angle")


def errors() -> FilmErrors:
    """Return the errors with the correlations of a real flight: faster is flatter and deeper."""
    tied = np.eye(5)
    tied[0, 1] = tied[1, 0] = -0.6
    tied[0, 3] = tied[3, 0] = 0.3
    tied[2, 4] = tied[4, 2] = 0.8
    return FilmErrors(
        own=np.outer(OWN, OWN) * tied,
        shared=np.outer(CAMERA, CAMERA) * tied,
    )


@dataclass(frozen=True)
class Read:
    """One player read one way."""

    #: truth within the 80 and 95 % ranges: aim along, across, entry angle, float64 [3, 2]
    inside: NDArray[np.float64]
    #: spread read over the true one, along and across, float64 [2]
    spread: NDArray[np.float64]
    #: widths of the 80 % ranges of the aim [m], float64 [2]
    width: NDArray[np.float64]


def read(sets: tuple[ShotSet, ...], shooter: Shooter) -> Read:
    """Return how a player's chart is read."""
    found = posteriors(Chart(player=PLAYER, sets=sets))[0]
    where = model.landings(found.psi(512), found.places).where[:, 0]
    true = model.landings(shooter.psi[None], found.places).where[0, 0]
    said = [Estimate.from_draws(where[:, i]) for i in range(5)]
    film = film_reading(sets)
    assert film is not None and film.entry_angle.estimate is not None
    asked = [(said[0], true[0]), (said[2], true[2]), (film.entry_angle.estimate, true[4])]
    return Read(
        inside=np.array([
            [s.low80 <= t <= s.high80, s.low95 <= t <= s.high95] for s, t in asked
        ], dtype=np.float64),
        spread=np.array([said[1].value / true[1], said[3].value / true[3]]),
        width=np.array([said[i].high80 - said[i].low80 for i in (0, 2)]),
    )  # fmt: skip


def two_ways(seed: int) -> tuple[Read, Read]:
    """Return one player read with the errors told apart, and as if each shot had its own."""
    rng = np.random.default_rng(seed)
    shooter = draw_shooter(published_prior(), rng, stature=1.85)
    sets = tuple(filmed_set(shooter, LINE, SHOTS, errors=errors(), rng=rng) for _ in range(CLIPS))
    return read(sets, shooter), read(tuple(as_if_apart(s) for s in sets), shooter)


def main() -> None:
    """Run from the command line."""
    players = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    told, apart = zip(*(two_ways(seed) for seed in range(players)), strict=True)
    print("| read | " + " | ".join(f"{n}, 80 and 95 %" for n in NAMES), end="")
    print(" | spread along, across over the true | width of 80 % ranges of the aim |")
    print("|---|" + "---|" * (len(NAMES) + 2))
    ways = {"taken for each shot's own (before)": apart, "shared by a camera (now)": told}
    for name, rows in ways.items():
        inside = 100 * np.mean([r.inside for r in rows], axis=0)
        spread, width = (
            np.mean([getattr(r, n) for r in rows], axis=0) for n in ("spread", "width")
        )
        held = " | ".join(f"{a:.0f} %, {b:.0f} %" for a, b in inside)
        print(f"| {name} | {held} | {spread[0]:.2f}, {spread[1]:.2f}", end=" | ")
        print(f"{100 * width[0]:.1f} cm, {100 * width[1]:.1f} cm |")


if __name__ == "__main__":
    main()
