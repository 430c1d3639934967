"""What is set or moved by hand on a film: kept, whatever is measured later."""

import math
from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime
from uuid import UUID, uuid5

from sqlalchemy.orm import Session

from hoopwright.actions.checks import checked_text, checked_who
from hoopwright.actions.editing import note_added, note_changed, note_removed
from hoopwright.actions.films.kept import clip_of
from hoopwright.errors import BadInput, NotFound
from hoopwright.film.results import ClipFacts, Moment
from hoopwright.records import FilmMark, MarkKind
from hoopwright.store import films as stored

#: how far outside the picture a mark may lie, as a share of its size
MARGIN = 0.25
#: what can be said of a shot as a whole
NAMES: Mapping[MarkKind, tuple[str, ...]] = {
    MarkKind.EVENT: tuple(moment.value for moment in Moment),
    MarkKind.RESULT: ("made", "missed"),
}


def mark_by_hand(session: Session, mark: FilmMark, *, who: str) -> FilmMark:
    """Set a mark; one of the same thing on the same picture, or of the same event, is moved.

    Parameters
    ----------
    mark
        Its id, who and when are filled in.

    Returns
    -------
    FilmMark
        As stored.

    Raises
    ------
    BadInput
        It lies outside the film, or marks what there is not.
    NotFound
        There is no such film.
    """
    film = stored.get_film(session, mark.film_id)
    mark = _checked(mark, clip_of(session, mark.film_id))
    mark = replace(mark, id=_id_of(mark), who=checked_who(who), at=datetime.now(UTC))
    try:
        before = stored.get_mark(session, mark.id)
    except NotFound:
        note_added(session, [mark], who=who, player_id=film.player_id)
    else:
        if replace(before, who=mark.who, at=mark.at) == mark:
            return before
        note_changed(session, before, who=who, player_id=film.player_id)
    stored.put_mark(session, mark)
    return mark


def unmark(session: Session, mark_id: UUID, *, who: str) -> FilmMark:
    """Take a mark away, so that what was measured counts again.

    Raises
    ------
    NotFound
        There is no such mark.
    """
    before = stored.get_mark(session, mark_id)
    film = stored.get_film(session, before.film_id)
    stored.delete_mark(session, mark_id)
    note_removed(session, before, who=who, player_id=film.player_id)
    return before


def marks_of(session: Session, film_id: UUID) -> list[FilmMark]:
    """Return a film's marks in order of time.

    Raises
    ------
    NotFound
        There is no such film.
    """
    stored.get_film(session, film_id)
    return stored.list_marks(session, film_id)


def _id_of(mark: FilmMark) -> UUID:
    """Return the id that follows from what is marked: once a shot, or once a picture."""
    where = str(mark.shot_id) if mark.kind in NAMES else str(mark.frame)
    # a shot has one result, whichever it is
    what = "" if mark.kind is MarkKind.RESULT else mark.name
    return uuid5(mark.film_id, f"{mark.kind.value} {what} {where}")


def _checked(mark: FilmMark, clip: ClipFacts) -> FilmMark:
    numbers = [v for v in (mark.time, mark.x, mark.y, mark.value) if v is not None]
    if not all(math.isfinite(v) for v in numbers):
        raise BadInput("A mark needs plain numbers; set it again.")
    if not 0 <= mark.frame < clip.frames:
        raise BadInput(f"The film has pictures 0 to {clip.frames - 1}; there is no {mark.frame}.")
    if mark.kind in NAMES:
        return _checked_name(mark)
    if mark.x is None or mark.y is None:
        raise BadInput("A mark on the picture needs a place; set it again.")
    if not (_inside(mark.x, clip.width) and _inside(mark.y, clip.height)):
        raise BadInput("The mark lies outside the picture; set it again.")
    if mark.kind is MarkKind.BALL:
        return replace(mark, name="")
    return replace(mark, name=checked_text(mark.name, what="The body point", field="name"))


def _checked_name(mark: FilmMark) -> FilmMark:
    known = NAMES[mark.kind]
    if mark.name not in known:
        raise BadInput(
            f"There is no {mark.kind.value} called {mark.name!r}; choose: {', '.join(known)}.",
            field="name",
        )
    if mark.shot_id is None:
        raise BadInput(f"This {mark.kind.value} belongs to a shot; choose the shot first.")
    return replace(mark, x=None, y=None, value=None)


def _inside(value: float, size: int) -> bool:
    return -MARGIN * size <= value <= (1.0 + MARGIN) * size
