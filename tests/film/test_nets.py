"""Cutting out and reading boxes back, against closed forms and general libraries."""

import math

import cv2
import numpy as np
import pytest
from scipy import ndimage

from hoopwright.film import nets
from hoopwright.film.bodynet import refine
from hoopwright.film.nets import Finder, Square, anchors, cut, merge, overlap, to_picture


def test_the_middle_of_a_cut_out_is_the_middle_of_its_square() -> None:
    """Closed form: the map is a turn and a scaling about the middle."""
    square = Square(x=310.5, y=97.25, side=180.0, turn=0.7)
    assert to_picture(np.array([128.0, 128.0]), square, pixels=256) == pytest.approx([310.5, 97.25])


@pytest.mark.parametrize("turn", [0.0, 0.3, -1.2, math.pi])
def test_corners_lie_half_a_diagonal_away_turned(turn: float) -> None:
    """Closed form: the top right corner is at −45° plus the turn, y down."""
    square = Square(x=50.0, y=60.0, side=20.0, turn=turn)
    corner = to_picture(np.array([64.0, 0.0]), square, pixels=64)
    far, angle = 10.0 * math.sqrt(2.0), turn - 0.25 * math.pi
    expected = [50.0 + far * math.cos(angle), 60.0 + far * math.sin(angle)]
    assert corner == pytest.approx(expected)


def test_a_turned_cut_out_agrees_with_scipy() -> None:
    """General reference: scipy.ndimage.affine_transform; OpenCV rounds places to 1/32 px."""
    rng = np.random.default_rng(5)
    picture = ndimage.gaussian_filter(rng.uniform(0, 255, (90, 120, 3)), (2, 2, 0))
    picture = ((picture - picture.min()) * 255 / np.ptp(picture)).astype(np.uint8)
    square = Square(x=63.0, y=41.0, side=70.0, turn=0.4)
    seen = cut(picture, square, pixels=50, beyond=cv2.BORDER_CONSTANT)
    to = square.matrix(50)
    # scipy counts rows first
    matrix, shift = to[::-1, 1::-1], to[::-1, 2]
    for channel in range(3):
        plane = picture[:, :, 2 - channel].astype(float)
        expected = ndimage.affine_transform(plane, matrix, shift, (50, 50), order=1)
        assert np.abs(seen[5:-5, 5:-5, channel] - expected[5:-5, 5:-5]).max() < 5.0


@pytest.mark.parametrize(
    ("strides", "per_cell", "pixels", "rows"),
    [
        # published graphs: 2254 rows of the body finder, 896 and 2304 of the face finders
        ((8, 16, 32, 32, 32), 2, 224, 2254),
        ((8, 16, 16, 16), 2, 128, 896),
        ((4,), 1, 192, 2304),
    ],
)
def test_there_is_an_anchor_for_each_output_row(
    strides: tuple[int, ...], per_cell: int, pixels: int, rows: int
) -> None:
    finder = Finder(boxes="", scores="", strides=strides, per_cell=per_cell, points=4)
    middles = anchors(finder, pixels)
    assert middles.shape == (rows, 2)
    # closed form: the first cell's middle is half a stride in, the last one's half from the end
    assert middles[0] * pixels == pytest.approx([strides[0] / 2] * 2)
    assert middles[-1] * pixels == pytest.approx([pixels - strides[-1] / 2] * 2)


def test_merging_keeps_the_finds_that_opencv_keeps() -> None:
    """General reference: cv2.dnn.NMSBoxes; ours then averages what is under each kept box."""
    rng = np.random.default_rng(8)
    middles, sizes = rng.uniform(0, 1, (60, 2)), rng.uniform(0.1, 0.3, (60, 2))
    scores = rng.uniform(0.3, 1.0, 60)
    corner = np.concatenate([middles - 0.5 * sizes, sizes], axis=1)
    kept = cv2.dnn.NMSBoxes((corner * 1e6).astype(int).tolist(), scores.tolist(), 0.0, 0.3)
    merged = merge(scores, np.stack([middles, sizes], axis=1))
    assert [s for s, _ in merged] == pytest.approx([scores[k] for k in kept], rel=1e-6)


def test_merged_finds_are_the_mean_weighted_by_score() -> None:
    places = np.array([[[0.4, 0.4], [0.2, 0.2]], [[0.43, 0.4], [0.2, 0.2]]])
    ((score, mean),) = merge(np.array([0.9, 0.3]), places)
    assert score == 0.9
    assert mean[0] == pytest.approx([(0.9 * 0.4 + 0.3 * 0.43) / 1.2, 0.4])


def test_overlap_of_shifted_squares() -> None:
    """Closed form: unit squares half a side apart share 1/2 of 3/2."""
    others = np.array([[0.5, 0.0, 1.5, 1.0], [0.0, 0.0, 1.0, 1.0], [2.0, 0.0, 3.0, 1.0]])
    assert overlap(np.array([0.0, 0.0, 1.0, 1.0]), others) == pytest.approx([1 / 3, 1.0, 0.0])


def test_heat_moves_a_point_to_its_middle() -> None:
    """Known: a spot of heat two thirds of a cell off its cell's corner."""
    row, column = np.mgrid[0:64, 0:64]
    spot = np.exp(-((column - 20.66) ** 2 + (row - 31.3) ** 2) / 2.0)
    # the heat is read through the logistic function
    heat = np.log(np.clip(spot, 1e-9, 1 - 1e-9) / (1 - np.clip(spot, 1e-9, 1 - 1e-9)))
    places = np.array([[21.5 / 64, 31.5 / 64]])
    moved = refine(places, heat[:, :, None]) * 64
    assert moved[0] == pytest.approx([20.66, 31.3], abs=0.05)


def test_cold_heat_and_points_outside_are_left_where_they_are() -> None:
    places = np.array([[0.5, 0.5], [1.2, 0.3], [-0.1, 0.2], [0.999, 0.001]])
    assert refine(places, np.full((64, 64, 4), -3.0)) == pytest.approx(places)


def test_the_logistic_function_is_held_at_its_ends() -> None:
    assert nets.sigmoid(np.array([-1e9, 0.0, 1e9])) == pytest.approx([0.0, 0.5, 1.0])
