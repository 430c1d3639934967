"""Inner loops of normal densities: of one shot, and of what shots of one camera have in common."""

import math

import numpy as np
from numba import njit

_LOG_TWO_PI = math.log(2.0 * math.pi)


@njit(cache=True, nogil=True)
def normal_loglik(gap, covariance):
    """Return the log density of ``gap`` under a normal; both are overwritten (Cholesky)."""
    n = gap.shape[0]
    total = -0.5 * n * _LOG_TWO_PI
    for i in range(n):
        for j in range(i + 1):
            value = covariance[i, j]
            for k in range(j):
                value -= covariance[i, k] * covariance[j, k]
            if i == j:
                covariance[i, i] = math.sqrt(max(value, 1e-14))
            else:
                covariance[i, j] = value / covariance[j, j]
        value = gap[i]
        for k in range(i):
            value -= covariance[i, k] * gap[k]
        gap[i] = value / covariance[i, i]
        total -= 0.5 * gap[i] ** 2 + math.log(covariance[i, i])
    return total


@njit(cache=True, nogil=True)
def tell_shared(gap, lower, steps, information, pull):
    """Add what a shot says of its camera's error; ``gap``, ``lower``: as normal_loglik left them.

    ``steps``: 25 numbers, how unit-variance steps of that error move the shot's five values.
    """
    by = np.empty((5, 5))
    for i in range(5):
        for c in range(5):
            value = steps[5 * i + c]
            for k in range(i):
                value -= lower[i, k] * by[k, c]
            by[i, c] = value / lower[i, i]
            pull[c] += by[i, c] * gap[i]
        for a in range(5):
            # normal_loglik reads no more than this half
            for b in range(a + 1):
                information[a, b] += by[i, a] * by[i, b]


@njit(cache=True, nogil=True)
def shared_loglik(information, pull):
    """Return what integrating out a camera's error adds (Gaussian); both are overwritten."""
    total = normal_loglik(pull, information) + 0.5 * len(pull) * _LOG_TWO_PI
    return total + np.sum(pull**2)
