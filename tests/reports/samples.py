"""Findings made by hand for the tests of reports and pages; all players are invented."""

import math
from dataclasses import replace

from hoopwright.chart.findings import (
    CannotTell,
    Change,
    ConditionReading,
    DistanceReading,
    FilmMeasure,
    FilmReading,
    Findings,
    Lean,
    PriorRow,
    SpotReading,
    Tally,
    Worth,
)
from hoopwright.records import Estimate, Spot


def around(value: float, sd: float) -> Estimate:
    """A normal estimate: quantiles of the standard normal, 0.6745, 1.2816 and 1.9600."""
    return Estimate(
        value=value,
        low50=value - 0.6745 * sd,
        high50=value + 0.6745 * sd,
        low80=value - 1.2816 * sd,
        high80=value + 1.2816 * sd,
        low95=value - 1.96 * sd,
        high95=value + 1.96 * sd,
    )


def spot_reading(name: str, x: float, y: float, made: int, shots: int) -> SpotReading:
    share = made / shots
    return SpotReading(
        spot=Spot(name=name, x=x, y=y),
        condition="",
        shots=shots,
        made=made,
        observed=around(share, math.sqrt(share * (1 - share) / shots)),
        expected=around(0.57 - 0.04 * (math.hypot(x, y) - 4.2), 0.06),
        aim_along=around(-0.06, 0.02),
        aim_across=around(0.005, 0.015),
        spread_along=around(0.15, 0.02),
        spread_across=around(0.09, 0.015),
        fit=0.6,
    )


def distance_reading(distance: float) -> DistanceReading:
    return DistanceReading(
        distance=distance,
        expected=around(0.85 / (1 + math.exp((distance - 5.0) / 1.6)) + 0.05, 0.055),
        spread_along=around(0.03 * distance, 0.02),
        spread_across=around(0.02 * distance, 0.012),
    )


SHORT_READING = ConditionReading(
    condition="",
    tally=Tally(shots=40, made=22, short=9, long=2, left=4, right=3, plain_misses=0, points=0),
    reference_distance=4.225,
    aim_along=around(-0.06, 0.022),
    aim_across=around(0.004, 0.012),
    spread_along=around(0.15, 0.02),
    spread_across=around(0.09, 0.013),
    speed_spread=around(0.012, 0.002),
    direction_spread=around(0.022, 0.003),
    angle_over_least=around(0.05, 0.04),
    entry_angle=around(0.75, 0.05),
    make=around(0.57, 0.06),
    along_lean=Lean.SHORT,
    along_chance=0.97,
    across_lean=Lean.FINE,
    across_chance=0.9,
    spots=(
        spot_reading("Free throw", 0.0, 4.225, 13, 20),
        spot_reading("Left elbow", -2.45, 4.225, 6, 12),
        spot_reading("Top of the three", 0.0, 6.75, 3, 8),
    ),
    distances=tuple(distance_reading(1.5 + 0.25 * i) for i in range(25)),
    worth=(
        Worth(
            change=Change.AIM_ALONG,
            amount=0.06,
            makes_per_100=around(8.7, 4.3),
            chance_best=0.83,
            chance_gain=0.98,
        ),
        Worth(
            change=Change.DISTANCE_CONTROL,
            amount=0.1,
            makes_per_100=around(3.1, 0.8),
            chance_best=0.12,
            chance_gain=0.99,
        ),
        Worth(
            change=Change.LINE_CONTROL,
            amount=0.1,
            makes_per_100=around(1.4, 0.6),
            chance_best=0.03,
            chance_gain=0.99,
        ),
        Worth(
            change=Change.ANGLE_UP,
            amount=math.radians(2),
            makes_per_100=around(0.6, 1.9),
            chance_best=0.02,
            chance_gain=0.6,
        ),
        Worth(
            change=Change.AIM_ACROSS,
            amount=-0.01,
            makes_per_100=around(0.2, 0.3),
            chance_best=0.0,
            chance_gain=0.7,
        ),
        Worth(
            change=Change.ANGLE_DOWN,
            amount=math.radians(2),
            makes_per_100=around(-0.9, 1.9),
            chance_best=0.0,
            chance_gain=0.3,
        ),
    ),
    cannot_tell=(CannotTell(question="angle", shots_needed=None),),
)

#: too few shots for anything
YOUNG_READING = replace(
    SHORT_READING,
    tally=Tally(shots=6, made=2, short=1, long=1, left=0, right=0, plain_misses=2, points=0),
    aim_along=around(-0.02, 0.08),
    make=around(0.4, 0.15),
    along_lean=Lean.CANNOT_TELL,
    along_chance=0.5,
    across_lean=Lean.CANNOT_TELL,
    across_chance=0.5,
    cannot_tell=(
        CannotTell(question="aim_along", shots_needed=60),
        CannotTell(question="aim_across", shots_needed=None, beyond=True),
        CannotTell(question="best_change", shots_needed=120),
        CannotTell(question="make", shots_needed=80),
        CannotTell(question="angle", shots_needed=None),
    ),
)

SHORT = Findings(
    player_name="Invented Ash",
    conditions=(SHORT_READING,),
    prior=(
        PriorRow(
            name="release speed, spread",
            centre=0.09,
            sd=0.03,
            unit="m/s",
            source="Slegers 2021",
        ),
    ),
    prior_from="published spreads",
)
YOUNG = replace(SHORT, player_name="Invented Bo", conditions=(YOUNG_READING,))


def told(value: float, sd: float) -> FilmMeasure:
    return FilmMeasure(estimate=around(value, sd), told=True)


FILM = FilmReading(
    shots=24,
    spot=SHORT_READING.spots[0].spot,
    spot_shots=24,
    entry_angle=told(math.radians(43.0), math.radians(0.45)),
    angle=told(math.radians(52.0), math.radians(0.4)),
    angle_spread=told(math.radians(1.3), math.radians(0.22)),
    speed_spread=told(0.09, 0.014),
    speed_spread_seen=0.1,
    suspect=False,
    least_speed_angle=math.radians(50.4),
)
#: the first sample, 24 of its shots filmed
FILMED_READING = replace(
    SHORT_READING,
    tally=replace(SHORT_READING.tally, points=24, filmed=24),
    cannot_tell=(),
    film=FILM,
)
FILMED = replace(SHORT, player_name="Invented Cy", conditions=(FILMED_READING,))
