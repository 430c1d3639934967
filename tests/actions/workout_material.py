"""A player, a workout and a set to chart in; invented."""

from datetime import date
from itertools import count
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.actions.people import add_player
from hoopwright.actions.shots import add_set, start_workout
from hoopwright.records import Miss, Player, Shot, ShotSet, Spot, Workout

PLAYER = Player(id=UUID(int=1), name="Invented A")
WORKOUT = Workout(id=UUID(int=2), player_id=PLAYER.id, day=date(2026, 11, 2))
LINE = Spot(name="free throw", x=0.0, y=4.225)
SET = ShotSet(id=UUID(int=3), workout_id=WORKOUT.id, position=0, spot=LINE)
_numbers = count(100)


def shot(*miss: Miss, made: bool | None = None) -> Shot:
    went_in = not miss if made is None else made
    return Shot(id=UUID(int=next(_numbers)), made=went_in, miss=miss)


def ready(session: Session, shot_set: ShotSet = SET) -> None:
    add_player(session, PLAYER, who="coach")
    start_workout(session, WORKOUT, who="coach")
    add_set(session, shot_set, who="coach")
