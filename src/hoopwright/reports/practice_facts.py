"""What a practice plan and a session sheet say, before they are drawn: sentences as data."""

from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.plans.drills import drill_of
from hoopwright.plans.nouns import BookedTest, Drill, PlanSession, PracticePlan, PracticeTest, Stage
from hoopwright.plans.progress import FEWEST
from hoopwright.plans.sheets import SessionSheet, SheetRow
from hoopwright.reports import words
from hoopwright.reports.practice_words import (
    STAGE_WORDS,
    TEST_NAMES,
    long_day,
    short_day,
    spots_words,
    target_sentence,
    worth_sentence,
)

STAGE_RULE = (
    f"A stage moves on by the cold tests alone: from {FEWEST} attempts on, unless they are fewer "
    "than nine in ten players of your own expected makes would have. Makes in drills don't count "
    "for it."
)
MARKS = "Tick a make. For a miss write S short, L long, or an arrow for left or right."


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitFact:
    """One session of a plan, in words."""

    number: int
    day: str
    stage: str
    #: name of each drill and its shots
    drills: tuple[tuple[str, int], ...]
    #: all attempts of the visit, the cold test among them
    shots: int
    #: time of the drills [min]
    minutes: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillFact:
    """One drill of a plan, in words."""

    name: str
    purpose: str
    set_up: str
    count: str
    progress: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanFacts:
    """Everything a printed plan says."""

    player: str
    focus: str
    reason: str
    worth: str
    cue: str
    #: e.g. "3 weeks, 9 visits, 900 shots"
    size: str
    #: title of each week and its visits
    weeks: tuple[tuple[str, tuple[VisitFact, ...]], ...]
    #: each stage that occurs: name and what it is
    stages: tuple[tuple[str, str], ...]
    #: day, name, attempts and how, for tests other than cold ones
    tests: tuple[tuple[str, str, str], ...]
    cold_test: str
    stage_rule: str
    drills: tuple[DrillFact, ...]
    notes: tuple[str, ...]


def plan_facts(plan: PracticePlan, player: str, *, drills: Sequence[Drill]) -> PlanFacts:
    """Say in words what a plan holds.

    Parameters
    ----------
    plan
        The plan.
    player
        The player's name as it should read.
    drills
        The library.

    Raises
    ------
    UnknownName
        A drill is not in the library any more.
    """
    visits = [_visit(one, plan, drills) for one in plan.sessions]
    numbers = sorted({one.week for one in plan.sessions})
    by_week = {
        week: tuple(v for v, s in zip(visits, plan.sessions, strict=True) if s.week == week)
        for week in numbers
    }
    used = list(dict.fromkeys(item.drill for one in plan.sessions for item in one.items))
    stages = [stage for stage in Stage if any(one.stage is stage for one in plan.sessions)]
    return PlanFacts(
        player=player,
        focus=words.opened(plan.focus.name),
        reason=plan.focus.reason,
        worth=worth_sentence(plan.focus),
        cue=plan.cue.text,
        size=_size(plan, visits),
        weeks=tuple((f"Week {week}", by_week[week]) for week in numbers),
        stages=tuple((words.opened(s.value), STAGE_WORDS[s]) for s in stages),
        tests=tuple(_test(t) for t in plan.tests if t.kind is not PracticeTest.COLD),
        cold_test=_cold(plan),
        stage_rule=STAGE_RULE,
        drills=tuple(_drill(drill_of(drills, key)) for key in used),
        notes=plan.notes,
    )


def _size(plan: PracticePlan, visits: Sequence[VisitFact]) -> str:
    parts = (
        words.plural(plan.weeks, "week"),
        words.plural(len(visits), "visit"),
        words.plural(sum(visit.shots for visit in visits), "shot"),
    )
    return ", ".join(parts)


def _visit(session: PlanSession, plan: PracticePlan, drills: Sequence[Drill]) -> VisitFact:
    cold = sum(t.shots for t in plan.tests if t.kind is PracticeTest.COLD and t.day == session.day)
    return VisitFact(
        number=session.number,
        day=short_day(session.day),
        stage=words.opened(session.stage.value),
        drills=tuple((drill_of(drills, i.drill).name, i.shots) for i in session.items),
        shots=session.shots + cold,
        minutes=round(session.minutes),
    )


def _test(test: BookedTest) -> tuple[str, str, str]:
    how = f"{words.plural(test.shots, 'attempt')}. {test.note}"
    return (
        short_day(test.day),
        TEST_NAMES[test.kind],
        " ".join(part for part in (how, target_sentence(test.target, test.shots)) if part),
    )


def _cold(plan: PracticePlan) -> str:
    first = next((t for t in plan.tests if t.kind is PracticeTest.COLD), None)
    if first is None:
        return ""
    where = spots_words([spot.name for spot in first.spots])
    said = (
        f"Each visit begins with {words.plural(first.shots, 'attempt')} from {where}. {first.note}"
    )
    return f"{said} {target_sentence(first.target, first.shots)}".strip()


def _drill(drill: Drill) -> DrillFact:
    return DrillFact(
        name=drill.name,
        purpose=drill.purpose,
        set_up=drill.set_up,
        count=drill.count,
        progress=drill.progress,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class RowFacts:
    """One run of attempts on a sheet: words, and a box for each attempt."""

    title: str
    #: what to do and what to count
    lines: tuple[str, ...]
    shots: int
    #: label and number of boxes, where attempts run from one spot, or need none
    runs: tuple[tuple[str, int], ...]
    #: the label of each box, where spots are mixed
    labels: tuple[str, ...]
    target: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetFacts:
    """Everything one player's printed sheet says."""

    player: str
    day: str
    title: str
    focus: str
    cue: str
    marks: str
    rows: tuple[RowFacts, ...]
    #: e.g. "100 attempts, about 25 minutes of drills"
    size: str


def sheet_facts(sheet: SessionSheet, player: str) -> SheetFacts:
    """Say in words what a session's sheet holds.

    Parameters
    ----------
    sheet
        The sheet.
    player
        The player's name as it should read.
    """
    session, plan = sheet.session, sheet.plan
    minutes = words.plural(round(session.minutes), "minute")
    return SheetFacts(
        player=player,
        day=long_day(session.day),
        title=f"Visit {session.number}: {session.stage.value}",
        focus=words.opened(plan.focus.name),
        cue=plan.cue.text,
        marks=MARKS,
        rows=tuple(row_facts(row) for row in sheet.rows),
        size=f"{words.plural(sheet.shots, 'attempt')}, about {minutes} of drills beside the test",
    )


def row_facts(row: SheetRow) -> RowFacts:
    """Say in words what one run of a sheet is."""
    lines = [row.note] if row.note else []
    title = TEST_NAMES[row.test] if row.test is not None else ""
    if row.drill is not None:
        title = row.drill.name
        lines = [row.drill.set_up, f"Count: {_lowered(row.drill.count)}", *lines]
    mixed = len(row.runs) > max(len(set(row.spots)), 1)
    return RowFacts(
        title=f"{title}, {words.plural(row.shots, 'attempt')}",
        lines=tuple(lines),
        shots=row.shots,
        runs=() if mixed else row.runs or (("", row.shots),),
        labels=row.spots if mixed else (),
        target=target_sentence(row.target, row.shots),
    )


def _lowered(text: str) -> str:
    return text[:1].lower() + text[1:]
