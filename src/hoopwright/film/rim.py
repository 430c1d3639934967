"""The ball where a hand hides part of it: found by the parts of its edge that are seen.

Around release a blob is no measure of the ball: fingers cover some of it and move with it. But the
size is known from the scene, so that every edge point says where the middle would be, one radius
along its gradient; where most agree is the middle, whichever part of the edge is hidden.
"""

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from hoopwright.film.results import Floats

Pixels = NDArray[np.uint8]

#: search this far around the expected middle, in radii; votes count less away from it
_REACH, _LIKELY = 1.1, 0.55
#: votes are spread this wide, in radii
_SPREAD = 0.09
#: edges stronger than this share of the strongest count the same, so that one bright line does not
#: outvote the rest
_CAP = 0.35
#: error of a middle found so [px], and in radii: from drawn film, see docs/film-accuracy.md
_SD_PX, _SD_RADII = 0.5, 0.035
#: the peak must stand this much above the middle of the votes
_CLEAR = 2.5


def middle_by_edge(image: Pixels, expected: Floats, radius: float) -> tuple[Floats, float] | None:
    """Return the middle of a partly hidden ball and its error [px], or None where none is clear.

    Parameters
    ----------
    image
        Blue, green, red, uint8 [row, column, 3].
    expected
        Where the middle should be, within about a radius, float64 [2]. [px]
    radius
        Of the ball. [px]
    """
    reach = math.ceil((1.0 + _REACH) * radius) + 3
    left, top = (round(float(v)) - reach for v in expected)
    right, bottom = left + 2 * reach + 1, top + 2 * reach + 1
    if left < 0 or top < 0 or right > image.shape[1] or bottom > image.shape[0]:
        return None
    part = image[top:bottom, left:right].astype(np.float32)
    # brightness, and orange against everything else
    votes = _votes(part.mean(axis=2), radius) + _votes(part[:, :, 2] - part[:, :, 0], radius)
    votes = _blurred(votes, max(_SPREAD * radius, 0.7))
    away = _away(votes.shape, expected - (left, top)) / radius
    near = away <= _REACH
    worth = np.where(near, votes * np.exp(-0.5 * (away / _LIKELY) ** 2), -1.0)
    peak = np.unravel_index(int(np.argmax(worth)), votes.shape)
    if votes[peak] < _CLEAR * float(np.median(votes[near])):
        return None
    middle = _centre(votes, peak) + np.array([left, top])
    return middle, math.hypot(_SD_PX, _SD_RADII * radius)


def _votes(channel: NDArray[np.float32], radius: float) -> NDArray[np.float32]:
    smooth = _blurred(channel, max(0.06 * radius, 0.7))
    gx = cv2.Sobel(smooth, cv2.CV_32F, 1, 0, ksize=3)
    gy = cv2.Sobel(smooth, cv2.CV_32F, 0, 1, ksize=3)
    strength = np.hypot(gx, gy)
    cap = _CAP * float(strength.max()) + 1e-6
    ys, xs = np.nonzero(strength > 0.25 * cap)
    weight = np.minimum(strength[ys, xs], cap) / cap
    along = np.stack([gx[ys, xs], gy[ys, xs]]) / strength[ys, xs]
    height, width = channel.shape
    out = np.zeros(height * width)
    for sign in (-1.0, 1.0):
        at_x = np.rint(xs + sign * radius * along[0]).astype(np.int64)
        at_y = np.rint(ys + sign * radius * along[1]).astype(np.int64)
        inside = (at_x >= 0) & (at_x < width) & (at_y >= 0) & (at_y < height)
        cells = at_y[inside] * width + at_x[inside]
        out += np.bincount(cells, weights=weight[inside], minlength=height * width)
    return out.reshape(height, width).astype(np.float32)


def _blurred(channel: NDArray[np.float32], sd: float) -> NDArray[np.float32]:
    return np.asarray(cv2.GaussianBlur(channel, (0, 0), sd), dtype=np.float32)


def _away(shape: tuple[int, ...], place: Floats) -> Floats:
    """Return how far each cell is from a place [px]."""
    ys, xs = np.mgrid[: shape[0], : shape[1]]
    away: Floats = np.hypot(xs - place[0], ys - place[1])
    return away


def _centre(votes: NDArray[np.float32], peak: tuple[np.intp, ...]) -> Floats:
    """Return the top of a parabola through the peak and its neighbours [px], (x, y)."""
    y, x = int(peak[0]), int(peak[1])
    if not (0 < y < votes.shape[0] - 1 and 0 < x < votes.shape[1] - 1):
        return np.array([float(x), float(y)])
    here = float(votes[y, x])

    def shift(before: float, after: float) -> float:
        bend = before - 2.0 * here + after
        return 0.0 if bend >= 0.0 else float(np.clip(0.5 * (before - after) / bend, -1.0, 1.0))

    return np.array(
        [
            x + shift(float(votes[y, x - 1]), float(votes[y, x + 1])),
            y + shift(float(votes[y - 1, x]), float(votes[y + 1, x])),
        ]
    )
