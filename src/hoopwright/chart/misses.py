"""Charted sets → the arrays the likelihood reads, with every kind of missing detail allowed.

One *block* is one spot, ball, ring height and way of noting misses. Shots with a film or a
tapped point are read as points; all others as counts.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from hoopwright.chart import _kernel as k
from hoopwright.chart.findings import Tally
from hoopwright.chart.shared_error import shared_columns
from hoopwright.records import Half, Landing, MeasuredRelease, Miss, MissDetail, Shot, ShotSet, Spot

Floats = NDArray[np.float64]

#: order of the directions in the counts, after the first four columns
WAYS: tuple[tuple[Miss, ...], ...] = (
    (Miss.SHORT,),
    (Miss.LONG,),
    (Miss.LEFT,),
    (Miss.RIGHT,),
    (Miss.SHORT, Miss.LEFT),
    (Miss.SHORT, Miss.RIGHT),
    (Miss.LONG, Miss.LEFT),
    (Miss.LONG, Miss.RIGHT),
)
#: ways of noting misses that carry directions, in the order of the kernel's styles
STYLES = (MissDetail.ALONG, MissDetail.ONE, MissDetail.TWO)
_WAY_AT = {frozenset(way): i for i, way in enumerate(WAYS)}


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockKey:
    """What one block's shots share."""

    spot: Spot
    ball_size: int
    ring_height: float
    style: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """All shots of one player under one condition, as arrays."""

    keys: tuple[BlockKey, ...]
    #: float64 [block, 12]
    counts: Floats
    #: float64 [point, 4]: along, across and their errors [m], sorted by block
    points: Floats
    #: bool [point]
    point_made: NDArray[np.bool_]
    #: int64 [block + 1]
    point_from: NDArray[np.int64]
    #: float64 [film, 56]: five values, their 25 own covariances and the 26 columns of
    #: ``shared_error``, sorted by block
    films: Floats
    film_made: NDArray[np.bool_]
    film_from: NDArray[np.int64]
    #: shots and makes per block, int64 [block]
    shots: NDArray[np.int64]
    made: NDArray[np.int64]

    @property
    def placed(self) -> int:
        """How many shots say where they went: a direction, a half of the ring or a point."""
        directed = self.counts[:, [k.MAKE_FRONT, k.MAKE_BACK, *range(k.FIRST_WAY, 12)]]
        return int(directed.sum()) + len(self.points) + len(self.films)


def by_condition(sets: Sequence[ShotSet]) -> dict[str, list[ShotSet]]:
    """Group sets by condition, the habit first; drills that stop on makes are left out."""
    groups: dict[str, list[ShotSet]] = {}
    for one in sets:
        if one.shots and not one.stops_on_makes:
            groups.setdefault(one.condition.strip(), []).append(one)
    return dict(sorted(groups.items(), key=lambda item: (item[0] != "", item[0])))


def style_of(one: ShotSet) -> int:
    """Return the kernel's style of a set: two directions as soon as one miss has two."""
    if any(len(shot.miss) == 2 for shot in one.shots):
        return STYLES.index(MissDetail.TWO)
    if one.miss_detail in STYLES:
        return STYLES.index(one.miss_detail)
    return STYLES.index(MissDetail.ONE)


def evidence(sets: Sequence[ShotSet]) -> Evidence:
    """Turn the sets of one condition into arrays."""
    blocks: dict[BlockKey, list[Shot]] = {}
    for one in sets:
        key = BlockKey(
            spot=one.spot,
            ball_size=one.ball_size,
            ring_height=one.ring_height,
            style=style_of(one),
        )
        blocks.setdefault(key, []).extend(one.shots)
    groups = list(blocks.values())
    filmed = [[s for s in group if s.release is not None] for group in groups]
    tapped = [[s for s in group if s.release is None and s.landing] for group in groups]
    flat_taps, flat_films = list(chain(*tapped)), list(chain(*filmed))
    found = [[s.release for s in group if s.release is not None] for group in filmed]
    return Evidence(
        keys=tuple(blocks),
        counts=np.array([_counts(group) for group in groups]).reshape(-1, 12),
        points=np.array([_point(s.landing) for s in flat_taps if s.landing]).reshape(-1, 4),
        point_made=np.array([s.made for s in flat_taps], dtype=np.bool_),
        point_from=_starts(tapped),
        films=np.column_stack(
            [
                np.array([_film(r) for r in chain(*found)]).reshape(-1, 30),
                shared_columns(found),
            ]
        ),
        film_made=np.array([s.made for s in flat_films], dtype=np.bool_),
        film_from=_starts(filmed),
        shots=np.array([len(group) for group in groups], dtype=np.int64),
        made=np.array([sum(s.made for s in group) for group in groups], dtype=np.int64),
    )


def _starts(groups: Sequence[Sequence[Shot]]) -> NDArray[np.int64]:
    return np.cumsum([0, *(len(g) for g in groups)], dtype=np.int64)


def _point(landing: Landing) -> tuple[float, float, float, float]:
    return landing.along, landing.across, landing.along_sd, landing.across_sd


def _film(r: MeasuredRelease) -> list[float]:
    return [r.speed, r.angle, r.direction, r.along, r.across, *r.covariance]


def _counts(shots: Sequence[Shot]) -> list[float]:
    row = [0.0] * 12
    for shot in shots:
        if shot.release is None and shot.landing is None:
            row[_column(shot)] += 1.0
    return row


def _column(shot: Shot) -> int:
    if shot.made:
        return {None: k.MAKE, Half.FRONT: k.MAKE_FRONT, Half.BACK: k.MAKE_BACK}[shot.half]
    if not shot.miss:
        return k.MISS
    return k.FIRST_WAY + _WAY_AT[frozenset(shot.miss)]


def tally(sets: Sequence[ShotSet]) -> Tally:
    """Count makes, misses and directions; a diagonal miss counts once in each direction."""
    shots = [shot for one in sets for shot in one.shots]
    ways = {way: sum(way in s.miss for s in shots) for way in Miss}
    return Tally(
        shots=len(shots),
        made=sum(s.made for s in shots),
        short=ways[Miss.SHORT],
        long=ways[Miss.LONG],
        left=ways[Miss.LEFT],
        right=ways[Miss.RIGHT],
        plain_misses=sum(not s.made and not s.miss for s in shots),
        points=sum(s.landing is not None or s.release is not None for s in shots),
        filmed=sum(s.release is not None for s in shots),
    )
