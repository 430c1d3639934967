"""Filmed shots as the search reads them: columns of values and errors, one row a shot."""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.film.links.found import Link, Outcome
from hoopwright.film.links.levelling import Runs
from hoopwright.film.links.read import Measured, links
from hoopwright.film.results import Body
from hoopwright.records import MeasuredRelease

Floats = NDArray[np.float64]

#: shots read, the latest: a player changes, and the time taken grows with the cube of the shots
MOST_SHOTS = 600
#: where each outcome's variance stands in a release's covariance
_DIAGONAL = {Outcome.SPEED: 0, Outcome.ALONG: 3, Outcome.ACROSS: 4}


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """What was measured of one shot, and where it belongs."""

    release: MeasuredRelease
    #: measure → value and the error that differs from shot to shot, one standard deviation [SI]
    body: Mapping[Body, tuple[float, float]]
    #: the workout's day, or anything that sorts one visit from another
    day: Hashable
    spot: Hashable
    #: "" is the habit
    condition: str = ""


def links_of(samples: Sequence[Sample], *, seed: int = 1) -> tuple[Link, ...]:
    """Return the links of one player's filmed shots.

    Parameters
    ----------
    samples
        In the order taken; the latest MOST_SHOTS are read.
    seed
        Same seed, same answer.
    """
    samples = samples[-MOST_SHOTS:]
    if not samples:
        return ()
    runs = Runs(
        where=[(one.day, one.spot, one.condition) for one in samples],
        day=[one.day for one in samples],
    )
    outcomes = {name: _outcome(samples, name) for name in Outcome}
    return links(_measures(samples), outcomes, runs=runs, seed=seed)


def _outcome(samples: Sequence[Sample], name: Outcome) -> Measured:
    field = "speed" if name is Outcome.SPEED else name.value
    covariance = np.array([one.release.covariance for one in samples]).reshape(-1, 5, 5)
    at = _DIAGONAL[name]
    values = np.array([getattr(one.release, field) for one in samples], dtype=np.float64)
    return values, np.asarray(np.sqrt(np.maximum(covariance[:, at, at], 0.0)), np.float64)


def _measures(samples: Sequence[Sample]) -> dict[Body, Measured]:
    """Return the measures that any shot has, in the order of ``Body``."""
    nothing = (np.nan, np.nan)
    columns = {
        name: np.array([one.body.get(name, nothing) for one in samples], dtype=np.float64)
        for name in Body
        if any(name in one.body for one in samples)
    }
    return {name: (pairs[:, 0], pairs[:, 1]) for name, pairs in columns.items()}
