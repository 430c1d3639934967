"""Marks → camera: exact data against OpenCV, noise by simulation, wrong marks, refusals."""

import math
import re
from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from tests.film.marked import (
    BOARD,
    ELBOWS,
    INNER,
    LANE_ENDS,
    LINE_ENDS,
    MANY,
    RING,
    any_camera,
    click,
    rear_camera,
    rolled,
    side_camera,
    torus_edge,
)

from hoopwright.errors import BadInput, UnknownName
from hoopwright.film.calibrate import Calibrated, calibrate
from hoopwright.film.camera import Camera, at_place, project
from hoopwright.film.camera_fit import Sighting, fit_camera, place_covariance, ring_edge
from hoopwright.film.landmarks import Mark, landmarks

FIXED = (*BOARD, *INNER, *ELBOWS, *LINE_ENDS, *LANE_ENDS)


def read(marks: Sequence[Mark], sd: float = 1.5) -> Calibrated:
    return calibrate(marks, width=1280, height=720, mark_sd=sd)


def moved(marks: Sequence[Mark], name: str, x: float, y: float) -> list[Mark]:
    return [replace(m, x=m.x + x, y=m.y + y) if m.name == name else m for m in marks]


def exchanged(marks: Sequence[Mark], one: str, other: str) -> list[Mark]:
    names = {one: other, other: one}
    return [replace(m, name=names.get(m.name, m.name)) for m in marks]


def twin(name: str) -> str:
    return " ".join({"left": "right", "right": "left"}.get(word, word) for word in name.split())


@pytest.mark.parametrize("camera", [side_camera(lens=-0.03), rear_camera(lens=0.02)])
def test_exact_marks_give_the_camera_opencv_finds(camera: Camera) -> None:
    """Reference: cv2.calibrateCamera and cv2.solvePnP on the same points (general library)."""
    marks = click(camera, FIXED)
    known = landmarks("fiba")
    world = np.array([known[m.name].position for m in marks], dtype=np.float32)
    seen = np.array([(m.x, m.y) for m in marks], dtype=np.float32)
    flags = (
        cv2.CALIB_USE_INTRINSIC_GUESS | cv2.CALIB_FIX_PRINCIPAL_POINT | cv2.CALIB_FIX_ASPECT_RATIO
        | cv2.CALIB_ZERO_TANGENT_DIST | cv2.CALIB_FIX_K2 | cv2.CALIB_FIX_K3
    )  # fmt: skip
    start = replace(camera, focal=900.0).matrix
    _, matrix, lens, turns, shifts = cv2.calibrateCamera(
        [world], [seen], (1280, 720), start, np.zeros(5), flags=flags
    )
    # a gym without tolerances, so that the weak priors weigh nothing
    exact = tuple(replace(known[m.name], sd=(0.0, 0.0, 0.0)) for m in marks)
    fitted = fit_camera(
        Sighting(
            landmarks=exact, seen=np.array([(m.x, m.y) for m in marks]), sd=0.001,
            width=1280, height=720, ring_outside=0.25, rod_radius=0.009,
        )
    )  # fmt: skip
    assert fitted is not None
    ours = fitted.camera
    assert ours.focal == pytest.approx(matrix[0, 0], rel=1e-5)
    assert ours.lens == pytest.approx(float(np.ravel(lens)[0]), abs=1e-5)
    np.testing.assert_allclose(ours.rotation, turns[0].ravel(), atol=1e-5)
    np.testing.assert_allclose(ours.translation, shifts[0].ravel(), atol=1e-4)
    # and, the inside of the camera known, the place solvePnP gives
    terms = np.array([camera.lens, 0.0, 0.0, 0.0])
    _, turn, shift = cv2.solvePnP(world, seen, camera.matrix, terms)
    np.testing.assert_allclose(ours.rotation, turn.ravel(), atol=1e-5)
    np.testing.assert_allclose(ours.translation, shift.ravel(), atol=1e-4)
    # with the tolerances the priors pull, but by a small part of the error told: under half
    pulled = read(marks).camera
    off = pulled.parameters - camera.parameters
    assert np.max(np.abs(off) / np.sqrt(np.diag(pulled.errors))) < 0.5


@pytest.mark.parametrize("names", [BOARD, (*BOARD, *INNER), (*BOARD[:2], *RING), MANY])
def test_exact_marks_are_drawn_back_where_they_were_clicked(names: Sequence[str]) -> None:
    """Few marks leave focal length and distance open, but not where the marks are drawn."""
    got = read(click(side_camera(), names))
    assert got.rms < 0.35
    assert got.bad == ()
    off = got.camera.position - side_camera().position
    far = off @ np.linalg.inv(place_covariance(got.camera)) @ off
    assert far < 7.81  # 95 % of chi-square with three degrees, e.g. NIST handbook table 1.3.6.7.4


@pytest.mark.parametrize("camera", [side_camera(), rear_camera()])
@pytest.mark.parametrize("side", [-1, 1])
def test_ring_edge_is_the_farthest_point_of_the_whole_rod(camera: Camera, side: int) -> None:
    """Reference: the extreme of 86,400 points all over the rod's skin."""
    marks = click(camera, MANY)
    mark = landmarks("fiba")[RING[(side + 1) // 2]]
    at = ring_edge(camera, mark, outside=0.22725 + 0.018, rod_radius=0.009)
    drawn, true = project(camera, at)[0], torus_edge(camera, side, around=3600)
    assert drawn[0] == pytest.approx(true[0], abs=0.01)
    assert drawn[1] == pytest.approx(true[1], abs=0.2)
    assert len(marks) >= 12


@pytest.fixture(scope="module")
def scenes() -> list[tuple[Camera, Calibrated]]:
    """Over 300 scenes with clicking errors of 1.5 px and a gym as far off as its tolerances."""
    rng = np.random.default_rng(21)
    sets = (MANY, (*BOARD, *RING, *ELBOWS), (*BOARD[:2], *INNER[2:], *LINE_ENDS, *LANE_ENDS))
    done: list[tuple[Camera, Calibrated]] = []
    while len(done) < 303:
        camera = any_camera(rng)
        marks = click(camera, sets[len(done) % 3], rng=rng, sd=1.5)
        if len(marks) >= 5:
            done.append((camera, read(marks)))
    return done


def test_ranges_of_place_and_focal_length_cover_95_percent(
    scenes: list[tuple[Camera, Calibrated]],
) -> None:
    inside = []
    for true, got in scenes:
        sd = np.sqrt(np.diag(place_covariance(got.camera)))
        off = np.abs(got.camera.position - true.position) / sd
        focal = abs(got.camera.focal - true.focal) / math.sqrt(got.camera.errors[0, 0])
        inside.append([*(off < 1.96), focal < 1.96])
    cover = np.mean(inside, axis=0)
    assert np.all(np.abs(cover - 0.95) <= 0.04), cover


def test_clicking_errors_alone_seldom_raise_an_alarm(
    scenes: list[tuple[Camera, Calibrated]],
) -> None:
    assert np.mean([bool(got.bad) for _, got in scenes]) <= 0.01


def test_board_alone_covers_too() -> None:
    """Four marks in a plane: focal length and distance hang together, the ranges say so."""
    rng = np.random.default_rng(22)
    inside: list[NDArray[np.bool_]] = []
    while len(inside) < 90:
        camera = any_camera(rng)
        marks = click(camera, BOARD, rng=rng, sd=1.0)
        # from straight aside the board is a line, which is refused, and from behind it the four
        # corners alone look as if left and right were exchanged
        seen = len(marks) == 4 and abs(marks[0].x - marks[1].x) > 30.0
        if seen and camera.position[1] < 0.0:
            got = read(marks, sd=1.0).camera
            sd = np.sqrt(np.diag(place_covariance(got)))
            inside.append(np.abs(got.position - camera.position) < 1.96 * sd)
    assert np.mean(inside) >= 0.91


@pytest.mark.parametrize("name", [*BOARD, *ELBOWS, "ring left edge"])
def test_a_slipped_mark_is_named_and_left_out(name: str) -> None:
    rng = np.random.default_rng(23)
    marks = click(side_camera(), MANY, rng=rng, sd=1.0)
    got = read(moved(marks, name, 14.0, -11.0))
    assert got.bad == (name,)
    assert f"“{name}”" in got.notes[0]
    off = {r.name: r.size for r in got.residuals}
    assert max(off, key=lambda n: off[n]) == name
    whole = read([m for m in marks if m.name != name]).camera
    np.testing.assert_allclose(got.camera.position, whole.position, atol=1e-4)


def test_a_slipped_mark_among_six_is_named() -> None:
    """One of the board's four; of two floor marks, either may be the wrong one."""
    rng = np.random.default_rng(24)
    for k in range(16):
        marks = click(rear_camera(), (*BOARD, *ELBOWS), rng=rng, sd=1.0)
        turn = rng.uniform(0.0, 2.0 * math.pi)
        got = read(moved(marks, BOARD[k % 4], 40.0 * math.cos(turn), 40.0 * math.sin(turn)))
        assert got.bad == (BOARD[k % 4],)
    got = read(moved(click(rear_camera(), (*BOARD, *ELBOWS)), ELBOWS[0], 0.0, 40.0))
    assert set(got.bad) == set(ELBOWS)
    assert "One of the marks is wrong" in got.notes[0]


@pytest.mark.parametrize(
    ("one", "other"),
    [(BOARD[0], BOARD[1]), (BOARD[1], BOARD[3]), (ELBOWS[0], ELBOWS[1]), (INNER[0], BOARD[2])],
)
def test_two_exchanged_marks_are_named_and_put_right(one: str, other: str) -> None:
    rng = np.random.default_rng(25)
    marks = click(side_camera(), MANY, rng=rng, sd=1.0)
    got = read(exchanged(marks, one, other))
    assert set(got.bad) == {one, other}
    assert "exchanged" in got.notes[0]
    np.testing.assert_allclose(got.camera.position, read(marks).camera.position, atol=1e-4)


@pytest.mark.parametrize("count", [4, 5])
def test_with_few_marks_it_is_said_that_the_wrong_one_can_t_be_told(count: int) -> None:
    marks = click(rear_camera(), (*BOARD[:2], *ELBOWS, BOARD[2]))[:count]
    good, got = read(marks), read(exchanged(marks, BOARD[0], BOARD[1]))
    assert got.bad == ()
    assert f"with {count} it can't be told which" in got.notes[0]
    assert got.camera.errors[0, 0] > good.camera.errors[0, 0]


def test_several_wrong_marks_are_not_blamed_on_one() -> None:
    marks = click(side_camera(), MANY)
    for name, x in ((BOARD[0], 35.0), (ELBOWS[1], -60.0), (INNER[2], 25.0), (LANE_ENDS[0], 50.0)):
        marks = moved(marks, name, x, 20.0)
    got = read(marks)
    assert got.bad == ()
    assert "more than one is wrong" in got.notes[0]


def test_the_note_says_where_the_camera_stands_with_its_range() -> None:
    got = read(click(side_camera(), MANY))
    low, high, lowest, highest = map(float, re.findall(r"\d+\.\d", got.notes[-1]))
    assert low < math.hypot(10.5, 2.6) < high
    assert lowest < 1.5 < highest
    assert "95 % range" in got.notes[-1]
    loose = read(click(side_camera(), BOARD), sd=4.0)
    assert "add marks" in loose.notes[-1]


def test_fewer_marks_mean_wider_errors() -> None:
    few, many = read(click(rear_camera(), BOARD)), read(click(rear_camera(), MANY))
    assert np.all(np.diag(place_covariance(few.camera)) > np.diag(place_covariance(many.camera)))
    assert few.camera.errors[0, 0] > 4 * many.camera.errors[0, 0]


@pytest.mark.parametrize("camera", [side_camera(), rear_camera()])
@pytest.mark.parametrize("names", [BOARD, MANY, (*ELBOWS, *LANE_ENDS)])
def test_mirrored_marks_are_refused(camera: Camera, names: Sequence[str]) -> None:
    marks = click(camera, names)
    assert len(marks) >= 4
    mirrored = [m if m.name in RING else replace(m, name=twin(m.name)) for m in marks]
    with pytest.raises(BadInput, match="exchanged in these marks") as caught:
        read(mirrored)
    assert caught.value.field == "marks"


def test_a_camera_behind_the_board_is_believed_where_the_floor_says_so() -> None:
    """A glass board filmed from beyond the end line."""
    behind = at_place((9.0, 3.5, 1.6), (0.0, -1.5, 2.0), width=1280, height=720, focal=900)
    got = read(click(behind, MANY))
    assert got.bad == ()
    assert got.camera.position == pytest.approx(behind.position, abs=0.3)
    with pytest.raises(BadInput, match="if it does, mark points on the floor too"):
        read(click(behind, BOARD))


@pytest.mark.parametrize("quarters", [1, 2, 3])
def test_a_picture_on_its_side_is_refused(quarters: int) -> None:
    camera = rolled(rear_camera(focal=500.0), 0.5 * math.pi * quarters)
    with pytest.raises(BadInput, match="turn it upright"):
        read(click(camera, MANY))


def test_what_can_t_be_a_set_of_marks_is_refused_in_one_sentence() -> None:
    marks = click(rear_camera(), MANY)
    nan = replace(marks[0], x=math.nan)
    cases: list[tuple[list[Mark], str, str]] = [
        (marks[:3], "at least 4 points", "marks"),
        ([*marks, marks[0]], "marked twice", marks[0].name),
        ([*marks[1:], replace(marks[0], x=-3.0)], "outside the picture", marks[0].name),
        ([*marks[1:], replace(marks[0], y=720.0)], "outside the picture", marks[0].name),
        ([*marks[1:], nan], "has no place", marks[0].name),
        ([replace(marks[1], x=marks[0].x, y=marks[0].y), *marks[2:], marks[0]], "same place",
         marks[0].name),
        (click(rear_camera(), (*ELBOWS, *LINE_ENDS)), "in one line", "marks"),
    ]  # fmt: skip
    for wrong, sentence, field in cases:
        with pytest.raises(BadInput, match=sentence) as caught:
            read(wrong)
        assert caught.value.field == field
    with pytest.raises(UnknownName, match="choose one of: board top left"):
        read([*marks[1:], replace(marks[0], name="scoreboard")])
    with pytest.raises(BadInput, match="clicking error"):
        read(marks, sd=0.0)


def test_no_camera_at_all_is_no_crash() -> None:
    """Marks strewn at random are refused or reported, never returned as fine."""
    rng = np.random.default_rng(26)
    for _ in range(2):
        marks = [
            Mark(name=name, x=float(rng.uniform(0, 1279)), y=float(rng.uniform(0, 719)))
            for name in MANY[:7]
        ]
        try:
            got = read(marks)
        except BadInput:
            continue
        assert "fit" in got.notes[0] or "wrong" in got.notes[0]
