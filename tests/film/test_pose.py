"""The shooter is followed, checked, and left blank where a check fails."""

from collections.abc import Sequence

import numpy as np
import pytest
from tests.film.bodies import Scripted, standing

from hoopwright.film.bodynet import Skeleton
from hoopwright.film.nets import Square
from hoopwright.film.person import ARMS
from hoopwright.film.pose import POINTS, doubts_of, point_errors, seen_points, watch
from hoopwright.film.results import Flag, Poses
from hoopwright.film.video import Picture

BLANK = np.zeros((720, 1280, 3), np.uint8)
SCALE = 100.0


def pictures(count: int = 45, rate: float = 30.0) -> list[Picture]:
    return [Picture(frame=7 + n, time=n / rate, image=BLANK) for n in range(count)]


def ball_of(body: Skeleton) -> tuple[float, float]:
    return float(body.points[15, 0]) + 8.0, float(body.points[15, 1]) - 8.0


def seen(poses: Poses) -> list[bool]:
    return np.isfinite(poses.box[:, 0]).tolist()


SHOOTER = standing(400.0, 600.0, 180.0)


def test_the_points_are_in_the_order_the_model_has() -> None:
    """Published order of the model's 33 points [MPGraph]_, in our words."""
    assert len(POINTS) == 33
    places = {0: "nose", 7: "left ear", 11: "left shoulder", 14: "right elbow", 15: "left wrist",
              20: "right index finger", 24: "right hip", 25: "left knee", 28: "right ankle",
              31: "left foot tip"}  # fmt: skip
    assert {k: POINTS[k] for k in places} == places


def test_errors_grow_with_the_body_and_with_doubt() -> None:
    small, large = standing(0.0, 0.0, 100.0), standing(0.0, 0.0, 300.0)
    assert point_errors(large) == pytest.approx(3.0 * point_errors(small))
    hidden = standing(0.0, 0.0, 100.0, left_knee=0.4)
    knee = POINTS.index("left knee")
    assert point_errors(hidden)[knee] == pytest.approx(1.6 * point_errors(small)[knee])


def test_an_arm_is_blank_as_a_whole() -> None:
    """A wrist that is guessed makes elbow and hand of that side useless, the other side stays."""
    body = standing(0.0, 0.0, 100.0, left_wrist=0.1, right_index_finger=0.1, left_heel=0.2)
    lost = {POINTS[k] for k in np.flatnonzero(~seen_points(body))}
    left = {POINTS[k] for k in ARMS[0]}
    assert lost == left | {"right index finger", "left heel"}


def test_the_shooter_is_seen_in_every_picture() -> None:
    model = Scripted(lambda: [SHOOTER])
    done: list[int] = []
    poses = watch(pictures(), model=model, ball_at={20: ball_of(SHOOTER)}, per_metre=SCALE,
                  progress=done.append)  # fmt: skip
    assert poses.frame.tolist() == list(range(7, 52))
    assert all(seen(poses))
    assert poses.points[3] == pytest.approx(SHOOTER.points)
    assert done == list(range(1, 46))
    assert doubts_of(poses) == ()
    # 1.5 s: at the start, every 0.4 s and at the end; not in every picture
    assert 4 <= model.found <= 6


def test_of_two_people_the_one_with_the_ball_is_followed() -> None:
    other = standing(620.0, 600.0, 185.0)
    model = Scripted(lambda: [other, SHOOTER])
    for body in (other, SHOOTER):
        poses = watch(pictures(), model=model, ball_at={20: ball_of(body)}, per_metre=SCALE)
        assert poses.points[:, 0] == pytest.approx(np.tile(body.points[0], (45, 1)))


def test_a_second_player_at_the_ball_is_told() -> None:
    other = standing(470.0, 600.0, 180.0)
    model = Scripted(lambda: [other, SHOOTER])
    ball = 0.5 * (SHOOTER.points[15] + other.points[16])
    poses = watch(pictures(), model=model, ball_at=dict.fromkeys(range(7, 52), ball),
                  per_metre=SCALE)  # fmt: skip
    (doubt,) = doubts_of(poses)
    assert doubt.flag is Flag.TWO_SHOOTERS
    assert not doubt.refused


class Drifting(Scripted):
    """A net that slides off the body a little more with each picture."""

    def lay(
        self, picture: np.ndarray[tuple[int, ...], np.dtype[np.uint8]], square: Square
    ) -> Skeleton:
        self.drift = self.drift + 4.0
        return super().lay(picture, square)


def test_what_drifts_off_is_left_blank_back_to_the_last_good_check() -> None:
    """The net stays confident while it slides onto the wall; the finder sees that nobody is there."""
    gone: list[bool] = []

    def bodies() -> Sequence[Skeleton]:
        return [] if gone else [SHOOTER]

    model = Scripted(bodies)

    def film() -> Sequence[Picture]:
        return pictures(60)

    def feed() -> object:
        for picture in film():
            if picture.frame == 30:
                gone.append(True)
            yield picture

    poses = watch(feed(), model=model, ball_at={10: ball_of(SHOOTER)}, per_metre=SCALE)  # type: ignore[arg-type]
    held = np.flatnonzero(seen(poses))
    assert held[0] == 0
    # the last good check was at most 0.4 s before the body went; later rows are blank
    assert 10 <= held[-1] <= 22
    assert not any(seen(poses)[23:])
