"""One player's posterior: a chart in, weighted draws out."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from hoopwright.chart import model
from hoopwright.chart.misses import Evidence, by_condition, evidence
from hoopwright.chart.prior import Prior, linked_prior, published_prior
from hoopwright.chart.sample import ENOUGH, ENOUGH_OF_MANY, Draws, draw_posterior
from hoopwright.chart.spots import stature
from hoopwright.errors import BadInput
from hoopwright.records import Chart, ShotSet

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Posterior:
    """Draws for one player under one condition, with what they were drawn from."""

    condition: str
    sets: tuple[ShotSet, ...]
    shots: Evidence
    places: model.Places
    prior: Prior
    draws: Draws
    #: stature reckoned with [m]
    stature: float

    def psi(self, count: int) -> Floats:
        """Return ``count`` draws of equal weight in the model's numbers, float64 [count, 8]."""
        return self.prior.psi(self.draws.z[self.draws.thinned(count)])

    def moments(self) -> tuple[Floats, Floats]:
        """Return mean [8] and covariance [8, 8] in the model's numbers."""
        mean, cov = self.draws.moments()
        root = self.prior.root
        return self.prior.psi(mean[None])[0], root @ cov @ root.T


def age_of(chart: Chart) -> float | None:
    """Return the player's age in the year of the chart, or None where not known."""
    born = chart.player.birth_year
    return None if born is None or chart.year is None else float(chart.year - born)


def posteriors(
    chart: Chart, *, prior: Prior | None = None, seed: int = 1, enough: int = ENOUGH
) -> list[Posterior]:
    """Return the posterior of each condition, the habit first.

    Parameters
    ----------
    chart
        One player's sets.
    prior
        Prior for the habit; the published one for the player's age where left out.
    seed
        Same seed, same answer.
    enough
        Effective draws that are enough.

    Raises
    ------
    BadInput
        No shots to read.
    """
    groups = by_condition(chart.sets)
    if not groups:
        raise BadInput(
            f"There are no charted shots for {chart.player.name} yet; chart a set first."
        )
    age = age_of(chart)
    size = stature(chart.player.height, age)
    own = prior or published_prior(age)
    found: list[Posterior] = []
    for condition, sets in groups.items():
        start = linked_prior(*found[0].moments()) if found and found[0].condition == "" else own
        drawn_from = _Drawn(prior=start, seed=seed, enough=enough)
        found.append(_posterior(condition, sets, size, drawn_from))
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drawn:
    """How draws are to be made."""

    prior: Prior
    seed: int
    enough: int


def _posterior(condition: str, sets: Sequence[ShotSet], size: float, how: _Drawn) -> Posterior:
    shots = evidence(sets)
    places = model.places_of(shots, stature=size)
    loglik = model.loglik_of(shots, places)
    return Posterior(
        condition=condition,
        sets=tuple(sets),
        shots=shots,
        places=places,
        prior=how.prior,
        draws=draw_posterior(
            lambda z: loglik(how.prior.psi(z)),
            seed=how.seed,
            enough=how.enough,
            two_sided=shots.placed < _PLACED,
        ),
        stature=size,
    )


# shots with a place noted, from which the side of the aim is plain
_PLACED = 10
#: effective draws below which a posterior is drawn afresh rather than reweighted
_FEWEST = 300.0


def under_prior(found: Posterior, prior: Prior, *, seed: int = 1) -> Posterior:
    """Return the posterior under another prior, by reweighting where enough draws count.

    Parameters
    ----------
    found
        A posterior under some prior.
    prior
        The prior to have it under.
    seed
        For the draws, where they must be drawn afresh.
    """
    psi = found.prior.psi(found.draws.z)
    gain = prior.logpdf(psi) - found.prior.logpdf(psi)
    weights = found.draws.weights * np.exp(gain - gain.max())
    draws = Draws(z=prior.z(psi), weights=weights / weights.sum(), made=found.draws.made)
    if draws.effective < _FEWEST:
        how = _Drawn(prior=prior, seed=seed, enough=ENOUGH_OF_MANY)
        return _posterior(found.condition, found.sets, found.stature, how)
    return replace(found, prior=prior, draws=draws)
