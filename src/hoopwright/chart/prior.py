"""What is believed of a player before any shot: weak, from published spreads, always shown.

The eight numbers are those of ``chart._kernel``. Inside the sampler each is counted in prior
standard deviations from the prior's centre, so that the prior is a standard normal there.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from hoopwright.chart.findings import PriorRow

Floats = NDArray[np.float64]

#: how many numbers describe a player
SIZE = 8
#: ages below which the younger centres hold [years]; bands are common practice, no source
CHILD_BELOW, TEEN_BELOW = 13, 18


@dataclass(frozen=True, slots=True, kw_only=True)
class Prior:
    """A normal prior over the eight numbers, and where it comes from."""

    #: float64 [8]
    centre: Floats
    #: float64 [8, 8], lower Cholesky factor of the covariance
    root: Floats
    #: "published spreads", or the coach's own players
    source: str

    @classmethod
    def independent(cls, centre: Sequence[float], sd: Sequence[float], source: str) -> "Prior":
        """Make a prior without correlations."""
        return cls(centre=np.array(centre, float), root=np.diag(np.array(sd, float)), source=source)

    @property
    def sd(self) -> Floats:
        """Standard deviations, float64 [8]."""
        return np.asarray(np.sqrt(np.sum(self.root**2, axis=1)), np.float64)

    def psi(self, z: Floats) -> Floats:
        """Turn standard draws [draw, 8] into the model's numbers [draw, 8]."""
        return self.centre + z @ self.root.T

    def z(self, psi: Floats) -> Floats:
        """Undo :meth:`psi`."""
        return np.asarray(np.linalg.solve(self.root, (psi - self.centre).T).T, np.float64)

    def logpdf(self, psi: Floats) -> Floats:
        """Log density of draws [draw, 8], float64 [draw]."""
        z = self.z(psi)
        turn = float(np.sum(np.log(np.diag(self.root))))
        density = -0.5 * np.sum(z**2, axis=1) - turn - 0.5 * SIZE * math.log(2 * math.pi)
        return np.asarray(density, np.float64)

    def shifted(self, centre: Floats) -> "Prior":
        """Return the same prior around another centre."""
        return replace(self, centre=centre)


# Centres and spreads for grown players; how they were chosen is in SOURCES.
_CENTRE = (
    0.0, math.log(0.014), math.radians(3.9), math.log(math.radians(1.3)), 0.0,
    0.0, math.log(math.radians(1.1)), 0.584,
)  # fmt: skip
_SD = (0.010, 0.45, math.radians(3.1), 0.25, 0.4, math.radians(0.8), 0.40, 0.035)
# What is added to the centre for the young: wider spreads, a flatter shot.
_TEEN = (0.0, math.log(0.016 / 0.014), math.radians(-0.5), math.log(1.5 / 1.3), 0.0,
         0.0, math.log(1.3 / 1.1), 0.0)  # fmt: skip
_CHILD = (0.0, math.log(0.021 / 0.014), math.radians(-1.5), math.log(2.0 / 1.3), 0.0,
          0.0, math.log(1.8 / 1.1), 0.0)  # fmt: skip

SOURCES: tuple[tuple[str, str], ...] = (
    ("speed bias, share of speed", "makes average near least speed, misses 0.12 m/s under "
     "(Mullineaux & Uhl 2010); width common practice, no source"),
    ("speed spread, log of share of speed", "0.05–0.13 m/s within skilled men (Slegers 2021); "
     "wider for others, common practice, no source"),
    ("release angle over least-speed angle", "2.8 ± 3.1° (Nakano 2020), 3.9° and 4.3 ± 2.1° "
     "(Slegers 2022)"),
    ("release-angle spread, log of radians", "1.2–1.3° within skilled men (Slegers 2021); "
     "wider for the young, common practice, no source"),
    ("speed-angle link, atanh of correlation", "no published figure; wide around none"),
    ("direction bias", "width common practice, no source"),
    ("direction spread, log of radians", "no published figure; 0.6–1.4° gives the usual make "
     "percentages (derived)"),
    ("restitution of ball on ring", "ball 0.77 ± 0.03 (drop tests), ring absorbs 35–50 % "
     "of the energy (rule books)"),
)  # fmt: skip
UNITS = ("share", "log share", "rad", "log rad", "", "rad", "log rad", "")


def published_prior(age: float | None = None) -> Prior:
    """Return the prior of published spreads for an age in years (grown where not told)."""
    centre = np.array(_CENTRE) + age_shift(age)
    return Prior.independent(list(centre), _SD, "published spreads")


def age_shift(age: float | None) -> Floats:
    """Return what an age adds to the prior's centre, float64 [8]."""
    if age is None or age >= TEEN_BELOW:
        return np.zeros(SIZE)
    return np.array(_CHILD if age < CHILD_BELOW else _TEEN)


# How far one condition of a player may lie from the player's habit.
_LINK_SD = np.array([0.006, 0.20, math.radians(2.0), 0.15, 0.2, math.radians(0.6), 0.20, 0.0])


def linked_prior(mean: Floats, covariance: Floats) -> Prior:
    """Return the prior for a change, given the posterior of the same player's habit.

    Parameters
    ----------
    mean, covariance
        Posterior of the habit, float64 [8] and [8, 8].

    Notes
    -----
    Derived: a change is the habit plus a normal step whose size is common practice, no source.
    """
    # a floor keeps the factor well-conditioned where the habit is known very well
    widened = covariance + np.diag(_LINK_SD**2 + 1e-10)
    return Prior(
        centre=mean,
        root=np.asarray(np.linalg.cholesky(widened), np.float64),
        source="the same player's habit",
    )


def prior_rows(prior: Prior) -> tuple[PriorRow, ...]:
    """Return the prior as rows to be shown."""
    return tuple(
        PriorRow(name=name, centre=float(c), sd=float(s), unit=unit, source=source)
        for (name, source), c, s, unit in zip(SOURCES, prior.centre, prior.sd, UNITS, strict=True)
    )
