"""A small trial, and what plans and shoots it."""

from datetime import date
from uuid import UUID, uuid5

from sqlalchemy.orm import Session

from hoopwright.actions.people import add_player
from hoopwright.actions.shots import (
    record_shots,
)
from hoopwright.actions.trials import (
    TrialWish,
    begin_block,
    plan_trial,
    view_trial,
)
from hoopwright.records import (
    Player,
    Shot,
    ShotSet,
    Spot,
)
from hoopwright.trials.nouns import (
    Arm,
    Kind,
    Layout,
    Question,
    Topic,
)

DAY = date(2026, 11, 2)
PLAYER = Player(id=UUID(int=1), name="Invented A", birth_year=2010, ball_size=6)
LINE = Spot(name="free throw", x=0.0, y=4.225)
QUESTION = Question(
    what="Do turned feet help?", change="feet turned", topic=Topic.FEET_TURN, spots=(LINE,)
)
LAYOUT = Layout(
    kind=Kind.PAIRED, pairs=6, shots_per_block=5, washout=1, familiarisation=0, days=2, every=3
)
WISH = TrialWish(
    id=UUID(int=100), player_id=PLAYER.id, question=QUESTION, layout=LAYOUT, start=DAY, seed=7
)  # fmt: skip


def set_id(number: int) -> UUID:
    return uuid5(WISH.id, str(number))


def ready(session: Session, wish: TrialWish = WISH) -> None:
    add_player(session, PLAYER, who="coach")
    plan_trial(session, wish, who="coach")


def taken(number: int, made: int, of: int) -> list[Shot]:
    """Return shots of a block, the made ones last: washout shots are the first."""
    return [
        Shot(id=uuid5(set_id(number), str(i)), made=i >= of - made) for i in range(of)
    ]  # fmt: skip


def shoot(session: Session, number: int, made: int, of: int = 6, *, on: date = DAY) -> ShotSet:
    one = begin_block(session, WISH.id, number=number, set_id=set_id(number), on=on, who="coach")
    record_shots(session, one.id, taken(number, made, of), who="coach")
    return one


def shoot_all(session: Session, *, habit: int, change: int) -> None:
    """Shoot every block with as many makes as its way has."""
    for one in view_trial(session, WISH.id).blocks:
        made = habit if one.block.arm is Arm.HABIT else change
        shoot(session, one.block.number, made, on=one.block.due or DAY)
