"""Shots of a trial whose truth is known, for recovery, coverage and what a trial can detect.

The shots vary as those of people do: from day to day, from block to block, and with practice.
"""

import math
from dataclasses import dataclass
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from hoopwright.trials.nouns import (
    Arm,
    Block,
    BlockResult,
    BodyMeasure,
    Measure,
    Phase,
    TrialPlan,
)

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Variation:
    """How much a player varies without any change, in makes per shot or in metres (or radians)."""

    #: one day from the next, one standard deviation
    day: float = 0.06
    #: one block from the next of the same day
    block: float = 0.03
    #: gain from each block to the next by practice alone
    learning: float = 0.0


#: landing points vary likewise; common practice, no source
LANDING_VARIATION = Variation(day=0.03, block=0.015)


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """One player, and what the change does."""

    #: share made by habit, and what the change adds to it
    share: float = 0.5
    gain: float = 0.0
    makes: Variation = Variation()
    #: middle and scatter of the measured values by habit [m or rad]
    middle: float = 0.0
    scatter: float = 0.12
    #: what the change adds to the middle, and what it multiplies the scatter by
    shift: float = 0.0
    ratio: float = 1.0
    measured: Variation = LANDING_VARIATION
    #: how the scatter itself varies from block to block, one standard deviation of its logarithm
    unsteady: float = 0.04
    #: error of a measured value, one standard deviation
    error: float = 0.0


def simulate_results(
    plan: TrialPlan, truth: Truth, *, rng: np.random.Generator, until: Phase | None = None
) -> list[BlockResult]:
    """Return what a player of known truth would shoot.

    Parameters
    ----------
    plan
        The trial.
    truth
        The player, and what the change does.
    rng
        Source of luck.
    until
        Stop before blocks of this phase.
    """
    days = max(block.day for block in plan.blocks) + 1
    by_day = rng.standard_normal((2, days))
    found = []
    for block in plan.blocks:
        if block.phase is until:
            break
        luck = by_day[:, block.day]
        found.append(_result(plan, block, truth=truth, luck=luck, rng=rng))
    return found


def _level(varies: Variation, block: Block, *, luck: float, rng: np.random.Generator) -> float:
    """Return how far a block lies from the player's mean."""
    return varies.day * luck + varies.block * rng.standard_normal() + varies.learning * block.number


def _result(
    plan: TrialPlan, block: Block, *, truth: Truth, luck: Floats, rng: np.random.Generator
) -> BlockResult:
    changed = float(block.arm is Arm.CHANGE)
    share = truth.share + changed * truth.gain + _level(truth.makes, block, luck=luck[0], rng=rng)
    middle = (
        truth.middle + changed * truth.shift + _level(truth.measured, block, luck=luck[1], rng=rng)
    )
    scatter = truth.scatter * truth.ratio**changed
    scatter *= math.exp(truth.unsteady * rng.standard_normal())
    values = rng.normal(middle, np.hypot(scatter, truth.error), block.total)
    errors = np.full(block.total, truth.error)
    measure = plan.question.measure
    along = measure in (Measure.ALONG, Measure.DISTANCE_CONTROL)
    across = measure in (Measure.ACROSS, Measure.LINE_CONTROL)
    other = isinstance(measure, BodyMeasure) or measure is Measure.ENTRY_ANGLE
    return BlockResult(
        block=block.number,
        day=block.due or plan.start + timedelta(days=block.day - 1),
        made=rng.random(block.total) < share,
        along=values if along else None,
        along_sd=errors if along else None,
        across=values if across else None,
        across_sd=errors if across else None,
        value=values if other else None,
        value_sd=errors if other else None,
        spot=plan.question.spots[block.spot],
    )
