"""What a gym looks like from one camera place: a few hundred corners, and no picture of anyone.

Only the surroundings of corners are kept, each as 256 bits that compare pairs of pixels; no face
or person can be drawn from them.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Bytes = NDArray[np.uint8]

#: most corners kept, and the long side at which they are looked for [px]
MOST, LOOKED_AT = 400, 1280
#: the picture is cut into this many columns and rows that share the corners out evenly
_GRID = (8, 5)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fingerprint:
    """Corners of a picture; rows belong together."""

    #: of the upright picture [px]
    width: int
    height: int
    #: [px], float64 [corner, 2]
    corners: Floats
    #: uint8 [corner, 32]
    bits: Bytes

    def __len__(self) -> int:
        return len(self.corners)

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, Fingerprint)
            and (self.width, self.height) == (other.width, other.height)
            and np.array_equal(self.corners, other.corners)
            and np.array_equal(self.bits, other.bits)
        )

    def scaled(self, factor: float) -> "Fingerprint":
        """Return the fingerprint of the same picture at another size."""
        return Fingerprint(
            width=round(self.width * factor), height=round(self.height * factor),
            corners=factor * (self.corners + 0.5) - 0.5, bits=self.bits,
        )  # fmt: skip


def _spread_out(points: list[cv2.KeyPoint], width: int, height: int) -> list[cv2.KeyPoint]:
    """Return the strongest corners of each part of the picture."""
    cells: dict[tuple[int, int], list[cv2.KeyPoint]] = {}
    for point in sorted(points, key=lambda p: -p.response):
        cell = (int(point.pt[0] * _GRID[0] / width), int(point.pt[1] * _GRID[1] / height))
        cells.setdefault(cell, []).append(point)
    share = MOST // (_GRID[0] * _GRID[1])
    return [point for cell in cells.values() for point in cell[:share]]


def fingerprint(picture: ArrayLike) -> Fingerprint:
    """Return the fingerprint of a picture; it may be empty where nothing stands out.

    Parameters
    ----------
    picture
        BGR, uint8 [height, width, 3], or gray, uint8 [height, width].

    Notes
    -----
    ORB of the OpenCV library, at 1280 px on the long side, so that clips of any size compare.
    """
    seen = np.asarray(picture, dtype=np.uint8)
    gray = seen if seen.ndim == 2 else cv2.cvtColor(seen, cv2.COLOR_BGR2GRAY)
    height, width = gray.shape
    scale = LOOKED_AT / max(width, height)
    way = cv2.INTER_AREA if scale < 1.0 else cv2.INTER_LINEAR
    small = cv2.resize(gray, None, fx=scale, fy=scale, interpolation=way)
    finder = cv2.ORB_create(nfeatures=4 * MOST, fastThreshold=10)  # type: ignore[attr-defined]
    kept = _spread_out(list(finder.detect(small, None)), small.shape[1], small.shape[0])
    kept, bits = finder.compute(small, kept)
    at = np.array([point.pt for point in kept], dtype=np.float64).reshape(-1, 2)
    return Fingerprint(
        width=width, height=height, corners=(at + 0.5) / scale - 0.5,
        bits=np.zeros((0, 32), np.uint8) if bits is None else np.asarray(bits, np.uint8),
    )  # fmt: skip
