"""A scene is kept without loss, refused in one sentence, scaled exactly and drawn back."""

import json
import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.film.drawn_gym import draw_gym
from tests.film.marked import MANY, click, rear_camera, side_camera

from hoopwright.errors import BadInput
from hoopwright.film.calibrate import Calibrated
from hoopwright.film.camera import Camera, at_place, project
from hoopwright.film.drawn_back import clipped
from hoopwright.film.landmarks import landmarks
from hoopwright.film.scene import (
    Scene,
    Setting,
    drawn_back,
    read_scene,
    scaled,
    scene_from_marks,
    scene_sum,
    write_scene,
)

SETTING = Setting(gym="Invented hall", place="tripod at the sideline", turns=1)


def made(camera: Camera, setting: Setting = SETTING) -> tuple[Scene, Calibrated]:
    return scene_from_marks(tuple(click(camera, MANY)), draw_gym(camera), setting=setting)


@pytest.fixture(scope="module")
def scene() -> Scene:
    return made(side_camera(lens=-0.03))[0]


def test_a_marked_still_becomes_a_scene_with_its_sentences(scene: Scene) -> None:
    again, found = made(side_camera(lens=-0.03))
    assert again == scene
    assert (scene.width, scene.height) == (1280, 720)
    assert scene.camera == found.camera
    assert scene.rms == found.rms
    assert scene.ring_height == 3.05
    assert scene.fingerprint is not None
    assert any("95 % range" in note for note in found.notes)


def test_a_scene_comes_back_from_its_text_without_loss(scene: Scene) -> None:
    text = write_scene(scene)
    assert read_scene(text) == scene
    assert len(text) < 100_000
    bare = replace(scene, fingerprint=None, bad=("board top left",))
    assert read_scene(write_scene(bare)) == bare
    # order and white space are JSON's, and do not matter (RFC 8259)
    shuffled = dict(reversed(json.loads(text).items()))
    assert read_scene(json.dumps(shuffled)) == scene


def without(key: str) -> Callable[[dict[str, Any]], None]:
    return lambda d: d.pop(key)


def put(path: str, value: object) -> Callable[[dict[str, Any]], None]:
    def change(d: dict[str, Any]) -> None:
        *most, last = path.split(".")
        for key in most:
            d = d[int(key)] if isinstance(d, list) else d[key]
        d[last] = value

    return change


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (without("gym"), "missing required field “gym”"),
        (put("version", 2), "at “version”: 2 is not known to this version"),
        (put("kind", "another"), "at “kind”"),
        (put("camera.focal_px", "long"), "at “camera.focal_px”: expected a number, got text"),
        (put("camera.colour", 1), "unknown field “colour”"),
        (put("camera.focal_px", -1.0), "focal length above zero"),
        (put("camera.covariance", [0.0]), "8 × 8 covariance"),
        (put("camera.covariance", [-1.0] + [0.0] * 63), "errors that can't be"),
        (put("marks.0.x_px", None), "at “marks[0].x_px”"),
        (put("marks.0.name", "scoreboard"), "mark “scoreboard” that these rules do not know"),
        (put("bad", ["scoreboard"]), "mark “scoreboard”"),
        (put("rules", "street"), "no rule book called 'street'"),
        (put("ring_height_m", 305.0), "ring height in metres"),
        (put("ball_size", 4), "ball size must be"),
        (put("turns", 4), "Quarter turns"),
        (put("gym", "  "), "need a name"),
        (put("rms_px", -1.0), "not below zero"),
        (put("corners.bits", "AAAA"), "cut short"),
        (put("corners.places_px", "!"), "at “corners.places_px”"),
    ],
)
def test_anything_wrong_in_a_scene_is_said_in_one_sentence(
    scene: Scene, change: Callable[[dict[str, Any]], None], sentence: str
) -> None:
    held = json.loads(write_scene(scene))
    change(held)
    with pytest.raises(BadInput) as caught:
        read_scene(json.dumps(held))
    assert sentence in caught.value.message
    assert "\n" not in caught.value.message
    assert "`" not in caught.value.message


@pytest.mark.parametrize("text", ["", "{", "[]", "null", "\ud800", "[" * 5000, "x" * 2_000_000])
def test_what_is_no_scene_at_all_is_refused(text: str) -> None:
    with pytest.raises(BadInput):
        read_scene(text)


@settings(max_examples=40, deadline=None)
@given(st.text(max_size=60))
def test_no_text_crashes_the_reader(text: str) -> None:
    with pytest.raises(BadInput):
        read_scene(text)


def test_a_scenes_sum_is_that_of_its_marks_and_not_of_its_names(scene: Scene) -> None:
    known = scene_sum(scene)
    assert len(known) == 64 and known == scene_sum(read_scene(write_scene(scene)))
    assert scene_sum(replace(scene, gym="Other", place="bench")) == known
    first, *rest = scene.marks
    moved = replace(scene, marks=(replace(first, x=first.x + 0.5), *rest))
    for other in (moved, replace(scene, ring_height=2.6), replace(scene, ball_size=6)):
        assert scene_sum(other) != known


@pytest.mark.parametrize(("width", "height"), [(1920, 1080), (640, 360), (3840, 2160), (854, 480)])
def test_scaling_is_exact_arithmetic(scene: Scene, width: int, height: int) -> None:
    """A point at the same share of the picture, pixel edges counted."""
    large, factor = scaled(scene, width, height), width / 1280
    assert (large.width, large.height) == (width, height)
    points = [mark.position for mark in landmarks("fiba").values()]
    before, after = project(scene.camera, points), project(large.camera, points)
    slack = 1e-6 if (width, height) != (854, 480) else 0.5
    np.testing.assert_allclose((after + 0.5), factor * (before + 0.5), atol=slack)
    assert large.camera.errors[0, 0] == pytest.approx(factor**2 * scene.camera.errors[0, 0])
    np.testing.assert_allclose(large.camera.errors[2:, 2:], scene.camera.errors[2:, 2:])
    assert large.camera.position == pytest.approx(scene.camera.position)
    assert large.rms == pytest.approx(factor * scene.rms)
    assert large.fingerprint is not None
    assert read_scene(write_scene(large)) == large


def test_scaling_there_and_back_gives_the_same_scene(scene: Scene) -> None:
    assert scaled(scene, 1280, 720) is scene
    back = scaled(scaled(scene, 2560, 1440), 1280, 720)
    np.testing.assert_allclose(back.camera.parameters, scene.camera.parameters, rtol=1e-14)
    assert [(m.x, m.y) for m in back.marks] == [(m.x, m.y) for m in scene.marks]


@pytest.mark.parametrize(("width", "height"), [(720, 1280), (1280, 960), (1000, 720)])
def test_another_shape_is_refused(scene: Scene, width: int, height: int) -> None:
    with pytest.raises(BadInput, match="have another shape; mark a still of this clip"):
        scaled(scene, width, height)


@pytest.mark.parametrize("camera", [side_camera(), rear_camera(lens=0.04)])
def test_lines_are_drawn_back_through_the_landmarks_and_inside_the_picture(camera: Camera) -> None:
    scene = replace(made(side_camera())[0], camera=camera, fingerprint=None)
    lines = drawn_back(scene)
    assert {"lane", "board", "inner rectangle", "ring"} <= {line.name for line in lines}
    for line in lines:
        assert len(line.points) >= 2
        assert np.all(line.points >= -1e-6)
        assert np.all(line.points <= np.array([1279, 719]) + 1e-6)
    for mark in click(camera, MANY):
        if mark.name.endswith("end"):
            continue  # the free-throw line's own ends are not drawn, the lane's corners are
        near = [np.min(np.hypot(*(line.points - (mark.x, mark.y)).T)) for line in lines]
        # the ring is drawn along its rod's middle, its edge is clicked: 9 mm
        assert min(near) < 2.0, mark.name


def test_straight_lines_bend_by_the_lens_term() -> None:
    """Closed form: a point at (x, y) off the axis goes to 1 + k·(x² + y²) times as far."""
    base = replace(made(side_camera())[0], fingerprint=None)
    rise, deep, half = 2.9 - 1.8, 2.0 + 0.37825, 0.9  # the board's lower edge, seen from below
    for lens in (0.0, -0.08):
        below = at_place(
            (0.0, -2.0, 1.8), (0.0, 0.0, 1.8), width=1280, height=720, focal=600, lens=lens
        )
        board = next(x for x in drawn_back(replace(base, camera=below)) if x.name == "board")
        edge = board.points[: math.ceil(2 * half / 0.05), 1]
        bend = 600 * rise / deep * abs(lens) * (half / deep) ** 2
        assert np.ptp(edge) == pytest.approx(bend, abs=0.02)


def test_a_camera_below_the_ring_sees_no_line_behind_it() -> None:
    inside = at_place((0.0, -3.0, 1.5), (0.0, 0.4, 2.0), width=1280, height=720, focal=900)
    lines = drawn_back(replace(made(side_camera())[0], camera=inside, fingerprint=None))
    assert not [
        line for line in lines if line.name == "three-point line" and len(line.points) > 150
    ]


def test_clipping_cuts_at_the_edge_and_parts_what_leaves_and_returns() -> None:
    path = np.array([(-10.0, 50.0), (30.0, 50.0), (30.0, 150.0), (60.0, 150.0), (60.0, 20.0)])
    parts = clipped(path, 101, 101)
    assert len(parts) == 2
    np.testing.assert_allclose(parts[0], [(0, 50), (30, 50), (30, 100)])
    np.testing.assert_allclose(parts[1], [(60, 100), (60, 20)])
    gap = np.array([(10.0, 10.0), (20.0, 10.0), (math.nan, 10.0), (40.0, 10.0), (50.0, 10.0)])
    assert [len(p) for p in clipped(gap, 101, 101)] == [2, 2]
    assert clipped(np.array([(-5.0, -5.0), (-1.0, -9.0)]), 101, 101) == []
