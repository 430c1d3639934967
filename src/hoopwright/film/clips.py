"""Clips to show: one shot with its lines and numbers, or two side by side aligned at release.

Nothing but pictures goes in: no sound, since it has children's voices, and none of what a phone
writes about place and owner. A clip gets its name only when it is whole.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hoopwright.errors import BadFilm, BadInput
from hoopwright.film._mp4 import Writer
from hoopwright.film.caption import PHONE, band_height
from hoopwright.film.overlay import Drawing, captioned, draw, drawing_of, hide
from hoopwright.film.results import ClipFacts, FilmedShot, Moment, Poses
from hoopwright.film.video import SAME_TIME, look, picture_times, read

Pixels = NDArray[np.uint8]

#: gives for the number of a picture the boxes of its faces, in pixels of the upright picture:
#: left, top, right, bottom, float64 [face, 4]
Faces = Callable[[int], ArrayLike]

#: longest side of a clip that is written [px]
LONGEST_SIDE = 1920
#: height of two clips side by side [px]
SIDE_HEIGHT = 720
#: most pictures a second that a screen shows, about [1/s]
SCREEN_RATE = 60.0
#: how many times slower or faster than life a clip may be shown
SLOWEST = 32.0

NOTHING_THERE = "The film has no picture at that moment; choose other times."


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """One shot of one film, and what to show of it."""

    source: Path
    shot: FilmedShot
    poses: Poses | None = None
    #: up to three, ready to read, each with its range
    numbers: tuple[str, ...] = ()
    #: whose faces to hide; None hides none
    faces: Faces | None = None
    #: how many times slower the file plays than it was filmed, where that is known better
    slowed: float | None = None
    #: real time of the first and last picture [s]; the shot's own start and end unless given
    first: float | None = None
    last: float | None = None

    @property
    def stretch(self) -> tuple[float, float]:
        """Real time of the first and last picture shown [s]."""
        first = self.shot.start if self.first is None else self.first
        return first, self.shot.end if self.last is None else self.last

    @property
    def drawing(self) -> Drawing:
        """What is drawn over its pictures."""
        return drawing_of(self.shot, self.poses, numbers=self.numbers)

    @property
    def lines_beside(self) -> int:
        """How many lines of words it has beside another: its numbers, and which it is."""
        return len(self.numbers) + 1


def release_of(shot: FilmedShot) -> float:
    """Return the real time of release [s]: the event where there is one, else the ball's.

    Parameters
    ----------
    shot
        A filmed shot.

    Raises
    ------
    BadInput
        Neither is known.
    """
    for event in shot.events:
        if event.moment is Moment.RELEASE:
            return event.time
    if shot.ball is None:
        raise BadInput("The release of this shot is not known; mark it by hand first.")
    return shot.ball.release_time.value


def write_clip(shown: Shown, out: Path, *, slower: float = 1.0) -> int:
    """Write one shot as an MP4 (H.264, no sound) and return how many pictures it has.

    Parameters
    ----------
    shown
        The shot and what to draw. Words go under the picture; together they are made smaller where
        they are over 1920 px.
    out
        Where to; what is there is replaced once the clip is whole.
    slower
        How many times slower than life it plays; each picture keeps its own time.

    Raises
    ------
    BadFilm
        The film can't be read, or has no picture between the times asked for.
    BadInput
        A slowing that can't be, more than three numbers, or a place that can't be written.
    """
    _check(slower)
    facts = look(shown.source, slowed=shown.slowed)
    size = _size(facts, _scale(facts, shown.drawing.lines))
    below = band_height(shown.drawing.lines, unit=size[0] / PHONE)
    count, start = 0, 0.0
    with Writer(out, size=(size[0], size[1] + below)) as writer:
        for time, image in drawn_pictures(shown, facts=facts, size=size):
            start = start if count else time
            writer.add(image, (time - start) * slower)
            count += 1
        if not count:
            raise BadFilm(NOTHING_THERE)
    return count


def side_by_side(before: Shown, after: Shown, out: Path, *, slower: float = 1.0) -> int:
    """Write two shots beside each other, aligned at release; return how many pictures there are.

    Parameters
    ----------
    before, after
        The shots, left and right, made equally high. The clip starts with the one that has the
        longer lead; the other waits in its first picture, and at the end in its last.
    out, slower
        As for ``write_clip``.

    Raises
    ------
    BadFilm
        A film can't be read, or has no picture between the times asked for.
    BadInput
        As for ``write_clip``; or a release is not known.
    """
    _check(slower)
    pair = (before, after)
    facts = [look(shown.source, slowed=shown.slowed) for shown in pair]
    sizes = _sizes_beside(facts)
    width = sum(size[0] for size in sizes)
    unit = width / PHONE
    lines = max(shown.lines_beside for shown in pair)
    sides = [
        _Side(shown, label, facts=fact, size=size, unit=unit, lines=lines)
        for shown, label, fact, size in zip(pair, ("before", "after"), facts, sizes, strict=True)
    ]
    rate = min(max(fact.rate for fact in facts), SCREEN_RATE * max(slower, 1.0))
    first = math.floor(min(side.first for side in sides) * rate + 0.5)
    last = math.floor(max(side.last for side in sides) * rate + 0.5)
    high = sizes[0][1] + band_height(lines, unit=unit)
    with Writer(out, size=(width, high)) as writer:
        for tick in range(first, last + 1):
            images = [side.at((tick + 0.5) / rate) for side in sides]
            writer.add(np.hstack(images), (tick - first) / rate * slower)
    return last - first + 1


def drawn_pictures(
    shown: Shown,
    *,
    facts: ClipFacts,
    size: tuple[int, int],
    unit: float | None = None,
    label: str = "",
    lines: int | None = None,
) -> Iterator[tuple[float, Pixels]]:
    """Yield the pictures of a shot with faces hidden and everything drawn, and their real times.

    Each has its words in a band below it.

    Parameters
    ----------
    shown
        The shot and what to draw.
    facts
        Of the film.
    size
        Width and height of the pictures without the band [px].
    unit, lines
        As for ``overlay.captioned``.
    label
        A line above the numbers.
    """
    first, last = shown.stretch
    scale, drawing = size[0] / facts.width, replace(shown.drawing, label=label)
    source = read(shown.source, slowed=shown.slowed, first=first, last=last, size=size)
    with source as pictures:
        for picture in pictures:
            image = picture.image
            if shown.faces is not None:
                boxes = np.asarray(shown.faces(picture.frame), dtype=np.float64)
                image = hide(image, boxes * scale)
            drawn = draw(image, drawing, time=picture.time, scale=scale, unit=unit)
            words = captioned(drawn, drawing, time=picture.time, lines=lines, unit=unit)
            yield picture.time, words


class _Side:
    """One of two clips; times are from its release picture on [s]."""

    def __init__(
        self,
        shown: Shown,
        label: str,
        *,
        facts: ClipFacts,
        size: tuple[int, int],
        unit: float,
        lines: int,
    ) -> None:
        times = picture_times(shown.source, slowed=shown.slowed)
        first, last = shown.stretch
        shows = times[(times >= first - SAME_TIME) & (times <= last + SAME_TIME)]
        if not len(shows):
            raise BadFilm(NOTHING_THERE)
        self._zero = float(times[np.argmin(np.abs(times - release_of(shown.shot)))])
        self.first, self.last = float(shows[0]) - self._zero, float(shows[-1]) - self._zero
        self._pictures = drawn_pictures(
            shown, facts=facts, size=size, unit=unit, label=label, lines=lines
        )
        self._next = next(self._pictures, None)
        if self._next is None:
            raise BadFilm(NOTHING_THERE)
        self._image = self._next[1]

    def at(self, time: float) -> Pixels:
        """Return the latest picture before a time [s]; times must not go back."""
        while self._next is not None and self._next[0] - self._zero < time:
            self._image = self._next[1]
            self._next = next(self._pictures, None)
        return self._image


def _check(slower: float) -> None:
    if not 1.0 / SLOWEST <= slower <= SLOWEST:
        raise BadInput("A clip can be shown up to 32 times slower or faster, not more.")


def _scale(facts: ClipFacts, lines: int) -> float:
    """Return the scale at which a picture with so many lines under it is a clip that plays."""
    high = facts.height + band_height(lines, unit=facts.width / PHONE)
    return min(LONGEST_SIDE / max(facts.width, high), 1.0)


def _size(facts: ClipFacts, scale: float) -> tuple[int, int]:
    """Return an even width and height, which the colours of H.264 need [px]."""
    width, height = (max(2 * round(0.5 * side * scale), 2) for side in (facts.width, facts.height))
    return width, height


def _sizes_beside(facts: list[ClipFacts]) -> list[tuple[int, int]]:
    high = float(min(SIDE_HEIGHT, max(fact.height for fact in facts)))
    wide = sum(fact.width * high / fact.height for fact in facts)
    even = 2 * round(0.5 * high * min(LONGEST_SIDE / wide, 1.0))
    return [(_size(fact, even / fact.height)[0], even) for fact in facts]
