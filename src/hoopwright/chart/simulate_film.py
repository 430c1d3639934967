"""Simulated players as film measures them: each shot flown by the physics, then seen with errors.

Two errors: one drawn anew for every shot, and one drawn once for all shots of a camera.
"""

from dataclasses import dataclass, replace
from uuid import UUID

import numpy as np
from numpy.typing import NDArray

from hoopwright.chart.simulate import Shooter, draw_releases, fly_releases
from hoopwright.chart.spots import RELEASE_SHARE
from hoopwright.records import MeasuredRelease, Shot, ShotSet, Spot

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmErrors:
    """Covariances of (speed, angle, direction, along, across), float64 [5, 5] each [SI]."""

    own: Floats
    shared: Floats


def filmed_set(
    shooter: Shooter, spot: Spot, count: int, *, errors: FilmErrors, rng: np.random.Generator
) -> ShotSet:
    """Return shots of a simulated player from a spot, filmed by one camera."""
    releases = draw_releases(shooter, spot, count, rng=rng)
    flown = fly_releases(shooter, spot, releases, rng=rng)
    truth = np.column_stack([releases, flown.along, flown.across])
    off = rng.multivariate_normal(np.zeros(5), errors.shared)
    seen = truth + off + rng.multivariate_normal(np.zeros(5), errors.own, size=count)
    camera = UUID(bytes=rng.bytes(16), version=4)
    shots = tuple(
        Shot(
            id=UUID(bytes=rng.bytes(16), version=4),
            made=bool(made),
            release=MeasuredRelease(
                speed=row[0], angle=row[1], direction=row[2],
                height=RELEASE_SHARE * shooter.stature, along=row[3], across=row[4],
                covariance=tuple(errors.own.ravel().tolist()),
                shared=tuple(errors.shared.ravel().tolist()), camera=camera,
            ),
        )
        for row, made in zip(seen.tolist(), flown.made, strict=True)
    )  # fmt: skip
    return ShotSet(
        id=camera, workout_id=UUID(int=0), position=0, spot=spot, shots=shots,
        ball_size=shooter.ball_size, ring_height=shooter.ring_height,
    )  # fmt: skip


def as_if_apart(one: ShotSet) -> ShotSet:
    """Return filmed shots as if each one's whole error were its own, to show what that does."""
    shots = tuple(
        s if s.release is None else replace(s, release=_apart(s.release)) for s in one.shots
    )
    return replace(one, shots=shots)


def _apart(release: MeasuredRelease) -> MeasuredRelease:
    return replace(release, covariance=release.total, shared=(), camera=None)
