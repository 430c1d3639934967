"""The likelihood of one player's shots under one condition, and what it predicts elsewhere.

A shot is release speed, angle and direction; a player is their mean and covariance; the flight
equations carry both to the ring plane at any spot; the make table says what goes in from there.
"""

import functools
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextvars import ContextVar
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from hoopwright.chart import _kernel as k
from hoopwright.chart.calls import table_calls
from hoopwright.chart.make_table import ACROSS, ALONG, ENTRIES, RINGS
from hoopwright.chart.misses import STYLES, Evidence
from hoopwright.chart.points import summarise
from hoopwright.chart.spots import ANGLES_OVER, SpotFlight, spot_flight
from hoopwright.records import MissDetail, Spot

Floats = NDArray[np.float64]

#: fine nodes for each step of the table's entry and ring axes, for outcomes beside points
FINE = (5, 4)
#: start and step of the angle over least, entry angle and ring axes; fine entry and ring steps
AXES = np.array([
    ANGLES_OVER[0], ANGLES_OVER[1] - ANGLES_OVER[0],
    ENTRIES[0], ENTRIES[1] - ENTRIES[0],
    RINGS[0], RINGS[1] - RINGS[0],
    (ENTRIES[1] - ENTRIES[0]) / FINE[0], (RINGS[1] - RINGS[0]) / FINE[1],
])  # fmt: skip
#: start and step of the cells along and across
GRID = np.array([ALONG[0], ALONG[1] - ALONG[0], ACROSS[0], ACROSS[1] - ACROSS[0]])
_THREADS = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Places:
    """Some spots, stacked for the kernels."""

    #: float64 [place, angle node, 5]
    flights: Floats
    #: float64 [place, 5]: distance, least-speed angle, table index, has counts, has outcomes
    settings: Floats
    #: float32 [place, entry, ring, along, across]
    tables: NDArray[np.float32]

    @classmethod
    def stack(
        cls, spots: Sequence[SpotFlight], has: Sequence[tuple[float, float]] = ()
    ) -> "Places":
        """Stack tabulated spots; ``has``: 1 or 0 for counts and for outcomes beside points."""
        counted = has or [(1.0, 0.0)] * len(spots)
        rows = [
            (s.distance, s.least_angle, float(i), *has)
            for i, (s, has) in enumerate(zip(spots, counted, strict=True))
        ]
        return cls(
            flights=np.stack([s.flights for s in spots]),
            settings=np.array(rows),
            tables=np.stack([s.table for s in spots]),
        )

    def only(self, which: NDArray[np.int64]) -> "Places":
        """Return some of the places."""
        settings = self.settings[which]
        settings[:, 2] = np.arange(len(which))
        return Places(flights=self.flights[which], settings=settings, tables=self.tables[which])


@dataclass(frozen=True, slots=True, kw_only=True)
class Landings:
    """Make shares and landings of draws at places."""

    #: float64 [draw, place]
    made: Floats
    #: float64 [draw, place, 5]: mean along, sd along, mean across, sd across, entry angle
    where: Floats


def places_of(shots: Evidence, *, stature: float) -> Places:
    """Return the blocks' spots, in their order."""
    flights = [
        spot_flight(key.spot, ball_size=key.ball_size, ring_height=key.ring_height, stature=stature)
        for key in shots.keys
    ]
    placed = np.diff(shots.point_from) + np.diff(shots.film_from)
    has = [(float(c > 0), float(p > 0)) for c, p in zip(shots.counts.sum(1), placed, strict=True)]
    return Places.stack(flights, has)


def straight_places(
    distances: Floats, *, ball_size: int, ring_height: float, stature: float
) -> Places:
    """Return places straight in front of the board at some spot-to-ring distances [m]."""
    spots = [Spot(name="", x=0.0, y=float(d)) for d in distances]
    return Places.stack([
        spot_flight(spot, ball_size=ball_size, ring_height=ring_height, stature=stature)
        for spot in spots
    ])  # fmt: skip


def loglik_of(shots: Evidence, places: Places) -> Callable[[Floats], tuple[Floats, Floats]]:
    """Return the function psi [draw, 8] → log-likelihood [draw] and make shares [draw, block]."""
    ways, front = table_calls()
    styles = np.array([key.style for key in shots.keys], dtype=np.int64)
    points = summarise(shots, places.tables, GRID, FINE)

    def run(psi: Floats, out: Floats, made: Floats) -> None:
        k.loglik(
            psi, places.flights, places.settings, places.tables, AXES, GRID,
            shots.counts, styles, ways, front, points.groups, points.group_from,
            points.outcomes, shots.films, shots.film_from, out, made,
        )  # fmt: skip

    def loglik(psi: Floats) -> tuple[Floats, Floats]:
        out = np.empty(len(psi))
        made = np.empty((len(psi), len(places.settings)))
        _in_threads(lambda part: run(psi[part], out[part], made[part]), len(psi))
        return out, made

    return loglik


def landings(psi: Floats, places: Places) -> Landings:
    """Return make shares and landings of draws [draw, 8] at places."""
    made = np.empty((len(psi), len(places.settings)))
    where = np.empty((len(psi), len(places.settings), 5))

    def run(part: slice) -> None:
        k.made_shares(
            psi[part], places.flights, places.settings, places.tables, AXES, GRID,
            made[part], where[part],
        )  # fmt: skip

    _in_threads(run, len(psi))
    return Landings(made=made, where=where)


def variants(psi: Floats, places: Places, *, steps: Floats, shares: Floats) -> Floats:
    """Return the share made over places under variants of the draws, float64 [draw, variant].

    Parameters
    ----------
    psi
        Draws, float64 [draw, 8].
    places
        Where.
    steps
        What each variant adds to speed bias, log speed spread, log angle spread, direction bias
        and log direction spread, float64 [variant, 5].
    shares
        Weight of each place, summing to 1, float64 [place].
    """
    out = np.empty((len(psi), len(steps)))

    def run(part: slice) -> None:
        k.made_variants(
            psi[part], steps, places.flights, places.settings, places.tables, AXES, GRID,
            shares, out[part],
        )  # fmt: skip

    _in_threads(run, len(psi))
    return out


def call_shares(psi: Floats, places: Places, *, style: int) -> Floats:
    """Return the chance of each count column, float64 [draw, place, 12], for one style."""
    ways, front = table_calls()
    out = np.empty((len(psi), len(places.settings), k.FIRST_WAY + k.WAYS))

    def run(part: slice) -> None:
        k.way_shares(
            psi[part], places.flights, places.settings, places.tables, AXES, GRID,
            ways[style], front, out[part],
        )  # fmt: skip

    _in_threads(run, len(psi))
    return out


#: set while whole players are read side by side, when each needs but one thread
_ALONE: ContextVar[bool] = ContextVar("alone", default=False)
_Item = TypeVar("_Item")
_Result = TypeVar("_Result")


def side_by_side(work: Callable[[_Item], _Result], items: Iterable[_Item]) -> list[_Result]:
    """Return ``work`` of each item, in order, one thread per item at a time."""

    def alone(item: _Item) -> _Result:
        token = _ALONE.set(True)
        try:
            return work(item)
        finally:
            _ALONE.reset(token)

    with ThreadPoolExecutor(_THREADS, thread_name_prefix="players") as pool:
        return list(pool.map(alone, items))


def _in_threads(run: Callable[[slice], None], count: int) -> None:
    """Run over slices of draws on both cores; the kernels hold no lock."""
    # few draws are over before a thread has woken
    if count < 64 or _ALONE.get():
        run(slice(0, count))
        return
    edges = np.linspace(0, count, _THREADS + 1).astype(int)
    list(_pool().map(run, [slice(a, b) for a, b in pairwise(edges)]))


@functools.cache
def _pool() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(_THREADS, thread_name_prefix="chart")


#: the style misses are simulated in
ONE_WAY = STYLES.index(MissDetail.ONE)
