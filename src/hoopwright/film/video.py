"""Read a film file: what it says of itself, and its pictures with their true times.

The only reader of film files. Times come from the time stamps in the file, never from counting
pictures, since phones film at a varying rate. A file is opened by us and handed over as an open
stream, so that its name can't be taken for an address and a playlist inside it leads nowhere.
Only a few containers and decoders are let near a file, and sizes are looked at before decoding.
"""

import math
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from itertools import islice, pairwise
from pathlib import Path
from typing import Self

import av
import cv2
import numpy as np
from numpy.typing import NDArray

from hoopwright.errors import BadFilm, BadInput
from hoopwright.film._opened import Opened
from hoopwright.film.results import ClipFacts

Pixels = NDArray[np.uint8]

#: pictures of the beginning and of the middle that ``look`` decodes
SAMPLE = 90
#: change of the busiest 16 × 16 pixels that is motion, not noise, of 255
MOVES = 4.0
#: pictures after a broken one are patched from it up to the next key picture, which phones store
#: about once a second; after this long they are taken again in any case [s]
PATCHED = 1.0
#: two times closer than this are the same [s]
SAME_TIME = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """One picture of a clip, upright."""

    #: rank of its time among all pictures of the file, from 0; one that is skipped leaves a gap
    frame: int
    #: real time since the clip's first picture [s]
    time: float
    #: blue, green, red, uint8 [row, column, 3]; or gray, uint8 [row, column]
    image: Pixels


class Pictures(Iterator[Picture]):
    """The pictures of a clip, decoded one at a time; what had to be left out is counted."""

    def __init__(self, clip: Opened, *, size: tuple[int, int] | None, gray: bool) -> None:
        self._clip = clip
        self._size = size or (clip.width, clip.height)
        self._gray = gray
        self._running: Iterator[Picture] = iter(())
        #: how many broken pictures were left out up to now
        self.skipped = 0
        #: how many pictures the whole file has
        self.total = len(clip.stamps)
        #: real time of its last picture [s]
        self.duration = float(clip.times[-1])

    @property
    def notes(self) -> tuple[str, ...]:
        """Sentences about what was left out up to now."""
        if not self.skipped:
            return ()
        return (f"{self.skipped} broken pictures were left out; shots at those moments may be "
                "missing.",)  # fmt: skip

    def __next__(self) -> Picture:
        try:
            return next(self._running)
        except BaseException:
            self.close()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *failure: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file; done by itself at the end of the stretch."""
        self._clip.close()

    def between(self, first: float, last: float) -> Self:
        """Set the stretch of real time to read, both ends included [s]."""
        self._running = self.stretch(first, last)
        return self

    def stretch(self, first: float, last: float) -> Iterator[Picture]:
        """Yield the pictures of a stretch of real time [s] and keep the file open after it."""
        first, last = first - SAME_TIME, last + SAME_TIME
        for stamp, frame in self._whole(first):
            time = self._clip.time_of(stamp)
            if time > last:
                return
            if time >= first:
                rank = int(np.searchsorted(self._clip.stamps, stamp))
                yield Picture(frame=rank, time=time, image=self._upright(frame))

    def _whole(self, first: float) -> Iterator[tuple[int, av.VideoFrame]]:
        """Yield frames in order of time; broken ones, and what is built on them, are left out."""
        whole_from, newest = -math.inf, -1.0
        for frame in self._clip.decoded(first):
            if frame is None or frame.pts is None:
                whole_from = newest + PATCHED
                self.skipped += 1
                continue
            time = self._clip.time_of(frame.pts)
            if frame.is_corrupt:
                whole_from = newest + PATCHED
            if frame.is_corrupt or (time < whole_from and not frame.key_frame):
                # on the way to the stretch that is wanted, nothing is missed
                self.skipped += time >= first
            elif time > newest:
                whole_from, newest = -math.inf, time
                yield frame.pts, frame

    def _upright(self, frame: av.VideoFrame) -> Pixels:
        clip = self._clip
        width, height = self._size[::-1] if clip.turns % 2 else self._size
        # one thread: sharing out one picture costs more than it saves
        plain = frame.reformat(
            width=width, height=height, format="gray" if self._gray else "bgr24", threads=1
        )
        image: Pixels = plain.to_ndarray().astype(np.uint8, copy=False)
        if clip.mirrored:
            image = np.asarray(cv2.flip(image, 1), dtype=np.uint8)
        if clip.turns:
            image = np.asarray(cv2.rotate(image, clip.turns - 1), dtype=np.uint8)
        return image


def look(path: str | Path, *, slowed: float | None = None) -> ClipFacts:
    """Return what a clip says of itself, from its headers, time stamps and a few pictures.

    Parameters
    ----------
    path
        A film file on this machine.
    slowed
        How many times slower it plays than it was filmed, where that is known better.

    Raises
    ------
    BadFilm
        It can't be read; the message says why and what to do.
    """
    with closing(Opened(path, slowed=slowed)) as clip:
        return ClipFacts(
            width=clip.width,
            height=clip.height,
            frames=len(clip.stamps),
            duration=clip.time_of(int(clip.stamps[-1])),
            rate=clip.rate,
            slowed=clip.slowed,
            rate_known=clip.rate_known,
            codec=clip.codec,
            turns=clip.turns,
            notes=(*clip.notes, *_sampled_notes(clip)),
        )


def read(
    path: str | Path,
    *,
    slowed: float | None = None,
    first: float = 0.0,
    last: float | None = None,
    size: tuple[int, int] | None = None,
    gray: bool = False,
) -> Pictures:
    """Return the pictures of a clip, upright and in order of time, decoded one at a time.

    Parameters
    ----------
    path, slowed
        As for ``look``.
    first, last
        Real time of the first and last picture wanted [s].
    size
        Width and height of the pictures given [px]; None gives them as filmed.
    gray
        One channel in place of blue, green, red.

    Raises
    ------
    BadFilm
        It can't be read. Broken pictures on the way raise nothing: they are left out and counted.
    BadInput
        A time or size that can't be.
    """
    if not (np.isfinite(first) and (last is None or last >= first)):
        raise BadInput("The stretch to read must begin before it ends; give its times in seconds.")
    if size is not None and min(size) < 2:
        raise BadInput("Pictures need 2 pixels or more each way.")
    pictures = Pictures(Opened(path, slowed=slowed), size=size, gray=gray)
    return pictures.between(first, math.inf if last is None else last)


def still(path: str | Path, time: float, *, slowed: float | None = None) -> Pixels:
    """Return the picture nearest to a real time [s], uint8 [row, column, 3].

    Parameters
    ----------
    path, slowed
        As for ``look``.
    time
        Real time since the first picture [s]; beyond the ends the end's picture is given.

    Raises
    ------
    BadFilm
        It can't be read, or is broken from there on.
    """
    clip = Opened(path, slowed=slowed)
    nearest = float(clip.times[np.argmin(np.abs(clip.times - time))])
    found = None
    with Pictures(clip, size=None, gray=False) as pictures:
        for picture in pictures.between(nearest - 0.2, math.inf):
            found = picture.image
            if picture.time > nearest - SAME_TIME:
                break
    if found is None:
        raise BadFilm("The clip is broken at that moment; choose another one.")
    return found


def picture_times(path: str | Path, *, slowed: float | None = None) -> NDArray[np.float64]:
    """Return the real times of all pictures of a clip since the first [s], float64 [picture].

    Parameters
    ----------
    path, slowed
        As for ``look``.

    Raises
    ------
    BadFilm
        It can't be read.
    """
    with closing(Opened(path, slowed=slowed)) as clip:
        return clip.times


def may_be_slowed(facts: ClipFacts) -> str | None:
    """Return a sentence that asks for the true rate where the file can't say it, else None.

    Parameters
    ----------
    facts
        What ``look`` returned.

    Notes
    -----
    Slow motion that is saved for playing at 24, 25 or 30 pictures a second looks like an ordinary
    clip; nothing in the file tells them apart unless the camera wrote down its rate.
    """
    if facts.rate_known or facts.rate > 31.0:
        return None
    return (
        f"This clip plays at {facts.rate:.0f} pictures a second; if it was filmed in slow motion, "
        "give the rate it was filmed at, such as 120 or 240, else every speed comes out wrong."
    )


def _sampled_notes(clip: Opened) -> list[str]:
    """Look at some pictures of the beginning and the middle for what headers can't tell."""
    pictures = Pictures(clip, size=None, gray=True)
    halfway = float(clip.times[len(clip.times) // 2])
    seen = repeats = 0
    for start, end in ((0.0, halfway), (halfway, math.inf)):
        changes = _changes(islice(pictures.stretch(start, end), SAMPLE))
        seen += len(changes)
        repeats += _repeats(changes)
    if not seen:
        raise BadFilm("Fewer than two pictures of this film can be decoded; export it again.")
    notes = []
    if pictures.skipped:
        notes.append("Some pictures are broken and are left out; shots then may be missing.")
    if repeats > max(2, 0.02 * seen):
        notes.append(
            f"About {100 * repeats / seen:.0f} in 100 pictures only repeat the one before, so "
            "their times are wrong; use the clip as the phone stored it, not a converted one."
        )
    return notes


def _changes(pictures: Iterator[Picture]) -> NDArray[np.float64]:
    """Return the change from each picture to the next where most moves, float64 [picture − 1]."""
    images = (p.image for p in pictures)
    return np.array([_most_change(a, b) for a, b in pairwise(images)])


def _most_change(one: Pixels, other: Pixels) -> float:
    """Return the mean change of the 16 × 16 pixels that change most: noise averages out there."""
    size = (max(one.shape[1] // 16, 1), max(one.shape[0] // 16, 1))
    return float(cv2.resize(cv2.absdiff(one, other), size, interpolation=cv2.INTER_AREA).max())


def _repeats(changes: NDArray[np.float64]) -> int:
    """Count pictures without change between two that changed: a still scene repeats nothing."""
    if len(changes) < 3:
        return 0
    around = np.minimum(changes[:-2], changes[2:])
    return int(np.sum((changes[1:-1] < 0.4 * around) & (around > MOVES)))
