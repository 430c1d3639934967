"""The invented academy at work: a trial, a plan, games, load and feel; all of it invented."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from uuid import UUID, uuid5

import numpy as np
from sqlalchemy.orm import Session

from hoopwright.actions.demo_roster import ACADEMY, MARK, Member
from hoopwright.actions.games import add_game
from hoopwright.actions.games.practised import practised
from hoopwright.actions.load import clear_flag, note_load, raise_flag
from hoopwright.actions.plans import TestBegin, begin_test, log_session, plan_practice
from hoopwright.actions.shots import (
    add_set,
    change_set,
    change_workout,
    get_workout,
    record_shots,
    start_workout,
)
from hoopwright.actions.trials import (
    TrialWish,
    begin_block,
    look_at_trial,
    plan_trial,
)
from hoopwright.actions.visits import visit_on
from hoopwright.court.frame import spot_named
from hoopwright.load.nouns import Clearer, Flag, FlagKind, LoadEntry
from hoopwright.plans.nouns import Cue, Focus, FocusFrom, FocusKind, PracticeTest, Wish
from hoopwright.records import MissDetail, Player, Purpose, Shot, ShotSet, Workout
from hoopwright.store.plans import ItemScore, SessionLog
from hoopwright.store.trials import set_trial
from hoopwright.transfer.nouns import Game, GameLine, ShotType
from hoopwright.trials.nouns import Arm, Kind, Layout, Measure, Question, Topic

#: who has what
TRIAL, PLAN, HURT = "Bram Ollister", "Dov Windlesea", "Cleo Farrowmere"
#: whose feel knows where the ball went, and whose does not
FEEL_KNOWS, FEEL_GUESSES = "Esme Thornquill", "Nico Astermoor"
#: of whom games were entered
PLAYED = (TRIAL, PLAN, HURT, FEEL_KNOWS, "Joss Everholt", "Kaya Silverlow", FEEL_GUESSES)
#: games of an invented autumn, one a week
OPPONENTS = tuple(
    f"{name} {MARK}"
    for name in ("Otterby", "Lower Marrick", "Penhallow", "Sandrigg", "Wexcombe", "Tarn Hill")
)
#: usual attempts of a game by kind, and the share of practice left in games; common practice
_GAME = ((ShotType.FREE_THROW, 4, 0.95), (ShotType.TWO, 6, 0.6), (ShotType.THREE, 5, 0.55))

#: days before the last one on which the plan begins; weeks of cold tests before it, and their shots
PLANNED, TESTED_WEEKS, TESTED = 8, 6, 10

#: gives shots of a player under a condition: how many, and under which
Shooting = Callable[[int, str], tuple[Shot, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class AtWork:
    """One player of the academy, and who looks after the player."""

    member: Member
    player: Player
    coach: str
    #: the last day
    end: date

    def id(self, *what: object) -> UUID:
        """Return an id that is the same for everybody."""
        return uuid5(self.player.id, " ".join(map(str, what)))

    def rng(self, what: str) -> np.random.Generator:
        """Return a source of luck that is the same for everybody."""
        return np.random.default_rng([*self.member.name.encode(), *what.encode()])


def practise(session: Session, at: AtWork, *, shooting: Shooting) -> int:
    """Add what one player of the academy did beside the charted workouts.

    Returns
    -------
    int
        How many shots were added.
    """
    name = at.member.name
    if name in PLAYED:
        _play(session, at)
    if name == HURT:
        _load(session, at)
    if name == PLAN:
        return _test_each_week(session, at, shooting) + _plan(session, at, shooting)
    return _try(session, at, shooting) if name == TRIAL else 0


def with_feel(one: ShotSet, member: Member, rng: np.random.Generator) -> ShotSet:
    """Return a set whose shots say how they felt, where the player is asked for it."""
    if member.name not in (FEEL_KNOWS, FEEL_GUESSES):
        return one
    knows = member.name == FEEL_KNOWS
    shots = tuple(replace(shot, feel=_feel(shot, knows, rng)) for shot in one.shots)
    return replace(one, shots=shots)


def _feel(shot: Shot, knows: bool, rng: np.random.Generator) -> float:
    place = shot.landing
    off = 0.1 if place is None else math.hypot(place.along, place.across)
    middle = 9.0 - 25.0 * off if knows else 6.0
    return float(np.clip(round(rng.normal(middle, 1.5)), 0.0, 10.0))


def _try(session: Session, at: AtWork, shooting: Shooting) -> int:
    """Plan a trial over three visits and shoot it."""
    question = Question(
        what="Does aiming deeper put more shots in?",
        change=at.member.condition,
        topic=Topic.AIM_POINT,
        measure=Measure.MAKE,
        spots=(spot_named("free throw", at.player.rules),),
    )
    wish = TrialWish(
        id=at.id("trial"), player_id=at.player.id, question=question,
        layout=Layout(kind=Kind.PAIRED, pairs=12, shots_per_block=10, days=3, every=3),
        start=at.end - timedelta(days=8), seed=at.end.year,
    )  # fmt: skip
    trial = plan_trial(session, wish, who=at.coach)
    plan = trial.plan
    # an academy of the past: the plan came before the shots
    before = datetime.combine(wish.start, time(8), UTC)
    set_trial(session, replace(trial, planned_at=before))
    for day in sorted({block.due or at.end for block in plan.blocks}):
        visit = Workout(id=at.id("trial visit", day), player_id=at.player.id, day=day, note=ACADEMY)
        start_workout(session, visit, who=at.coach)
    for block in plan.blocks:
        condition = "" if block.arm is Arm.HABIT else question.change
        set_id = at.id("block", block.number)
        begin_block(
            session, plan.id, number=block.number, set_id=set_id, on=block.due or at.end,
            who=at.coach,
        )  # fmt: skip
        record_shots(session, set_id, shooting(block.total, condition), who=at.coach)
    look_at_trial(session, plan.id, who=at.coach)
    return plan.shots


def _test_each_week(session: Session, at: AtWork, shooting: Shooting) -> int:
    """Take a cold test in each of the weeks before the plan, the usual way."""
    for week in range(TESTED_WEEKS):
        day = at.end - timedelta(days=PLANNED) - timedelta(weeks=TESTED_WEEKS - week)
        set_id, visit = at.id("cold test", day), _visit(session, at, day)
        one = ShotSet(
            id=set_id, workout_id=visit, position=0, spot=spot_named("free throw", at.player.rules),
            ball_size=at.player.ball_size, ring_height=at.player.ring_height,
            miss_detail=MissDetail.TWO, purpose=Purpose.COLD_TEST,
        )  # fmt: skip
        add_set(session, one, who=at.coach)
        record_shots(session, set_id, shooting(TESTED, ""), who=at.coach)
    return TESTED_WEEKS * TESTED


def _visit(session: Session, at: AtWork, day: date) -> UUID:
    """Return the workout of a day; one begun for it is marked as invented too."""
    visit_id = visit_on(session, at.player.id, day, new_id=at.id("test visit", day), who=at.coach)
    visit = get_workout(session, visit_id)
    change_workout(session, replace(visit, note=ACADEMY), who=at.coach)
    return visit_id


def _plan(session: Session, at: AtWork, shooting: Shooting) -> int:
    """Plan three weeks, of which the first is done, its cold tests first; return their shots."""
    focus = Focus(
        kind=FocusKind.ARC, name=at.member.condition, chosen_from=FocusFrom.COACH,
        reason="The flight is flat for this distance.", changes_form=True,
        condition=at.member.condition,
    )  # fmt: skip
    start = at.end - timedelta(days=PLANNED)
    wish = Wish(
        player_id=at.player.id, focus=focus, cue=Cue(text="reach over the ring"), start=start,
        weeks=3, weekdays=(start.weekday(), (start.weekday() + 3) % 7), shots=80,
        spots=(spot_named("free throw", at.player.rules),),
    )  # fmt: skip
    plan = plan_practice(session, wish, plan_id=at.id("plan"), who=at.coach).plan
    rng = at.rng("plan")
    for one in plan.sessions[:2]:
        _visit(session, at, one.day)
        begin = TestBegin(
            plan_id=plan.id, kind=PracticeTest.COLD, booked=one.day, on=one.day,
            set_id=at.id("cold test", one.day),
        )  # fmt: skip
        begun = begin_test(session, begin, who=at.coach)
        change_set(session, replace(begun, miss_detail=MissDetail.TWO), who=at.coach)
        record_shots(session, begun.id, shooting(TESTED, begun.condition), who=at.coach)
        scores = tuple(
            ItemScore(item=i, attempts=item.shots, made=int(rng.binomial(item.shots, 0.5)))
            for i, item in enumerate(one.items)
        )
        log = SessionLog(
            plan_id=plan.id, number=one.number, done=True, day=one.day, note=ACADEMY, scores=scores
        )
        log_session(session, log, who=at.coach)
    return 2 * TESTED


def _play(session: Session, at: AtWork) -> None:
    """Enter six games, one a week."""
    rng, shares = at.rng("games"), practised(session, at.player)
    for week, opponent in enumerate(OPPONENTS):
        day = at.end - timedelta(weeks=len(OPPONENTS) - 1 - week, days=2)
        # one game for all players of one coach that day
        game_id = uuid5(UUID(int=0), f"{at.coach} {day}")
        lines = []
        for kind, usual, left in _GAME:
            attempts = int(rng.poisson(usual))
            if attempts and kind.band in shares:
                made = int(rng.binomial(attempts, left * shares[kind.band].share.mean))
                lines.append(
                    GameLine(
                        id=at.id("line", day, kind), player_id=at.player.id, game_id=game_id,
                        day=day, opponent=opponent, shot_type=kind, attempts=attempts, made=made,
                    )
                )  # fmt: skip
        game = Game(id=game_id, day=day, opponent=opponent, lines=tuple(lines))
        add_game(session, game, who=at.coach)


def _load(session: Session, at: AtWork) -> None:
    """Write down two weeks of load, and pain that is gone again."""
    for back in range(14, 0, -2):
        day = at.end - timedelta(days=back)
        entry = LoadEntry(
            id=at.id("load", day), player_id=at.player.id, day=day, organised_minutes=75.0,
            self_led_minutes=20.0, coached_shots=60, self_led_shots=30, note=ACADEMY,
        )  # fmt: skip
        note_load(session, entry, who=at.coach)
    flag = Flag(
        id=at.id("flag"), player_id=at.player.id, kind=FlagKind.PAIN,
        day=at.end - timedelta(days=20), note=f"sore knee {MARK}", reported_by="the player",
    )  # fmt: skip
    raise_flag(session, flag, who=at.coach)
    clear_flag(
        session, flag.id, on=at.end - timedelta(days=16), by=Clearer.FAMILY,
        name=f"a parent {MARK}", who=at.coach,
    )  # fmt: skip
