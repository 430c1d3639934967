"""The ball by its edge: a drawn disc whose middle is known, whole and partly hidden."""

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from hoopwright.film.rim import middle_by_edge


def picture(
    middle: tuple[float, float], radius: float, *, hidden: float = 0.0, seed: int = 0
) -> NDArray[np.uint8]:
    """Draw an orange disc with a hand-coloured bar over a share of its width, and noise."""
    rng = np.random.default_rng(seed)
    fine = 8
    image = np.full((200 * fine, 240 * fine, 3), (90, 110, 120), np.uint8)
    cv2.rectangle(image, (0, 0), (100 * fine, 200 * fine), (60, 80, 70), -1)
    at = (round((middle[0] + 0.5) * fine), round((middle[1] + 0.5) * fine))
    cv2.circle(image, at, round(radius * fine), (40, 105, 215), -1)
    edge = round((middle[0] - radius + 2.0 * radius * hidden + 0.5) * fine)
    if hidden:
        cv2.rectangle(image, (0, at[1] - 3 * at[1] // 4), (edge, 200 * fine), (120, 150, 200), -1)
    small = cv2.resize(image, (240, 200), interpolation=cv2.INTER_AREA).astype(np.float64)
    noisy = np.clip(small + rng.normal(0.0, 3.0, small.shape), 0, 255)
    return noisy.astype(np.uint8)


@pytest.mark.parametrize("radius", [8.0, 13.0, 24.0])
@pytest.mark.parametrize("hidden", [0.0, 0.3, 0.5])
def test_the_middle_is_found_by_what_is_seen_of_the_edge(radius: float, hidden: float) -> None:
    """Closed form: the disc was drawn there."""
    rng = np.random.default_rng(5)
    for seed in range(6):
        middle = (118.0 + rng.uniform(-0.5, 0.5), 97.0 + rng.uniform(-0.5, 0.5))
        guess = np.array(middle) + rng.normal(0.0, 0.2 * radius, 2)
        found = middle_by_edge(picture(middle, radius, hidden=hidden, seed=seed), guess, radius)
        assert found is not None
        assert np.hypot(*(found[0] - middle)) < 3.0 * found[1]
        assert found[1] < 0.1 * radius


def test_where_there_is_no_ball_nothing_is_found() -> None:
    plain = np.random.default_rng(1).normal(120.0, 3.0, (200, 240, 3)).astype(np.uint8)
    assert middle_by_edge(plain, np.array([118.0, 97.0]), 13.0) is None


def test_at_the_border_nothing_is_said() -> None:
    image = picture((12.0, 97.0), 13.0)
    assert middle_by_edge(image, np.array([12.0, 97.0]), 13.0) is None
