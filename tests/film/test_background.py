"""The background against medians taken by NumPy, and against lights that are known."""

import numpy as np
import pytest
from tests.film.drawn_ball import ORANGE, exposed, put, wall

from hoopwright.film import _background_kernel as kernel
from hoopwright.film import ball_colour
from hoopwright.film.background import Background, reduction


def test_median_is_numpys() -> None:
    stack = np.random.default_rng(1).integers(0, 256, (9, 7, 5, 3), dtype=np.uint8)
    assert np.array_equal(kernel.median(stack), np.median(stack, axis=0).astype(np.uint8))


def test_model_steps_toward_the_picture_by_no_more_than_a_step() -> None:
    rng = np.random.default_rng(2)
    old, new = rng.integers(0, 256, (2, 20, 30, 3), dtype=np.uint8)
    moved = kernel.stepped(old, new, 3).astype(int)
    expected = old.astype(int) + np.clip(new.astype(int) - old.astype(int), -3, 3)
    assert np.array_equal(moved, expected)


@pytest.mark.parametrize("gain", [0.8, 1.0, 1.15])
def test_gain_of_the_lamps_is_found_though_things_move(gain: float) -> None:
    rng = np.random.default_rng(3)
    still = wall(rng)
    model = Background([exposed(still, rng) for _ in range(9)], rate=30.0)
    with_ball = put(still, np.array([160.0, 90.0]), 25.0)
    off, found = model.compare(exposed(gain * with_ball, rng), ball_colour.table(None))
    assert found == pytest.approx(gain, abs=0.01)
    assert off[90, 160] > 100
    assert np.mean(off[:60, :100] > 20) < 0.02


def test_what_passes_leaves_no_trace_and_slow_light_is_followed() -> None:
    rng = np.random.default_rng(4)
    still = wall(rng)
    model = Background([exposed(still, rng) for _ in range(9)], rate=30.0)
    table, place = ball_colour.table(None), np.array([160.0, 90.0])
    for i in range(240):
        picture = still.copy()
        # a lamp on the left warms up by 12 levels in eight seconds
        picture[:, :100] += 12.0 * i / 240.0
        if 100 <= i < 106:
            picture = put(picture, place, 12.0)
        off, _ = model.compare(exposed(picture, rng), table)
    assert np.mean(off > 20) < 0.02


def test_reduction_brings_pictures_to_about_640() -> None:
    assert [reduction(w) for w in (320, 640, 1280, 1920, 3840)] == [1, 1, 2, 3, 6]


def test_learnt_colour_is_the_one_that_keeps_coming() -> None:
    rng = np.random.default_rng(5)
    balls = ORANGE + rng.normal(0.0, 8.0, (80, 3))
    others = rng.uniform(0.0, 255.0, (120, 3))
    learnt = ball_colour.learn(np.vstack([balls, others]), np.ones(200))
    assert learnt is not None
    assert np.abs(learnt - ORANGE).max() < 15.0
    like = ball_colour.likeness(np.vstack([ORANGE, [200.0, 60.0, 30.0]]), learnt)
    assert like[0] > 0.9
    assert like[1] < 0.3


def test_too_little_to_learn_from() -> None:
    assert ball_colour.learn(np.ones((5, 3)), np.ones(5)) is None
