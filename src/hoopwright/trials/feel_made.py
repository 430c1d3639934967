"""Feel against makes: the share made at each feel, and whether feel forecasts better than the mean.

The forecast is judged on shots it was not fitted to, tenth by tenth, by Brier's score.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import optimize, special, stats

from hoopwright.records import Estimate
from hoopwright.trials.mixture import SHARES, estimate

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

#: upper ends of the steps of feel, which goes from 0 to 10
STEPS = (2.5, 4.5, 6.5, 8.5, 10.0)
#: fewest shots, and fewest makes and misses, from which a forecast is judged; common practice, no
#: source
ENOUGH_SHOTS, ENOUGH_OF_EACH = 80, 10
# parts the shots are cut into, and Newton steps of a fit
_FOLDS, _FITTING = 10, 8


@dataclass(frozen=True, slots=True, kw_only=True)
class FeelStep:
    """Shots that felt about alike."""

    #: feel of the shots, from and to
    low: float
    high: float
    shots: int
    made: int
    #: share made, from these shots alone, 0 to 1
    share: Estimate
    #: the same, smoothed so that it never falls as feel rises
    smooth: float


def steps_of(feel: Floats, made: Bools) -> tuple[FeelStep, ...]:
    """Return the share made at each step of feel; steps without shots are left out.

    Parameters
    ----------
    feel, made
        float64 [shot] 0 to 10, and bool [shot].

    Notes
    -----
    Ranges: Jeffreys' prior ([Brown2001]_). Smoothed by pooling adjacent violators.
    """
    code = np.searchsorted(STEPS, feel)
    used = np.unique(code)
    shots = np.array([np.count_nonzero(code == c) for c in used])
    makes = np.array([np.count_nonzero(made[code == c]) for c in used])
    if not len(used):
        return ()
    smooth = optimize.isotonic_regression((makes + 0.5) / (shots + 1.0), weights=shots + 1.0).x
    return tuple(
        FeelStep(
            low=float(feel[code == c].min()),
            high=float(feel[code == c].max()),
            shots=int(n),
            made=int(m),
            share=_jeffreys(int(m), int(n)),
            smooth=float(s),
        )
        for c, n, m, s in zip(used, shots, makes, smooth, strict=True)
    )


def _jeffreys(made: int, shots: int) -> Estimate:
    a, b = made + 0.5, shots - made + 0.5
    return estimate(a / (a + b), special.betaincinv(a, b, SHARES))


def score_gain(feel: Floats, made: Bools) -> Estimate | None:
    """Return the share of the base rate's Brier score that knowing the feel saves.

    Above 0 where feel helps, below 0 where it only misleads; None where there are too few shots.

    Parameters
    ----------
    feel, made
        float64 [shot] 0 to 10, and bool [shot], in the order taken.

    Notes
    -----
    Brier's score [Brier1950]_ of a logistic forecast under a weak prior against that of the share
    made; each tenth of the shots is forecast from the others. Range: jackknife over the tenths,
    fits and all, Student's *t*.
    """
    fewest = min(np.count_nonzero(made), np.count_nonzero(~made))
    if len(feel) < ENOUGH_SHOTS or fewest < ENOUGH_OF_EACH or np.ptp(feel) == 0.0:
        return None
    folds = np.arange(len(feel)) * _FOLDS // len(feel)
    first, second = np.triu_indices(_FOLDS)
    kept = (folds != first[:, None]) & (folds != second[:, None])
    x = np.column_stack([np.ones(len(feel)), (feel - feel.mean()) / feel.std()])
    chances = special.expit(_logistic(x, made, kept) @ x.T)
    rates = (np.count_nonzero(kept & made, axis=1) + 0.5) / (kept.sum(axis=1) + 1.0)
    # fit number of each two tenths left out, the same one twice where it is a single tenth
    number = np.empty((_FOLDS, _FOLDS), np.int64)
    number[first, second] = number[second, first] = np.arange(len(first))

    def saved(left_out: int | None) -> float:
        fits = number[folds, folds if left_out is None else left_out]
        told = (chances[fits, np.arange(len(feel))] - made) ** 2
        plain = (rates[fits] - made) ** 2
        among = folds != left_out
        return 1.0 - float(told[among].mean() / plain[among].mean())

    value, without = saved(None), np.array([saved(f) for f in range(_FOLDS)])
    sd = math.sqrt((_FOLDS - 1.0) / _FOLDS * float(np.sum((without - without.mean()) ** 2)))
    return estimate(value, value + sd * stats.t.ppf(SHARES, _FOLDS - 1.0))


def _logistic(x: Floats, made: Bools, kept: Bools) -> Floats:
    """Return level and slope of log odds, N(0, 1) per spread of feel, for each choice of shots.

    Parameters
    ----------
    x, made
        Ones and feel in its own spreads, float64 [shot, 2]; bool [shot].
    kept
        Which shots each fit may see, bool [fit, shot].

    Returns
    -------
    float64 [fit, 2]
    """
    # weak enough to say nothing of the level, firm enough to stay finite
    held = np.diag([0.1, 1.0])
    b = np.zeros((len(kept), 2))
    for _ in range(_FITTING):
        p = special.expit(b @ x.T)
        slope = (kept * (made - p)) @ x - b @ held
        bend = np.einsum("fs,si,sj->fij", kept * p * (1.0 - p), x, x) + held
        b = b + np.linalg.solve(bend, slope[..., None])[..., 0]
    return np.asarray(b, np.float64)
