"""Invented players in many states, for the tests of reports for people; nobody here exists."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from uuid import UUID

from tests.plans.plan_samples import DEEPER, PLAYER, plan_of, turned
from tests.plans.test_focus import tried
from tests.reports.samples import FILMED, SHORT, YOUNG

from hoopwright.chart.findings import Lean
from hoopwright.load.cautions import cautions
from hoopwright.load.nouns import Flag, FlagKind, LoadEntry
from hoopwright.plans.nouns import PracticeTest
from hoopwright.records import Player, Shot, ShotSet, Spot
from hoopwright.reports.people.material import (
    ComingTest,
    InGames,
    LoadSoFar,
    Material,
    PlanSoFar,
    TriedChange,
)
from hoopwright.transfer.nouns import AnnouncedChange, ColdTest, GameLine, ShotType, TestKind
from hoopwright.transfer.progress import PlaceLine, read_progress
from hoopwright.transfer.ratio import Played, read_ratios
from hoopwright.transfer.shares import PracticeShare
from hoopwright.transfer.transferred import read_transfer
from hoopwright.trials.design import layout_for, plan_trial
from hoopwright.trials.nouns import Said, Topic

DAY = date(2026, 12, 2)
LINE = Spot(name="free throw", x=0.0, y=4.225)
CHILD_AGE, GROWN_AGE = 12, 24


def player(name: str = "Invented Ash", *, born: int | None = 2013) -> Player:
    return Player(id=PLAYER, name=name, birth_year=born, invented=True)


def sets(count: int) -> tuple[ShotSet, ...]:
    shots = tuple(Shot(id=UUID(int=i), made=i % 2 == 0) for i in range(count))
    return (ShotSet(id=UUID(int=1), workout_id=UUID(int=2), position=0, spot=LINE, shots=shots),)


def load(
    age: int | None = CHILD_AGE, *, flags: Sequence[Flag] = (), minutes: float = 60.0
) -> LoadSoFar:
    entries = tuple(
        LoadEntry(
            id=UUID(int=40 + i), player_id=PLAYER, day=DAY - timedelta(days=2 * i),
            organised_minutes=minutes, coached_shots=60, games=i % 2,
        )
        for i in range(3)
    )  # fmt: skip
    return LoadSoFar(
        age=age, entries=entries, flags=tuple(flags),
        cautions=cautions(age, entries, flags=flags, today=DAY),
    )  # fmt: skip


def flag(kind: FlagKind) -> Flag:
    return Flag(id=UUID(int=60), player_id=PLAYER, kind=kind, day=DAY, note="secret note")


def trial(said: Said, *, going: bool = False, needed: int | None = None) -> TriedChange:
    one = tried("feet turned", said)
    plan = plan_trial(
        replace(one.question, topic=Topic.FEET_TURN),
        layout_for(Topic.FEET_TURN), start=DAY - timedelta(days=20), seed=3,
        trial_id=UUID(int=70),
    )  # fmt: skip
    verdict = replace(one.verdict, shots_needed=needed)
    done = 6 if going else len(plan.blocks)
    return TriedChange(plan=plan, verdict=verdict, missing="", going=going, blocks_done=done)


def progress(made: Sequence[int], *, retained: int | None = None) -> tuple[PlaceLine, ...]:
    """Return the line through tests of 25, one a week."""
    tests = [
        ColdTest(
            id=UUID(int=80 + i), player_id=PLAYER, attempts=25, made=n, place="free throw",
            day=DAY - timedelta(weeks=len(made) - i),
        )
        for i, n in enumerate(made)
    ]  # fmt: skip
    if retained is not None:
        tests.append(replace(tests[-1], id=UUID(int=99), made=retained, day=DAY,
                             kind=TestKind.RETENTION))  # fmt: skip
    return read_progress(tests).lines


def plan_so_far() -> PlanSoFar:
    plan = plan_of(turned())
    return PlanSoFar(
        plan=plan,
        visits_done=2,
        coming=plan.sessions[2],
        tests=(
            ComingTest(day=date(2026, 12, 4), kind=PracticeTest.COLD, shots=10),
            ComingTest(day=date(2026, 12, 25), kind=PracticeTest.RETENTION, shots=10),
            ComingTest(day=date(2027, 1, 11), kind=PracticeTest.TRANSFER, shots=10),
        ),
        call=None,
    )


def line(day: date, attempts: int, made: int) -> GameLine:
    return GameLine(
        id=UUID(int=day.toordinal()), player_id=PLAYER, game_id=UUID(int=5), day=day,
        shot_type=ShotType.FREE_THROW, attempts=attempts, made=made,
    )  # fmt: skip


def in_games() -> tuple[InGames, ...]:
    change = AnnouncedChange(name="feet turned", day=date(2026, 10, 1))
    told = read_transfer([line(date(2026, 9, 1), 40, 22)], [line(date(2026, 11, 20), 30, 20)])
    later = AnnouncedChange(name="new routine", day=DAY - timedelta(days=3))
    return (
        InGames(change=later, transfer=None, missing="No game was played after it."),
        InGames(change=change, transfer=told, missing=""),
    )


def _ratios() -> Material:
    played = Played(
        player_id=PLAYER, shot_type=ShotType.FREE_THROW,
        practice=PracticeShare.from_counts(60, 100), attempts=70, made=42,
    )  # fmt: skip
    return replace(MUCH, ratios=read_ratios([played]), games=9, in_games=in_games())


NOTHING = Material(player=player(), day=DAY, load=LoadSoFar(age=CHILD_AGE))
LITTLE = replace(
    NOTHING, days=(DAY,), sets=sets(6), findings=YOUNG, choices=(), load=load(minutes=45.0)
)
MUCH = Material(
    player=player(),
    day=DAY,
    days=(date(2026, 10, 5), date(2026, 11, 2), date(2026, 11, 30)),
    sets=sets(40),
    findings=SHORT,
    choices=(DEEPER,),
    load=load(),
    films=3,
)
WON = replace(MUCH, trials=(trial(Said.BETTER),), plan=plan_so_far())
LOST = replace(MUCH, trials=(trial(Said.WORSE),))
OPEN = replace(MUCH, trials=(trial(Said.CANNOT_TELL, going=True, needed=240),), choices=())
LEANING = replace(MUCH, trials=(trial(Said.LEANING_BETTER, going=True, needed=90),))
BEHIND = replace(MUCH, trials=(trial(Said.LEANING_WORSE, going=True, needed=90),))
BETTER = replace(MUCH, progress=progress([8, 9, 8, 17, 18, 17, 19, 18], retained=18))
LOWER = replace(MUCH, progress=progress([18, 19, 18, 9, 8, 9, 8, 9]))
TESTED_ONCE = replace(MUCH, progress=progress([12]))
PAIN = replace(WON, load=load(flags=[flag(FlagKind.PAIN)]))
HEAD = replace(WON, load=load(flags=[flag(FlagKind.HEAD_KNOCK)]))
BUSY = replace(WON, load=load(minutes=300.0), progress=BETTER.progress)
ADULT = replace(WON, player=player("Invented Cy", born=2001), load=load(GROWN_AGE))
UNKNOWN_AGE = replace(WON, player=player(born=None), load=load(None))
CENTRED = replace(
    MUCH,
    findings=replace(SHORT, conditions=(replace(SHORT.conditions[0], along_lean=Lean.FINE),)),
    choices=(),
)
FILM = replace(MUCH, findings=FILMED)
WHOLE = replace(
    _ratios(), trials=(trial(Said.BETTER), trial(Said.CANNOT_TELL, going=True, needed=240)),
    plan=plan_so_far(), progress=BETTER.progress, findings=FILMED,
)  # fmt: skip
STATES: Mapping[str, Material] = {
    "nothing": NOTHING, "little": LITTLE, "much": MUCH, "won": WON, "lost": LOST, "open": OPEN,
    "leaning": LEANING, "behind": BEHIND, "better": BETTER, "lower": LOWER,
    "tested once": TESTED_ONCE, "pain": PAIN, "head knock": HEAD, "busy": BUSY, "adult": ADULT,
    "unknown age": UNKNOWN_AGE, "centred": CENTRED, "film": FILM, "whole": WHOLE,
}  # fmt: skip
