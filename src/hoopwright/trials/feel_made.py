"""Feel against makes: the share made at each feel, and whether feel forecasts better than the mean.

The forecast is judged on shots it was not fitted to, set by set, by Brier's score.
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
Ints = NDArray[np.int64]

#: upper ends of the steps of feel, which goes from 0 to 10
STEPS = (2.5, 4.5, 6.5, 8.5, 10.0)
#: fewest shots, and fewest makes and misses, from which a forecast is judged; common practice, no
#: source
ENOUGH_SHOTS, ENOUGH_OF_EACH = 40, 5
# folds where there are too few sets, and Newton steps of a fit
_FOLDS, _FITTING = 5, 8


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


def score_gain(feel: Floats, made: Bools, *, groups: Ints, runs: Ints) -> Estimate | None:
    """Return the share of the base rate's Brier score that knowing the feel saves.

    Above 0 where feel helps, below 0 where it only misleads; None where there are too few shots.

    Parameters
    ----------
    feel, made
        float64 [shot] 0 to 10, and bool [shot].
    groups
        Which set a shot belongs to; a set is forecast from the others. int64 [shot].
    runs
        Shots that may be alike, for the range; int64 [shot].

    Notes
    -----
    Brier's score [Brier1950]_ of a logistic forecast under a weak prior against that of the share
    made in the same other sets. Range: by runs, Student's *t*.
    """
    fewest = min(np.count_nonzero(made), np.count_nonzero(~made))
    if len(feel) < ENOUGH_SHOTS or fewest < ENOUGH_OF_EACH or np.ptp(feel) == 0.0:
        return None
    folds = _folds(groups)
    told, base = np.empty(len(feel)), np.empty(len(feel))
    for fold in np.unique(folds):
        held = folds == fold
        told[held] = _logistic(feel[~held], made[~held], at=feel[held])
        base[held] = (made[~held].sum() + 0.5) / (np.count_nonzero(~held) + 1.0)
    plain = (base - made) ** 2
    saved = plain - (told - made) ** 2
    _, code = np.unique(runs, return_inverse=True)
    value = float(saved.mean())
    pulls = np.bincount(code, saved - value)
    count = len(pulls)
    sd = math.sqrt(float(np.sum(pulls**2)) * count / max(count - 1.0, 1.0)) / len(feel)
    ends = value + sd * stats.t.ppf(SHARES, max(count - 1.0, 1.0))
    return estimate(value / plain.mean(), ends / plain.mean())


def _folds(groups: Ints) -> Ints:
    """Return the fold of each shot: its set, or a fifth of the shots where there are few sets."""
    _, code = np.unique(groups, return_inverse=True)
    if code.max() + 1 >= _FOLDS:
        return np.asarray(code, np.int64)
    return np.asarray(np.arange(len(groups)) * _FOLDS // len(groups), np.int64)


def _logistic(feel: Floats, made: Bools, *, at: Floats) -> Floats:
    """Return the chance of a make at some feels, fitted under N(0, 1) per spread of feel."""
    middle, spread = float(feel.mean()), max(float(feel.std()), 1e-9)
    x = np.column_stack([np.ones(len(feel)), (feel - middle) / spread])
    # weak enough to say nothing of the level, firm enough to stay finite
    held = np.diag([0.1, 1.0])
    b = np.zeros(2)
    for _ in range(_FITTING):
        p = special.expit(x @ b)
        slope = x.T @ (made - p) - held @ b
        b = b + np.linalg.solve((x * (p * (1.0 - p))[:, None]).T @ x + held, slope)
    return np.asarray(special.expit(b[0] + b[1] * (at - middle) / spread), np.float64)
