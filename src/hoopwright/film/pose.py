"""The shooter's body points, picture by picture, each with its error.

The square of one picture leads to the next, so that the finder runs seldom; twice a second and at
the end what is followed is checked against the finder, and pictures since the last good check are
left blank where it fails. The person is the one whose hands are nearest to the held ball.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hoopwright.film import person
from hoopwright.film.bodynet import POINT_MODELS, POINTS, PoseModel, Skeleton
from hoopwright.film.nets import Square
from hoopwright.film.results import Doubt, Flag, Poses
from hoopwright.film.video import Picture

__all__ = ["POINTS", "POINT_MODELS", "PoseModel", "doubts_of", "watch"]

Floats = NDArray[np.float64]

#: longest time without a check by the finder [s]
_CHECK = 0.4
#: points less sure than this are left blank, an arm as a whole
LEAST_PRESENCE = 0.3
#: error of a point that is surely seen, over the body's reach (half its height, about), by the
#: words in its name; the first that fits counts; see docs/film-pose.md
_SHARES = {
    "shoulder": 0.045, "hip": 0.03, "elbow": 0.05, "wrist": 0.05, "finger": 0.06, "thumb": 0.06,
    "knee": 0.025, "ankle": 0.045, "heel": 0.045, "foot": 0.045, "": 0.045,
}  # fmt: skip
#: the error of a point hardly seen over that of one surely seen
_UNSURE = 2.0
#: a body's square may change by this within a shot, as a log of its side: much, as legs that are
#: cut off are guessed
_SAME_SIZE = math.log(2.0)
#: errors grow by this while another body is so near that limbs may be taken for each other's
_CROWDED = 4.0
#: share of the looks at which others were near that is told
_TOLD = 0.3
#: share of the pictures that must show the shooter
_ENOUGH = 0.3


def _share_of(name: str) -> float:
    return next(share for part, share in _SHARES.items() if part in name)


_SHARE = np.array([_share_of(name) for name in POINTS])


def point_errors(skeleton: Skeleton) -> Floats:
    """Return the error of each point, one standard deviation each way [px], float64 [33].

    Notes
    -----
    In proportion to the body's size in the picture and to how unsure the model is; the shares are
    those found on drawn figures whose joints are known (docs/film-pose.md), not on real film.
    """
    reach = skeleton.ahead.side / 2.5
    unsure = 1.0 + (_UNSURE - 1.0) * (1.0 - skeleton.presence)
    errors: Floats = _SHARE * unsure * reach
    return errors


@dataclass(slots=True)
class _Rows:
    """What was seen so far, one row a picture."""

    frame: list[int] = field(default_factory=list)
    time: list[float] = field(default_factory=list)
    skeleton: list[Skeleton | None] = field(default_factory=list)
    others: list[int] = field(default_factory=list)
    #: of the picture [px]
    size: tuple[int, int] = (0, 0)
    #: first row that no check has confirmed yet
    unchecked: int = 0

    def add(self, picture: Picture, skeleton: Skeleton | None, others: int) -> None:
        self.size = (picture.image.shape[1], picture.image.shape[0])
        self.frame.append(picture.frame)
        self.time.append(picture.time)
        self.skeleton.append(skeleton)
        self.others.append(others)

    def inside(self, skeleton: Skeleton) -> NDArray[np.bool_]:
        """Tell which points lie in the picture; those beyond it are guesses, bool [33]."""
        inside: NDArray[np.bool_] = np.all(
            (skeleton.points >= -0.5) & (skeleton.points <= self.size), axis=1
        )
        return inside

    def settle(self, *, good: bool) -> None:
        """Keep what was followed since the last check, or leave it blank."""
        if not good:
            for row in range(self.unchecked, len(self.frame)):
                self.skeleton[row] = None
        self.unchecked = len(self.frame)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Known:
    """What is known before a picture is looked at."""

    balls: Mapping[int, Floats]
    boxes: Mapping[int, Floats]
    per_metre: float | None
    background: NDArray[np.uint8] | None

    def ball_near(self, frame: int) -> Floats | None:
        """Return where the held ball is, was or will be."""
        if not self.balls:
            return None
        return self.balls[min(self.balls, key=lambda known: abs(known - frame))]


class _Follower:
    """Follows one person from picture to picture."""

    def __init__(self, model: PoseModel, known: _Known) -> None:
        self._model = model
        self._known = known
        self._square: Square | None = None
        self._checked = -math.inf
        #: sides of the squares of the pictures that were checked [px]
        self._sides: list[float] = []
        self.rows = _Rows()

    def step(self, picture: Picture, *, last: bool) -> None:
        """Look at one more picture; the last one is always checked."""
        skeleton, others = self._follow(picture), -1
        if last or skeleton is None or picture.time - self._checked >= _CHECK:
            skeleton, others = self._check(picture, skeleton)
        self._square = skeleton.ahead if skeleton is not None else None
        if skeleton is not None and not self._fits(picture.frame, skeleton):
            skeleton = None
        self.rows.add(picture, skeleton, others)
        if self._checked == picture.time:
            self.rows.settle(good=True)

    def _follow(self, picture: Picture) -> Skeleton | None:
        if self._square is None:
            return None
        skeleton = self._model.lay(picture.image, self._square)
        good = skeleton.surety >= 0.5 and self._stands(skeleton) and self._as_large(skeleton)
        return skeleton if good else None

    def _as_large(self, skeleton: Skeleton) -> bool:
        """Tell whether a body is as large as before: nobody grows or shrinks within a shot."""
        if not self._sides:
            return True
        return abs(math.log(skeleton.ahead.side / float(np.median(self._sides)))) < _SAME_SIZE

    def _check(self, picture: Picture, skeleton: Skeleton | None) -> tuple[Skeleton | None, int]:
        """Return the shooter by the finder, and how many others are as near to the ball."""
        choice = self._choose(picture, skeleton)
        found = choice.skeleton if choice is not None else self._in_box(picture)
        same = skeleton is not None and found is not None and person.same_body(skeleton, found)
        if not same:
            self.rows.settle(good=False)
        if found is None or not self._as_large(found):
            return None, -1
        self._checked = picture.time
        self._sides.append(found.ahead.side)
        return (skeleton if same else found), (choice.others if choice is not None else 0)

    def _choose(self, picture: Picture, skeleton: Skeleton | None) -> person.Choice | None:
        """Choose by the ball; where it is not held now, the one who is followed, or was nearest."""
        ball = self._known.balls.get(picture.frame)
        held = ball is not None or skeleton is not None
        if ball is None and skeleton is not None:
            ball = np.asarray(skeleton.points[list(person.WRISTS)].mean(axis=0))
        if ball is None:
            ball = self._known.ball_near(picture.frame)
        if ball is None:
            return None
        return person.choose(
            picture.image, ball, model=self._model, per_metre=self._known.per_metre,
            held=held, followed=skeleton,
        )  # fmt: skip

    def _in_box(self, picture: Picture) -> Skeleton | None:
        """Lay the points in a box that was given, or in the moving thing nearest to the ball."""
        box = self._known.boxes.get(picture.frame)
        if box is None:
            box = self._moving(picture)
        if box is None:
            return None
        skeleton = self._model.lay(picture.image, person.square_round(box))
        good = person.lies_in(skeleton, box) and self._stands(skeleton)
        return skeleton if good else None

    def _moving(self, picture: Picture) -> Floats | None:
        background, per_metre = self._known.background, self._known.per_metre
        ball = self._known.ball_near(picture.frame)
        if background is None or per_metre is None or ball is None:
            return None
        boxes = person.moving_boxes(picture.image, background, per_metre=per_metre)
        return person.nearest_box(boxes, ball, farthest=1.0 * per_metre)

    def _stands(self, skeleton: Skeleton) -> bool:
        return person.stands(skeleton, per_metre=self._known.per_metre)

    def _fits(self, frame: int, skeleton: Skeleton) -> bool:
        """Tell whether a skeleton holds the ball and lies in the box, where these are known."""
        box, ball = self._known.boxes.get(frame), self._known.balls.get(frame)
        if box is not None and not person.lies_in(skeleton, box):
            return False
        return ball is None or person.holds(skeleton, ball, per_metre=self._known.per_metre)


def watch(
    pictures: Iterable[Picture],
    *,
    model: PoseModel,
    ball_at: Mapping[int, ArrayLike],
    box_at: Mapping[int, ArrayLike] | None = None,
    per_metre: float | None = None,
    background: NDArray[np.uint8] | None = None,
    progress: Callable[[int], None] | None = None,
) -> Poses:
    """Follow the shooter of one shot and return the body points.

    Parameters
    ----------
    pictures
        Colour pictures around the shot, in order of time.
    model
        Ready to run; not shared with another thread.
    ball_at
        Centre of the ball [px] by picture number, only while it is held: before the release.
        Without it and without boxes nobody is the shooter.
    box_at
        Box of the shooter [px] by picture number (left, top, right, bottom), where one was marked
        or found otherwise; the points must lie in it.
    per_metre
        How many pixels a metre takes at the shooter, by the scene or by the ball's size: people
        who would be smaller than 1.0 m or taller than 2.3 m are left out.
    background
        The same view without the person, BGR; a person the finder misses is then sought among
        what moves.
    progress
        Called with the number of pictures done.

    Returns
    -------
    Poses
        One row a picture; NaN where the shooter was not seen.

    Notes
    -----
    Presence is the lesser of the model's two scores (inside the square, not hidden). Points below
    LEAST_PRESENCE are blank, an arm as a whole; their presence is still told.
    """
    known = _Known(
        balls=_arrays(ball_at),
        boxes=_arrays(box_at or {}),
        per_metre=per_metre,
        background=background,
    )
    follower = _Follower(model, known)
    for number, (picture, last) in enumerate(_with_last(pictures), start=1):
        follower.step(picture, last=last)
        if progress is not None:
            progress(number)
    return _poses(follower.rows)


def _arrays(places: Mapping[int, ArrayLike]) -> dict[int, Floats]:
    return {frame: np.asarray(place, dtype=np.float64) for frame, place in places.items()}


def _with_last(pictures: Iterable[Picture]) -> Iterator[tuple[Picture, bool]]:
    """Give each picture and whether it is the last; one is held back to know."""
    held: Picture | None = None
    for picture in pictures:
        if held is not None:
            yield held, False
        held = picture
    if held is not None:
        yield held, True


def _poses(rows: _Rows) -> Poses:
    count = len(rows.frame)
    points, shape = np.full((count, 33, 2), np.nan), np.full((count, 33, 3), np.nan)
    sd, presence = np.full((count, 33), np.nan), np.zeros((count, 33))
    box = np.full((count, 4), np.nan)
    crowded = np.where(near_others(rows.others), _CROWDED, 1.0)
    for row, skeleton in enumerate(rows.skeleton):
        if skeleton is None:
            continue
        seen = seen_points(skeleton) & rows.inside(skeleton)
        points[row] = np.where(seen[:, None], skeleton.points, np.nan)
        sd[row] = np.where(seen, crowded[row] * point_errors(skeleton), np.nan)
        presence[row], shape[row] = skeleton.presence, skeleton.shape
        box[row] = person.box_of(skeleton)
    return Poses(
        frame=np.array(rows.frame, dtype=np.int64),
        time=np.array(rows.time, dtype=np.float64),
        points=points,
        sd=sd,
        presence=presence,
        shape=shape,
        box=box,
        others=np.array(rows.others, dtype=np.int64),
    )


def near_others(others: Sequence[int]) -> NDArray[np.bool_]:
    """Tell which pictures lie next to a look at which others were near, bool [row].

    Parameters
    ----------
    others
        How many were near; −1 where not looked at.
    """
    count = np.asarray(others, dtype=np.int64)
    looks = np.flatnonzero(count >= 0)
    near = np.zeros(len(count), dtype=bool)
    for number, look in enumerate(looks):
        if count[look] > 0:
            first = looks[number - 1] + 1 if number else 0
            last = looks[number + 1] if number + 1 < len(looks) else len(count)
            near[first:last] = True
    return near


def seen_points(skeleton: Skeleton) -> NDArray[np.bool_]:
    """Tell which points are sure enough to be used, bool [33]; an arm only as a whole."""
    seen = skeleton.presence >= LEAST_PRESENCE
    for arm in person.ARMS:
        # elbow and wrist; a hidden finger does not hide the arm
        if not seen[list(arm[:2])].all():
            seen[list(arm)] = False
    return seen


def doubts_of(poses: Poses) -> tuple[Doubt, ...]:
    """Return why the body of a shot is in doubt; the ball's flight is not touched by it."""
    seen = np.isfinite(poses.box[:, 0])
    if len(seen) == 0 or seen.mean() < _ENOUGH:
        said = (
            "No player was found at the ball; film so that the whole shooter is seen, feet to "
            "hands, and at least a sixth of the picture's height."
        )
        return (Doubt(flag=Flag.NO_SHOOTER, message=said, refused=False),)
    looked = poses.others[poses.others >= 0]
    if len(looked) and np.mean(looked > 0) >= _TOLD:
        said = (
            "Another player was as near to the ball or close to the shooter; check whose body is "
            "drawn, or film with nobody near the shooter."
        )
        return (Doubt(flag=Flag.TWO_SHOOTERS, message=said, refused=False),)
    return ()
