"""How a ball is seen: its outline against points of the sphere drawn by OpenCV."""

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from hoopwright.film.camera import Camera, ball_outline, pixels_per_metre, project

#: of a size-7 ball [m]
RADIUS = 0.12

Floats = NDArray[np.float64]


def looking_ahead(lens: float) -> Camera:
    """A camera at the origin that looks along the world's second axis, a little upward."""
    return Camera(
        width=1280, height=720, focal=1000.0, lens=lens, rotation=(0.5 * np.pi - 0.2, 0.0, 0.0),
        translation=(0.0, 0.0, 0.0),
    )  # fmt: skip


def silhouette(camera: Camera, centre: Floats) -> Floats:
    """Points of the sphere where the line of sight just touches it, drawn by OpenCV [point, 2]."""
    far = float(np.linalg.norm(centre - camera.position))
    toward = (camera.position - centre) / far
    # the touching circle lies a little nearer than the centre
    near, wide = RADIUS**2 / far, RADIUS * np.sqrt(1.0 - (RADIUS / far) ** 2)
    one = np.cross(toward, [0.0, 0.0, 1.0])
    one /= np.linalg.norm(one)
    other = np.cross(toward, one)
    turn = np.linspace(0.0, 2.0 * np.pi, 400, endpoint=False)[:, None]
    circle = centre + near * toward + wide * (np.cos(turn) * one + np.sin(turn) * other)
    return project(camera, circle)


@pytest.mark.parametrize("lens", [0.0, -0.06, 0.02])
@pytest.mark.parametrize("place", [(0.3, 6.0, 1.5), (1.6, 4.5, 2.2), (-3.0, 6.5, 3.5)])
def test_outline_is_the_ellipse_that_opencv_finds(
    lens: float, place: tuple[float, float, float]
) -> None:
    """Against the ellipse fitted by OpenCV to the drawn edge of the sphere."""
    camera, centre = looking_ahead(lens), np.array(place)
    edge = silhouette(camera, centre)
    middle, axes, _ = cv2.fitEllipse(edge.astype(np.float32))
    shift, size = ball_outline(camera, centre, RADIUS)
    assert size[0] == pytest.approx(0.25 * sum(axes), rel=2e-3)
    assert project(camera, centre)[0] + shift[0] == pytest.approx(np.array(middle), abs=0.06)


def test_in_the_middle_of_the_picture_a_ball_is_a_circle_of_the_plain_size() -> None:
    """On the axis the ellipse is a circle, larger than focal length over depth by a hair."""
    camera = looking_ahead(0.0)
    centre = camera.position + 9.0 * camera.turned[2]
    shift, size = ball_outline(camera, centre, RADIUS)
    plain = float(pixels_per_metre(camera, centre)[0]) * RADIUS
    assert np.abs(shift).max() < 1e-6
    assert size[0] == pytest.approx(plain, rel=2e-4)
