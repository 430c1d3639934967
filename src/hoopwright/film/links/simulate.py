"""Simulated players whose body measures go with the ball as told: for tests and the docs' table.

Twenty measures in five families that move together, heavy tails, a slow drift of body and ball
over each day, film error on everything, values left out and misread: what a search must stand.
Sizes are the project's own, round figures, but for the outcomes' spreads: speed 0.05–0.13 m/s
within skilled men (Slegers 2021, abstract).
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.film.links.found import Outcome
from hoopwright.film.links.levelling import Runs
from hoopwright.film.results import Body

Floats = NDArray[np.float64]
Column = tuple[Floats, Floats]

#: families of measures that move together
FAMILIES: tuple[tuple[Body, ...], ...] = (
    (Body.DIP_DEPTH, Body.KNEE_DIP, Body.TRUNK_DIP, Body.SHOULDER_DIP),
    (Body.STANCE_TURN, Body.HIP_TURN, Body.SHOULDER_TURN, Body.SIGHT_LINE),
    (Body.ELBOW_SET, Body.SHOULDER_SET, Body.WRIST_SET, Body.ELBOW_FLARE),
    (Body.RELEASE_TO_TOE_OFF, Body.RELEASE_TO_APEX, Body.BODY_SPEED, Body.JUMP_RISE),
    (Body.HOLD, Body.ELBOW_RELEASE, Body.TRUNK_RELEASE, Body.SET_TO_RELEASE),
)
#: own spread and film error of each outcome [SI]
SPREADS: Mapping[Outcome, tuple[float, float]] = {
    Outcome.ALONG: (0.13, 0.03),
    Outcome.ACROSS: (0.09, 0.02),
    Outcome.SPEED: (0.09, 0.025),
}
#: own spread of every simulated measure [its unit]
OWN_SD = 0.04


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One kind of simulated player."""

    shots: int = 80
    #: the player's own share of the scatter of each measure, 0 to 1
    reliability: float = 0.8
    #: size of the drift over a day, in own spreads, of body and of ball
    drift: float = 0.7
    #: degrees of freedom of the tails
    tails: float = 5.0
    #: share of values left out, and share misread
    missing: float = 0.1
    misread: float = 0.01
    #: correlation within a family
    family: float = 0.7
    #: slopes, in own spreads, by measure and outcome
    slopes: Mapping[tuple[Body, Outcome], float] | None = None
    days: int = 1
    spots: int = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Filmed:
    """A simulated player's filmed shots."""

    #: values and errors by measure; NaN where left out
    measures: dict[Body, Column]
    outcomes: dict[Outcome, Column]
    runs: Runs


def simulated(case: Case, rng: np.random.Generator) -> Filmed:
    """Return the filmed shots of one simulated player."""
    runs = _runs(case)
    body = {name: z for family in FAMILIES for name, z in _family(family, case, runs, rng).items()}
    outcomes = {
        name: _landed(base, runs, rng, spread=SPREADS[name])
        for name, base in _outcomes(body, case, runs, rng).items()
    }
    measures = {name: _measured(z, case, runs, rng) for name, z in body.items()}
    return Filmed(measures=measures, outcomes=outcomes, runs=runs)


def _runs(case: Case) -> Runs:
    order = np.arange(case.shots)
    day = order * case.days // case.shots
    # sets of ten, the spots in turn
    spot = (order // 10) % case.spots
    where = [(int(d), int(s)) for d, s in zip(day, spot, strict=True)]
    return Runs(where=where, day=[int(d) for d in day])


def _t(case: Case, rng: np.random.Generator) -> Floats:
    """Return heavy-tailed values of unit scatter."""
    scale = np.sqrt((case.tails - 2.0) / case.tails)
    return np.asarray(scale * rng.standard_t(case.tails, case.shots), np.float64)


def drifting(case: Case, runs: Runs, rng: np.random.Generator) -> Floats:
    """Return a slow drift: a straight part and a wandering one, half each, anew each day."""
    out = np.zeros(case.shots)
    days = np.array(runs.day)
    for day in range(case.days):
        here = days == day
        count = int(here.sum())
        straight = rng.standard_normal() * np.linspace(-1.0, 1.0, count)
        wander = np.cumsum(rng.standard_normal(count)) / np.sqrt(count)
        out[here] = case.drift * (straight + wander - wander.mean()) + 0.5 * rng.standard_normal()
    return out


def _family(
    names: tuple[Body, ...], case: Case, runs: Runs, rng: np.random.Generator
) -> dict[Body, tuple[Floats, Floats]]:
    """Return scatter and drift of each measure of a family, in own spreads."""
    shared, slow = _t(case, rng), drifting(case, runs, rng)
    a, b = np.sqrt(case.family), np.sqrt(1.0 - case.family)
    return {
        name: (a * shared + b * _t(case, rng), a * slow + b * drifting(case, runs, rng))
        for name in names
    }


def _outcomes(
    body: Mapping[Body, tuple[Floats, Floats]], case: Case, runs: Runs, rng: np.random.Generator
) -> dict[Outcome, Floats]:
    """Return each outcome in own spreads: speed and along share most of their scatter."""
    speed, aside = _t(case, rng), _t(case, rng)
    scatter = {
        Outcome.SPEED: speed,
        Outcome.ALONG: 0.8 * speed + 0.6 * _t(case, rng),
        Outcome.ACROSS: aside,
    }
    slow = drifting(case, runs, rng)
    for name, base in scatter.items():
        linked = {m: b for (m, o), b in (case.slopes or {}).items() if o is name}
        rest = np.sqrt(max(1.0 - sum(b * b for b in linked.values()), 0.0))
        moved = sum(
            (b * (body[m][0] + body[m][1]) for m, b in linked.items()), np.zeros(case.shots)
        )
        own = slow if name is not Outcome.ACROSS else drifting(case, runs, rng)
        scatter[name] = rest * base + moved + own
    return scatter


def _landed(
    base: Floats, runs: Runs, rng: np.random.Generator, *, spread: tuple[float, float]
) -> Column:
    own, error = spread
    sds = error * np.exp(0.3 * rng.standard_normal(len(base)))
    offset = {key: rng.standard_normal() for key in dict.fromkeys(runs.where)}
    centre = np.array([offset[key] for key in runs.where])
    return own * (base + centre) + sds * rng.standard_normal(len(base)), sds


def _measured(z: tuple[Floats, Floats], case: Case, runs: Runs, rng: np.random.Generator) -> Column:
    error = OWN_SD * np.sqrt(1.0 / case.reliability - 1.0)
    spread = np.exp(0.3 * rng.standard_normal(case.shots))
    sds = error * spread / np.sqrt(np.mean(spread**2))
    values = OWN_SD * (z[0] + z[1]) + sds * rng.standard_normal(case.shots)
    wrong = rng.random(case.shots) < case.misread
    values = np.where(wrong, values + 10.0 * OWN_SD * rng.standard_normal(case.shots), values)
    return np.where(rng.random(case.shots) < case.missing, np.nan, values), sds
