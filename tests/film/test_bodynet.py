"""The body models run as published: their own runner's points on a drawn player, frozen."""

from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from tests.film.bodies import models_folder

from hoopwright.errors import ModelsMissing, UnknownName
from hoopwright.film.bodynet import PoseModel, square_of
from hoopwright.film.nets import Find, Square

DRAWN = Path(__file__).with_name("drawn_player.png")
#: frozen: what the published runner (mediapipe 0.10.21, one still picture, full model, no
#: smoothing) gives for drawn_player.png [px]; ``remake`` prints them again where it is installed
RUNNER = np.array([
    (112.93, 74.91), (111.5, 71.62), (111.31, 71.53), (111.14, 71.46), (110.84, 71.82),
    (110.16, 71.86), (109.46, 71.93), (107.06, 73.04), (104.99, 74.05), (112.07, 78.18),
    (111.11, 78.46), (102.09, 95.43), (97.61, 94.62), (124.43, 106.74), (121.76, 108.91),
    (125.82, 77.25), (125.4, 79.56), (129.57, 70.55), (130.23, 71.85), (127.14, 69.75),
    (127.32, 70.65), (125.16, 72.1), (125.12, 73.28), (92.1, 149.95), (88.47, 151.78),
    (111.39, 182.96), (114.3, 186.61), (97.05, 223.71), (97.72, 229.44), (91.63, 228.71),
    (92.49, 235.16), (110.88, 233.69), (114.79, 241.22),
])  # fmt: skip
#: its metric points 11 to 16 (right, down, away) [m]
RUNNER_SHAPE = np.array([
    (0.105, -0.474, 0.149), (0.07, -0.449, -0.179), (0.272, -0.452, 0.232),
    (0.266, -0.374, -0.199), (0.346, -0.68, 0.269), (0.325, -0.583, -0.115),
])  # fmt: skip


def remake() -> None:
    """Print RUNNER again; needs the published package, which the project does not."""
    from mediapipe import solutions  # type: ignore[import-not-found]

    picture = cv2.cvtColor(drawn(), cv2.COLOR_BGR2RGB)
    with solutions.pose.Pose(static_image_mode=True, model_complexity=1) as runner:
        points = runner.process(picture).pose_landmarks.landmark
    print([(round(p.x * picture.shape[1], 2), round(p.y * picture.shape[0], 2)) for p in points])  # noqa: T201


def drawn() -> NDArray[np.uint8]:
    picture = cv2.imread(str(DRAWN))
    assert picture is not None
    return np.asarray(picture, dtype=np.uint8)


@pytest.fixture(scope="module")
def model() -> PoseModel:
    return PoseModel(models_folder())


def whole(picture: NDArray[np.uint8]) -> Square:
    height, width = picture.shape[:2]
    return Square(x=width / 2, y=height / 2, side=float(max(width, height)))


def body_of(model: PoseModel, picture: NDArray[np.uint8], square: Square) -> Find:
    (found,) = model.find(picture, square)
    return found


def test_points_are_those_of_the_published_runner(model: PoseModel) -> None:
    """0.5 px is what the runner's own 32-bit map of the square and another OpenCV differ by."""
    picture = drawn()
    found = body_of(model, picture, whole(picture))
    skeleton = model.lay(picture, square_of(found.points[0], found.points[1]))
    apart = np.hypot(*(skeleton.points - RUNNER).T)
    assert np.median(apart) < 0.5
    assert apart.max() < 3.0
    assert skeleton.shape[11:17] == pytest.approx(RUNNER_SHAPE, abs=0.03)
    assert skeleton.surety > 0.5
    # of a player seen from the right, the left arm is the hidden one
    assert skeleton.presence[14] > 0.9 > skeleton.presence[13]


@pytest.mark.parametrize("angle", [20.0, -35.0])
def test_a_turned_picture_gives_turned_points(model: PoseModel, angle: float) -> None:
    """Known motion: the picture turned about its middle; the square is turned back upright."""
    picture = drawn()
    height, width = picture.shape[:2]
    turn = cv2.getRotationMatrix2D((width / 2, height / 2), angle, 1.0)
    turned = np.asarray(
        cv2.warpAffine(picture, turn, (width, height), borderMode=cv2.BORDER_REPLICATE), np.uint8
    )
    ends = []
    for one in (picture, turned):
        found = body_of(model, one, whole(one))
        ends.append(model.lay(one, square_of(found.points[0], found.points[1])))
    expected = ends[0].points @ turn[:, :2].T + turn[:, 2]
    core = [0, 11, 12, 23, 24]
    # 4 % of the player's 170 px: the nets answer a little differently to each square
    assert np.hypot(*(ends[1].points - expected)[core].T).max() < 7.0
    # metric points are told in the picture's axes, so they are turned too
    trunks = [complex(*(s.shape[11] - s.shape[23])[:2]) for s in ends]
    # OpenCV turns anticlockwise as seen, y is down
    assert -np.degrees(np.angle(trunks[1] / trunks[0])) == pytest.approx(angle, abs=6.0)


def test_the_next_square_is_where_the_body_is(model: PoseModel) -> None:
    picture = drawn()
    found = body_of(model, picture, whole(picture))
    ahead = model.lay(picture, square_of(found.points[0], found.points[1])).ahead
    hips = RUNNER[23:25].mean(axis=0)
    assert np.hypot(ahead.x - hips[0], ahead.y - hips[1]) < 8.0
    # 180 px from head to foot of a bent body; the square holds it with raised arms
    assert 170.0 < ahead.side < 260.0


def test_a_wall_has_nobody(model: PoseModel) -> None:
    wall = drawn()[:60]
    assert model.find(wall, whole(wall)) == ()


def test_missing_models_and_unknown_names_are_told(tmp_path: Path) -> None:
    with pytest.raises(ModelsMissing, match="run hoopwright film prepare"):
        PoseModel(tmp_path)
    with pytest.raises(UnknownName, match="no body model called 'heavy'; choose full"):
        PoseModel(tmp_path, name="heavy")
