"""An invented player with charts, cold tests, a plan and load, and another one beside; kept."""

from datetime import date, timedelta
from pathlib import Path
from uuid import UUID, uuid5

from sqlalchemy.orm import Session

from hoopwright.actions.people import add_player
from hoopwright.actions.plans import plan_practice
from hoopwright.actions.shots import start_workout
from hoopwright.plans.nouns import Cue, Focus, FocusFrom, FocusKind, Wish
from hoopwright.records import Miss, MissDetail, Player, Purpose, Shot, ShotSet, Spot, Workout
from hoopwright.store.engine import open_database

COACH = "Invented Coach"
ASH = Player(id=UUID(int=1001), name="Invented Ash", birth_year=2013, coach=COACH, invented=True)
BO = Player(id=UUID(int=1002), name="Invented Bo", birth_year=2000, coach=COACH, invented=True)
LINE = Spot(name="free throw", x=0.0, y=4.225)
TURNED = Focus(
    kind=FocusKind.FORM, name="feet turned", chosen_from=FocusFrom.COACH,
    reason="The coach's choice.", changes_form=True, condition="feet turned",
)  # fmt: skip


def kept_in(path: Path, today: date) -> Path:
    """Make a database of both players at a path."""
    database = open_database(f"sqlite:///{path}")
    with database.session() as session:
        keep(session, today)
    database.close()
    return path


def keep(session: Session, today: date) -> None:
    """Keep both players; Ash has four visits, each with a cold test of ten, and a plan."""
    for player in (ASH, BO):
        add_player(session, player, who="coach")
    for week, made in enumerate((4, 5, 4, 6)):
        start_workout(session, _visit(today - timedelta(weeks=4 - week), made), who="coach")
    wish = Wish(
        player_id=ASH.id, focus=TURNED, cue=Cue(text="like Invented Bo, toes out"),
        start=today + timedelta(days=7 - today.weekday()), weeks=2, weekdays=(0, 3), shots=60,
        spots=(LINE,),
    )  # fmt: skip
    plan_practice(session, wish, plan_id=UUID(int=1003), who="coach")


def _visit(day: date, made: int) -> Workout:
    visit = uuid5(ASH.id, str(day))
    sets = (
        _set(visit, 0, made, 10, purpose=Purpose.COLD_TEST),
        _set(visit, 1, 9, 15, purpose=Purpose.PRACTICE),
    )
    return Workout(id=visit, player_id=ASH.id, day=day, sets=sets)


def _set(visit: UUID, place: int, made: int, shots: int, *, purpose: Purpose) -> ShotSet:
    one = uuid5(visit, str(place))
    return ShotSet(
        id=one, workout_id=visit, position=place, spot=LINE, purpose=purpose,
        miss_detail=MissDetail.ONE,
        shots=tuple(
            Shot(id=uuid5(one, str(i)), made=i < made, miss=() if i < made else (Miss.SHORT,))
            for i in range(shots)
        ),
    )  # fmt: skip
