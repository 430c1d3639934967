"""The drills a plan is made of: those that come with Hoopwright, and the coach's own."""

from sqlalchemy.orm import Session

from hoopwright.actions.editing import NOBODY, note_added, note_changed, note_removed
from hoopwright.errors import BadInput, NotFound
from hoopwright.plans.drills import library, with_drill
from hoopwright.plans.nouns import Drill
from hoopwright.store import plans as stored
from hoopwright.store.plans import StoredDrill


def drill_library(session: Session) -> tuple[Drill, ...]:
    """Return all drills; one that a coach changed stands in the place of the one it was."""
    drills = library()
    for own in stored.list_drills(session):
        drills = with_drill(drills, own.drill)
    return drills


def keep_drill(session: Session, drill: Drill, *, who: str) -> Drill:
    """Add a drill of the coach's own, or put one in the place of the drill of its key.

    Raises
    ------
    BadInput
        A field of the drill is missing or can't be right.
    """
    kept = next(one for one in with_drill(library(), drill) if one.key == drill.key)
    before = _own(session).get(drill.key)
    if before == StoredDrill(drill=kept):
        return kept
    stored.set_drill(session, kept)
    if before is None:
        note_added(session, [StoredDrill(drill=kept)], who=who, player_id=NOBODY)
    else:
        note_changed(session, before, who=who, player_id=NOBODY)
    return kept


def remove_drill(session: Session, key: str, *, who: str) -> Drill:
    """Remove a drill of the coach's own; one that was changed is again as it came.

    Raises
    ------
    BadInput
        A plan that goes on uses it.
    NotFound
        No coach added or changed such a drill.
    """
    before = _own(session).get(key)
    if before is None:
        raise NotFound("That drill is not one of your own; only those can be removed.")
    if all(one.key != key for one in library()) and _is_used(session, key):
        raise BadInput("A plan that goes on uses this drill; put another in its place first.")
    stored.delete_drill(session, key)
    note_removed(session, before, who=who, player_id=NOBODY)
    return before.drill


def _own(session: Session) -> dict[str, StoredDrill]:
    return {one.drill.key: one for one in stored.list_drills(session)}


def _is_used(session: Session, key: str) -> bool:
    return any(
        item.drill == key
        for kept in stored.running_plans(session)
        for one in kept.plan.sessions
        for item in one.items
    )
