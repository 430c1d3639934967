"""Where a player's posterior is high: the starting places of the sampler.

Parameters are counted in prior standard deviations, so the prior is a standard normal.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy import optimize

from hoopwright.chart.prior import SIZE

Floats = NDArray[np.float64]
#: draws [draw, 8] → log-likelihoods [draw] and make shares [draw, block]
LogLik = Callable[[Floats], tuple[Floats, Floats]]

# speed biases from which a second mode is looked for
_ASIDE = (2.0, -2.0)
#: two modes nearer than this in every number are one
_SAME = 0.5
_STEP = 0.02
# no mode further out than this is believed
_FAR = 6.0
# a scattered angle can stand in for a scattered speed: a thin ridge that no mode shows
_STEADY, _STEADY_SD = -1.5, 0.3


def modes(loglik: LogLik, *, two_sided: bool) -> list[tuple[Floats, Floats]]:
    """Return the modes found, each with the Cholesky factor of its inverse curvature.

    Parameters
    ----------
    loglik
        The likelihood.
    two_sided
        Whether there may be a mode on either side, as where makes and misses alone fit a short
        aim as well as a long one.

    Returns
    -------
    list
        Pairs of float64 [8] and [8, 8]; at least one.
    """
    found = [_climb(loglik, np.zeros(SIZE))]
    for shift in _ASIDE if two_sided else ():
        mode = _climb(loglik, _at(0, shift))
        if all(np.max(np.abs(mode - other)) > _SAME for other in found):
            found.append(mode)
    return [(mode, _curvature_root(loglik, mode)) for mode in found]


def ridge_end(loglik: LogLik) -> tuple[Floats, Floats]:
    """Return a place and scale at the far end of the ridge of steady speed and scattered angle."""

    def steadied(z: Floats) -> tuple[Floats, Floats]:
        logs, made = loglik(z)
        return logs - 0.5 * ((z[:, 1] - _STEADY) / _STEADY_SD) ** 2, made

    mode = _climb(steadied, _at(1, _STEADY))
    return mode, _curvature_root(steadied, mode)


def _at(index: int, value: float) -> Floats:
    out = np.zeros(SIZE)
    out[index] = value
    return out


def _climb(loglik: LogLik, start: Floats) -> Floats:
    """Return the mode uphill of a start; forward differences are near enough for a proposal."""

    def cost(z: Floats) -> tuple[float, Floats]:
        points = np.vstack([z, z + _STEP * np.eye(SIZE)])
        logs = loglik(points)[0] - 0.5 * np.sum(points**2, axis=1)
        return -float(logs[0]), (logs[0] - logs[1:]) / _STEP

    best = optimize.minimize(
        cost, start, jac=True, method="SLSQP", bounds=[(-_FAR, _FAR)] * SIZE,
        options={"maxiter": 30, "ftol": 0.02},
    )  # fmt: skip
    return np.asarray(best.x, np.float64)


def _curvature_root(loglik: LogLik, mode: Floats) -> Floats:
    """Return the Cholesky factor of the inverse curvature at the mode, all from one batch."""
    first, second = np.triu_indices(SIZE)
    a, b = _STEP * np.eye(SIZE)[first], _STEP * np.eye(SIZE)[second]
    corners = [mode + a + b, mode + a - b, mode - a + b, mode - a - b]
    points = np.concatenate(corners)
    logs = loglik(points)[0] - 0.5 * np.sum(points**2, axis=1)
    pp, pm, mp, mm = logs.reshape(4, -1)
    hessian = np.zeros((SIZE, SIZE))
    hessian[first, second] = hessian[second, first] = -(pp - pm - mp + mm) / (4 * _STEP**2)
    values, vectors = np.linalg.eigh(hessian)
    # the prior alone gives curvature 1; a ridge flatter than a third of that is not believed
    cov = (vectors / np.clip(values, 0.3, None)) @ vectors.T
    return np.asarray(np.linalg.cholesky(0.5 * (cov + cov.T)), np.float64)
