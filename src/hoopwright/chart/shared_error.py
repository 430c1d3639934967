"""The error that all shots of one camera have in common: no scatter, and not averaged away.

A camera that is held 3 cm wrong puts every shot 3 cm off. So each camera has one error, drawn once,
and what the shots say of the player holds for any size it may have (it is integrated out).
"""

from collections.abc import Hashable, Sequence

import numpy as np
from numpy.typing import NDArray

from hoopwright.records import MeasuredRelease

Floats = NDArray[np.float64]

#: numbers of a release that the error is of
_SIZE = 5


def shared_columns(groups: Sequence[Sequence[MeasuredRelease]]) -> Floats:
    """Return each shot's shared error as the likelihood takes it, float64 [shot, 26].

    Parameters
    ----------
    groups
        Measured releases, spot by spot.

    Returns
    -------
    ndarray
        5 × 5 numbers by which five unit-variance steps, the same for all shots of a camera, move
        speed, angle, direction, along and across; then the number of the camera, −1 where
        nothing is shared.

    Notes
    -----
    Derived: the symmetric square root of the mean covariance over the shots of one camera from one
    spot. It moves smoothly with the covariance, so the steps mean much the same at every spot.
    """
    numbers: dict[Hashable, int] = {}
    parts = [np.empty((0, _SIZE**2 + 1)), *(_of_spot(one, numbers) for one in groups)]
    return np.concatenate(parts)


def _of_spot(found: Sequence[MeasuredRelease], numbers: dict[Hashable, int]) -> Floats:
    out = np.zeros((len(found), _SIZE**2 + 1))
    out[:, -1] = -1.0
    for camera in dict.fromkeys(r.camera for r in found if r.shared):
        rows = [i for i, r in enumerate(found) if r.shared and r.camera == camera]
        mean = np.mean([found[i].shared for i in rows], axis=0).reshape(_SIZE, _SIZE)
        out[rows, :-1] = _symmetric_root(mean).ravel()
        out[rows, -1] = numbers.setdefault(camera, len(numbers))
    return out


def _symmetric_root(covariance: Floats) -> Floats:
    scale = np.sqrt(np.maximum(np.diag(covariance), 1e-300))
    values, vectors = np.linalg.eigh(covariance / np.outer(scale, scale))
    root: Floats = scale[:, None] * ((vectors * np.sqrt(np.maximum(values, 0.0))) @ vectors.T)
    return root


def camera_of(release: MeasuredRelease) -> Hashable:
    """Return what tells the releases with one shared error from others."""
    return (release.camera,) if release.shared else None


def mean_variance(variances: Floats, *, cameras: Sequence[Hashable]) -> float:
    """Return the variance that shared errors leave in the mean of some shots.

    Parameters
    ----------
    variances
        Of each shot's shared error, float64 [shot].
    cameras
        Whose error that is, one per shot.

    Notes
    -----
    Derived: one camera's error is the same in all its shots, those of different cameras are
    independent, so each camera counts by the square of its share of the shots.
    """
    shares = {one: np.array([c == one for c in cameras]) for one in dict.fromkeys(cameras)}
    return float(sum(np.mean(s) ** 2 * np.mean(variances[s]) for s in shares.values()))
