"""No head may show: found from any side, led over gaps, held before and after."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.film.bodies import models_folder, standing
from tests.film.drawn_shooter import DrawnShooter, drawn_shooter

from hoopwright.errors import ModelsMissing
from hoopwright.film.bodynet import POINTS, PoseModel
from hoopwright.film.faces import FaceModel, Faces, find_faces, joined
from hoopwright.film.heads import heads_of
from hoopwright.film.overlay import hide
from hoopwright.film.pose import point_errors, watch
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


class AlwaysAt(Scripted):
    """A model that finds the same face in each picture."""

    def __init__(self, box: Floats) -> None:
        super().__init__(lambda number: box)


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


def test_what_lies_at_the_flying_ball_is_no_face() -> None:
    """Found at the ball's place in the air, and again where nothing flies."""
    at_ball = np.array([[90.0, 90.0, 122.0, 122.0]])
    flight = [(0.0, 60.0, 130.0), (1.0, 160.0, 80.0)]
    faces = find_faces(
        pictures(31), model=Scripted(lambda k: at_ball if k == 15 else np.empty((0, 4))),
        flight=flight, every=0.5,
    )  # fmt: skip
    assert len(faces.box) == 0
    faces = find_faces(pictures(31), model=Scripted(lambda k: at_ball), flight=flight, every=0.5)
    assert all(covers(faces, k, at_ball[0]) for k in range(31))


def row_of(*middles: tuple[float, float] | None, first: int = 0) -> Poses:
    """A standing body of 180 px whose soles are in these places; one picture each."""
    bodies = [standing(*(at or (0.0, 0.0)), 180.0) for at in middles]
    points = np.array([body.points for body in bodies])
    points[[k for k, at in enumerate(middles) if at is None]] = np.nan
    frames = first + np.arange(len(middles))
    return Poses(
        frame=frames, time=frames / RATE, points=points,
        sd=np.array([point_errors(body) for body in bodies]),
        presence=np.array([body.presence for body in bodies]),
        shape=np.array([body.shape for body in bodies]),
        box=np.full((len(frames), 4), np.nan),
    )  # fmt: skip


def times(count: int) -> dict[int, float]:
    return {number: number / RATE for number in range(count)}


def test_heads_of_body_points_are_covered_and_no_more() -> None:
    """Head height is 0.13 of stature ([Winter2009]_, memory): chin to crown are inside.

    At release the ball's middle is over the head: the arm, 0.44 of stature from the shoulder at
    0.82, is stretched upward; half of that is far more than a head.
    """
    (box,) = heads_of([row_of((200.0, 300.0))], times(1)).at(0)
    assert box[1] < 300.0 - 180.0
    assert box[3] > 300.0 - 0.87 * 180.0
    assert box[0] < 200.0 - 0.05 * 180.0
    assert box[2] > 200.0 + 0.05 * 180.0
    assert box[1] > 300.0 - (0.82 + 0.22) * 180.0
    assert box[2] - box[0] < 0.22 * 180.0


def test_a_head_is_led_over_a_gap_but_not_past_the_ends() -> None:
    walk = [(200.0 + 2.0 * k, 300.0) for k in range(20)]
    seen = [at if not 6 <= k < 12 else None for k, at in enumerate(walk)]
    heads = heads_of([row_of(*seen, first=3)], times(40))
    assert [k for k in range(40) if heads.at(k)] == list(range(3, 23))
    for k in range(3, 23):
        (box,) = heads.at(k)
        assert 0.5 * (box[0] + box[2]) == pytest.approx(walk[k - 3][0])
    assert (
        len(heads_of([row_of((200.0, 300.0), *[None] * 20, (240.0, 300.0))], times(22)).boxes) == 2
    )


def test_a_body_point_that_jumps_does_not_take_the_box_off_the_face() -> None:
    still = [(200.0, 300.0)] * 15
    jumped = [(260.0, 300.0) if k in (7, 8) else at for k, at in enumerate(still)]
    heads = heads_of([row_of(*jumped)], times(15))
    assert all(heads.at(k)[0][0] == heads.at(0)[0][0] for k in range(15))


def test_a_found_face_on_a_followed_head_or_hand_is_not_hidden_twice() -> None:
    """A face elsewhere is."""
    body = row_of(*[(200.0, 300.0)] * 31)
    (head,), hand = heads_of([body], times(31)).at(0), body.points[0, POINTS.index("left wrist")]
    middle = 0.5 * (head[:2] + head[2:])
    for at, many in ((middle + 3.0, 1), (hand + 4.0, 1), (middle + 40.0, 2)):
        box = np.concatenate([at - 12.0, at + 12.0])
        faces = find_faces(pictures(31), model=AlwaysAt(box), poses=[body])
        assert all(covers(faces, k, head) for k in range(31))
        assert {len(faces.at(k)) for k in (0, 8, 16, 30)} == {many}
    assert all(covers(faces, k, box) for k in range(31))


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


def test_the_shooters_face_is_covered_all_the_time_and_the_ball_at_release_is_seen(
    film: DrawnShooter,
) -> None:
    """Known: nose, eyes and ears of the drawn shooter, and the middle of the ball in the hand."""
    folder = models_folder()
    poses = watch(
        film.pictures, model=PoseModel(folder), ball_at=film.ball, per_metre=film.per_metre
    )
    faces = find_faces(film.pictures, model=FaceModel(folder), poses=[poses])
    head = film.points[:, [n for n in range(11) if np.isfinite(film.points[0, n, 0])]]
    assert head.shape[1] >= 5
    for picture in film.pictures:
        for point in head[picture.frame]:
            assert covers(faces, picture.frame, np.tile(point, 2)), picture.frame
    release = max(film.ball)
    image, (x, y) = film.pictures[release].image, film.ball[release]
    shown = hide(image, faces.at(release))
    # half a ball, 12 cm, each way around its middle
    half = round(0.06 * film.per_metre)
    near = np.s_[round(y) - half : round(y) + half, round(x) - half : round(x) + half]
    assert np.array_equal(shown[near], image[near])
