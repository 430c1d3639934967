from collections import Counter
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.plans.plan_samples import SPOTS, TARGETS, plan_of, turned

from hoopwright.errors import BadInput
from hoopwright.plans.drills import library
from hoopwright.plans.nouns import PracticeTest, Stage
from hoopwright.plans.sheets import booked_row, mixed, session_sheet
from hoopwright.plans.targets import makes_of

DRILLS = library()
PLAN = plan_of(turned())


@pytest.mark.parametrize("number", range(1, 10))
def test_a_sheet_has_a_box_for_each_attempt_and_the_cold_test_first(number: int) -> None:
    sheet = session_sheet(PLAN, number, drills=DRILLS, rng=np.random.default_rng(1))
    assert sheet.rows[0].test is PracticeTest.COLD and sheet.rows[0].shots == 10
    assert sheet.shots == PLAN.wish.shots
    for row in sheet.rows:
        assert len(row.spots) in (0, row.shots)
        assert sum(count for _, count in row.runs) == len(row.spots)
        if row.drill is not None and row.spots:
            counts = Counter(row.spots)
            assert max(counts.values()) - min(counts.values()) <= 1
        if row.drill is not None and row.drill.stage is Stage.BLOCKED:
            assert len(row.runs) == len(set(row.spots))


def test_the_target_of_a_row_is_a_count_with_its_range() -> None:
    sheet = session_sheet(PLAN, 1, drills=DRILLS, rng=np.random.default_rng(1))
    expected = TARGETS.at(SPOTS).expected
    assert expected is not None
    assert sheet.rows[0].makes == makes_of(expected, 10)
    assert all(
        row.makes is None for row in sheet.rows if row.drill and row.drill.stage is Stage.CLOSE
    )


@settings(derandomize=True, deadline=None)
@given(st.integers(1, 3), st.integers(1, 60), st.integers(0, 5))
def test_mixed_spots_are_even_and_never_the_same_twice_running(
    spots: int, shots: int, seed: int
) -> None:
    order = mixed(SPOTS[:spots], shots, rng=np.random.default_rng(seed))
    assert len(order) == shots
    counts = [order.count(spot.name) for spot in SPOTS[:spots]]
    assert max(counts) - min(counts) <= 1
    assert spots == 1 or all(a != b for a, b in pairwise(order))


def test_the_same_seed_gives_the_same_sheet() -> None:
    one, other, third = (
        session_sheet(PLAN, 9, drills=DRILLS, rng=np.random.default_rng(seed)) for seed in (4, 4, 5)
    )
    assert one == other != third


def test_later_tests_have_a_row_too() -> None:
    transfer = next(t for t in PLAN.tests if t.kind is PracticeTest.TRANSFER)
    row = booked_row(transfer, rng=np.random.default_rng(1))
    assert row.makes is None and row.shots == 10 and "Single shots" in row.note


def test_a_session_that_is_not_there() -> None:
    with pytest.raises(BadInput, match="no session 99"):
        session_sheet(PLAN, 99, drills=DRILLS, rng=np.random.default_rng(1))
