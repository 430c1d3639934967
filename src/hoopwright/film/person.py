"""Which person has the ball: found as a box first, then checked against the skeleton laid on it.

The point net lays a confident skeleton on almost anything, beside a small player too, so what it
says of itself is never taken as proof. A body must be found by another net at a scale that suits
it, or move before a background that does not; the skeleton must lie in that box, stand like a
person of a person's size, and hold the ball where the ball is held.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

from hoopwright.film.bodynet import POINTS, PoseModel, Skeleton, square_of
from hoopwright.film.nets import Find, Picture, Square

Floats = NDArray[np.float64]

#: squares looked at round a person: side, and middle below a held ball [m]. The finder sees bodies
#: that take a quarter of a square to nearly all of it (tried on drawn figures), so children and
#: tall players with raised arms fit the first; the second sees bodies whose legs are cut off
_LOOKS = ((3.6, 0.7), (2.0, 0.3))
#: without a scale, sides over the picture's height, and middles below the ball over the side
_SHARES, _SHARE_BELOW = (0.3, 0.6, 1.2), 0.2
#: statures taken as a person's [m]
STATURES = (1.0, 2.3)
#: nose to ankle along the joints over stature: 0.90, from segment shares [Winter2009]_
_CHAIN = 0.90
#: the chain looks shorter where it leans toward the camera, and each joint has its error
_LOWEST, _HIGHEST = 0.8, 1.15
#: nose to hips over stature, where legs are not seen, from the same shares
_TRUNK = 0.40
#: shoulders above hips over reach: 0.59 upright, 0.51 with the trunk 30° off; less is no shooter
_TRUNK_LEAST = 0.46
#: hip centre to reach point over stature, as found on drawn figures
_REACH = 0.49
#: farthest hand point from the centre of a held ball [m]: radius, hand and error together
_HELD = 0.5
#: the same where the ball is held at another moment, from which the shooter comes or goes
_NEARBY = 1.5
#: shoulders of another body this near, over the reach, and its limbs may be taken for the
#: shooter's; nearer than the first sideways, and they are the shooter's own
_OWN, _BESIDE = 0.25, 0.8
#: hips below the shoulders [m], and reach, of a body of which only the upper part is found
_UPPER = (0.5, 0.86)
#: points less sure than this say nothing of where the body is
_SEEN = 0.3
#: another person whose hands are at most this much farther from the ball might be the shooter [m]
_AS_NEAR = 0.25
#: a change of this many levels, of 255, is something moving
_LEVELS = 25
#: what a person's box may reach beyond the finder's middle, over its reach
_WIDE, _HIGH, _LOW = 0.75, 1.1, 1.2

_INDEX = {name: number for number, name in enumerate(POINTS)}
NOSE = _INDEX["nose"]
SHOULDERS = (_INDEX["left shoulder"], _INDEX["right shoulder"])
HIPS = (_INDEX["left hip"], _INDEX["right hip"])
KNEES = (_INDEX["left knee"], _INDEX["right knee"])
ANKLES = (_INDEX["left ankle"], _INDEX["right ankle"])
#: head, trunk and legs; arms may reach anywhere
CORE = (NOSE, *SHOULDERS, *HIPS, *KNEES, *ANKLES)
#: elbow, wrist and hand of either side
ARMS = tuple(
    tuple(
        _INDEX[f"{side} {part}"]
        for part in ("elbow", "wrist", "little finger", "index finger", "thumb")
    )
    for side in ("left", "right")
)
WRISTS = (_INDEX["left wrist"], _INDEX["right wrist"])
_HANDS = tuple(point for arm in ARMS for point in arm[1:])


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """A person found in the picture."""

    #: hip centre [px], float64 [2]
    hips: Floats
    #: half the height, about [px]
    reach: float
    #: middle of the shoulders and of the face [px], float64 [2]
    shoulders: Floats
    face: Floats
    #: where the point net should look
    square: Square
    #: left, top, right, bottom [px], float64 [4]
    box: Floats
    #: 0 to 1
    score: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """The person with the ball."""

    person: Person
    skeleton: Skeleton
    #: how many other people had their hands as near to the ball, or stand so near that points
    #: may be laid on them
    others: int


def _person(found: Find) -> Person:
    hips, tip = found.points[0], found.points[1]
    reach = float(np.hypot(*(tip - hips)))
    out = np.array([_WIDE, _HIGH, _WIDE, _LOW]) * reach
    sides = np.array([-1.0, -1.0, 1.0, 1.0])
    return Person(
        hips=hips,
        reach=reach,
        shoulders=found.points[2],
        face=0.5 * (found.box[:2] + found.box[2:]),
        square=square_of(hips, tip),
        box=np.tile(hips, 2) + sides * out,
        score=found.score,
    )


def look_near(
    picture: Picture, place: Floats, *, model: PoseModel, per_metre: float | None
) -> tuple[Person, ...]:
    """Find people round a ball in the hands, or round shoulders.

    Parameters
    ----------
    picture
        BGR uint8 [row, column, 3].
    place
        Its centre, or theirs [px], float64 [2].
    model
        Has the finder.
    per_metre
        How many pixels a metre takes there; None where that is not known: several scales are tried.

    Returns
    -------
    tuple
        People, the surest first; each once, as far as the finder can tell.
    """
    if per_metre is not None:
        looks = [(side * per_metre, below * per_metre) for side, below in _LOOKS]
    else:
        sides = [share * picture.shape[0] for share in _SHARES]
        looks = [(side, _SHARE_BELOW * side) for side in sides]
    people = [
        _person(found)
        for side, below in looks
        for found in model.find(picture, Square(x=place[0], y=place[1] + below, side=side))
    ]
    return each_once(people)


def each_once(people: Sequence[Person]) -> tuple[Person, ...]:
    """Return people with those left out who stand where a surer one stands."""
    kept: list[Person] = []
    for person in sorted(people, key=lambda p: -p.score):
        if not any(_same_find(person, p) for p in kept):
            kept.append(person)
    return tuple(kept)


def _same_find(one: Person, other: Person) -> bool:
    """Tell whether two finds agree; two of one body may not, and both are then tried."""
    apart = np.stack([one.hips - other.hips, one.shoulders - other.shoulders], axis=1)
    return bool(np.hypot(*apart).max() < 0.25 * other.reach)


def moving_boxes(picture: Picture, background: Picture, *, per_metre: float) -> Floats:
    """Return boxes of person-sized things that are not in the background.

    Parameters
    ----------
    picture, background
        BGR uint8 [row, column, 3], of the same camera.
    per_metre
        How many pixels a metre takes where the person is.

    Returns
    -------
    ndarray
        Left, top, right, bottom [px], float64 [thing, 4].
    """
    changed = np.max(cv2.absdiff(picture, background), axis=2) > _LEVELS
    # what is thinner than 3 cm is noise; gaps of 15 cm are shirts of the wall's colour
    thin, gap = (max(1, round(size * per_metre)) for size in (0.03, 0.15))
    mask = changed.astype(np.uint8)
    mask = np.asarray(cv2.morphologyEx(mask, cv2.MORPH_OPEN, np.ones((thin, thin), np.uint8)))
    mask = np.asarray(cv2.morphologyEx(mask, cv2.MORPH_CLOSE, np.ones((gap, gap), np.uint8)))
    stats = cv2.connectedComponentsWithStats(mask)[2][1:].astype(np.float64)
    tall = stats[:, cv2.CC_STAT_HEIGHT] / per_metre
    people = stats[(tall > 0.6 * STATURES[0]) & (tall < 1.5 * STATURES[1])]
    boxes: Floats = np.concatenate([people[:, :2], people[:, :2] + people[:, 2:4]], axis=1)
    return boxes


def nearest_box(boxes: Floats, place: Floats, *, farthest: float) -> Floats | None:
    """Return the box nearest to a place, or None where none is near enough [px]."""
    if not len(boxes):
        return None
    out = np.maximum(np.maximum(boxes[:, :2] - place, place - boxes[:, 2:]), 0.0)
    gaps = np.hypot(*out.T)
    nearest: Floats = boxes[np.argmin(gaps)]
    return nearest if gaps.min() <= farthest else None


def square_round(box: Floats) -> Square:
    """Return the upright square the point net should look at for a person's box [px]."""
    middle = 0.5 * (box[:2] + box[2:])
    return Square(x=middle[0], y=middle[1], side=1.25 * float(np.max(box[2:] - box[:2])))


def box_of(skeleton: Skeleton) -> Floats:
    """Return the box of the whole person, a little wider than the points [px], float64 [4]."""
    margin = 0.05 * skeleton.ahead.side
    low, high = skeleton.points.min(axis=0), skeleton.points.max(axis=0)
    return np.concatenate([low - margin, high + margin])


def core_box(points: Floats) -> Floats:
    """Return the box of head, trunk and legs: left, top, right, bottom [px], float64 [4]."""
    core = points[list(CORE)]
    return np.concatenate([np.nanmin(core, axis=0), np.nanmax(core, axis=0)])


def _core(skeleton: Skeleton) -> list[int]:
    """Return the rows of head, trunk and legs that are seen; all where too few are."""
    seen = [row for row in CORE if skeleton.presence[row] >= _SEEN]
    return seen if len(seen) >= 4 else list(CORE)


def lies_in(skeleton: Skeleton, box: Floats) -> bool:
    """Tell whether a skeleton lies in a person's box and fills it."""
    margin = 0.15 * (box[3] - box[1])
    low, high = box[:2] - margin, box[2:] + margin
    core = skeleton.points[_core(skeleton)]
    inside = np.all((core >= low) & (core <= high), axis=1).mean()
    own = core_box(skeleton.points)
    return bool(inside >= 0.8 and own[3] - own[1] >= 0.4 * (box[3] - box[1]))


def agrees(skeleton: Skeleton, person: Person) -> bool:
    """Tell whether a skeleton is that of a person found by the other net.

    Notes
    -----
    Hips, size and box agree, or, for a body that is cut off, shoulders and face do.
    """
    return _agrees_whole(skeleton, person) or _agrees_above(skeleton, person)


def _agrees_whole(skeleton: Skeleton, person: Person) -> bool:
    hips = skeleton.points[list(HIPS)].mean(axis=0)
    ratio = skeleton.ahead.side / person.square.side
    near = np.hypot(*(hips - person.hips)) < 0.25 * person.reach
    return bool(near and 0.7 < ratio < 1.4 and lies_in(skeleton, person.box))


def _agrees_above(skeleton: Skeleton, person: Person) -> bool:
    reach = skeleton.ahead.side / 2.5
    shoulders = _shoulders(skeleton) - person.shoulders
    face = skeleton.points[NOSE] - person.face
    return bool(np.hypot(*shoulders) < 0.35 * reach and np.hypot(*face) < 0.35 * reach)


def _shoulders(skeleton: Skeleton) -> Floats:
    middle: Floats = skeleton.points[list(SHOULDERS)].mean(axis=0)
    return middle


def _over(one: Skeleton, other: Skeleton) -> bool:
    """Tell whether two skeletons stand at one place, alike or not."""
    return bool(np.hypot(*(_shoulders(one) - _shoulders(other))) < 0.2 * other.ahead.side)


def same_body(one: Skeleton, other: Skeleton) -> bool:
    """Tell whether two skeletons of one picture are of the same body, laid from two squares."""
    rows = sorted(set(_core(one)) & set(_core(other))) or list(CORE)
    apart = one.points[rows] - other.points[rows]
    # a fifteenth of the height: beyond the points' own errors
    return bool(np.hypot(*apart.T).mean() < 0.15 * other.ahead.side / 2.5)


def _legs_seen(skeleton: Skeleton) -> bool:
    """Tell whether one leg is seen down to the ankle."""
    legs = skeleton.presence[[KNEES, ANKLES]]
    return bool((legs.min(axis=0) >= _SEEN).any())


def stature(skeleton: Skeleton) -> float:
    """Return nose to ankle along the joints, brought to stature [px]; short where it leans away.

    Where no leg is seen, nose to hips.
    """
    points = skeleton.points
    middles = [points[NOSE], *(points[list(pair)].mean(axis=0) for pair in (SHOULDERS, HIPS))]
    links = float(sum(np.hypot(*(b - a)) for a, b in pairwise(middles)))
    if not _legs_seen(skeleton):
        return links / _TRUNK
    # the longer leg: the other one may be hidden or bent away
    legs = [
        np.hypot(*(points[k] - points[h])) + np.hypot(*(points[a] - points[k]))
        for h, k, a in zip(HIPS, KNEES, ANKLES, strict=True)
    ]
    return float(links + max(legs)) / _CHAIN


def stands(skeleton: Skeleton, *, per_metre: float | None) -> bool:
    """Tell whether a skeleton stands upright and has a person's size.

    Parameters
    ----------
    skeleton
        As laid.
    per_metre
        How many pixels a metre takes there; None leaves size out.
    """
    points = skeleton.points
    head, hips, feet = (points[list(p), 1].mean() for p in ((NOSE,), HIPS, ANKLES))
    tall = stature(skeleton)
    trunk = hips - _shoulders(skeleton)[1]
    if not (hips - head > 0.15 * tall and trunk > _TRUNK_LEAST * skeleton.ahead.side / 2.5):
        return False
    if _legs_seen(skeleton) and not feet - hips > 0.1 * tall:
        return False
    if per_metre is None:
        return True
    low, high = STATURES[0] * _LOWEST, STATURES[1] * _HIGHEST
    return bool(low < tall / per_metre < high)


def hand_gap(skeleton: Skeleton, ball: Floats) -> float:
    """Return how far the nearest hand point is from the ball's centre [px]."""
    hands = skeleton.points[list(_HANDS)]
    return float(np.hypot(*(hands - ball).T).min())


def metre(skeleton: Skeleton, per_metre: float | None) -> float:
    """Return how many pixels a metre takes at the person; without a scale, stature is 1.7 m."""
    return per_metre if per_metre is not None else skeleton.ahead.side / 2.5 / (_REACH * 1.7)


def holds(skeleton: Skeleton, ball: Floats, *, per_metre: float | None) -> bool:
    """Tell whether a hand is within reach of a ball that is held."""
    return hand_gap(skeleton, ball) <= _HELD * metre(skeleton, per_metre)


def choose(
    picture: Picture,
    ball: Floats,
    *,
    model: PoseModel,
    per_metre: float | None,
    held: bool = True,
    followed: Skeleton | None = None,
) -> Choice | None:
    """Choose the person whose hands are nearest to the ball.

    Parameters
    ----------
    picture
        BGR uint8 [row, column, 3].
    ball
        Centre of the ball in the hands [px], float64 [2].
    model
        Finder and point net.
    per_metre
        How many pixels a metre takes at the ball; None where that is not known.
    held
        False where the ball is there at another moment: hands may then be farther away.
    followed
        Led on from the pictures before; taken for a person on whom no fresh one fits, if it fits.

    Returns
    -------
    Choice or None
        None where no person is found whose skeleton passes the checks.
    """
    place = ball if followed is None else _shoulders(followed)
    people = look_near(picture, place, model=model, per_metre=per_metre)[:6]
    bodies = _bodies(picture, people, model=model, per_metre=per_metre, followed=followed)
    if not bodies:
        return None
    gaps = [hand_gap(s, ball) for _, s in bodies]
    best = int(np.argmin(gaps))
    person, skeleton = bodies[best]
    scale = metre(skeleton, per_metre)
    if gaps[best] > (_HELD if held else _NEARBY) * scale:
        return None
    near = sum(gap <= gaps[best] + _AS_NEAR * scale for gap in gaps) - 1
    beside = any(_beside(skeleton, other) for other in people)
    return Choice(person=person, skeleton=skeleton, others=max(near, int(beside)))


def _beside(skeleton: Skeleton, person: Person) -> bool:
    """Tell whether a find is somebody else within an arm's length in the picture."""
    reach = skeleton.ahead.side / 2.5
    across, down = np.abs(person.shoulders - _shoulders(skeleton)) / reach
    # two finds of one body differ upward and downward, hardly sideways
    return bool(_OWN < across < _BESIDE and down < _BESIDE)


def _bodies(
    picture: Picture,
    people: Sequence[Person],
    *,
    model: PoseModel,
    per_metre: float | None,
    followed: Skeleton | None,
) -> list[tuple[Person, Skeleton]]:
    """Lay a skeleton on each person, once each; what was followed comes first where it fits."""
    bodies: list[tuple[Person, Skeleton]] = []
    for person in people:
        skeleton = _fitted(picture, person, model=model, per_metre=per_metre)
        if followed is not None and (skeleton is None or _odd(skeleton, followed)):
            # the fresh one is of another size: finds are less steady where legs are cut off
            skeleton = followed if agrees(followed, person) else None
        if skeleton is not None and not any(_over(skeleton, s) for _, s in bodies):
            bodies.append((person, skeleton))
    return bodies


def _odd(skeleton: Skeleton, followed: Skeleton) -> bool:
    """Tell whether a skeleton stands where another is followed, but is of another size."""
    ratio = skeleton.ahead.side / followed.ahead.side
    return _over(skeleton, followed) and not 0.75 < ratio < 1.33


def _fitted(
    picture: Picture, person: Person, *, model: PoseModel, per_metre: float | None
) -> Skeleton | None:
    """Lay the points on a person who was found, or None where they don't fit the person."""
    skeleton = model.lay(picture, person.square)
    if agrees(skeleton, person) and stands(skeleton, per_metre=per_metre):
        return skeleton
    if per_metre is None:
        return None
    # hips that are cut off are guessed badly; the shoulders and the scale say where they are
    hips, reach = (length * per_metre for length in _UPPER)
    below = person.shoulders + np.array([0.0, hips])
    first = model.lay(picture, square_of(below, below - np.array([0.0, reach])))
    skeleton = model.lay(picture, first.ahead)
    good = agrees(skeleton, person) and stands(skeleton, per_metre=per_metre)
    return skeleton if good else None
