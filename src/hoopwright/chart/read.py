"""One posterior → the reading: aim, spread, expected makes, worth, what can't be told yet."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.chart import _kernel as k
from hoopwright.chart import lean, model
from hoopwright.chart.calls import missed_ways, noted
from hoopwright.chart.film_measures import film_reading
from hoopwright.chart.findings import (
    CannotTell,
    Change,
    ConditionReading,
    DistanceReading,
    Lean,
    SpotReading,
)
from hoopwright.chart.intervals import wilson
from hoopwright.chart.misses import BlockKey, tally
from hoopwright.chart.needed import shots_needed
from hoopwright.chart.posterior import Posterior
from hoopwright.chart.worth import Weighed, weigh
from hoopwright.records import Estimate

Floats = NDArray[np.float64]

#: draws used for the reading
DRAWS = 512
#: places, the most charted ones, at which misses are called and further shots simulated
FEW_PLACES = 3
#: misses noted along, or across, from which a change of that aim is judged; common practice
FEWEST_PLACED = 4
#: an 80 % range of the entry angle is wide while it spans more than this [rad]
WIDE_ANGLE = np.radians(4.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drawn:
    """Everything the parts of a reading share."""

    found: Posterior
    #: float64 [draw, 8]
    psi: Floats
    #: at the charted places
    at: model.Landings
    #: share of shots at each place, float64 [place]
    shares: Floats
    #: index of the place with most shots
    main: int
    #: the places with most shots, int64 [few]
    few: NDArray[np.int64]
    #: chance of each call there, float64 [draw, few, 12]
    calls: Floats
    #: share of short ones among short and long misses, float64 [draw]
    short: Floats
    #: misses noted short, long, left and right, int64 [4]
    ways: NDArray[np.int64]
    #: shots that would show a lean along, and across
    noted: tuple[int, int]
    along_lean: tuple[Lean, float]
    across_lean: tuple[Lean, float]

    @property
    def filmed(self) -> bool:
        """Whether any shot was filmed: nothing else shows the arc."""
        return len(self.found.shots.films) > 0

    @property
    def main_key(self) -> BlockKey:
        """What the shots of the main place share."""
        return self.found.shots.keys[self.main]


def read_condition(found: Posterior, rng: np.random.Generator) -> ConditionReading:
    """Return the reading of one condition."""
    drawn = _drawn(found)
    where = drawn.at.where[:, drawn.main]
    worth = _worth(drawn)
    psi = drawn.psi
    return ConditionReading(
        condition=found.condition,
        tally=tally(found.sets),
        reference_distance=drawn.main_key.spot.distance,
        aim_along=Estimate.from_draws(where[:, 0]),
        aim_across=Estimate.from_draws(where[:, 2]),
        spread_along=Estimate.from_draws(where[:, 1]),
        spread_across=Estimate.from_draws(where[:, 3]),
        speed_spread=Estimate.from_draws(np.exp(psi[:, k.LOG_SPEED_SD])),
        direction_spread=Estimate.from_draws(np.exp(psi[:, k.LOG_TURN_SD])),
        angle_over_least=Estimate.from_draws(psi[:, k.ANGLE_OVER]),
        entry_angle=Estimate.from_draws(where[:, 4]),
        make=Estimate.from_draws(drawn.at.made @ drawn.shares),
        along_lean=drawn.along_lean[0],
        along_chance=drawn.along_lean[1],
        across_lean=drawn.across_lean[0],
        across_chance=drawn.across_lean[1],
        spots=_spots(drawn, rng),
        distances=_distances(drawn),
        worth=worth.rows,
        cannot_tell=_cannot_tell(drawn, worth, rng),
        film=film_reading(found.sets),
    )


def _drawn(found: Posterior) -> _Drawn:
    psi = found.psi(DRAWS)
    at = model.landings(psi, found.places)
    main = int(np.argmax(found.shots.shots))
    shares = found.shots.shots / found.shots.shots.sum()
    few = np.argsort(-shares)[:FEW_PLACES]
    calls = model.call_shares(psi, found.places.only(few), style=model.ONE_WAY)
    called = np.einsum("dpc,p->dc", calls, shares[few])
    short = called[:, k.FIRST_WAY] / (called[:, k.FIRST_WAY] + called[:, k.FIRST_WAY + 1])
    ways, shown = missed_ways(found.sets), noted(found.sets)
    return _Drawn(
        found=found,
        psi=psi,
        at=at,
        shares=shares,
        main=main,
        few=few,
        calls=calls,
        short=short,
        ways=ways,
        noted=shown,
        along_lean=lean.along_lean(short, ways, shown[0]),
        across_lean=lean.across_lean(at.where[:, main, 2], ways, shown[1]),
    )


def _worth(drawn: _Drawn) -> Weighed:
    place = drawn.found.places
    over = float(np.mean(drawn.psi[:, k.ANGLE_OVER]))
    row = np.empty(5)
    k.interpolate_row(place.flights[drawn.main], model.AXES[0], model.AXES[1], over, row)
    return weigh(
        drawn.psi,
        place,
        shares=drawn.shares,
        now=drawn.at.made @ drawn.shares,
        along_per_speed=float(row[k.GAIN_SPEED]),
        distance=float(place.settings[drawn.main, 0]),
        judged=_judged(drawn),
    )


def _judged(drawn: _Drawn) -> tuple[Change, ...]:
    """Return the changes that these shots can judge: none whose own trace was never noted."""
    points = len(drawn.found.shots.points) + len(drawn.found.shots.films)
    judged: list[Change] = []
    if points + drawn.ways.sum() >= FEWEST_PLACED:
        judged += [Change.DISTANCE_CONTROL, Change.LINE_CONTROL]
    if points + drawn.ways[:2].sum() >= FEWEST_PLACED:
        judged.append(Change.AIM_ALONG)
    if points + drawn.ways[2:].sum() >= FEWEST_PLACED:
        judged.append(Change.AIM_ACROSS)
    if drawn.filmed:
        judged += [Change.ANGLE_UP, Change.ANGLE_DOWN]
    return tuple(judged)


def _spots(drawn: _Drawn, rng: np.random.Generator) -> tuple[SpotReading, ...]:
    shots = drawn.found.shots
    groups: dict[tuple[object, ...], list[int]] = {}
    for i, key in enumerate(shots.keys):
        groups.setdefault((key.spot, key.ball_size, key.ring_height), []).append(i)
    return tuple(_spot(drawn, blocks, rng) for blocks in groups.values())


def _spot(drawn: _Drawn, blocks: Sequence[int], rng: np.random.Generator) -> SpotReading:
    shots = drawn.found.shots
    first = blocks[0]
    count, made = int(shots.shots[blocks].sum()), int(shots.made[blocks].sum())
    chance, where = drawn.at.made[:, first], drawn.at.where[:, first]
    again = rng.binomial(count, np.clip(chance, 0, 1))
    middle = count * float(chance.mean())
    return SpotReading(
        spot=shots.keys[first].spot,
        condition=drawn.found.condition,
        shots=count,
        made=made,
        observed=wilson(made, count),
        expected=Estimate.from_draws(chance),
        aim_along=Estimate.from_draws(where[:, 0]),
        aim_across=Estimate.from_draws(where[:, 2]),
        spread_along=Estimate.from_draws(where[:, 1]),
        spread_across=Estimate.from_draws(where[:, 3]),
        fit=float(np.mean(np.abs(again - middle) >= abs(made - middle) - 1e-9)),
    )


def _distances(drawn: _Drawn) -> tuple[DistanceReading, ...]:
    key = drawn.main_key
    longest = max(one.spot.distance for one in drawn.found.shots.keys)
    distances = np.arange(1.5, max(7.5, longest + 0.75) + 0.01, 0.75)
    places = model.straight_places(
        distances,
        ball_size=key.ball_size,
        ring_height=key.ring_height,
        stature=drawn.found.stature,
    )
    there = model.landings(drawn.psi, places)
    return tuple(
        DistanceReading(
            distance=float(distance),
            expected=Estimate.from_draws(there.made[:, i]),
            spread_along=Estimate.from_draws(there.where[:, i, 1]),
            spread_across=Estimate.from_draws(there.where[:, i, 3]),
        )
        for i, distance in enumerate(distances)
    )


def _cannot_tell(drawn: _Drawn, worth: Weighed, rng: np.random.Generator) -> tuple[CannotTell, ...]:
    open_questions = _open_questions(drawn, worth)
    rows: list[CannotTell] = []
    if open_questions:
        rows = _with_shots_needed(drawn, open_questions, worth.gains, rng)
    angle = Estimate.from_draws(drawn.at.where[:, drawn.main, 4])
    if not drawn.filmed or angle.high80 - angle.low80 > WIDE_ANGLE:
        rows.append(CannotTell(question=lean.ANGLE, shots_needed=None))
    return tuple(rows)


def _open_questions(drawn: _Drawn, worth: Weighed) -> list[str]:
    now = np.full((1, len(drawn.psi)), 1.0 / len(drawn.psi))
    first = np.bincount(np.argmax(worth.gains, axis=0), minlength=len(worth.gains))
    foremost = worth.weighable[int(np.argmax(first))]
    stands_out = bool(lean.best_decided(worth.gains, now)[0])
    settled = {
        lean.AIM_ALONG: drawn.along_lean[0] is not Lean.CANNOT_TELL,
        lean.AIM_ACROSS: drawn.across_lean[0] is not Lean.CANNOT_TELL,
        lean.BEST_CHANGE: stands_out and foremost in _judged(drawn),
        lean.MAKE: bool(lean.make_decided(drawn.at.made @ drawn.shares, now)[0]),
    }
    return [name for name, told in settled.items() if not told]


def _with_shots_needed(
    drawn: _Drawn, asked: Sequence[str], gains: Floats, rng: np.random.Generator
) -> list[CannotTell]:
    across, made = drawn.at.where[:, drawn.main, 2], drawn.at.made @ drawn.shares

    def total(number: int, more: Floats) -> tuple[Floats, Floats]:
        return drawn.ways + more, drawn.noted[number] + more.sum(axis=1)

    decided = {
        lean.AIM_ALONG: lambda w, more: lean.along_decided(drawn.short, w, *total(0, more)),
        lean.AIM_ACROSS: lambda w, more: lean.across_decided(across, w, *total(1, more)),
        lean.BEST_CHANGE: lambda w, _: lean.best_decided(gains, w),
        lean.MAKE: lambda w, _: lean.make_decided(made, w),
    }
    found = shots_needed(
        drawn.calls,
        drawn.shares[drawn.few] / drawn.shares[drawn.few].sum(),
        questions={name: decided[name] for name in asked},
        rng=rng,
    )
    return [
        CannotTell(question=name, shots_needed=shots, beyond=shots is None)
        for name, shots in found.items()
    ]
