"""The workout that something shot on a day belongs to."""

from datetime import date
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.actions.shots import start_workout
from hoopwright.records import Workout
from hoopwright.store import workouts


def visit_on(session: Session, player_id: UUID, day: date, *, new_id: UUID, who: str) -> UUID:
    """Return the id of a player's workout of a day; one is started where there is none.

    Parameters
    ----------
    new_id
        Id of the workout that is started.

    Raises
    ------
    BadInput
        The day can't be right.
    Conflict
        ``new_id`` stands for another workout.
    NotFound
        There is no such player.
    """
    known = workouts.workout_on(session, player_id, day)
    if known is not None:
        return known
    return start_workout(session, Workout(id=new_id, player_id=player_id, day=day), who=who).id
