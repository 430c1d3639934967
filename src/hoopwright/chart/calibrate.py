"""Does the reading keep its word? Simulated players, their truth, and where it falls.

Each player's numbers are drawn from the prior for an age, every shot is flown and played by the
physics (no make table), charted in one of the usual styles and read. If all is well the truth
falls at a uniform rank among the posterior draws ([TaltsSBC]_), and ranges cover as they say.
"""

from dataclasses import dataclass
from uuid import UUID

import numpy as np
from numpy.typing import NDArray

from hoopwright.chart.model import landings
from hoopwright.chart.posterior import Posterior, posteriors
from hoopwright.chart.prior import published_prior
from hoopwright.chart.simulate import Shooter, Style, draw_shooter, fly_shots, simulate_sets
from hoopwright.records import Chart, Player, Spot

Floats = NDArray[np.float64]

#: what is compared, in the order of a case's arrays
QUANTITIES = ("aim along", "spread along", "aim across", "spread across", "make")
#: age in years and stature [m] of the simulated players
BANDS = ((9.0, 1.35), (15.0, 1.70), (30.0, 1.85))
SPOTS = (
    Spot(name="free throw", x=0.0, y=4.225),
    Spot(name="right wing", x=3.2, y=2.6),
    Spot(name="left corner", x=-5.2, y=0.4),
    Spot(name="top", x=0.0, y=6.75),
)
_DRAWS = 1000
_TRUE_SHOTS = 6000


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One simulated player: truth and posterior draws."""

    style: Style
    shots: int
    #: float64 [quantity], metres and a share
    truth: Floats
    #: float64 [draw, quantity], equal weight
    draws: Floats

    def ranks(self) -> Floats:
        """Share of draws below the truth, float64 [quantity]."""
        return np.asarray(np.mean(self.draws < self.truth, axis=0), np.float64)

    def covered(self, level: float) -> NDArray[np.bool_]:
        """Whether the central range holds the truth, bool [quantity]."""
        low, high = np.quantile(self.draws, [0.5 - level / 2, 0.5 + level / 2], axis=0)
        return np.asarray((low <= self.truth) & (self.truth <= high), np.bool_)


def simulated_case(seed: int) -> Case:
    """Return one simulated player; the same seed gives the same one.

    Ages, charting styles, spots and numbers of shots take turns or are drawn.
    """
    rng = np.random.default_rng([20_261, seed])
    age, stature = BANDS[seed % len(BANDS)]
    shooter = draw_shooter(published_prior(age), rng, stature=stature)
    style = list(Style)[(seed // len(BANDS)) % len(Style)]
    chart = _charted(shooter, style, rng, age=int(age))
    found = posteriors(chart, seed=seed + 1)[0]
    there = landings(found.psi(_DRAWS), found.places)
    return Case(
        style=style,
        shots=int(found.shots.shots.sum()),
        truth=_truth(shooter, found, rng),
        draws=np.column_stack([there.where[:, 0, :4], there.made[:, 0]]),
    )


def _charted(shooter: Shooter, style: Style, rng: np.random.Generator, *, age: int) -> Chart:
    count = int(rng.integers(1, 4))
    spots = [SPOTS[i] for i in rng.choice(len(SPOTS), size=count, replace=False)]
    sets = simulate_sets(shooter, spots, int(rng.integers(20, 120)), style=style, rng=rng)
    player = Player(id=UUID(int=1), name="Invented", birth_year=2000, height=shooter.stature)
    return Chart(player=player, sets=sets, year=2000 + age)


def _truth(shooter: Shooter, found: Posterior, rng: np.random.Generator) -> Floats:
    """Return aim, spread and make share of many shots, flown and played."""
    flown = fly_shots(shooter, found.shots.keys[0].spot, _TRUE_SHOTS, rng=rng)
    along, across = flown.along, flown.across
    return np.array([along.mean(), along.std(), across.mean(), across.std(), flown.made.mean()])
