"""How many further shots would settle a question: by simulation, not by a rule of thumb.

Futures are simulated from the posterior: a draw is taken as true, more shots are charted with
one direction per miss, and the posterior is updated by weighting its draws with the chance of
those shots. The answer is the fewest shots after which most futures can tell.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from hoopwright.chart import _kernel as k

Floats = NDArray[np.float64]
#: weights of the draws [future, draw] and further misses by way [future, 4] → could tell [future]
Decided = Callable[[Floats, Floats], NDArray[np.bool_]]

#: numbers of further shots tried
TRIED = (10, 20, 30, 40, 60, 80, 100, 150, 200, 300, 400)
#: share of futures that must be able to tell
ENOUGH = 0.8
#: futures simulated for each number of shots
FUTURES = 100
# make, short, long, left, right among the count columns
_COLUMNS = [k.MAKE, *range(k.FIRST_WAY, k.FIRST_WAY + 4)]


def shots_needed(
    calls: Floats, shares: Floats, *, questions: dict[str, Decided], rng: np.random.Generator
) -> dict[str, int | None]:
    """Return, for each question, the further shots needed; None beyond the most tried.

    Parameters
    ----------
    calls
        Chance of each count column under each draw, float64 [draw, place, 12].
    shares
        Share of the further shots taken at each place, float64 [place].
    questions
        Name → whether the futures could tell.
    rng
        Source of the simulated futures.
    """
    chances = calls[:, :, _COLUMNS]
    chances = chances / chances.sum(axis=2, keepdims=True)
    found: dict[str, int | None] = dict.fromkeys(questions)
    # futures grow shot by shot, so that more shots never mean other luck
    counts = np.zeros((FUTURES, *chances.shape[1:]))
    truth = np.linspace(0, len(chances) - 1, FUTURES).astype(int)
    before = 0
    for shots in TRIED:
        counts += _more(chances[truth], shares, shots - before, rng)
        before = shots
        weights, ways = _weights(counts, chances), counts[:, :, 1:].sum(axis=1)
        for name, decided in questions.items():
            if found[name] is None and float(np.mean(decided(weights, ways))) >= ENOUGH:
                found[name] = shots
        if None not in found.values():
            break
    return found


def _more(chances: Floats, shares: Floats, shots: int, rng: np.random.Generator) -> Floats:
    at = rng.multinomial(shots, shares, size=len(chances))
    return rng.multinomial(at, chances).astype(float)


def _weights(counts: Floats, chances: Floats) -> Floats:
    logs = np.einsum("fpc,dpc->fd", counts, np.log(np.maximum(chances, 1e-12)))
    weights = np.exp(logs - logs.max(axis=1, keepdims=True))
    return np.asarray(weights / weights.sum(axis=1, keepdims=True), np.float64)
