"""Pictures of a film for the pages: some in a row, made in a process of their own."""

from dataclasses import dataclass
from pathlib import Path

from hoopwright.errors import BadFilm
from hoopwright.film.confined import run_confined

#: pictures taken from a file at once, as opening it takes longer than reading some more
BLOCK = 24
#: longest side of a picture for the pages; a place is told to half a pixel of it [px]
LONGEST_SIDE = 1920
#: JPEG quality, 0 to 100, at which an edge stays where it is
QUALITY = 88


@dataclass(frozen=True, slots=True, kw_only=True)
class Still:
    """One picture of a film."""

    #: number of the picture, from 0
    frame: int
    #: real time since the first [s]
    time: float
    #: JPEG
    content: bytes


def block_of(frame: int) -> int:
    """Return the first picture of the block that holds a picture."""
    return frame - frame % BLOCK


def stills_from(path: Path, first: int, *, slowed: float | None) -> tuple[Still, ...]:
    """Return a block of pictures of a film file; broken ones are left out.

    Parameters
    ----------
    path
        The film file.
    first
        Number of the block's first picture.
    slowed
        How many times slower it plays than it was filmed, where that was said.

    Raises
    ------
    BadFilm
        It can't be read, or has no picture there.
    """
    return run_confined(_stills, path, first, slowed, wall_seconds=120.0)


def nearest(stills: tuple[Still, ...], frame: int) -> Still:
    """Return the still of a picture, or of the nearest one that is not broken."""
    return min(stills, key=lambda still: abs(still.frame - frame))


def _stills(path: Path, first: int, slowed: float | None) -> tuple[Still, ...]:
    from hoopwright.film.video import picture_times, read

    times = picture_times(path, slowed=slowed)[first : first + BLOCK]
    if not len(times):
        raise BadFilm("The film has no picture there; choose an earlier one.")
    with read(path, slowed=slowed, first=float(times[0]), last=float(times[-1])) as pictures:
        found = tuple(
            Still(frame=one.frame, time=one.time, content=_jpeg(one.image)) for one in pictures
        )
    if not found:
        raise BadFilm("The film is broken there; choose another picture.")
    return found


def _jpeg(image: object) -> bytes:
    import cv2
    import numpy as np

    picture = np.asarray(image, dtype=np.uint8)
    scale = LONGEST_SIDE / max(picture.shape[:2])
    if scale < 1.0:
        picture = np.asarray(
            cv2.resize(picture, (0, 0), fx=scale, fy=scale, interpolation=cv2.INTER_AREA),
            dtype=np.uint8,
        )
    content = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, QUALITY])[1]
    return content.tobytes()
