"""A skeleton is believed only where a person can be; bodies here are drawn from known lengths."""

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.film.bodies import Scripted, found, standing

from hoopwright.film import person
from hoopwright.film.bodynet import Skeleton, square_of
from hoopwright.film.person import agrees, choose, holds, lies_in, look_near, stands, stature

BLANK = np.zeros((720, 1280, 3), np.uint8)
#: pixels a metre takes in these tests
SCALE = 100.0


def moved(body: Skeleton, right: float, down: float) -> Skeleton:
    ahead = replace(body.ahead, x=body.ahead.x + right, y=body.ahead.y + down)
    return replace(body, points=body.points + np.array([right, down]), ahead=ahead)


def turned(body: Skeleton, angle: float) -> Skeleton:
    """Return a body turned about its hips."""
    cos, sin = math.cos(angle), math.sin(angle)
    hips = body.points[23:25].mean(axis=0)
    return replace(body, points=(body.points - hips) @ np.array([[cos, sin], [-sin, cos]]) + hips)


@pytest.mark.parametrize("tall", [1.0, 1.3, 1.75, 2.3])
def test_stature_of_a_standing_body(tall: float) -> None:
    """Segment lengths over stature from [Winter2009]_ (memory); 3 % for the nose's own height."""
    body = standing(400.0, 600.0, tall * SCALE)
    assert stature(body) / SCALE == pytest.approx(tall, rel=0.03)
    assert stands(body, per_metre=SCALE)


@pytest.mark.parametrize("tall", [0.6, 2.8])
def test_nobody_is_that_small_or_that_tall(tall: float) -> None:
    body = standing(400.0, 600.0, tall * SCALE)
    assert not stands(body, per_metre=SCALE)
    assert stands(body, per_metre=None)


@pytest.mark.parametrize("angle", [0.5 * math.pi, math.pi])
def test_a_shooter_neither_lies_nor_stands_on_the_head(angle: float) -> None:
    assert not stands(turned(standing(400.0, 600.0, 180.0), angle), per_metre=SCALE)


def test_a_leaning_body_stands() -> None:
    assert stands(turned(standing(400.0, 600.0, 180.0), 0.35), per_metre=SCALE)


def test_a_skeleton_beside_the_person_is_refused() -> None:
    """The case that was seen: a confident skeleton a body's width or two beside a small player."""
    body = standing(400.0, 600.0, 180.0)
    (there,) = look_near(
        BLANK, np.array([400.0, 500.0]), model=Scripted(lambda: [body]), per_metre=SCALE
    )
    assert agrees(body, there)
    for right, down in ((90.0, 0.0), (-60.0, 0.0), (0.0, 80.0), (250.0, -30.0)):
        assert not agrees(moved(body, right, down), there)


def test_a_skeleton_of_another_size_is_refused() -> None:
    body, twice = standing(400.0, 600.0, 180.0), standing(400.0, 690.0, 360.0)
    (there,) = look_near(
        BLANK, np.array([400.0, 500.0]), model=Scripted(lambda: [body]), per_metre=SCALE
    )
    assert not agrees(twice, there)
    assert not lies_in(body, np.array([300.0, 100.0, 500.0, 700.0]))


def test_hands_reach_half_a_metre_from_a_held_ball() -> None:
    body = standing(400.0, 600.0, 180.0)
    wrist = body.points[15]
    assert holds(body, wrist + np.array([45.0, 0.0]), per_metre=SCALE)
    assert not holds(body, wrist + np.array([75.0, 0.0]), per_metre=SCALE)
    # without a scale the body is taken to be 1.7 m tall: 180 px make 106 px a metre
    assert holds(body, wrist + np.array([50.0, 0.0]), per_metre=None)


def test_the_one_whose_hands_are_nearest_has_the_ball() -> None:
    left, right = standing(350.0, 600.0, 180.0), standing(480.0, 600.0, 180.0)
    ball = left.points[15] + np.array([5.0, -5.0])
    choice = choose(BLANK, ball, model=Scripted(lambda: [right, left]), per_metre=SCALE)
    assert choice is not None
    assert choice.skeleton.points[0] == pytest.approx(left.points[0])
    assert choice.others == 0


def test_another_as_near_is_counted() -> None:
    left, right = standing(350.0, 600.0, 180.0), standing(410.0, 600.0, 180.0)
    ball = 0.5 * (left.points[15] + right.points[16])
    choice = choose(BLANK, ball, model=Scripted(lambda: [right, left]), per_metre=SCALE)
    assert choice is not None
    assert choice.others == 1


def test_nobody_there_is_nobody_chosen() -> None:
    assert choose(BLANK, np.array([5.0, 5.0]), model=Scripted(list), per_metre=SCALE) is None


def test_one_person_found_twice_counts_once() -> None:
    body = standing(400.0, 600.0, 180.0)
    people = [person._person(found(body, s)) for s in (0.7, 0.9, 0.8)]
    others = [person._person(found(standing(600.0, 600.0, 180.0)))]
    assert [p.score for p in person.each_once([*people, *others])] == [0.95, 0.9]


def test_person_sized_things_before_the_background_are_found() -> None:
    """Known: a body-sized patch; a ball and the noise of a sensor are none."""
    rng = np.random.default_rng(4)
    background = rng.integers(90, 110, (360, 640, 3), dtype=np.uint8)
    picture = np.clip(background + rng.normal(0.0, 3.0, background.shape), 0, 255)
    picture[100:270, 200:245] = 200
    picture[60:84, 400:424] = 220
    boxes = person.moving_boxes(picture.astype(np.uint8), background, per_metre=SCALE)
    assert boxes == pytest.approx(np.array([[200.0, 100.0, 245.0, 270.0]]), abs=4.0)


def test_the_nearest_box_is_taken_unless_it_is_too_far() -> None:
    boxes = np.array([[0.0, 0.0, 10.0, 20.0], [50.0, 0.0, 60.0, 20.0]])
    near = person.nearest_box(boxes, np.array([45.0, 10.0]), farthest=8.0)
    assert near is not None
    assert near[0] == 50.0
    assert person.nearest_box(boxes, np.array([30.0, 60.0]), farthest=8.0) is None
    assert person.nearest_box(np.empty((0, 4)), np.array([0.0, 0.0]), farthest=8.0) is None


@pytest.mark.parametrize("turn", [0.0, 0.2, -0.5])
def test_the_square_round_a_body_is_turned_with_it(turn: float) -> None:
    """Closed form: two and a half times the reach, turned as the reach point is off upright."""
    hips = np.array([100.0, 200.0])
    square = square_of(hips, hips + 80.0 * np.array([math.sin(turn), -math.cos(turn)]))
    assert (square.x, square.y) == (100.0, 200.0)
    assert square.side == pytest.approx(200.0)
    assert square.turn == pytest.approx(turn)
