from datetime import date, timedelta

import numpy as np
import pytest
from scipy import stats
from tests.plans.test_targets import beta_estimate

from hoopwright.plans.nouns import PracticeTest, Stage, TakenTest, Target
from hoopwright.plans.progress import FEWEST, StageCall, Step, call_stage, stage_after

DAY = date(2026, 12, 1)
TARGET = Target(expected=beta_estimate(60.0, 40.0))


def cold(made: int, shots: int = 10, *, after: int = 0) -> TakenTest:
    day = DAY + timedelta(days=after)
    return TakenTest(day=day, kind=PracticeTest.COLD, shots=shots, made=made)


def called(*taken: TakenTest, target: Target = TARGET) -> StageCall:
    return call_stage(target, taken, since=DAY)


def test_one_cold_test_tells_nothing_yet() -> None:
    said = called(cold(0))
    assert said.step is Step.CANNOT_TELL and said.shots_needed == FEWEST - 10


def test_only_cold_tests_of_the_stage_are_read() -> None:
    before = TakenTest(day=DAY - timedelta(days=1), kind=PracticeTest.COLD, shots=10, made=0)
    other = TakenTest(day=DAY, kind=PracticeTest.RETENTION, shots=10, made=0)
    said = called(before, other, cold(6))
    assert (said.made, said.shots) == (6, 10)


@pytest.mark.parametrize(
    ("made", "step"), [(12, Step.GO_ON), (9, Step.GO_ON), (8, Step.STAY), (4, Step.BACK)]
)
def test_the_call_follows_the_players_own_range(made: int, step: Step) -> None:
    """Beta-binomial(20, 60, 40): 10 % point 9, 1 % point 6 (SciPy)."""
    assert stats.betabinom.ppf([0.10, 0.01], 20, 60, 40) == pytest.approx([9, 6])
    said = called(cold(made // 2), cold(made - made // 2, after=2))
    assert said.step is step and said.needed == 9


def test_without_an_expected_share_fixed_attempts_are_enough() -> None:
    said = called(cold(1), cold(1, after=2), target=Target(shots_needed=19))
    assert said.step is Step.GO_ON and said.needed is None


def test_a_player_who_shoots_as_charted_is_rarely_held_back() -> None:
    """Held back once in ten at most, stepped back once in 100 at most: 4,000 players, seed 3."""
    rng = np.random.default_rng(3)
    made = rng.binomial(20, rng.beta(60.0, 40.0, 4000))
    # the call depends on the sum only, so each count is called once
    steps = {int(m): called(cold(int(m), 20)).step for m in np.unique(made)}
    said = [steps[int(m)] for m in made]
    held = np.mean([s is not Step.GO_ON for s in said])
    back = np.mean([s is Step.BACK for s in said])
    assert 0.02 <= held <= 0.10
    assert back <= 0.01


def test_stages_follow_one_another_and_the_ends_are_not_left() -> None:
    assert stage_after(Stage.CLOSE, Step.GO_ON) is Stage.BLOCKED
    assert stage_after(Stage.GAME_LIKE, Step.GO_ON) is Stage.GAME_LIKE
    assert stage_after(Stage.VARIED, Step.BACK) is Stage.BLOCKED
    assert stage_after(Stage.CLOSE, Step.BACK) is Stage.CLOSE
    assert stage_after(Stage.RANDOM, Step.STAY) is stage_after(Stage.RANDOM, Step.CANNOT_TELL)
