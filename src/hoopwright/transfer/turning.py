"""Test days from which a player's level is another one, where the tests say so.

Each test day is weighed as the first of another level against one level throughout; day scatter
is part of both, so that an odd day is no change. The weight of all days together is a likelihood
ratio whose mean is 1 for players who do not change; from :data:`SHOWN_FROM` on a change is
shown. How often luck alone gets there was simulated, with a look after every test: at most 5 of 100
players (the bound 1/10 of [Ville1939]_ is far from reached), see ``docs/progress.md``.

References
----------
One change at an unknown time: [RafteryAkman1986]_, whose data are a check in the tests.
"""

from dataclasses import dataclass, replace

import numpy as np
from scipy import special

from hoopwright.records import Estimate
from hoopwright.transfer.levels import HAZARD, LEVELS, SCATTER_CHANCES, apart, start
from hoopwright.transfer.shares import Floats

#: a change is shown where it is this many times more likely than none
SHOWN_FROM = 10.0
#: tests on either side that a change needs
FEWEST = 2
_MOST = 4


@dataclass(frozen=True, slots=True)
class Turn:
    """A change of level between two tests."""

    #: place of the first test of the new level
    test: int
    #: places of the first and last test that may be it (80 %)
    first: int
    last: int
    #: how many times more likely than no change
    weight: float
    #: share made at the new level less that at the old
    difference: Estimate


def turns(logs: Floats) -> tuple[Turn, ...]:
    """Return the changes of level that some tests show, oldest first.

    Parameters
    ----------
    logs
        Log chance of each test, float64 [test, scatter, level].

    Notes
    -----
    Once a change is found, the tests before it and from it on are searched again, each by itself.
    """
    found: list[Turn] = []
    parts = [(0, len(logs))]
    while parts and len(found) < _MOST:
        begin, end = parts.pop()
        turn = turn_in(logs[begin:end])
        if turn is None:
            continue
        found.append(_moved(turn, begin))
        parts += [(begin, turn.test + begin), (turn.test + begin, end)]
    return tuple(sorted(found, key=lambda turn: turn.test))


def _moved(turn: Turn, by: int) -> Turn:
    return replace(turn, test=turn.test + by, first=turn.first + by, last=turn.last + by)


def turn_in(logs: Floats) -> Turn | None:
    """Return the change of level that some tests show most, None where they show none."""
    if len(logs) < 2 * FEWEST:
        return None
    summed = np.cumsum(logs, axis=0)
    ratios = _ratios(summed, _entered(summed), len(logs))
    weight, weighed = _weight(ratios), _weighed(ratios)
    if weight < SHOWN_FROM:
        return None
    share = np.cumsum(np.exp(weighed - special.logsumexp(weighed)))
    first, last = (int(np.searchsorted(share, q)) + FEWEST for q in (0.1, 0.9))
    test = int(np.argmax(weighed)) + FEWEST
    return Turn(test, first, last, weight, _difference(logs, test))


def weights(logs: Floats) -> Floats:
    """Return how much more likely a change is than none after each test, float64 [test].

    As a coach sees it who looks after every test; 1 while there are too few tests.
    """
    summed = np.cumsum(logs, axis=0)
    entered = _entered(summed)
    found = np.ones(len(logs))
    for seen in range(2 * FEWEST, len(logs) + 1):
        found[seen - 1] = _weight(_ratios(summed, entered, seen))
    return found


def _weighed(ratios: Floats) -> Floats:
    """Return log ratios with the log chance of a change just there."""
    return np.asarray(np.log(HAZARD) + np.log1p(-HAZARD) * np.arange(len(ratios)) + ratios)


def _weight(ratios: Floats) -> float:
    none = (1 - HAZARD) ** len(ratios)
    return float(np.exp(special.logsumexp(_weighed(ratios)))) + none


def _entered(summed: Floats) -> Floats:
    """Return log chances of the tests before a change and the level after it.

    Parameters
    ----------
    summed
        Log chance of the tests up to and with each, float64 [test, scatter, level].

    Returns
    -------
    Floats
        For a change after test ``FEWEST``, and after each later one, float64 as ``summed``.
    """
    before = summed[FEWEST - 1 :] + np.log(SCATTER_CHANCES)[:, None] + np.log(start())
    top = before.max(axis=2, keepdims=True)
    return np.asarray(np.log(np.exp(before - top) @ apart() + 1e-300) + top)


def _ratios(summed: Floats, entered: Floats, seen: int) -> Floats:
    """Return the log ratio of a change at each test to none, given the first tests only.

    float64 [seen − 2 FEWEST + 1]; the first entry is for a change at test number ``FEWEST``,
    counted from 0.
    """
    total = summed[seen - 1]
    prior = np.log(SCATTER_CHANCES)[:, None] + np.log(start())
    after = total - summed[FEWEST - 1 : seen - FEWEST]
    change = special.logsumexp(entered[: len(after)] + after, axis=(1, 2))
    return np.asarray(change - special.logsumexp(prior + total))


def _difference(logs: Floats, test: int) -> Estimate:
    """Return how the share made differs from a test on, that being the first of its level."""
    before, after = (part - part.max() for part in (logs[:test].sum(0), logs[test:].sum(0)))
    before = np.exp(before) * start() * SCATTER_CHANCES[:, None]
    cells = apart() * (before.T @ np.exp(after))
    shares = special.expit(LEVELS)
    return Estimate.from_draws((shares - shares[:, None]).ravel(), cells.ravel())
