"""No head may show: found from any side, led over gaps, held before and after."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.film.bodies import models_folder, standing
from tests.film.drawn_shooter import DrawnShooter, drawn_shooter

from hoopwright.errors import ModelsMissing
from hoopwright.film.faces import FaceModel, Faces, find_faces, head_boxes, joined
from hoopwright.film.pose import point_errors
from hoopwright.film.results import Poses
from hoopwright.film.video import Picture

Floats = NDArray[np.float64]
Pixels = NDArray[np.uint8]
BLANK = np.zeros((360, 640, 3), np.uint8)
RATE = 30.0


class Scripted(FaceModel):
    """A model that knows where the faces are in each picture."""

    def __init__(self, faces: Callable[[int], Floats]) -> None:
        self._faces = faces
        self.searches: list[int] = []

    def search(self, image: Pixels) -> Floats:
        self.searches.append(int(image[0, 0, 0]))
        return self._faces(int(image[0, 0, 0])).reshape(-1, 4)


def pictures(count: int) -> list[Picture]:
    """Pictures that carry their number in the first pixel."""
    film = []
    for number in range(count):
        image = BLANK.copy()
        image[0, 0] = number
        film.append(Picture(frame=number, time=number / RATE, image=image))
    return film


def moving(frame: int) -> Floats:
    """A 30 px face (0.25 m) that moves at 4 m/s."""
    x = 50.0 + 16.0 * frame
    return np.array([[x, 100.0, x + 30.0, 130.0]])


def covers(faces: Faces, frame: int, box: Floats) -> bool:
    found = faces.at(frame)
    return bool(
        ((found[:, :2] <= box[:2] + 1e-6) & (found[:, 2:] >= box[2:] - 1e-6)).all(axis=1).any()
    )


def test_a_moving_face_is_covered_between_searches() -> None:
    """Known motion: linear, so that what is led on holds it whole."""
    model = Scripted(moving)
    faces = find_faces(pictures(31), model=model)
    assert len(model.searches) <= 6
    assert all(covers(faces, k, moving(k)[0]) for k in range(31))


def test_a_face_missed_by_a_search_is_led_on() -> None:
    model = Scripted(lambda k: moving(k) if not 10 <= k <= 20 else np.empty((0, 4)))
    faces = find_faces(pictures(31), model=model)
    assert any(10 <= k <= 20 for k in model.searches)
    assert all(covers(faces, k, moving(k)[0]) for k in range(31))


def test_a_face_is_held_before_it_is_found_and_after() -> None:
    """Found once, at 1.0 s: blurred half a second either way, wider the farther from there."""
    still = np.array([[100.0, 100.0, 130.0, 130.0]])
    model = Scripted(lambda k: still if k == 30 else np.empty((0, 4)))
    faces = find_faces(pictures(61), model=model, every=0.5)
    shown = [k for k in range(61) if len(faces.at(k))]
    assert shown == list(range(15, 46))
    width = [faces.at(k)[0, 2] - faces.at(k)[0, 0] for k in (30, 36, 42)]
    assert width[0] == pytest.approx(30.0)
    assert width[0] < width[1] < width[2]


def test_a_face_in_the_last_picture_is_searched_for() -> None:
    late = np.array([[10.0, 10.0, 40.0, 40.0]])
    model = Scripted(lambda k: late if k == 30 else np.empty((0, 4)))
    faces = find_faces(pictures(31), model=model, every=0.4)
    assert covers(faces, 30, late[0])


def test_two_faces_that_pass_are_both_covered() -> None:
    """They cross at 0.5 s; both are slow enough to be where the nearest search found them."""

    def crossing(k: int) -> Floats:
        one, two = 100.0 + 2.0 * k, 160.0 - 2.0 * k
        return np.array([[one, 50.0, one + 30, 80.0], [two, 55.0, two + 30, 85.0]])

    faces = find_faces(pictures(31), model=Scripted(crossing))
    assert all(covers(faces, k, box) for k in range(31) for box in crossing(k))


def test_boxes_over_each_other_become_the_box_round_them() -> None:
    boxes = np.array([[0.0, 0.0, 10.0, 10.0], [2.0, 2.0, 5.0, 5.0], [4.0, 0.0, 14.0, 10.0],
                      [50.0, 50.0, 60.0, 60.0]])  # fmt: skip
    assert sorted(joined(boxes).tolist()) == [[0.0, 0.0, 14.0, 10.0], [50.0, 50.0, 60.0, 60.0]]
    assert joined(np.empty((0, 4))).shape == (0, 4)


def test_heads_of_body_points_are_covered() -> None:
    """Head height is 0.13 of stature ([Winter2009]_, memory): chin to crown are inside."""
    body = standing(200.0, 300.0, 180.0)
    row = Poses(
        frame=np.array([5]), time=np.array([0.1]), points=body.points[None],
        sd=point_errors(body)[None], presence=body.presence[None], shape=body.shape[None],
        box=np.array([[150.0, 115.0, 250.0, 305.0]]),
    )  # fmt: skip
    (box,) = head_boxes([row])[5]
    assert box[1] < 300.0 - 180.0
    assert box[3] > 300.0 - 0.87 * 180.0
    assert box[0] < 200.0 - 0.05 * 180.0
    assert box[2] > 200.0 + 0.05 * 180.0


def test_missing_models_are_told(tmp_path: Path) -> None:
    with pytest.raises(ModelsMissing, match="hoopwright film prepare"):
        FaceModel(tmp_path)


@pytest.fixture(scope="module")
def film() -> DrawnShooter:
    return drawn_shooter(walker=True)


def test_no_drawn_face_shows(film: DrawnShooter) -> None:
    """Known: noses of the shooter and of one who walks by behind, in every picture."""
    few = film.pictures[:30]
    faces = find_faces(few, model=FaceModel(models_folder()))
    noses = np.stack([film.points[:30, 0], film.walker_head[:30]], axis=1)
    for picture in few:
        for nose in noses[picture.frame]:
            assert covers(faces, picture.frame, np.tile(nose, 2)), picture.frame


def test_a_gym_without_players_has_few_faces(film: DrawnShooter) -> None:
    """Guards against blurring everything: spectators on the stand are all there is."""
    boxes = FaceModel(models_folder()).search(film.empty)
    area = np.prod(boxes[:, 2:] - boxes[:, :2], axis=1).sum()
    assert area < 0.03 * film.empty.shape[0] * film.empty.shape[1]
