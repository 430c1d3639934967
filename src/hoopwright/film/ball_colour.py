"""What colour the ball is: learnt from the clip, or given by hand.

Colours are (blue, green, red), 0 to 255, as in the pictures.
"""

from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

Bytes = NDArray[np.uint8]
Floats = NDArray[np.float64]

#: spread of a ball's colour over a clip, by lightness, green-red and blue-yellow of CIELAB
_SPREAD = np.array([45.0, 14.0, 16.0])
#: most colours looked at when one is learnt
_LEARN_FROM = 400
#: what a colour quite unlike the ball's still counts
_LEAST = 0.2


def _lab(colours: Floats) -> Floats:
    """CIELAB (D65) of colours [row, 3]: 8-bit sRGB through OpenCV's float conversion."""
    if not len(colours):
        return np.empty((0, 3))
    unit = np.clip(colours.reshape(1, -1, 3) / 255.0, 0.0, 1.0).astype(np.float32)
    return np.asarray(cv2.cvtColor(unit, cv2.COLOR_BGR2LAB), dtype=np.float64).reshape(-1, 3)


def likeness(colours: Floats, colour: Floats | None) -> Floats:
    """Return how like a ball colours are, 0.2 to 1, float64 [row].

    Parameters
    ----------
    colours
        float64 [row, 3].
    colour
        The ball's, float64 [3]; None where not known: then the usual orange and brown count most.
    """
    lab = _lab(colours)
    if colour is None:
        return _LEAST + (1.0 - _LEAST) * _usual(lab)
    apart = (lab - _lab(colour)) / _SPREAD
    near: Floats = np.exp(-0.5 * np.sum(apart**2, axis=1))
    return _LEAST + (1.0 - _LEAST) * near


def _usual(lab: Floats) -> Floats:
    """Likeness to the usual ball: hue between red and yellow, some chroma (common practice)."""
    hue, chroma = np.arctan2(lab[:, 2], lab[:, 1]), np.hypot(lab[:, 1], lab[:, 2])
    round_orange = np.exp(-0.5 * ((hue - np.radians(52.0)) / np.radians(20.0)) ** 2)
    usual: Floats = round_orange * np.clip((chroma - 8.0) / 20.0, 0.0, 1.0)
    return usual


def table(colour: Floats | None) -> Bytes:
    """Return ``likeness`` of every colour, 255 for 1, uint8 [32, 32, 32] by blue, green, red.

    Parameters
    ----------
    colour
        As for ``likeness``.
    """
    if colour is None:
        return _usual_table()
    return _table(colour)


@cache
def _usual_table() -> Bytes:
    return _table(None)


def _table(colour: Floats | None) -> Bytes:
    steps = np.arange(32) * 8.0 + 4.0
    every = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(-1, 3)
    return np.round(255.0 * likeness(every, colour)).astype(np.uint8).reshape(32, 32, 32)


def learn(colours: Floats, weights: Floats) -> Floats | None:
    """Return the colour that ball-like things of a clip most often have, or None.

    Parameters
    ----------
    colours
        Of what was found so far, float64 [row, 3].
    weights
        How well each is a moving disc, float64 [row], 0 or above.

    Notes
    -----
    The densest place of the weighted colours, the usual orange and brown counting double: heads
    and shirts are round now and then, the ball in every picture.
    """
    best = np.argsort(weights, kind="stable")[::-1][:_LEARN_FROM]
    best = best[weights[best] > 0.0]
    if len(best) < 30:
        return None
    lab = _lab(colours[best])
    weight = weights[best] * (1.0 + _usual(lab))
    apart = (lab[:, None] - lab[None]) / _SPREAD
    near = np.exp(-np.sum(apart**2, axis=2)) * weight
    share = near[np.argmax(near.sum(axis=1))]
    middle: Floats = (share @ colours[best]) / share.sum()
    return middle
