"""80 and 95 % ranges hold the truth as often as they say, within 4 points and the luck of the run.

Players are drawn as the readings suppose. The full tables are made by ``benchmarks/transfer.py``
and stand in the docs; these runs are shorter, so the luck of their number is allowed on top.
"""

import math

import numpy as np

from hoopwright.records import Estimate
from hoopwright.transfer.forecast import Expected, forecast
from hoopwright.transfer.nouns import ShotType
from hoopwright.transfer.progress import read_progress
from hoopwright.transfer.ratio import read_ratios
from hoopwright.transfer.simulate import (
    Season,
    coverage,
    draw_squad,
    draw_tests,
    draw_transfer,
)
from hoopwright.transfer.transferred import compare


def check(found: list[Estimate], truths: list[float], *, over: float = 0.04) -> None:
    """Within 4 points, plus 1.5 standard errors of this many players."""
    for got, wanted in zip(coverage(found, truths), (0.80, 0.95), strict=True):
        luck = 1.5 * math.sqrt(wanted * (1 - wanted) / len(found))
        assert wanted - 0.04 - luck <= got <= wanted + over + luck


def recovered(found: list[Estimate], truths: list[float]) -> float:
    """Return the mean error."""
    return float(np.mean([one.value - truth for one, truth in zip(found, truths, strict=True)]))


def test_game_shares_and_forecasts() -> None:
    rng = np.random.default_rng(21)
    found: list[Estimate] = []
    truths: list[float] = []
    makes: list[Estimate] = []
    made: list[float] = []
    for _ in range(45):
        squad, shares = draw_squad(rng, practice=[30, 60, 100, 200], games=[0, 10, 60, 150])
        for one, share in zip(read_ratios(squad), shares, strict=True):
            found.append(one.game)
            truths.append(float(share))
            asked = Expected(shot_type=ShotType.THREE, attempts=200, share=one.share)
            makes.append(forecast([asked]).makes)
            made.append(float(rng.binomial(200, share)))
    check(found, truths)
    assert abs(recovered(found, truths)) < 0.02
    # a range of whole numbers holds at least its share
    check(makes, made, over=0.06)


def test_transfer() -> None:
    rng = np.random.default_rng(22)
    kinds = [
        Season(kind=(ShotType.THREE, None), before=80, after=60),
        Season(kind=(ShotType.FREE_THROW, None), before=50, after=40),
    ]
    drawn = [draw_transfer(rng, kinds) for _ in range(250)]
    found, truths = [compare(counts).difference for counts, _ in drawn], [t for _, t in drawn]
    check(found, truths)
    assert abs(recovered(found, truths)) < 1.0


def test_levels_and_gains() -> None:
    rng = np.random.default_rng(23)
    levels: list[Estimate] = []
    truths: list[float] = []
    gains: list[Estimate] = []
    gained: list[float] = []
    for _ in range(80):
        tests, path = draw_tests(rng, tests=8, attempts=25)
        [line] = read_progress(tests).lines
        for point in (0, -1):
            levels.append(line.points[point].level)
            truths.append(float(path[point]))
        assert line.gain is not None
        gains.append(line.gain)
        gained.append(100 * float(path[-1] - path[0]))
    check(levels, truths)
    check(gains, gained)
    assert abs(recovered(gains, gained)) < 3.0
