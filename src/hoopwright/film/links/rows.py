"""Filmed shots as the search reads them: columns of values and errors, one row a shot."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.film.links.found import Link, Outcome
from hoopwright.film.links.levelling import Runs
from hoopwright.film.links.read import Measured, links
from hoopwright.film.results import Body, FilmedShot

Floats = NDArray[np.float64]

#: where each outcome's variance stands in a release's covariance
_DIAGONAL = {Outcome.SPEED: 0, Outcome.ALONG: 3, Outcome.ACROSS: 4}


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """One filmed shot and where it belongs."""

    shot: FilmedShot
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
        In the order taken; shots that findings may not use are passed over.
    seed
        Same seed, same answer.
    """
    usable = [one for one in samples if one.shot.usable]
    if not usable:
        return ()
    runs = Runs(
        where=[(one.day, one.spot, one.condition) for one in usable],
        day=[one.day for one in usable],
    )
    outcomes = {name: _outcome(usable, name) for name in Outcome}
    return links(_measures(usable), outcomes, runs=runs, seed=seed)


def _outcome(samples: Sequence[Sample], name: Outcome) -> Measured:
    field = "speed" if name is Outcome.SPEED else name.value
    balls = [one.shot.ball for one in samples]
    releases = [ball.release for ball in balls if ball is not None]
    covariance = np.array([one.covariance for one in releases]).reshape(-1, 5, 5)
    at = _DIAGONAL[name]
    values = np.array([getattr(one, field) for one in releases], dtype=np.float64)
    return values, np.asarray(np.sqrt(np.maximum(covariance[:, at, at], 0.0)), np.float64)


def _measures(samples: Sequence[Sample]) -> dict[Body, Measured]:
    """Return the measures that any shot has, in the order of ``Body``."""
    found = [{m.name: m for m in one.shot.body} for one in samples]
    named = [name for name in Body if any(name in row for row in found)]
    return {
        name: (
            np.array([row[name].value if name in row else np.nan for row in found]),
            np.array([row[name].sd if name in row else np.nan for row in found]),
        )
        for name in named
    }
