"""Charts of simulated players, flown shot by shot: the truth for recovery tests and demo data.

Nothing here reads the make table: each shot is released, flown through air and played against
ring and board by the physics, then seen and called as a coach would.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from uuid import UUID

import numpy as np
from numpy.typing import NDArray

from hoopwright.chart import _kernel as k
from hoopwright.chart.calls import SEEING_SD, SLIPS, call_way
from hoopwright.chart.make_table import SPINS
from hoopwright.chart.misses import WAYS
from hoopwright.chart.prior import SIZE, Prior
from hoopwright.chart.spots import BACKSPIN, reachable, release_distance, release_rise
from hoopwright.court.standards import ball, rule_book
from hoopwright.flight.air import Air
from hoopwright.flight.arc import least_speed_angle, speed_to_reach
from hoopwright.flight.contact import RANGES
from hoopwright.flight.ring import is_make, shoot
from hoopwright.records import Half, Landing, Miss, MissDetail, Shot, ShotSet, Spot

Floats = NDArray[np.float64]

#: error of a tapped point, one standard deviation [m]
TAP_SD = 0.05


class Style(StrEnum):
    """How a simulated coach charts."""

    #: make or miss
    COUNTS = "counts"
    #: short or long, left and right not looked at
    ALONG = "along"
    ONE = "one"
    TWO = "two"
    #: as ONE, with front or back half for makes
    HALVES = "halves"
    #: a tapped point and make or miss
    POINTS = "points"


_DETAIL = {
    Style.COUNTS: MissDetail.NONE,
    Style.ALONG: MissDetail.ALONG,
    Style.TWO: MissDetail.TWO,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Shooter:
    """A simulated player."""

    #: the model's eight numbers, float64 [8]
    psi: Floats
    #: stature [m]
    stature: float = 1.75
    ball_size: int = 7
    ring_height: float = 3.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Flown:
    """Simulated shots as they really were."""

    made: NDArray[np.bool_]
    #: at the ring plane [m]
    along: Floats
    across: Floats


def fly_shots(shooter: Shooter, spot: Spot, count: int, *, rng: np.random.Generator) -> Flown:
    """Return ``count`` shots of a simulated player from a spot.

    A release that never reaches the ring plane is a miss one metre short.
    """
    return fly_releases(shooter, spot, draw_releases(shooter, spot, count, rng=rng), rng=rng)


def draw_releases(shooter: Shooter, spot: Spot, count: int, *, rng: np.random.Generator) -> Floats:
    """Return speed [m/s], angle and direction [rad] of shots from a spot, float64 [shot, 3]."""
    psi = shooter.psi
    the_ball, air = ball(shooter.ball_size), Air.standard()
    distance, rise = release_distance(spot), release_rise(shooter.ring_height, shooter.stature)
    least = least_speed_angle(distance, rise, ball=the_ball, air=air, spin=BACKSPIN)
    middle = reachable(least + psi[k.ANGLE_OVER], distance, rise)
    speed = speed_to_reach(distance, middle, rise, ball=the_ball, air=air, spin=BACKSPIN)
    z = rng.standard_normal((3, count))
    link = math.tanh(psi[k.CORRELATION])
    off = psi[k.SPEED_BIAS] + math.exp(psi[k.LOG_SPEED_SD]) * z[0]
    turn = math.exp(psi[k.LOG_ANGLE_SD]) * (link * z[0] + math.sqrt(1 - link**2) * z[1])
    aside = psi[k.TURN_BIAS] + math.exp(psi[k.LOG_TURN_SD]) * z[2]
    return np.column_stack([speed * np.exp(off), middle + turn, aside])


def fly_releases(
    shooter: Shooter, spot: Spot, releases: Floats, *, rng: np.random.Generator
) -> Flown:
    """Return what becomes of releases [shot, 3] as ``draw_releases`` gives them."""
    count = len(releases)
    board_range, friction_range = RANGES["board_restitution"], RANGES["friction"]
    shots = shoot(
        *releases.T,
        distance=release_distance(spot),
        rise=release_rise(shooter.ring_height, shooter.stature),
        bearing=spot.bearing,
        spin=rng.uniform(*SPINS, size=count),
        board_restitution=rng.uniform(*board_range, size=count),
        friction=rng.uniform(*friction_range, size=count),
        ring_restitution=float(shooter.psi[k.RING]),
        ball=ball(shooter.ball_size),
        ring=rule_book("fiba").ring,
        board=rule_book("fiba").board,
        air=Air.standard(),
    )
    return Flown(
        made=np.asarray(is_make(shots.outcome), np.bool_),
        along=np.nan_to_num(shots.along, nan=-1.0),
        across=np.nan_to_num(shots.across, nan=0.0),
    )


def chart_set(
    flown: Flown, spot: Spot, *, style: Style, shooter: Shooter, rng: np.random.Generator,
    position: int = 0, condition: str = "",
) -> ShotSet:  # fmt: skip
    """Return flown shots as a coach charts them."""
    shots = tuple(_charted(flown, i, style, rng) for i in range(len(flown.made)))
    return ShotSet(
        id=_uuid(rng),
        workout_id=UUID(int=0),
        position=position,
        spot=spot,
        condition=condition,
        ball_size=shooter.ball_size,
        ring_height=shooter.ring_height,
        miss_detail=_DETAIL.get(style, MissDetail.ONE),
        shots=shots,
    )


def _charted(flown: Flown, i: int, style: Style, rng: np.random.Generator) -> Shot:
    made = bool(flown.made[i])
    along, across = float(flown.along[i]), float(flown.across[i])
    if style is Style.POINTS:
        tap = rng.normal((along, across), TAP_SD)
        point = Landing(along=tap[0], across=tap[1], along_sd=TAP_SD, across_sd=TAP_SD)
        return Shot(id=_uuid(rng), made=made, landing=point)
    seen = rng.normal((along, across), SEEING_SD)
    half = None
    if style is Style.HALVES and made:
        front = bool(seen[0] < 0) if rng.random() >= SLIPS else bool(rng.random() < 0.5)
        half = Half.FRONT if front else Half.BACK
    miss = () if made or style is Style.COUNTS else _called(seen, style, rng)
    return Shot(id=_uuid(rng), made=made, miss=miss, half=half)


def _called(seen: Floats, style: Style, rng: np.random.Generator) -> tuple[Miss, ...]:
    detail = _DETAIL.get(style, MissDetail.ONE)
    used = {MissDetail.ALONG: 2, MissDetail.ONE: 4, MissDetail.TWO: 8}[detail]
    if rng.random() < SLIPS:
        return WAYS[int(rng.integers(used))]
    return WAYS[int(call_way(seen[:1], seen[1:], detail)[0])]


def _uuid(rng: np.random.Generator) -> UUID:
    return UUID(bytes=rng.bytes(16), version=4)


def simulate_sets(
    shooter: Shooter, spots: Sequence[Spot], shots_each: int, *, style: Style,
    rng: np.random.Generator, condition: str = "",
) -> tuple[ShotSet, ...]:  # fmt: skip
    """Return charted sets of a simulated player, one per spot."""
    return tuple(
        chart_set(
            fly_shots(shooter, spot, shots_each, rng=rng),
            spot,
            style=style,
            shooter=shooter,
            rng=rng,
            position=i,
            condition=condition,
        )
        for i, spot in enumerate(spots)
    )


def draw_shooter(prior: Prior, rng: np.random.Generator, *, stature: float = 1.75) -> Shooter:
    """Return a simulated player drawn from a prior."""
    return Shooter(psi=prior.psi(rng.standard_normal((1, SIZE)))[0], stature=stature)
