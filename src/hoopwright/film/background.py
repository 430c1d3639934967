"""What a still camera sees when nothing moves, and how each picture differs from it.

A running median: every so often each pixel of the model steps one grey level toward the picture,
so lights and exposure may drift, while what passes leaves no trace. A flicker of the lamps is one
gain for the whole picture.
"""

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from hoopwright.film import _background_kernel

Bytes = NDArray[np.uint8]

#: the model is stepped this often [1/s]; how many levels at first, while it settles [level]
_STEPS_PER_SECOND, _FIRST_STEP = 8.0, 6
#: steps after which the model is taken as settled
_SETTLED = 12
#: width the pictures are compared at, about [px]
_COMPARED_WIDTH = 640


def reduction(width: int) -> int:
    """Return by how many times pictures of a width [px] are reduced before they are compared."""
    return max(1, round(width / _COMPARED_WIDTH))


class Background:
    """The picture without what moves.

    Parameters
    ----------
    pictures
        A few of the first pictures, BGR, uint8 [height, width, 3]; their median is the start.
    rate
        Pictures a second. [1/s]
    """

    def __init__(self, pictures: Sequence[Bytes], *, rate: float) -> None:
        #: BGR at full size, uint8 [height, width, 3]; replaced, never changed in place
        self.picture: Bytes = _background_kernel.median(np.stack(pictures[:9]))
        self.factor = reduction(self.picture.shape[1])
        self._every = max(1, round(rate / _STEPS_PER_SECOND))
        self._seen = 0
        self._small = self._reduced(self.picture)
        # sixteenths of a grey level
        self._noise = np.full(self._small.shape[:2], 32, dtype=np.int16)

    def _reduced(self, image: Bytes) -> Bytes:
        if self.factor == 1:
            return image
        height, width = image.shape[:2]
        size = (width // self.factor, height // self.factor)
        cut = image[: size[1] * self.factor, : size[0] * self.factor]
        return np.asarray(cv2.resize(cut, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)

    def compare(self, image: Bytes, table: Bytes) -> tuple[Bytes, float]:
        """Return where a picture differs from the model, and let the model follow it.

        Parameters
        ----------
        image
            The next picture, BGR, uint8 [height, width, 3].
        table
            How like the ball each colour is, uint8 [32, 32, 32] by blue, green, red.

        Returns
        -------
        tuple
            How far each pixel is off over its usual noise, more where its colour is like the
            ball's, uint8 [height / factor, width / factor]; and the gain of the lamps, picture
            over model.
        """
        small = self._reduced(image)
        gain = _gain(small, self._small)
        off = np.empty(small.shape[:2], dtype=np.uint8)
        _background_kernel.difference(small, self._small, gain, self._noise, table, off)
        if self._seen % self._every == 0:
            self._follow(image)
        self._seen += 1
        return off, gain

    def _follow(self, image: Bytes) -> None:
        """Step the model toward a picture; others may still read the old one."""
        steps = self._seen // self._every
        step = max(1, _FIRST_STEP * (_SETTLED - steps) // _SETTLED) if steps < _SETTLED else 1
        self.picture = _background_kernel.stepped(self.picture, image, step)
        self._small = self._reduced(self.picture)


def _gain(small: Bytes, ground: Bytes) -> float:
    """Return the brightness of a picture over the model's: a median, so movers don't count."""
    now = small[2::5, 2::5].reshape(-1).astype(np.float32)
    usual = ground[2::5, 2::5].reshape(-1).astype(np.float32)
    lit = (usual > 24.0) & (now < 250.0) & (usual < 250.0)
    if np.count_nonzero(lit) < 30:
        return 1.0
    return float(np.clip(np.median(now[lit] / usual[lit]), 0.5, 2.0))
