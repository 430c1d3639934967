"""Clips and stills to show: made in a process of their own, faces hidden where that is asked."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from hoopwright.actions.films.shown import ShotSeen
from hoopwright.errors import NotFound
from hoopwright.film.confined import run_confined
from hoopwright.film.results import FilmedShot, Moment, Poses

if TYPE_CHECKING:
    from hoopwright.film.clips import Faces, Shown

#: told how far it is, 0 to 1, and what is being done
Progress = Callable[[float, str], None]

#: longest that making one clip may take [s]
LONGEST = 900.0
#: share of the work at which faces are found
_DRAWING = 0.8
NO_STILL = "That moment is not known in this shot; set it by hand first."


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """One shot and how to show it; sent to the other process."""

    source: Path
    shot: FilmedShot
    poses: Poses | None
    numbers: tuple[str, ...]
    slowed: float | None
    #: pictures a second
    rate: float
    #: folder of the models that find faces; None hides none
    hide_with: Path | None


def clip_out(
    seen: ShotSeen,
    source: Path,
    out: Path,
    *,
    numbers: Sequence[str] = (),
    hide_with: Path | None,
    slower: float = 1.0,
    progress: Progress | None = None,
) -> None:
    """Write one shot as an MP4 with ball path, body lines and up to three numbers.

    Parameters
    ----------
    seen, source
        The shot, and its film's file.
    out
        Where to.
    numbers
        Ready to read, each with its range.
    hide_with
        Folder of the models that find the faces to hide; None hides none.
    slower
        How many times slower than life it plays.
    progress
        Told how far it is; what it raises ends the making.

    Raises
    ------
    BadFilm
        The film can't be read.
    BadInput
        More than three numbers, or a slowing that can't be.
    ModelsMissing
        Faces are to be hidden, but the models are not there.
    """
    asked = _asked(seen, source, numbers, hide_with)
    run_confined(
        _write_clip, asked, out, slower, wall_seconds=LONGEST, progress=progress or _silent
    )


def still_out(
    seen: ShotSeen,
    source: Path,
    moment: str,
    *,
    numbers: Sequence[str] = (),
    hide_with: Path | None,
    progress: Progress | None = None,
) -> bytes:
    """Return a JPEG of a shot at its dip, set point, release or landing.

    Parameters
    ----------
    seen, source, numbers, hide_with, progress
        As for ``clip_out``.
    moment
        Such as "set point".

    Raises
    ------
    BadFilm, BadInput, ModelsMissing
        As ``clip_out``.
    NotFound
        The moment is not known.
    """
    asked = _asked(seen, source, numbers, hide_with)
    found = run_confined(_stills, asked, wall_seconds=LONGEST, progress=progress or _silent)
    if moment not in found:
        raise NotFound(NO_STILL)
    return found[moment]


def side_by_side_out(
    before: tuple[ShotSeen, Path],
    after: tuple[ShotSeen, Path],
    out: Path,
    *,
    hide_with: Path | None,
    slower: float = 1.0,
    progress: Progress | None = None,
) -> None:
    """Write two shots beside each other, aligned at release.

    Parameters
    ----------
    before, after
        Each shot with its film's file.
    out, hide_with, slower, progress
        As for ``clip_out``.

    Raises
    ------
    BadFilm, BadInput, ModelsMissing
        As ``clip_out``.
    """
    pair = [_asked(seen, source, (), hide_with) for seen, source in (before, after)]
    run_confined(
        _write_pair, *pair, out, slower, wall_seconds=LONGEST, progress=progress or _silent
    )


def _asked(seen: ShotSeen, source: Path, numbers: Sequence[str], hide_with: Path | None) -> _Asked:
    return _Asked(
        source=source, shot=seen.shot, poses=seen.poses, numbers=tuple(numbers),
        slowed=seen.film.slowed, rate=seen.clip.rate, hide_with=hide_with,
    )  # fmt: skip


def _write_clip(asked: _Asked, out: Path, slower: float, *, progress: Progress) -> None:
    from hoopwright.film.clips import write_clip

    shown = _shown(asked, progress, (0.0, _DRAWING))
    progress(_DRAWING, "Drawing the pictures")
    write_clip(shown, out, slower=slower)


def _write_pair(
    before: _Asked, after: _Asked, out: Path, slower: float, *, progress: Progress
) -> None:
    from hoopwright.film.clips import side_by_side

    first = _shown(before, progress, (0.0, 0.5 * _DRAWING))
    second = _shown(after, progress, (0.5 * _DRAWING, _DRAWING))
    progress(_DRAWING, "Drawing the pictures")
    side_by_side(first, second, out, slower=slower)


def _stills(asked: _Asked, *, progress: Progress) -> dict[str, bytes]:
    from hoopwright.film.stills import write_stills

    shown = _shown(asked, progress, (0.0, _DRAWING))
    progress(_DRAWING, "Drawing the pictures")
    return write_stills(shown)


def _shown(asked: _Asked, progress: Progress, shares: tuple[float, float]) -> "Shown":
    """Return what to show; finding faces goes from one share of the work to another."""
    from hoopwright.film.clips import Shown

    faces = None if asked.hide_with is None else _faces(asked, asked.hide_with, progress, shares)
    return Shown(
        source=asked.source, shot=asked.shot, poses=asked.poses, numbers=asked.numbers,
        faces=faces, slowed=asked.slowed,
    )  # fmt: skip


def _faces(asked: _Asked, models: Path, progress: Progress, shares: tuple[float, float]) -> "Faces":
    from hoopwright.film.faces import FaceModel, find_faces
    from hoopwright.film.video import read

    poses = () if asked.poses is None else (asked.poses,)
    first, last = asked.shot.start, asked.shot.end
    most = max((last - first) * asked.rate, 1.0)

    def tell(done: int) -> None:
        share = shares[0] + (shares[1] - shares[0]) * min(done / most, 1.0)
        progress(share, "Looking for faces")

    with read(asked.source, slowed=asked.slowed, first=first, last=last) as pictures:
        found = find_faces(
            pictures, model=FaceModel(models), poses=poses, flight=_flight(asked.shot),
            progress=tell,
        )  # fmt: skip
    return found.at


def _silent(share: float, what: str) -> None:
    """Tell nobody."""


def _flight(shot: FilmedShot) -> list[tuple[float, float, float]]:
    """Return the ball's places from release on."""
    released = [event.time for event in shot.events if event.moment is Moment.RELEASE]
    return sorted(row for row in shot.trail if released and row[0] > released[0])
