"""Ball-like places against discs drawn here, by sampling pixel and exposure finely.

The bounds are this project's own demands on a ball 8 px in radius; the reference is the place the
disc was drawn at.
"""

import tracemalloc

import numpy as np
import pytest
from tests.film.drawn_ball import Floats, Shown, crossing, exposed, nothing, put, wall

from hoopwright.court.standards import ball
from hoopwright.errors import BadInput
from hoopwright.film.ball import find
from hoopwright.film.camera import at_place
from hoopwright.film.results import Candidates


def _nearest(found: Candidates, middles: Floats) -> tuple[Floats, np.ndarray, list[int]]:
    """Error of the nearest row of each picture [px], that row, and pictures without one."""
    errors, rows, lost = [], [], []
    for i, middle in enumerate(middles):
        own = np.flatnonzero(found.frame == i)
        off = found.middle[own] - middle
        near = np.hypot(*off.T) if len(own) else np.array([np.inf])
        if np.min(near) > 4.0:
            lost.append(i)
            continue
        errors.append(off[np.argmin(near)])
        rows.append(own[np.argmin(near)])
    return np.array(errors), np.array(rows), lost


def _rms(errors: Floats) -> float:
    return float(np.sqrt(np.mean(errors**2)))


def test_sharp_ball_is_placed_within_a_third_of_a_pixel() -> None:
    shown, middles = crossing(np.random.default_rng(1))
    found = find(shown, camera=None, ball=ball(7))
    errors, rows, lost = _nearest(found, middles)
    assert not lost
    assert _rms(errors) < 0.2  # per axis; asked for: 0.35
    assert np.abs(found.radius[rows] - 8.0).mean() < 0.4
    best = [np.max(found.score[found.frame == i]) for i in range(len(middles))]
    assert np.array_equal(found.score[rows], best)


@pytest.mark.parametrize("step", [(7.0, -3.0), (1.0, -8.0)])
def test_blurred_ball_is_placed_within_half_a_pixel(step: tuple[float, float]) -> None:
    """A shutter open all the time: the streak is as long as the way between two pictures."""
    shown, middles = crossing(np.random.default_rng(2), streak=0.5, step=step, many=17)
    found = find(shown, camera=None, ball=ball(7))
    errors, rows, lost = _nearest(found, middles)
    assert len(lost) <= 1
    assert _rms(errors) < 0.35  # per axis; asked for: 0.5
    assert np.abs(found.radius[rows] - 8.0).mean() < 0.8
    long = np.hypot(*found.streak[rows].T)
    assert np.median(long) == pytest.approx(0.5 * np.hypot(*step), abs=1.2)


@pytest.mark.parametrize("streak", [0.0, 0.5])
def test_stated_errors_hold(streak: float) -> None:
    """Errors over the stated error: root mean square 1 where honest.

    These discs have no seams, for which the stated error leaves room: 0.25 to 1.5 is accepted.
    """
    over = []
    for seed in range(3):
        shown, middles = crossing(np.random.default_rng(10 + seed), streak=streak)
        found = find(shown, camera=None, ball=ball(7))
        errors, rows, _ = _nearest(found, middles)
        over.append(errors / found.middle_sd[rows][:, None])
    assert 0.25 < _rms(np.concatenate(over)) < 1.5


def test_flickering_lamps_and_a_blue_ball_on_which_nothing_was_told() -> None:
    blue = np.array([190.0, 90.0, 40.0])
    shown, middles = crossing(np.random.default_rng(3), flicker=0.03, colour=blue)
    found = find(shown, camera=None, ball=ball(7))
    errors, _, lost = _nearest(found, middles)
    assert len(lost) <= 1
    assert _rms(errors) < 0.25


def test_half_hidden_ball_is_still_a_candidate() -> None:
    """A dark post, part of the still background's front, hides the right half."""
    rng = np.random.default_rng(4)
    still = wall(rng)
    still[:, 160:] = 40.0
    shown, middles = [], []
    for i in range(20):
        middle = np.array([100.3 + 3.1 * i, 90.2])
        picture = put(still, middle, 9.0)
        picture[:, 160:] = 40.0
        shown.append(Shown(i, i / 30.0, exposed(picture, rng)))
        middles.append(middle)
    found = find(shown, camera=None, ball=ball(7))
    hidden = [i for i in range(20) if abs(middles[i][0] - 160.0) < 2.0]
    errors, _, lost = _nearest(found, np.array(middles))
    assert hidden
    assert not set(hidden) & set(lost)
    # half a disc looks like a smaller one: it stays within half a radius
    assert np.abs(errors).max() < 4.5


def test_two_balls_both_stay() -> None:
    rng = np.random.default_rng(5)
    still, shown = wall(rng), []
    for i in range(15):
        one = put(still, np.array([50.0 + 7 * i, 60.0]), 8.0)
        both = put(one, np.array([270.0 - 6 * i, 130.0]), 10.0)
        shown.append(Shown(i, i / 30.0, exposed(both, rng)))
    found = find(shown, camera=None, ball=ball(7))
    for i in range(15):
        own = found.middle[found.frame == i]
        for place in ((50.0 + 7 * i, 60.0), (270.0 - 6 * i, 130.0)):
            assert np.min(np.hypot(*(own - place).T)) < 1.0


def test_nothing_moves_nothing_is_found() -> None:
    found = find(nothing(np.random.default_rng(6), 40), camera=None, ball=ball(7))
    assert len(found) <= 2


def test_no_pictures_no_rows() -> None:
    found = find([], camera=None, ball=ball(7))
    assert len(found) == 0
    assert found.middle.shape == (0, 2)


def test_scene_rules_out_the_wrong_size() -> None:
    """A ball seen 18 px in radius by this camera would be 2 m from it, outside the hall."""
    rng = np.random.default_rng(7)
    camera = at_place((14.0, -2.2, 1.5), (0.0, -2.2, 2.3), width=320, height=180, focal=280.0)
    shown, middles = crossing(rng, radius=18.0, many=15)
    found = find(shown, camera=camera, ball=ball(7))
    assert all(found.radius < 12.0)
    errors, _, _ = _nearest(find(shown, camera=None, ball=ball(7)), middles)
    assert len(errors) >= 1


def test_time_is_that_of_the_row_where_the_readout_is_known() -> None:
    """Half-way down the picture the picture's own time holds; the top row is half a readout off."""
    shown, _ = crossing(np.random.default_rng(8), many=12)
    plain = find(shown, camera=None, ball=ball(7))
    rolled = find(shown, camera=None, ball=ball(7), readout=0.02)
    part = (plain.middle[:, 1] + 0.5) / 180.0 - 0.5
    assert len(plain) >= 12
    assert np.allclose(rolled.time - plain.time, 0.02 * part, atol=1e-12)


def test_at_most_twelve_a_picture_and_progress_told() -> None:
    rng = np.random.default_rng(9)
    still, shown, told = wall(rng), list[Shown](), list[int]()
    for i in range(31):
        picture = still
        if i > 10:
            for k in range(18):
                place = np.array([20.0 + 33 * (k % 9), 50.0 + 70 * (k // 9)])
                picture = put(picture, place + rng.uniform(-8, 8, 2), 7.0) if i % 5 == 0 else still
        shown.append(Shown(i, i / 30.0, exposed(picture, rng)))
    found = find(shown, camera=None, ball=ball(7), progress=told.append)
    most = np.bincount(found.frame).max()
    assert 8 <= most <= 12
    assert told == [15, 30]


def test_wrong_picture_size_is_one_sentence() -> None:
    camera = at_place((8.0, -2.2, 1.5), (0.0, -2.2, 2.3), width=640, height=360, focal=400.0)
    shown, _ = crossing(np.random.default_rng(10), many=3)
    with pytest.raises(BadInput, match="scene is for 640 × 360 pixels but the clip has 320 × 180"):
        find(shown, camera=camera, ball=ball(7))
    odd = [*shown, Shown(3, 0.1, np.zeros((90, 160, 3), np.uint8))]
    with pytest.raises(BadInput, match="changes its picture size"):
        find(odd, camera=None, ball=ball(7))


def test_memory_does_not_grow_with_the_clip() -> None:
    """Pictures held at once: those of the start, and a handful on their way."""
    peaks = []
    for many in (60, 150):
        tracemalloc.start()
        find(nothing(np.random.default_rng(11), many), camera=None, ball=ball(7))
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert peaks[1] < 1.2 * peaks[0]
