"""Whether, of two shots of one short run, the one that felt better was the better one.

Only shots taken close together are compared: in a run of at most six of one set. What drifts over
a visit (a player who warms up feels better and makes more) then can't pass for feel.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from hoopwright.records import Estimate
from hoopwright.trials._feel_kernel import at_least
from hoopwright.trials.mixture import SHARES, estimate

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: most shots of a run
RUN = 6
#: shuffles from which luck is measured
SHUFFLES = 999
#: fewest shots that have another with a different result in their run
FEWEST_COMPARED = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """How far feel goes with what came of the shot."""

    #: shots compared, and pairs of them that had different results
    shots: int
    pairs: int
    #: chance that of two shots with different results the one that felt better was the better
    #: one; 0.5 where feel says nothing, a tie of feel counting half
    concordance: Estimate
    #: rank correlation of feel and result (Kendall's tau-b) within runs, −1 to 1
    rank: Estimate
    #: the same as ``concordance``, as artanh(2c − 1) and its standard error, for pooling
    z: float
    z_sd: float
    #: chance of as much by luck, were feel no more than noise
    by_luck: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Runs:
    """Feel and result of shots laid out run by run, gaps last."""

    #: float64 [run, place], more is better
    feel: Floats
    result: Floats
    #: bool [run, place]: a shot is there
    there: NDArray[np.bool_]


def runs_of(keys: Ints, *, longest: int = RUN) -> Ints:
    """Return the number of each shot's run, int64 [shot].

    Parameters
    ----------
    keys
        Which set a shot belongs to, int64 [shot], in the order taken.
    longest
        A set is cut into runs as even as can be, none longer than this.
    """
    numbers = np.empty(len(keys), np.int64)
    following = 0
    for key in dict.fromkeys(keys.tolist()):
        places = np.flatnonzero(keys == key)
        parts = np.array_split(places, math.ceil(len(places) / longest))
        for part in parts:
            numbers[part] = following
            following += 1
    return numbers


def laid_out(feel: Floats, result: Floats, runs: Ints) -> Runs:
    """Lay shots out run by run.

    Parameters
    ----------
    feel, result
        More is better; float64 [shot], no gaps.
    runs
        From :func:`runs_of`.
    """
    _, code, sizes = np.unique(runs, return_inverse=True, return_counts=True)
    order = np.argsort(code, kind="stable")
    at = code[order], np.arange(len(order)) - np.repeat(np.cumsum(sizes) - sizes, sizes)
    padded = np.zeros((3, len(sizes), int(sizes.max())))
    for layer, values in zip(padded, (feel, result, np.ones(len(feel))), strict=True):
        layer[at] = values[order]
    return Runs(feel=padded[0], result=padded[1], there=padded[2] > 0.0)


def agreement(runs: Runs, *, rng: np.random.Generator) -> Agreement | None:
    """Return how far feel goes with the result; None where no two shots can be compared.

    Notes
    -----
    Somers' D of feel given the result ([Somers1962]_), c = (1 + D) / 2; Kendall's tau-b
    ([Kendall1945]_). Standard errors are those of sums over pairs, of which any two that share a
    shot vary together ([Aronow2015]_), shown on the artanh scale. Luck is measured by shuffling
    the results within runs, so it holds whatever the distributions and ties.
    """
    by_feel, by_result = _signs(runs.feel, runs.there), _signs(runs.result, runs.there)
    alike, told, felt = by_feel * by_result, np.abs(by_result), np.abs(by_feel)
    compared = told.sum(axis=2)[runs.there]
    if np.count_nonzero(compared) < FEWEST_COMPARED:
        return None
    z, z_sd = _artanh(alike, (told,))
    ranked, ranked_sd = _artanh(alike, (told, felt)) if felt.any() else (0.0, z_sd)
    free = max(float(compared.sum() ** 2 / np.sum(compared**2)) - 1.0, 2.0)
    return Agreement(
        shots=len(compared),
        pairs=int(compared.sum() // 2),
        concordance=_shown(z, z_sd, free, half=True),
        rank=_shown(ranked, ranked_sd, free, half=False),
        z=z,
        z_sd=z_sd,
        by_luck=_by_luck(runs, 0.5 * float(alike.sum()), rng),
    )


def _artanh(alike: Floats, weights: tuple[Floats, ...]) -> tuple[float, float]:
    """Return artanh of agreement over the weights' geometric mean, and its standard error.

    All float64 [run, place, place], over ordered pairs.
    """
    totals = [float(w.sum()) for w in weights]
    whole = math.exp(sum(map(math.log, totals)) / len(totals))
    raw, shots = float(alike.sum()) / whole, int(np.count_nonzero(weights[0].sum(axis=2)))
    # as if one shot more had agreed and one not: all that agree are no proof of all to come
    most = shots / (shots + 2.0)
    value = min(max(raw, -most), most)
    parts = [w / total for w, total in zip(weights, totals, strict=True)]
    pull = alike / whole - value * sum(parts) / len(parts)
    # pairs that share a shot vary together; a pair is met at both its shots, hence the half
    variance = 4.0 * (np.sum(pull.sum(axis=2) ** 2) - 0.5 * np.sum(pull**2))
    floor = np.sum(pull**2) + 1e-12
    by_run = weights[0].sum(axis=(1, 2))
    # the agreement itself is taken from the same runs, which matters where they are few
    variance *= 1.0 + float(np.sum(by_run**2)) / totals[0] ** 2
    sd = math.sqrt(max(float(variance), float(floor))) / (1.0 - value**2)
    if abs(raw) > most:
        sd = max(sd, 1.0 / math.sqrt(shots * (1.0 - value**2)))
    return math.atanh(value), sd


def _shown(z: float, z_sd: float, free: float, *, half: bool) -> Estimate:
    """Return an agreement from its artanh; ``half`` maps −1 … 1 to 0 … 1."""
    ends = np.tanh(z + z_sd * stats.t.ppf(SHARES, free))
    value = math.tanh(z)
    return estimate(0.5 + 0.5 * value, 0.5 + 0.5 * ends) if half else estimate(value, ends)


def _signs(values: Floats, there: NDArray[np.bool_]) -> Floats:
    """Return the sign of the difference of each two shots of a run [run, place, place]."""
    both = there[:, :, None] & there[:, None, :]
    return np.asarray(both * np.sign(values[:, :, None] - values[:, None, :]), np.float64)


def _by_luck(runs: Runs, seen: float, rng: np.random.Generator) -> float:
    """Return the share of shuffles within runs that agree at least as well."""
    sizes = runs.there.sum(axis=1).astype(np.int64)
    as_well = at_least(runs.feel, runs.result, sizes, round(seen), SHUFFLES, rng)
    return (1.0 + float(as_well)) / (SHUFFLES + 1.0)
