"""One shot of a film as it is looked at: its numbers, its body points, what was set by hand."""

from dataclasses import dataclass
from typing import TYPE_CHECKING
from uuid import UUID

import numpy as np
from sqlalchemy.orm import Session

from hoopwright.actions.films.hand import marks_of
from hoopwright.actions.films.kept import film
from hoopwright.actions.films.reading import read_of, seen_of
from hoopwright.errors import NotFound
from hoopwright.film.results import Candidates, ClipFacts, FilmedShot, Floats, Poses
from hoopwright.records import Film, FilmMark
from hoopwright.store.media import Media

if TYPE_CHECKING:
    from hoopwright.film.told import Material


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotSeen:
    """A filmed shot and what belongs to it."""

    film: Film
    clip: ClipFacts
    shot: FilmedShot
    #: how many shots the film has
    of: int
    #: the shooter's body points, marked ones in their places; None where there are none
    poses: Poses | None
    #: what was set by hand on it
    marks: tuple[FilmMark, ...]
    #: times and numbers of pictures that are known, in order, float64 [picture] each
    pictures: tuple[Floats, Floats]

    def frame_at(self, time: float) -> int:
        """Return the number of the picture at a time [s]; right for a varying rate too."""
        return round(float(np.interp(time, *self.pictures)))


def shot_seen(session: Session, media: Media, film_id: UUID, shot_id: UUID) -> ShotSeen:
    """Return one shot of a measured film.

    Raises
    ------
    BadFilm
        What was read is of another version.
    NotFound
        There is no such film, it is not measured, or has no such shot.
    """
    read = read_of(session, film_id)
    if read is None:
        raise NotFound("This film is not measured yet; measure it first.")
    shot = next((one for one in read.shots if one.id == shot_id), None)
    if shot is None:
        raise NotFound("That shot is not in this film any more; look at the film's list of shots.")
    marks = tuple(mark for mark in marks_of(session, film_id) if belongs(mark, shot))
    material = seen_of(session, media, film_id)
    return ShotSeen(
        film=film(session, film_id), clip=read.clip, shot=shot, of=len(read.shots), marks=marks,
        poses=_poses(material, shot, marks=marks, lines=read.clip.height),
        pictures=_pictures(material, read.clip),
    )  # fmt: skip


def belongs(mark: FilmMark, shot: FilmedShot) -> bool:
    """Tell whether a mark was set on a shot, by its id or by its time."""
    return mark.shot_id == shot.id or shot.start <= mark.time <= shot.end


def _poses(
    material: "Material | None", shot: FilmedShot, *, marks: tuple[FilmMark, ...], lines: int
) -> Poses | None:
    if material is None or shot.poses is None or shot.poses >= len(material.poses):
        return None
    from hoopwright.film.by_hand import with_points

    return with_points(material.poses[shot.poses], marks, lines=lines)


def _pictures(material: "Material | None", clip: ClipFacts) -> tuple[Floats, Floats]:
    """Return times and numbers of all pictures in which something was found, and of both ends."""
    parts: list[Candidates | Poses] = []
    if material is not None:
        parts = [material.candidates, material.hands, *material.poses]
    times = np.concatenate([[0.0, clip.duration], *(one.time for one in parts)])
    frames = np.concatenate([[0.0, clip.frames - 1.0], *(one.frame for one in parts)])
    frames, first = np.unique(frames, return_index=True)
    return times[first], frames
