"""Own baseline: a change is told with its range, or is no visible change; never judged."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from hoopwright.errors import BadInput
from hoopwright.film import gates
from hoopwright.film.baseline import LEAST_SHOTS, Seen, compare, floor_of, sentence
from hoopwright.film.results import Body, BodyMeasure


def shots(
    name: Body,
    values: np.ndarray,
    *,
    own: float = 0.0,
    shared: float = 0.0,
) -> list[BodyMeasure]:
    return [
        BodyMeasure(name=name, value=float(v), sd=math.hypot(own, shared), repeat_sd=own)
        for v in values
    ]


@pytest.mark.parametrize(
    ("name", "floor"),
    [
        # common practice, no source: below 5°, arm 10°, two frames is inside the error
        (Body.KNEE_DIP, math.radians(5.0)),
        (Body.TRUNK_SET, math.radians(5.0)),
        (Body.ELBOW_SET, math.radians(10.0)),
        (Body.SHOULDER_RELEASE, math.radians(10.0)),
        (Body.RELEASE_TO_TOE_OFF, 2.0 / 120.0),
    ],
)
def test_a_change_inside_the_error_is_no_visible_change(name: Body, floor: float) -> None:
    assert floor_of(name, rate=120.0) == pytest.approx(floor)
    # far outside its own range, yet below what film can show
    rng = np.random.default_rng(1)
    before = shots(name, rng.normal(1.0, 0.01 * floor, 40))
    now = shots(name, rng.normal(1.0 + 0.9 * floor, 0.01 * floor, 40))
    small = compare(name, now=now, before=before, rate=120.0)
    assert small.seen is Seen.NOT_VISIBLE
    assert "no visible change" in sentence(small)
    now = shots(name, rng.normal(1.0 + 1.2 * floor, 0.01 * floor, 40))
    large = compare(name, now=now, before=before, rate=120.0)
    assert large.seen is Seen.CHANGED
    assert "visible" not in sentence(large)


def test_range_against_a_general_library() -> None:
    """Welch's interval as scipy gives it."""
    rng = np.random.default_rng(4)
    now, before = rng.normal(1.9, 0.1, 12), rng.normal(1.7, 0.2, 20)
    name = Body.KNEE_DIP
    found = compare(name, now=shots(name, now), before=shots(name, before), rate=60.0).change
    assert found is not None
    for level, low, high in (
        (0.95, found.low95, found.high95), (0.80, found.low80, found.high80),
        (0.50, found.low50, found.high50),
    ):  # fmt: skip
        by_scipy = stats.ttest_ind(now, before, equal_var=False).confidence_interval(level)
        assert (low, high) == pytest.approx((by_scipy.low, by_scipy.high), abs=1e-9)
    assert found.value == pytest.approx(now.mean() - before.mean())


def test_few_shots_say_how_many_more() -> None:
    name = Body.KNEE_DIP
    few = compare(name, now=shots(name, np.ones(1)), before=shots(name, np.ones(9)), rate=60.0)
    assert few.seen is Seen.CANT_TELL
    assert few.change is None
    assert few.needed == LEAST_SHOTS - 1
    assert sentence(few) == "Knee at dip: can't tell yet; film 3 more shots."
    none = compare(name, now=[], before=[], rate=60.0)
    assert sentence(none) == "Knee at dip: can't tell yet; film 4 more shots."


def test_shots_still_needed_are_enough() -> None:
    """Film as many more and the range is as narrow as promised, spread staying the same."""
    rng, name = np.random.default_rng(6), Body.KNEE_DIP
    spread = math.radians(8.0)
    now, before = rng.normal(1.8, spread, 10), rng.normal(1.8, spread, 200)
    first = compare(name, now=shots(name, now), before=shots(name, before), rate=60.0)
    assert first.seen is Seen.NOT_VISIBLE
    assert 1 <= first.needed < 200
    assert f"film {first.needed} more shot" in sentence(first)
    more = np.concatenate([now, rng.normal(1.8, spread, first.needed + 10)])
    then = compare(name, now=shots(name, more), before=shots(name, before), rate=60.0)
    assert then.needed <= max(first.needed // 2, 5)


def test_another_camera_place_adds_the_shared_error() -> None:
    rng, name = np.random.default_rng(7), Body.KNEE_DIP
    shared = math.radians(6.0)
    now = shots(name, rng.normal(2.0, 0.03, 20), own=0.02, shared=shared)
    before = shots(name, rng.normal(1.8, 0.03, 20), own=0.02, shared=shared)
    same = compare(name, now=now, before=before, rate=60.0)
    moved = compare(name, now=now, before=before, rate=60.0, same_place=False)
    assert same.seen is Seen.CHANGED
    assert moved.seen is Seen.NOT_VISIBLE
    assert moved.change is not None
    half = 0.5 * (moved.change.high95 - moved.change.low95)
    assert half > 1.96 * math.sqrt(2.0) * shared
    assert "from here film can't settle it" in sentence(moved)


def test_own_errors_are_a_floor_under_the_spread() -> None:
    # three decimals alike by chance do not make a sure mean
    name = Body.KNEE_DIP
    now, before = (shots(name, np.full(6, v), own=0.2) for v in (2.0, 1.8))
    found = compare(name, now=now, before=before, rate=60.0).change
    assert found is not None
    assert found.low95 < 0.0 < found.high95


@pytest.mark.parametrize(
    ("name", "shift", "said"),
    [
        (Body.KNEE_DIP, math.radians(12.0), "Knee at dip: +12° (could be +12 to +12) against"),
        (Body.HOLD, -0.25, "Follow-through hold: −250 ms (could be −250 to −250) against"),
        (Body.DIP_DEPTH, 0.1, "Dip depth: +10 cm (could be +10 to +10) against"),
        (Body.BODY_SPEED, 0.4, "Body speed at release: +0.40 m/s (could be +0.40 to +0.40) ag"),
        (Body.RELEASE_RATIO, 0.05, "Release height over stature: +5.0 % of stature (could be +5"),
    ],
)
def test_a_change_is_told_in_the_coachs_units_and_not_judged(
    name: Body, shift: float, said: str
) -> None:
    rng = np.random.default_rng(9)
    before = rng.normal(1.0, 1e-5, 10)
    text = sentence(
        compare(name, now=shots(name, before + shift), before=shots(name, before), rate=240.0)
    )
    assert text.startswith(said)
    assert not any(word in text for word in ("good", "bad", "better", "worse", "should", "norm"))


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(list(Body)),
    st.lists(st.floats(-3.0, 3.0), max_size=12),
    st.lists(st.floats(-3.0, 3.0), max_size=12),
)
def test_any_shots_give_a_sentence(name: Body, now: list[float], before: list[float]) -> None:
    found = compare(
        name, now=shots(name, np.array(now)), before=shots(name, np.array(before)), rate=120.0
    )
    text = sentence(found)
    assert text.endswith(".")
    assert "nan" not in text
    assert (found.change is None) == (min(len(now), len(before)) < LEAST_SHOTS)
    if found.change is not None and found.seen is Seen.CHANGED:
        assert abs(found.change.value) >= found.floor


def test_a_noise_that_changes_nothing_is_rarely_called_a_change() -> None:
    # 5 % of ranges leave out zero; the floor makes it rarer
    rng, name, called = np.random.default_rng(10), Body.KNEE_DIP, 0
    for _ in range(300):
        sides = rng.normal(1.8, math.radians(6.0), (2, 20))
        called += (
            compare(name, now=shots(name, sides[0]), before=shots(name, sides[1]), rate=60.0).seen
            is Seen.CHANGED
        )
    assert called <= 15


def test_a_frame_rate_of_nothing_is_refused() -> None:
    with pytest.raises(BadInput, match="frame rate"):
        floor_of(Body.HOLD, rate=0.0)


def test_every_measure_has_a_floor_and_a_unit() -> None:
    assert all(floor_of(name, rate=120.0) > 0.0 for name in Body)
    assert set(gates.ARM) <= set(gates.ANGLES)
