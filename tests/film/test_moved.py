"""A moved camera is noticed; people, light and noise are no move. Pictures are drawn here."""

import math
from dataclasses import replace

import cv2
import numpy as np
import pytest
from tests.film.drawn_gym import Picture, draw_gym, noisy, shifted
from tests.film.marked import MANY, click, side_camera

from hoopwright.errors import BadInput
from hoopwright.film.fingerprint import Fingerprint, fingerprint
from hoopwright.film.moved import compare, moved
from hoopwright.film.scene import Scene, Setting, scene_from_marks


@pytest.fixture(scope="module")
def still() -> Picture:
    return noisy(draw_gym(people=3, seed=2), seed=3)


@pytest.fixture(scope="module")
def scene(still: Picture) -> Scene:
    setting = Setting(gym="Invented hall", place="sideline")
    return scene_from_marks(tuple(click(side_camera(), MANY)), still, setting=setting)[0]


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("gain", [0.8, 1.0, 1.2])
def test_people_light_and_noise_are_no_move(scene: Scene, gain: float, seed: int) -> None:
    """Light changes of 20 % either way, five people elsewhere than before, fresh noise."""
    now = noisy(draw_gym(people=5, seed=10 + seed), gain=gain, sd=4.0, seed=seed)
    seen = moved(scene, now)
    assert seen.sure
    assert not seen.moved
    assert seen.shift_px < 1.0
    assert "stands as it did" in seen.message


@pytest.mark.parametrize("turn", range(8))
def test_a_shift_of_two_pixels_is_noticed_and_measured(
    scene: Scene, turn: int, still: Picture
) -> None:
    x, y = 2.0 * math.cos(turn * math.pi / 4), 2.0 * math.sin(turn * math.pi / 4)
    there = shifted(draw_gym(people=4, seed=20 + turn), np.array([[1, 0, x], [0, 1, y]]))
    seen = moved(scene, noisy(there, gain=1.1, seed=turn))
    assert seen.sure
    assert seen.moved
    assert seen.shift_px == pytest.approx(2.0, abs=0.5)
    assert "about 2 px" in seen.message


def test_turn_and_zoom_are_told_apart(scene: Scene) -> None:
    middle = (639.5, 359.5)
    turned = np.asarray(
        cv2.getRotationMatrix2D(middle, -2.0, 1.0), np.float64
    )  # OpenCV counts anticlockwise
    seen = moved(scene, noisy(shifted(draw_gym(), turned)))
    assert seen.moved
    assert math.degrees(seen.turned) == pytest.approx(2.0, abs=0.1)
    assert seen.zoom == pytest.approx(1.0, abs=0.003)
    assert "turned by 2.0°" in seen.message
    larger = np.asarray(cv2.getRotationMatrix2D(middle, 0.0, 1.03), np.float64)
    seen = moved(scene, noisy(shifted(draw_gym(), larger)))
    assert seen.zoom == pytest.approx(1.03, abs=0.003)
    assert "3 % larger" in seen.message


def test_a_camera_carried_aside_is_noticed(scene: Scene) -> None:
    """A tripod kicked 10 cm along the sideline, where things shift by their distance."""
    here = side_camera()
    aside = -here.turned @ (here.position + np.array([0.0, 0.1, 0.0]))
    kicked = replace(here, translation=(float(aside[0]), float(aside[1]), float(aside[2])))
    seen = moved(scene, noisy(draw_gym(kicked, people=2, seed=30)))
    assert seen.sure
    assert seen.moved
    # focal length 950 px, things 8 to 18 m away: 5 to 12 px
    assert 4.0 < seen.shift_px < 13.0


def test_a_panned_clip_is_noticed_between_its_frames() -> None:
    first = fingerprint(noisy(draw_gym(people=2)))
    pan = np.array([[1.0, 0.0, -40.0], [0.0, 1.0, 3.0]])
    later = fingerprint(noisy(shifted(draw_gym(people=2, seed=9), pan), seed=8))
    seen = compare(first, later)
    assert seen.shift_px == pytest.approx(math.hypot(40, 3), rel=0.02)


def test_another_place_or_a_dark_picture_can_t_be_told() -> None:
    still = fingerprint(draw_gym())
    for other in (
        np.random.default_rng(3).integers(0, 255, (720, 1280, 3)).astype(np.uint8),
        np.zeros((720, 1280, 3), dtype=np.uint8),
    ):
        seen = compare(still, fingerprint(other))
        assert not seen.sure
        assert seen.message.startswith("Too little of the gym")


def test_size_of_the_clip_does_not_matter_but_must_agree() -> None:
    large = draw_gym()
    small = np.asarray(cv2.resize(large, (640, 360), interpolation=cv2.INTER_AREA), np.uint8)
    before = fingerprint(large).scaled(0.5)
    seen = compare(before, fingerprint(small))
    assert seen.sure
    assert not seen.moved
    with pytest.raises(BadInput, match="differ in size"):
        compare(fingerprint(large), fingerprint(small))


def test_fingerprint_repeats_and_keeps_no_picture(still: Picture) -> None:
    one, other = fingerprint(still), fingerprint(still)
    assert one == other
    assert 100 < len(one) <= 400
    assert one.bits.nbytes + one.corners.nbytes < 20_000  # a picture has 2.7 million
    assert one != Fingerprint(width=1, height=1, corners=one.corners, bits=one.bits)


def test_a_scene_without_a_still_can_t_tell(scene: Scene, still: Picture) -> None:
    seen = moved(replace(scene, fingerprint=None), still)
    assert not seen.sure
