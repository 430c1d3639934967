"""The way of measured shots into a player's workouts: a filmed and a tapped shot are one shot."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.store import films as stored


@dataclass(frozen=True, slots=True, kw_only=True)
class Entered:
    """What became of the shots of a film."""

    #: the sets that hold them, in order
    set_ids: tuple[UUID, ...]
    #: shots that were not charted before
    added: int
    #: charted shots that now have what was measured
    joined: int
    #: shots entered before, brought up to date
    updated: int
    #: shots entered before that this reading does not bear out any more
    withdrawn: int
    #: shots of the film that are not in a set: filmed shot's id and why, in a sentence
    left_out: tuple[tuple[UUID, str], ...]
    #: shots charted as made and filmed as missed, or the other way; the chart's word is kept
    contradicted: tuple[UUID, ...]


def enter_shots(
    session: Session,
    film_id: UUID,
    *,
    who: str,
    set_id: UUID | None = None,
    day: date | None = None,
    condition: str = "",
) -> Entered:
    """Enter a film's measured shots into the player's workouts; again after re-measuring.

    Into the set given, else the film's own set, else into new sets, one for each spot shot from in
    a row, in the film's workout or a new one. Entered again, shots are brought up to date, never
    doubled.

    Parameters
    ----------
    set_id
        A set of the same player.
    day
        Of a new workout; today where left out.
    condition
        Of new sets: what was different; "" is the player's habit.

    Raises
    ------
    BadInput
        The set is another player's, or it can't be told which filmed shot is which charted one.
    NotFound
        There is no such film or set, or the film is not measured yet.
    """
    raise NotImplementedError


def body_of(
    session: Session, shot_ids: Sequence[UUID]
) -> Mapping[UUID, Mapping[str, tuple[float, float]]]:
    """Return the body measures of those of some shots that were filmed.

    Returns
    -------
    Mapping
        Shot id → ``film.results.Body`` value → (value, one standard deviation), SI.
    """
    return stored.measures_of(session, shot_ids)
