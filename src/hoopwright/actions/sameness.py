"""Whether two shots say the same: numbers may differ by what a table rounds away."""

import math
from dataclasses import astuple
from uuid import UUID

from hoopwright.records import Landing, MeasuredRelease, Shot

#: a micrometre; tables carry landing points in centimetres, and spreadsheets 15 digits
ROUNDING = 1e-6


def same_shot(one: Shot, other: Shot) -> bool:
    """Return whether two shots with one id are the same shot."""
    return (
        (one.made, set(one.miss), one.half) == (other.made, set(other.miss), other.half)
        and _close(_numbers(one.landing), _numbers(other.landing))
        and _close(_numbers(one.release), _numbers(other.release))
        and _camera(one) == _camera(other)
        and _close(_feel(one), _feel(other))
    )


def _close(one: list[float], other: list[float]) -> bool:
    return len(one) == len(other) and all(
        math.isclose(a, b, rel_tol=1e-9, abs_tol=ROUNDING) for a, b in zip(one, other, strict=True)
    )


def _numbers(measured: Landing | MeasuredRelease | None) -> list[float]:
    if measured is None:
        return []
    if isinstance(measured, Landing):
        return [float(value) for value in astuple(measured)]
    *plain, covariance, shared, _ = astuple(measured)
    return [float(value) for value in (*plain, *covariance, *shared)]


def _camera(shot: Shot) -> UUID | None:
    return shot.release.camera if shot.release else None


def _feel(shot: Shot) -> list[float]:
    return [] if shot.feel is None else [shot.feel]
