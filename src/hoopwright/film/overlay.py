"""Draw on a picture what was measured in it, and hide faces.

Lines are white with a dark edge, which shows on any floor, wall or shirt; words go into a band
under the picture, which stays whole. Sizes are in units of 1/390 of the picture's width, so that a
clip still reads on a phone held upright, 390 px across.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from hoopwright.errors import BadInput
from hoopwright.film.caption import DARK, PHONE, WHITE, Colour, band, band_height
from hoopwright.film.results import Event, FilmedShot, Poses

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]

#: sizes in units [1/390 of the width]
LINE, EDGE, BALL = 1.7, 3.6, 5.0
#: how much of the way ahead of the ball shows through
FAINT = 0.4
#: how long an event's name stays [s]
SHOWN = 0.3
#: most averages that are left of a face, each way
BLOCKS = 6
#: most numbers on a picture, as more are not read while it moves
MOST_NUMBERS = 3

#: lines of the body, pairs of ``bodynet.POINTS``: trunk, arms to index fingers, legs to toes
BODY = (
    (11, 12), (11, 23), (12, 24), (23, 24),
    (11, 13), (13, 15), (15, 19), (12, 14), (14, 16), (16, 20),
    (23, 25), (25, 27), (27, 29), (29, 31), (27, 31),
    (24, 26), (26, 28), (28, 30), (30, 32), (28, 32),
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """What is drawn over the pictures of one shot."""

    #: (time [s], x [px], y [px]) of the ball's centre in order of time, float64 [point, 3]
    trail: Floats
    poses: Poses | None = None
    events: tuple[Event, ...] = ()
    #: up to three, ready to read, each with its range
    numbers: tuple[str, ...] = ()
    #: which of several clips it is, if that is to be said
    label: str = ""

    @property
    def lines(self) -> int:
        """How many lines of words go under each of its pictures."""
        return len(self.numbers) + bool(self.label or self.events)


def drawing_of(
    shot: FilmedShot, poses: Poses | None = None, *, numbers: tuple[str, ...] = ()
) -> Drawing:
    """Return what is drawn of a filmed shot.

    Parameters
    ----------
    shot
        Gives the ball's way and the events.
    poses
        The shooter's body points around it.
    numbers
        Up to three, ready to read, each with its range.

    Raises
    ------
    BadInput
        More than three numbers.
    """
    if len(numbers) > MOST_NUMBERS:
        raise BadInput("A clip has room for three numbers; leave some out.")
    trail = np.array(shot.trail, dtype=np.float64).reshape(-1, 3)
    trail = trail[np.isfinite(trail).all(axis=1)]
    return Drawing(
        trail=trail[np.argsort(trail[:, 0], kind="stable")],
        poses=poses,
        events=tuple(sorted(shot.events, key=lambda event: event.time)),
        numbers=tuple(numbers),
    )


def draw(
    image: Pixels, drawing: Drawing, *, time: float, scale: float = 1.0, unit: float | None = None
) -> Pixels:
    """Return a picture with the ball's way and the body's lines.

    Parameters
    ----------
    image
        Blue, green, red, uint8 [row, column, 3]; it is not changed.
    drawing
        What to draw.
    time
        When the picture was taken, real time [s].
    scale
        Size of this picture over that of the one in which the drawing was measured.
    unit
        What sizes are counted in [px]; 1/390 of the width unless given.
    """
    drawn = image.copy()
    one = image.shape[1] / PHONE if unit is None else unit
    _draw_way(drawn, drawing.trail, time=time, scale=scale, unit=one)
    if drawing.poses is not None:
        _draw_body(drawn, drawing.poses, time=time, scale=scale, unit=one)
    return drawn


def captioned(
    image: Pixels,
    drawing: Drawing,
    *,
    time: float,
    lines: int | None = None,
    unit: float | None = None,
) -> Pixels:
    """Return a picture with a band under it that has the event's name and the numbers.

    Parameters
    ----------
    image, drawing, time, unit
        As for ``draw``.
    lines
        How many lines the band has room for; as many as the drawing has unless given.
    """
    one = image.shape[1] / PHONE if unit is None else unit
    height = band_height(drawing.lines if lines is None else lines, unit=one)
    if not height:
        return image
    words = _words(drawing, time)
    return np.vstack([image, band(words, width=image.shape[1], height=height, unit=one)])


def _words(drawing: Drawing, time: float) -> tuple[str, ...]:
    """Return the lines under a picture; the first keeps its place while no event is named."""
    head = [part for part in (drawing.label, _event_name(drawing.events, time)) if part]
    first = (": ".join(head),) if drawing.label or drawing.events else ()
    return (*first, *drawing.numbers)


def hide(image: Pixels, boxes: ArrayLike) -> Pixels:
    """Return a picture in which faces can't be made out, nor brought back by sharpening.

    Parameters
    ----------
    image
        Blue, green, red, uint8 [row, column, 3]; it is not changed.
    boxes
        Left, top, right, bottom of each face [px], float64 [face, 4]; NaN rows are passed over.

    Notes
    -----
    Each face becomes at most 6 × 6 averages, smoothed: what is between them is gone. Somebody who
    knows the player may still know them by their clothes, body or way of moving.
    """
    hidden = image.copy()
    for box in np.asarray(boxes, dtype=np.float64).reshape(-1, 4):
        if not np.isfinite(box).all():
            continue
        middle, half = 0.5 * (box[:2] + box[2:]), 0.5 * np.abs(box[2:] - box[:2])
        room = np.array(image.shape[1::-1])
        left, top = np.clip(np.floor(middle - half), 0, room).astype(int)
        right, bottom = np.clip(np.ceil(middle + half), 0, room).astype(int)
        if right > left and bottom > top:
            hidden[top:bottom, left:right] = _averaged(hidden[top:bottom, left:right])
    return hidden


def _averaged(face: Pixels) -> Pixels:
    height, width = face.shape[:2]
    block = max(height, width) / BLOCKS
    few = (max(int(width / block), 1), max(int(height / block), 1))
    small = cv2.resize(face, few, interpolation=cv2.INTER_AREA)
    large = cv2.resize(small, (width, height), interpolation=cv2.INTER_NEAREST)
    smooth = cv2.GaussianBlur(
        large, (0, 0), max(0.35 * block, 0.5), borderType=cv2.BORDER_REPLICATE
    )
    return np.asarray(smooth, dtype=np.uint8)


def _draw_way(image: Pixels, trail: Floats, *, time: float, scale: float, unit: float) -> None:
    if not len(trail):
        return
    now = np.array([np.interp(time, trail[:, 0], trail[:, axis]) for axis in (1, 2)])
    flying = trail[0, 0] <= time <= trail[-1, 0]
    clear = BALL * unit / scale if flying else 0.0
    ahead = _up_to(now, trail[trail[:, 0] > time, 1:], clear)
    past = _up_to(now, trail[trail[:, 0] <= time, 1:][::-1], clear)
    if len(ahead) > 1:
        faint = image.copy()
        _line(faint, ahead, scale, unit)
        cv2.addWeighted(faint, FAINT, image, 1.0 - FAINT, 0.0, dst=image)
    if len(past) > 1:
        _line(image, past, scale, unit)
    if flying:
        _ring(image, now, scale, unit)


def _up_to(now: Floats, points: Floats, clear: float) -> Floats:
    """Return a way from where the ball is, cut at the ring that is drawn round it."""
    if clear == 0.0 or not len(points):
        return points
    away = np.linalg.norm(points - now, axis=1)
    kept = points[np.maximum.accumulate(away) > clear]
    if not len(kept):
        return kept
    toward = (kept[0] - now) / max(float(np.linalg.norm(kept[0] - now)), 1e-9)
    return np.vstack([now + clear * toward, kept])


def _draw_body(image: Pixels, poses: Poses, *, time: float, scale: float, unit: float) -> None:
    if not len(poses.time):
        return
    row = int(np.argmin(np.abs(poses.time - time)))
    gap = float(np.median(np.diff(poses.time))) if len(poses.time) > 1 else 0.05
    if abs(poses.time[row] - time) > 0.75 * gap:
        return
    points = poses.points[row]
    lines = [points[[a, b]] for a, b in BODY if np.isfinite(points[[a, b]]).all()]
    # all edges first, so that no edge crosses a line
    for width, colour in ((EDGE, DARK), (LINE, WHITE)):
        for line in lines:
            _stroke(image, line * scale, width * unit, colour)


def _line(image: Pixels, points: Floats, scale: float, unit: float) -> None:
    _stroke(image, points * scale, EDGE * unit, DARK)
    _stroke(image, points * scale, LINE * unit, WHITE)


def _stroke(image: Pixels, points: Floats, width: float, colour: Colour) -> None:
    finer = _finer(points)
    thick = max(round(width), 1)
    cv2.polylines(image, [finer.reshape(-1, 1, 2)], False, colour, thick, cv2.LINE_AA, _BITS)


def _ring(image: Pixels, middle: Floats, scale: float, unit: float) -> None:
    x, y = (int(v) for v in _finer(middle[None] * scale)[0])
    for width, colour in ((EDGE, DARK), (LINE, WHITE)):
        radius = round(BALL * unit * (1 << _BITS))
        cv2.circle(image, (x, y), radius, colour, max(round(width * unit), 1), cv2.LINE_AA, _BITS)


#: binary places of picture points handed to OpenCV
_BITS = 4


def _finer(points: Floats) -> NDArray[np.int32]:
    """Return picture points in sixteenths of a pixel; far outside they are drawn at the rim."""
    near = np.clip(points, -20_000.0, 40_000.0)
    return np.asarray(np.rint(near * (1 << _BITS)), dtype=np.int32)


def _event_name(events: tuple[Event, ...], time: float) -> str:
    """Return the name of the latest event that is still shown."""
    fresh = [event for event in events if -1e-6 <= time - event.time <= SHOWN]
    if not fresh:
        return ""
    return fresh[-1].moment.value + (", set by hand" if fresh[-1].by_hand else "")
