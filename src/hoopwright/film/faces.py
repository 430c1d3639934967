"""Where faces are in every picture, so that they can be blurred on clips that are shared.

A face that is missed would be shown, so all errs on the side of blurring: low thresholds, heads of
bodies seen from any side, boxes held before and after, led over gaps, and grown the longer ago they
were seen. But a box is no larger than that: the ball must be seen as it leaves the hand.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import linear_sum_assignment

from hoopwright.film import models, nets
from hoopwright.film.bodynet import BODY_FINDER_LAYOUT
from hoopwright.film.heads import Heads, heads_of
from hoopwright.film.nets import Find, Finder, Net, Square
from hoopwright.film.results import Poses
from hoopwright.film.video import Picture

Floats = NDArray[np.float64]

#: time between pictures that are searched [s]
_EVERY = 0.25
#: a face is blurred this long before it is first and after it is last found [s]
_HOLD = 0.5
#: longest gap over which one face is led on [s]
_GAP = 1.0
#: fastest head that is still the same one [widths of its box a second]
_FAST = 16.0
#: growth of a box a second away from where it was found, over its width
_GROW = 2.0
#: a blurred box over the box of a found face: hair, ears and chin are known too
_ROUND = 1.6
#: sides of the squares searched, over the picture's height; each finds heads of a range of sizes
_SIDES = (0.4, 0.9)
#: step from square to square over their side
_STEP = 0.5
#: least scores: under the published 0.6 for faces; any lower and hands and shoes are blurred too
_LEAST_FACE, _LEAST_BODY = 0.5, 0.6
#: head box over the reach of a found body (half its height): a head is 0.13 of stature high
#: ([Winter2009]_, from memory), hence 0.26 of the reach, and up to 0.36 in a child
_HEAD = 0.36

_FAR = Finder(boxes="Identity", scores="Identity_1", strides=(4,), per_cell=1, points=6)
_NEAR = Finder(
    boxes="regressors", scores="classificators", strides=(8, 16, 16, 16), per_cell=2, points=6
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Faces:
    """Boxes to blur, one row a box, in order of pictures."""

    #: number of the picture, int64 [row]
    frame: NDArray[np.int64]
    #: left, top, right, bottom [px], float64 [row, 4]; may reach beyond the picture
    box: Floats

    def at(self, frame: int) -> Floats:
        """Return the boxes of one picture [px], float64 [box, 4]."""
        first, last = np.searchsorted(self.frame, (frame, frame + 1))
        return self.box[first:last]


class FaceModel:
    """The face finders and the body finder, ready to run; one per thread."""

    def __init__(self, folder: Path, *, threads: int = 1) -> None:
        """Load the models.

        Parameters
        ----------
        folder
            Where ``models.prepare`` put them.
        threads
            For each net.

        Raises
        ------
        ModelsMissing
            They are not in the folder.
        """
        self._far = Net(models.model_path(folder, models.FACES_FAR), threads=threads)
        self._near = Net(models.model_path(folder, models.FACES_NEAR), threads=threads)
        self._body = Net(models.model_path(folder, models.BODY_FINDER), threads=threads)

    def search(self, image: NDArray[np.uint8]) -> Floats:
        """Return boxes of all heads found in a picture [px], float64 [face, 4].

        Parameters
        ----------
        image
            BGR uint8 [row, column, 3].
        """
        squares = list(_squares(image.shape[1], image.shape[0]))
        whole = squares[-1]
        near = nets.find(self._near, image, finder=_NEAR, square=whole, least=_LEAST_FACE)
        far = [face for square in squares for face in self._faces_in(image, square)]
        faces = joined(np.array([_grown(f.box, _ROUND) for f in (*near, *far)]).reshape(-1, 4))
        heads = [_head_of(body) for square in squares for body in self._bodies_in(image, square)]
        # where a face is found, the body says less well where it is
        more = [head for head in heads if not (_shared(head, faces) > 0.5).any()]
        return np.concatenate([faces, joined(np.array(more).reshape(-1, 4))])

    def _faces_in(self, image: NDArray[np.uint8], square: Square) -> tuple[Find, ...]:
        return nets.find(self._far, image, finder=_FAR, square=square, least=_LEAST_FACE)

    def _bodies_in(self, image: NDArray[np.uint8], square: Square) -> tuple[Find, ...]:
        return nets.find(
            self._body, image, finder=BODY_FINDER_LAYOUT, square=square, least=_LEAST_BODY
        )


def _head_of(body: Find) -> Floats:
    """Return the head's box: the middle of the finder's box is the face, its size says nothing."""
    reach = float(np.hypot(*(body.points[1] - body.points[0])))
    return _square_box(0.5 * (body.box[:2] + body.box[2:]), _HEAD * reach)


def _squares(width: int, height: int) -> Iterable[Square]:
    """Give overlapping squares of each size, then the whole picture."""
    for share in _SIDES:
        side = share * height
        for y in _middles(height, side):
            for x in _middles(width, side):
                yield Square(x=x, y=y, side=side)
    yield Square(x=0.5 * width, y=0.5 * height, side=float(max(width, height)))


def _middles(length: int, side: float) -> Floats:
    count = max(1, int(np.ceil((length - side) / (_STEP * side))) + 1)
    middles: Floats = np.linspace(0.5 * side, max(length - 0.5 * side, 0.5 * side), count)
    return middles


def _square_box(middle: Floats, side: float) -> Floats:
    return np.concatenate([middle - 0.5 * side, middle + 0.5 * side])


def _grown(box: Floats, factor: float) -> Floats:
    middle, half = 0.5 * (box[:2] + box[2:]), 0.5 * factor * (box[2:] - box[:2])
    return np.concatenate([middle - half, middle + half])


def joined(boxes: Floats) -> Floats:
    """Return boxes with those that share half of the smaller one replaced by the box round both.

    Parameters
    ----------
    boxes
        Left, top, right, bottom [px], float64 [box, 4].
    """
    left = list(boxes)
    done: list[Floats] = []
    while left:
        box = left.pop()
        over = _shared(box, np.array(left).reshape(-1, 4)) > 0.5
        if over.any():
            other = left.pop(int(np.argmax(over)))
            low, high = np.minimum(box[:2], other[:2]), np.maximum(box[2:], other[2:])
            left.append(np.concatenate([low, high]))
        else:
            done.append(box)
    return np.array(done).reshape(-1, 4)


def _shared(box: Floats, boxes: Floats) -> Floats:
    """Return the shared area of a box and others over the smaller one's, float64 [box]."""
    low, high = np.maximum(box[:2], boxes[:, :2]), np.minimum(box[2:], boxes[:, 2:])
    shared = np.prod(np.clip(high - low, 0.0, None), axis=1)
    areas = np.minimum(np.prod(boxes[:, 2:] - boxes[:, :2], axis=1), np.prod(box[2:] - box[:2]))
    share: Floats = shared / np.maximum(areas, 1e-12)
    return share


@dataclass(slots=True)
class _Track:
    """One face through time."""

    times: list[float] = field(default_factory=list)
    boxes: list[Floats] = field(default_factory=list)

    def at(self, time: float) -> Floats | None:
        """Return the box at a time, grown by how far that is from a find; None out of reach."""
        if not self.times[0] - _HOLD <= time <= self.times[-1] + _HOLD:
            return None
        boxes = np.array(self.boxes)
        box = np.array([np.interp(time, self.times, boxes[:, k]) for k in range(4)])
        return _grown(box, _growth(float(np.abs(np.array(self.times) - time).min())))


def _growth(away: float) -> float:
    """Return the growth of a box that far in time from where it was found [s]."""
    return 1.0 + 2.0 * _GROW * away


class _Tracks:
    """Faces linked from search to search."""

    def __init__(self) -> None:
        self.all: list[_Track] = []
        self._searches: list[tuple[float, Floats]] = []

    def at(self, time: float) -> list[Floats]:
        """Return what is blurred at a time: faces led on, and all of the nearest search.

        Faces that cross may be linked wrongly and then be led between the two; those that have
        hardly moved are still covered by where they were found.
        """
        led = [box for track in self.all if (box := track.at(time)) is not None]
        found, boxes = min(self._searches, key=lambda search: abs(search[0] - time))
        return led + [_grown(box, _growth(abs(found - time))) for box in boxes]

    def add(self, time: float, boxes: Floats) -> None:
        """Link each box to the nearest face seen lately, or begin a new one."""
        self._searches.append((time, boxes))
        lately = [track for track in self.all if time - track.times[-1] <= _GAP]
        free = set(range(len(boxes)))
        if lately and len(boxes):
            cost = np.array([[_steps(track, time, box) for box in boxes] for track in lately])
            for row, column in zip(*linear_sum_assignment(cost), strict=True):
                if cost[row, column] <= 1.0:
                    lately[row].times.append(time)
                    lately[row].boxes.append(boxes[column])
                    free.discard(int(column))
        self.all += [_Track([time], [boxes[k]]) for k in sorted(free)]


def _steps(track: _Track, time: float, box: Floats) -> float:
    """Return how far a box is from a face, over how far that face can have gone."""
    last = track.boxes[-1]
    width = max(last[2] - last[0], box[2] - box[0])
    apart = np.hypot(*(0.5 * (box[:2] + box[2:] - last[:2] - last[2:])))
    return float(apart / (width * (1.0 + _FAST * (time - track.times[-1]))))


def find_faces(
    pictures: Iterable[Picture],
    *,
    model: FaceModel,
    poses: Sequence[Poses] = (),
    flight: ArrayLike = (),
    every: float = _EVERY,
    progress: Callable[[int], None] | None = None,
) -> Faces:
    """Find what must be blurred in every picture.

    Parameters
    ----------
    pictures
        Colour pictures in order of time.
    model
        Ready to run; not shared with another thread.
    poses
        Body points of the same clip; their heads are blurred too.
    flight
        (time [s], x [px], y [px]) of the flying ball in order of time, float64 [row, 3]: what looks
        like a face in its place is the ball.
    every
        Time between pictures that are searched [s]; between them faces are led on.
    progress
        Called with the number of pictures done.

    Returns
    -------
    Faces
        Boxes by picture number.
    """
    seen, searches = dict[int, float](), list[tuple[int, Floats]]()
    last: Picture | None = None
    for number, picture in enumerate(pictures, start=1):
        if not searches or picture.time - seen[searches[-1][0]] >= every - 1e-6:
            searches.append((picture.frame, model.search(picture.image)))
        last, seen[picture.frame] = picture, picture.time
        if progress is not None:
            progress(number)
    if last is not None and searches[-1][0] != last.frame:
        # a face that came in after the last search
        searches.append((last.frame, model.search(last.image)))
    return _boxes(searches, seen, heads_of(poses, seen), np.asarray(flight, float).reshape(-1, 3))


def _boxes(
    searches: list[tuple[int, Floats]], seen: dict[int, float], heads: Heads, flight: Floats
) -> Faces:
    """Return the boxes of all pictures from what the searches found in some."""
    tracks = _Tracks()
    for frame, found in searches:
        cores = [_grown(box, 1.0 / _ROUND) for box in found]
        fresh = [
            box
            for box, core in zip(found, cores, strict=True)
            if not heads.known(frame, core) and not _is_ball(core, flight, seen[frame])
        ]
        tracks.add(seen[frame], np.array(fresh).reshape(-1, 4))
    rows = [
        (frame, box)
        for frame, time in seen.items()
        for box in _distinct([*tracks.at(time), *heads.at(frame)])
    ]
    return Faces(
        frame=np.array([frame for frame, _ in rows], dtype=np.int64),
        box=np.array([box for _, box in rows]).reshape(-1, 4),
    )


def _is_ball(core: Floats, flight: Floats, time: float) -> bool:
    """Tell whether a found face is where the flying ball is."""
    if not len(flight) or not flight[0, 0] <= time <= flight[-1, 0]:
        return False
    place = np.array([np.interp(time, flight[:, 0], flight[:, axis]) for axis in (1, 2)])
    return bool(np.all(core[:2] <= place) and np.all(core[2:] >= place))


def _distinct(boxes: list[Floats]) -> list[Floats]:
    """Return boxes without those that lie within another."""
    kept: list[Floats] = []
    for box in sorted(boxes, key=lambda one: -float(np.prod(one[2:] - one[:2]))):
        if not any(np.all(one[:2] <= box[:2]) and np.all(one[2:] >= box[2:]) for one in kept):
            kept.append(box)
    return kept
