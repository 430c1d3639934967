"""One question over a coach's players, and what their feel knows, as it is collected."""

from dataclasses import replace
from datetime import date
from uuid import UUID, uuid5

import pytest
from sqlalchemy.orm import Session

from hoopwright.actions.feel import feel_of, group_feel
from hoopwright.actions.people import add_player
from hoopwright.actions.shots import record_shots, start_workout
from hoopwright.actions.trials import (
    TrialWish,
    begin_block,
    group_questions,
    plan_trial,
    pooled,
    view_trial,
)
from hoopwright.errors import NotFound
from hoopwright.records import Landing, Player, Shot, ShotSet, Spot, Workout
from hoopwright.store.engine import Database
from hoopwright.trials.feel import Against, Told
from hoopwright.trials.nouns import Arm, Kind, Layout, Measure, Question, Topic

DAY = date(2026, 11, 2)
LINE = Spot(name="free throw", x=0.0, y=4.225)
COACH = "Invented Coach"
QUESTION = Question(
    what="Do turned feet help?", change="feet turned", topic=Topic.FEET_TURN, spots=(LINE,)
)
LAYOUT = Layout(
    kind=Kind.PAIRED, pairs=5, shots_per_block=4, washout=1, familiarisation=0, days=1
)  # fmt: skip


def player(number: int, *, coach: str = COACH) -> Player:
    return Player(id=UUID(int=number), name=f"Invented {number}", coach=coach)


def planned(session: Session, who: Player, question: Question = QUESTION) -> UUID:
    add_player(session, who, who="coach")
    wish = TrialWish(
        id=uuid5(who.id, str(question.measure)), player_id=who.id, question=question,
        layout=LAYOUT, start=DAY,
    )  # fmt: skip
    return plan_trial(session, wish, who="coach").id


def shot(session: Session, trial_id: UUID, *, habit: int, change: int, along: float = 0.0) -> None:
    """Shoot all blocks: the washout shot missed, then so many of four made."""
    for one in view_trial(session, trial_id).blocks:
        of_change = one.block.arm is Arm.CHANGE
        made = change if of_change else habit
        new = uuid5(trial_id, str(one.block.number))
        begin_block(session, trial_id, number=one.block.number, set_id=new, on=DAY, who="coach")
        shots = [
            Shot(
                id=uuid5(new, str(i)), made=0 < i <= made,
                landing=Landing(
                    along=-0.1 + 0.02 * (i % 3) + along * of_change, across=0.0,
                    along_sd=0.05, across_sd=0.05,
                ),
            )
            for i in range(one.block.total)
        ]  # fmt: skip
        record_shots(session, new, shots, who="coach")


def test_makes_are_pooled_over_the_players_of_one_coach(database: Database) -> None:
    with database.session() as session:
        for number, (habit, change) in enumerate([(1, 3), (2, 3), (1, 2)], start=1):
            shot(session, planned(session, player(number)), habit=habit, change=change)
        planned(session, player(4))
        elsewhere = player(5, coach="Another Invented Coach")
        shot(session, planned(session, elsewhere), habit=3, change=0)
        asked = group_questions(session, COACH)
        found = pooled(session, COACH, change=" Feet  TURNED", measure=Measure.MAKE)
    (question,) = asked
    assert (question.players, question.trials) == (4, 4)
    assert found.question == QUESTION
    assert [one.name for one in found.players] == ["Invented 1", "Invented 2", "Invented 3"]
    ((waiting, why),) = found.left_out
    assert waiting.name == "Invented 4"
    assert why.endswith(".")
    assert found.pooled is not None and found.crude is not None
    # 5 + 10 + 5 of 60 by habit, 15 + 15 + 10 of 60 with the change: washout shots do not count
    assert found.crude.crude == pytest.approx(100 * (40 - 20) / 60)
    assert found.pooled.average.value > 0
    assert found.pooled.chance_better > 0.9


def test_landing_is_pooled_in_metres(database: Database) -> None:
    """Two players whose landings move by 6 and 8 cm: the average lies near 7 cm."""
    question = replace(QUESTION, measure=Measure.ALONG)
    with database.session() as session:
        for number, along in ((1, 0.06), (2, 0.08)):
            made = planned(session, player(number), question)
            shot(session, made, habit=2, change=2, along=along)
        found = pooled(session, COACH, change="feet turned", measure=Measure.ALONG)
    assert found.pooled is not None
    assert found.pooled.average.value == pytest.approx(0.07, abs=0.02)
    assert [one.alone.value for one in found.pooled.players] == [
        pytest.approx(0.06, abs=0.005),
        pytest.approx(0.08, abs=0.005),
    ]


def test_a_question_nobody_asked(database: Database) -> None:
    with database.session() as session:
        planned(session, player(1))
        with pytest.raises(NotFound, match="plan one first"):
            pooled(session, COACH, change="feet turned", measure=Measure.ALONG)
        assert group_questions(session, "Nobody") == []


def felt(session: Session, who: Player, *, knows: bool) -> None:
    add_player(session, who, who="coach")
    visit = Workout(id=uuid5(who.id, "visit"), player_id=who.id, day=DAY)
    one = ShotSet(id=uuid5(who.id, "set"), workout_id=visit.id, position=0, spot=LINE)
    shots = []
    for i in range(60):
        off = (i * 7 % 20) / 50
        feel = 10 - 20 * off if knows else float(i * 11 % 10)
        place = Landing(along=off, across=0.0, along_sd=0.02, across_sd=0.02)
        shots.append(
            Shot(id=uuid5(one.id, str(i)), made=off < 0.1, landing=place, feel=max(feel, 0.0))
        )
    unsaid = replace(one, id=uuid5(who.id, "unsaid"), position=1, shots=())
    drill = replace(
        unsaid, id=uuid5(who.id, "drill"), position=2, stops_on_makes=True,
        shots=(Shot(id=uuid5(who.id, "drilled"), made=True, feel=1.0),),
    )  # fmt: skip
    sets = (replace(one, shots=tuple(shots)), unsaid, drill)
    start_workout(session, replace(visit, sets=sets), who="coach")


def test_feel_is_read_over_all_shots_with_a_feel(database: Database) -> None:
    with database.session() as session:
        add_player(session, player(3), who="coach")
        felt(session, player(1), knows=True)
        felt(session, player(2), knows=False)
        knowing = feel_of(session, UUID(int=1)).feel
        nothing = feel_of(session, UUID(int=3)).feel
        group = group_feel(session, COACH)
    assert knowing is not None
    assert (knowing.shots, knowing.against, knowing.told) == (60, Against.LANDING, Told.A_LOT)
    assert nothing is None
    assert [one.player.name for one in group.players] == ["Invented 1", "Invented 2"]
    assert group.together is not None
    assert group.together.players[0].player == UUID(int=1)
