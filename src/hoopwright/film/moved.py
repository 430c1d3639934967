"""Notice that a camera moved since its scene was marked, or while a clip was running."""

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from hoopwright.errors import BadInput
from hoopwright.film.camera_place import Scene
from hoopwright.film.fingerprint import Fingerprint, fingerprint

Floats = NDArray[np.float64]

#: shift that counts as moved, of a picture 720 px high [px]
_MOVED = 1.5
#: matched corners that agree: fewest for a verdict, and the share of all matched
_FEWEST, _LEAST_SHARE = 20, 0.25
#: the second-nearest corner must be this much less alike
_DISTINCT = 0.8
#: how far a still corner may be found off, of a picture 720 px high [px]
_OFF = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """Whether a camera still stands as it stood."""

    #: True: moved; only to be believed where ``sure``
    moved: bool
    #: False where too little of the gym was recognised to tell
    sure: bool
    #: how far the picture has slid: root mean square over its area [px]; 0 where not sure
    shift_px: float
    #: turn about the lens axis, + clockwise in the picture [rad]
    turned: float
    #: how much larger things look; 1 where the same
    zoom: float
    #: one sentence for the coach
    message: str


_LOST = (
    "Too little of the gym can be recognised to tell whether the camera moved; compare the drawn "
    "lines with the picture, and mark it again if they are off."
)
_STILL = "The camera stands as it did when the picture was marked."


def _pairs(before: Fingerprint, now: Fingerprint) -> tuple[Floats, Floats]:
    """Return corners of both pictures that look alike and are distinct [px]."""
    if len(before) < 2 or len(now) < 2:
        return np.empty((0, 2)), np.empty((0, 2))
    matcher = cv2.BFMatcher(cv2.NORM_HAMMING)
    near = matcher.knnMatch(before.bits, now.bits, k=2)
    good = [a for a, b in near if a.distance < _DISTINCT * b.distance]
    return (
        before.corners[[m.queryIdx for m in good]].reshape(-1, 2),
        now.corners[[m.trainIdx for m in good]].reshape(-1, 2),
    )


def _slide(change: Floats, width: int, height: int) -> float:
    """Root mean square distance that a picture's points move, over its area [px]."""
    at = np.stack(np.meshgrid(np.linspace(0, width, 9), np.linspace(0, height, 9)), -1)
    at = at.reshape(-1, 2)
    off = at @ change[:, :2].T + change[:, 2] - at
    return math.sqrt(float(np.mean(np.sum(off**2, axis=1))))


def _said(shift: float, *, turned: float, zoom: float, size: float) -> str:
    if shift < _MOVED * size:
        return _STILL
    what = f"The camera moved: the picture has shifted by about {shift:.0f} px"
    if abs(turned) > math.radians(0.5):
        what += f" and turned by {abs(math.degrees(turned)):.1f}°"
    if abs(zoom - 1.0) > 0.01:
        what += (
            f" and things look {100 * abs(zoom - 1):.0f} % {'larger' if zoom > 1 else 'smaller'}"
        )
    return f"{what}; mark the picture again."


def compare(before: Fingerprint, now: Fingerprint) -> Moved:
    """Tell whether two pictures were taken from the same place.

    Parameters
    ----------
    before, now
        Fingerprints of pictures of the same size.

    Raises
    ------
    BadInput
        The pictures differ in size.

    Notes
    -----
    Similarity transform through the corners that agree (RANSAC of the OpenCV library), so that
    people who walk through, whose corners go other ways, do not count.
    """
    if (before.width, before.height) != (now.width, now.height):
        raise BadInput("The two pictures differ in size; scale the scene to the clip first.")
    size = max(before.width, before.height) / 1280.0
    old, new = _pairs(before, now)
    lost = Moved(moved=False, sure=False, shift_px=0.0, turned=0.0, zoom=1.0, message=_LOST)
    if len(old) < _FEWEST:
        return lost
    cv2.setRNGSeed(0)  # RANSAC draws at random: the same two pictures give the same answer
    found, agree = cv2.estimateAffinePartial2D(
        old, new, method=cv2.RANSAC, ransacReprojThreshold=_OFF * size, maxIters=4000,
        confidence=0.999,
    )  # fmt: skip
    if found is None or agree.sum() < max(_FEWEST, _LEAST_SHARE * len(old)):
        return lost
    change: Floats = np.asarray(found, dtype=np.float64)
    shift = _slide(change, before.width, before.height)
    turned, zoom = math.atan2(change[1, 0], change[0, 0]), math.hypot(change[0, 0], change[1, 0])
    return Moved(
        moved=shift >= _MOVED * size, sure=True, shift_px=shift, turned=turned, zoom=zoom,
        message=_said(shift, turned=turned, zoom=zoom, size=size),
    )  # fmt: skip


def moved(scene: Scene, picture: ArrayLike) -> Moved:
    """Tell whether a scene's camera still stands where it stood when it was marked.

    Parameters
    ----------
    scene
        With a fingerprint of the still that was marked.
    picture
        BGR, uint8 [height, width, 3], of the scene's size.

    Raises
    ------
    BadInput
        The picture is not of the scene's size.
    """
    now = fingerprint(picture)
    if scene.fingerprint is None:
        return Moved(moved=False, sure=False, shift_px=0.0, turned=0.0, zoom=1.0, message=_LOST)
    return compare(scene.fingerprint, now)
