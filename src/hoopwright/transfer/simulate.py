"""Players with a known truth, drawn as the readings suppose, and how often ranges hold it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

import numpy as np
from scipy import special

from hoopwright.records import Estimate
from hoopwright.transfer.levels import (
    APART_SD,
    DRIFT_CHANCES,
    DRIFTS,
    HAZARD,
    SCATTER_CHANCES,
    SCATTERS,
)
from hoopwright.transfer.nouns import ColdTest, ShotType
from hoopwright.transfer.ratio import RULE_OF_THUMB, Played
from hoopwright.transfer.shares import Floats, PracticeShare
from hoopwright.transfer.transferred import CHANGE_SD, KIND_SD, USUAL, USUAL_SD, Counts, Kind

#: whose tests and games these are, and when they begin
PLAYER, FIRST_DAY = UUID(int=1), date(2026, 1, 5)


def draw_squad(
    rng: np.random.Generator, *, practice: Sequence[int], games: Sequence[int]
) -> tuple[list[Played], Floats]:
    """Return one coach's players and their true game shares, float64 [player].

    Parameters
    ----------
    practice, games
        Attempts of each player.
    """
    prior = RULE_OF_THUMB
    centre = rng.normal(math.log(prior.centre), prior.centre_sd)
    spread = abs(rng.normal(0.0, prior.spread))
    played, truths = [], []
    for number, (attempts, game_attempts) in enumerate(zip(practice, games, strict=True)):
        share = rng.uniform()
        ratio = math.inf
        while share * ratio >= 1.0:
            ratio = math.exp(rng.normal(centre, spread))
        truths.append(share * ratio)
        played.append(
            Played(
                player_id=UUID(int=number + 1),
                shot_type=ShotType.THREE,
                practice=PracticeShare.from_counts(int(rng.binomial(attempts, share)), attempts),
                attempts=game_attempts,
                made=int(rng.binomial(game_attempts, share * ratio)),
            )
        )
    return played, np.array(truths)


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """Attempts of one kind before and after a change."""

    kind: Kind
    before: int
    after: int


def draw_transfer(
    rng: np.random.Generator, seasons: Sequence[Season], *, change: float | None = None
) -> tuple[dict[Kind, Counts], float]:
    """Return counts, and the true difference with the mix held equal, in makes per 100.

    Parameters
    ----------
    change
        In the log of the odds; drawn where None.
    """
    effect = rng.normal(0.0, CHANGE_SD) if change is None else change
    kinds, before, after, gains = {}, [], [], []
    for one in seasons:
        base = rng.normal(special.logit(USUAL[one.kind[0].band]), USUAL_SD)
        moved = base if change == 0.0 else base + rng.normal(effect, KIND_SD)
        was, now = float(special.expit(base)), float(special.expit(moved))
        kinds[one.kind] = Counts(
            before=one.before, before_made=int(rng.binomial(one.before, was)),
            after=one.after, after_made=int(rng.binomial(one.after, now)),
        )  # fmt: skip
        before.append(one.before)
        after.append(one.after)
        gains.append(now - was)
    mix = np.array(before) / sum(before) / 2 + np.array(after) / sum(after) / 2
    return kinds, 100 * float(mix @ gains)


def draw_tests(
    rng: np.random.Generator, *, tests: int, attempts: int, every: int = 4
) -> tuple[list[ColdTest], Floats]:
    """Return one player's cold tests and the true level at each, a share [test]."""
    drift = rng.choice(DRIFTS, p=DRIFT_CHANCES) * math.sqrt(every / 7)
    scatter = rng.choice(SCATTERS, p=SCATTER_CHANCES)
    jumps = np.where(rng.random(tests) < HAZARD, rng.normal(0.0, APART_SD, tests), 0.0)
    steps = rng.normal(0.0, drift, tests) + jumps
    steps[0] = 0.0
    level = rng.normal(0.0, 1.3) + np.cumsum(steps)
    return steady_tests(rng, level, attempts=attempts, scatter=scatter, every=every), np.asarray(
        special.expit(level)
    )


def steady_tests(
    rng: np.random.Generator, level: Floats, *, attempts: int, scatter: float, every: int = 4
) -> list[ColdTest]:
    """Return cold tests of a player whose level on each day is known, in the log of the odds."""
    shares = special.expit(level + rng.normal(0.0, scatter, len(level)))
    return [
        ColdTest(
            id=UUID(int=i), player_id=PLAYER, day=FIRST_DAY + timedelta(days=every * i),
            attempts=attempts, made=int(rng.binomial(attempts, share)), place="free throw",
        )
        for i, share in enumerate(shares)
    ]  # fmt: skip


def coverage(found: Sequence[Estimate], truths: Sequence[float]) -> tuple[float, float]:
    """Return how often the 80 and the 95 % ranges hold the truth, 0 to 1."""
    pairs = list(zip(found, truths, strict=True))
    inside80 = [one.low80 <= truth <= one.high80 for one, truth in pairs]
    inside95 = [one.low95 <= truth <= one.high95 for one, truth in pairs]
    return float(np.mean(inside80)), float(np.mean(inside95))
