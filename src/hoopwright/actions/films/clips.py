"""Clips and stills to show: made in a process of their own, faces hidden where that is asked."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from hoopwright.actions.films.shown import ShotSeen
from hoopwright.errors import NotFound
from hoopwright.film.confined import run_confined
from hoopwright.film.results import FilmedShot, Moment, Poses

if TYPE_CHECKING:
    from hoopwright.film.clips import Shown

#: longest that making one clip may take [s]
LONGEST = 900.0
NO_STILL = "That moment is not known in this shot; set it by hand first."


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """One shot and how to show it; sent to the other process."""

    source: Path
    shot: FilmedShot
    poses: Poses | None
    numbers: tuple[str, ...]
    slowed: float | None
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
    run_confined(_write_clip, asked, out, slower, wall_seconds=LONGEST)


def still_out(
    seen: ShotSeen,
    source: Path,
    moment: str,
    *,
    numbers: Sequence[str] = (),
    hide_with: Path | None,
) -> bytes:
    """Return a JPEG of a shot at its dip, set point, release or landing.

    Parameters
    ----------
    seen, source, numbers, hide_with
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
    found = run_confined(_stills, asked, wall_seconds=LONGEST)
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
) -> None:
    """Write two shots beside each other, aligned at release.

    Parameters
    ----------
    before, after
        Each shot with its film's file.
    out, hide_with, slower
        As for ``clip_out``.

    Raises
    ------
    BadFilm, BadInput, ModelsMissing
        As ``clip_out``.
    """
    pair = [_asked(seen, source, (), hide_with) for seen, source in (before, after)]
    run_confined(_write_pair, *pair, out, slower, wall_seconds=LONGEST)


def _asked(seen: ShotSeen, source: Path, numbers: Sequence[str], hide_with: Path | None) -> _Asked:
    return _Asked(
        source=source, shot=seen.shot, poses=seen.poses, numbers=tuple(numbers),
        slowed=seen.film.slowed, hide_with=hide_with,
    )  # fmt: skip


def _write_clip(asked: _Asked, out: Path, slower: float) -> None:
    from hoopwright.film.clips import write_clip

    write_clip(_shown(asked), out, slower=slower)


def _write_pair(before: _Asked, after: _Asked, out: Path, slower: float) -> None:
    from hoopwright.film.clips import side_by_side

    side_by_side(_shown(before), _shown(after), out, slower=slower)


def _stills(asked: _Asked) -> dict[str, bytes]:
    from hoopwright.film.stills import write_stills

    return write_stills(_shown(asked))


def _shown(asked: _Asked) -> "Shown":
    from hoopwright.film.clips import Shown
    from hoopwright.film.faces import FaceModel, find_faces
    from hoopwright.film.video import read

    faces = None
    if asked.hide_with is not None:
        model = FaceModel(asked.hide_with)
        poses = () if asked.poses is None else (asked.poses,)
        first, last = asked.shot.start, asked.shot.end
        with read(asked.source, slowed=asked.slowed, first=first, last=last) as pictures:
            found = find_faces(pictures, model=model, poses=poses, flight=_flight(asked.shot))
            faces = found.at
    return Shown(
        source=asked.source, shot=asked.shot, poses=asked.poses, numbers=asked.numbers,
        faces=faces, slowed=asked.slowed,
    )  # fmt: skip


def _flight(shot: FilmedShot) -> list[tuple[float, float, float]]:
    """Return the ball's places from release on."""
    released = [event.time for event in shot.events if event.moment is Moment.RELEASE]
    return sorted(row for row in shot.trail if released and row[0] > released[0])
