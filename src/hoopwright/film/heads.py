"""The shooter's head and hands by the body points: what of found faces is theirs already.

The head of a shooter whose body is followed is hidden by its points, picture by picture, in a box
no larger than a head, so that the ball over it stays to be seen.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from hoopwright.film.bodynet import POINTS
from hoopwright.film.results import Poses

Floats = NDArray[np.float64]

#: side of a head's box over the trunk, shoulders to hips: a head is 0.13 of stature high and the
#: trunk 0.288 ([Winter2009]_ fig. 4.1, from memory), hence 0.45 of it, and up to 0.6 in a child;
#: the rest is for the error of the points
_SIDE = 0.68
#: the same over the height of the person's box, for where the trunk was not seen
_SIDE_OF_BOX = 0.2
#: longest time over which a head is led on between pictures in which it was seen [s]
_GAP = 0.5
#: half of the time over which the middle of a head is a median: a body point that jumps for a
#: picture or two, as when somebody walks by, does not take the box off the face [s]
_STEADY = 0.1
#: a found face as near to a hand as this is the hand, over the side of the head's box
_AT_HAND = 0.5


def _numbers(*parts: str) -> list[int]:
    return [n for n, name in enumerate(POINTS) if any(part in name for part in parts)]


_HEAD = _numbers("nose", "eye", "ear", "mouth")
_SHOULDERS, _HIPS = _numbers("shoulder"), _numbers("hip")
_HANDS = _numbers("wrist", "index finger")


@dataclass(frozen=True, slots=True)
class Heads:
    """Heads and hands of followed bodies, by picture number."""

    #: left, top, right, bottom of each head [px]
    boxes: Mapping[int, list[Floats]] = field(default_factory=dict)
    #: places of the hands whose body's head is known there [px], float64 [hand, 2]
    hands: Mapping[int, Floats] = field(default_factory=dict)

    def at(self, frame: int) -> list[Floats]:
        """Return the boxes of one picture."""
        return self.boxes.get(frame, [])

    def known(self, frame: int, core: Floats) -> bool:
        """Tell whether a face found in a picture is one of these heads, or one of their hands.

        Parameters
        ----------
        frame
            Number of the picture.
        core
            Box of eyes to mouth, without what is added around: left, top, right, bottom [px].
        """
        heads = self.at(frame)
        if any(np.all(core[:2] >= head[:2]) and np.all(core[2:] <= head[2:]) for head in heads):
            return True
        hands = self.hands.get(frame)
        if hands is None or not heads:
            return False
        near = _AT_HAND * (heads[0][2] - heads[0][0])
        return bool((np.linalg.norm(hands - 0.5 * (core[:2] + core[2:]), axis=1) < near).any())


def heads_of(poses: Sequence[Poses], times: Mapping[int, float]) -> Heads:
    """Return the heads of followed bodies in every picture, led on over short gaps.

    Parameters
    ----------
    poses
        Body points of one clip.
    times
        Of the pictures that are shown, by their numbers [s].
    """
    boxes: dict[int, list[Floats]] = {}
    hands: dict[int, Floats] = {}
    for body in poses:
        for frame, box in _boxes(body, times).items():
            boxes.setdefault(frame, []).append(box)
        for frame, points in zip(body.frame.tolist(), body.points[:, _HANDS], strict=True):
            seen = points[np.isfinite(points).all(axis=1)]
            if len(seen):
                hands[frame] = np.vstack([hands[frame], seen]) if frame in hands else seen
    return Heads(boxes=boxes, hands=hands)


def _boxes(body: Poses, times: Mapping[int, float]) -> dict[int, Floats]:
    """Return the head's box by picture number."""
    middles = _mean_seen(body.points[:, _HEAD])
    seen = np.isfinite(middles).all(axis=1)
    side = _side(body)
    if not seen.any() or not np.isfinite(side):
        return {}
    known, middles = body.time[seen], _steadied(body.time[seen], middles[seen])
    found = {}
    for frame, time in times.items():
        after = int(np.searchsorted(known, time - 1e-6))
        before = after if after < len(known) and known[after] <= time + 1e-6 else after - 1
        if before >= 0 and after < len(known) and known[after] - known[before] <= _GAP:
            middle = np.array([np.interp(time, known, middles[:, axis]) for axis in (0, 1)])
            found[frame] = np.concatenate([middle - 0.5 * side, middle + 0.5 * side])
    return found


def _steadied(times: Floats, middles: Floats) -> Floats:
    """Return the running median of a path; motion that goes one way is not held back by it."""
    near = np.abs(times[:, None] - times) <= _STEADY + 1e-6
    # as many before as after, so that the ends lag no more than the middle
    reach = np.minimum.reduce([near.sum(axis=1) // 2, np.arange(len(times)),
                               np.arange(len(times))[::-1]])  # fmt: skip
    rows = zip(range(len(times)), reach.tolist(), strict=True)
    return np.array([np.median(middles[k - r : k + r + 1], axis=0) for k, r in rows])


def _side(body: Poses) -> float:
    """Return the side of the head's box [px]; NaN where nothing tells it."""
    shoulders, hips = (_mean_seen(body.points[:, which]) for which in (_SHOULDERS, _HIPS))
    trunk = np.linalg.norm(shoulders - hips, axis=1)
    if np.isfinite(trunk).any():
        return _SIDE * float(np.nanmedian(trunk))
    high = body.box[:, 3] - body.box[:, 1]
    return _SIDE_OF_BOX * float(np.nanmedian(high)) if np.isfinite(high).any() else float("nan")


def _mean_seen(points: Floats) -> Floats:
    """Return the mean of the points that are seen, float64 [row, 2]; NaN where none is."""
    seen = np.isfinite(points[:, :, :1])
    count = seen.sum(axis=1)
    total = np.where(seen, points, 0.0).sum(axis=1)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)
