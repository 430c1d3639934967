"""The prior over players, refitted from a coach's own: how regression to the mean is handled.

A player's few shots are read together with what the coach's other players are like, so a lucky
first set does not make a marksman. With fewer than :data:`ENOUGH_PLAYERS` players the published
prior stands.

References
----------
Empirical Bayes over players: [EfronMorris1975]_; fitted by expectation–maximisation with the
published prior counting as a few players.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy import special

from hoopwright.chart.findings import Findings
from hoopwright.chart.infer import findings_of, read_chart
from hoopwright.chart.model import side_by_side
from hoopwright.chart.posterior import Posterior, age_of, posteriors, under_prior
from hoopwright.chart.prior import SIZE, Prior, age_shift, published_prior
from hoopwright.chart.sample import ENOUGH_OF_MANY
from hoopwright.records import Chart

Floats = NDArray[np.float64]

#: players from which a coach's own prior is fitted
ENOUGH_PLAYERS = 8
#: players the published centre and the published spread count for
_CENTRE_COUNTS, _SPREAD_COUNTS = 4.0, 8.0
_STEPS = 25
_DRAWS = 400


def group_prior(habits: Sequence[Posterior], ages: Sequence[float | None]) -> Prior:
    """Return the prior for a grown player fitted to some players' habits.

    Parameters
    ----------
    habits
        One posterior per player, drawn under the published prior for the player's age.
    ages
        In years, None where not known.

    Notes
    -----
    The ring's restitution belongs to the gym and keeps its published prior.
    """
    start = published_prior()
    if len(habits) < ENOUGH_PLAYERS:
        return start
    # what is common to all ages: each player's numbers less what the age adds
    u = np.stack([h.psi(_DRAWS) - age_shift(a) for h, a in zip(habits, ages, strict=True)])
    centre, sd = fit_normal(
        u, start.centre, start.sd, centre_counts=_CENTRE_COUNTS, spread_counts=_SPREAD_COUNTS
    )
    centre[SIZE - 1], sd[SIZE - 1] = start.centre[-1], start.sd[-1]
    return Prior.independent(
        centre.tolist(), sd.tolist(), f"this coach's own {len(habits)} players"
    )


def fit_normal(
    u: Floats, start: Floats, start_sd: Floats, *, centre_counts: float, spread_counts: float
) -> tuple[Floats, Floats]:
    """Return centre [n] and standard deviation [n] of the players behind posterior draws.

    Parameters
    ----------
    u
        Draws of each player's posterior under independent normals N(start, start_sd²),
        float64 [player, draw, n].
    start, start_sd
        That prior, float64 [n].
    centre_counts, spread_counts
        How many players the prior's centre and its spread count for.
    """
    centre, sd = start.copy(), start_sd.copy()
    for _ in range(_STEPS):
        gain = 0.5 * ((u - start) / start_sd) ** 2 - 0.5 * ((u - centre) / sd) ** 2
        logs = gain.sum(axis=2) - np.log(sd).sum()
        w = np.exp(logs - special.logsumexp(logs, axis=1, keepdims=True))[..., None]
        centre = (np.sum(w * u, axis=(0, 1)) + centre_counts * start) / (len(u) + centre_counts)
        square = np.sum(w * (u - centre) ** 2, axis=(0, 1))
        sd = np.sqrt((square + spread_counts * start_sd**2) / (len(u) + spread_counts))
    return centre, sd


def prior_for(group: Prior, age: float | None) -> Prior:
    """Return a group's prior for a player of some age."""
    return group.shifted(group.centre + age_shift(age))


def fit_group(charts: Sequence[Chart]) -> Prior | None:
    """Return the prior fitted to these players, or None where they are too few."""
    shot = [c for c in charts if any(s.shots and not s.stops_on_makes for s in c.sets)]
    if len(shot) < ENOUGH_PLAYERS:
        return None
    return group_prior([posteriors(c)[0] for c in shot], [age_of(c) for c in shot])


def read_charts(charts: Sequence[Chart], *, seed: int = 1) -> list[Findings]:
    """Return the findings of many players, each read beside the others.

    Raises
    ------
    BadInput
        A player has no shots to read.
    """
    if len(charts) < ENOUGH_PLAYERS:
        return [read_chart(c, seed=seed) for c in charts]

    def first(chart: Chart) -> list[Posterior]:
        return posteriors(chart, seed=seed, enough=ENOUGH_OF_MANY)

    alone = side_by_side(first, charts)
    ages = [age_of(c) for c in charts]
    group = group_prior([found[0] for found in alone], ages)

    def second(number: int) -> Findings:
        found = _beside(charts[number], alone[number], prior_for(group, ages[number]), seed)
        return findings_of(charts[number], found, seed=seed)

    return side_by_side(second, range(len(charts)))


def _beside(chart: Chart, alone: list[Posterior], prior: Prior, seed: int) -> list[Posterior]:
    """Return a player's posteriors under the group's prior, changes linked to the habit anew."""
    if len(alone) > 1:
        return posteriors(chart, prior=prior, seed=seed)
    return [under_prior(alone[0], prior, seed=seed)]
