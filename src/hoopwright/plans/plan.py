"""A wish becomes a plan: which day, which stage, which drills, how many shots, which tests."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import NamedTuple
from uuid import UUID

from hoopwright.court.frame import spot_named
from hoopwright.errors import BadInput
from hoopwright.plans.dates import retention_days, visit_days
from hoopwright.plans.drills import fitting
from hoopwright.plans.notes import plan_notes
from hoopwright.plans.nouns import (
    BookedTest,
    Drill,
    PlanItem,
    PlanSession,
    PracticePlan,
    PracticeTest,
    Stage,
    Target,
    Wish,
)
from hoopwright.plans.stages import TWO_DRILLS, by_fives, first_stage, shared_out, stages_of
from hoopwright.plans.targets import Targets
from hoopwright.plans.wish import checked_wish
from hoopwright.records import LoadLimits, Spot

#: drills of one stage that take turns over a plan, so that the same things come back
TURNS = 3
COLD_NOTE = "First shots of the visit, no coaching before."
RETENTION_NOTE = "Cold, no practice and no coaching before: has it lasted?"
TRANSFER_NOTE = "Single shots, each from another spot after a run: first shots, as in games."


def make_plan(
    wish: Wish,
    plan_id: UUID,
    *,
    drills: Sequence[Drill],
    targets: Targets,
    limits: LoadLimits,
) -> PracticePlan:
    """Return the plan that a wish asks for.

    Parameters
    ----------
    wish
        What is asked for; the days on which a flag stops the player are among its blocked days.
    plan_id
        Id of the plan.
    drills
        The library, with the coach's own drills.
    targets
        What the player's own chart expects.
    limits
        The usual cautions on load; a plan above one is made all the same, and says so.

    Raises
    ------
    BadInput
        Something in the wish can't be right, every day is blocked, or no drill can be done.
    """
    wish = checked_wish(wish)
    days = visit_days(wish)
    if not days.visits:
        raise BadInput(
            "Every day wished for is blocked; choose other days of practice, a later start, or "
            "wait until the player is cleared.",
            field="weekdays",
        )
    visits = [_Visit(number, week, day) for number, (week, day) in enumerate(days.visits, 1)]
    sessions = _sessions(visits, first_stage(wish.focus), _Maker(wish, drills, targets))
    plan = PracticePlan(
        id=plan_id, wish=wish, sessions=sessions, tests=booked_tests(wish, sessions, targets)
    )
    return replace(plan, notes=plan_notes(plan, limits, moved=days.moved))


def restage(
    plan: PracticePlan, first: int, stage: Stage, *, drills: Sequence[Drill], targets: Targets
) -> PracticePlan:
    """Return the plan with its sessions made anew from one on, beginning at another stage.

    Parameters
    ----------
    plan
        The plan as it is; what was practised before stays as it was, days and tests too.
    first
        Number of the first session to be made anew.
    stage
        The stage it begins with; see ``progress.call_stage``.
    drills, targets
        As for ``make_plan``.

    Raises
    ------
    BadInput
        The plan has no such session, or no drill can be done.
    """
    kept = [one for one in plan.sessions if one.number < first]
    coming = [one for one in plan.sessions if one.number >= first]
    if not coming:
        raise BadInput(f"This plan has no session {first} to be made anew.", field="session")
    visits = [_Visit(one.number, one.week, one.day) for one in coming]
    made = _sessions(visits, stage, _Maker(plan.wish, drills, targets))
    return replace(plan, sessions=(*kept, *made))


class _Visit(NamedTuple):
    number: int
    week: int
    day: date


def _sessions(visits: Sequence[_Visit], first: Stage, maker: "_Maker") -> tuple[PlanSession, ...]:
    stages = stages_of(len(visits), first)
    return tuple(
        PlanSession(
            number=visit.number,
            day=visit.day,
            week=visit.week,
            stage=stage,
            items=maker.items(stage),
            coached=maker.wish.coached,
        )
        for visit, stage in zip(visits, stages, strict=True)
    )


@dataclass(slots=True)
class _Maker:
    """Fills sessions with drills; counts turns, so that drills of a stage take them."""

    wish: Wish
    drills: Sequence[Drill]
    targets: Targets
    turns: Counter[Stage] = field(default_factory=Counter)

    def items(self, stage: Stage) -> tuple[PlanItem, ...]:
        able = {part: fitting(self.drills, part, self.wish) for part in Stage}
        able = {part: found for part, found in able.items() if found}
        if not able:
            raise BadInput(
                "No drill of the library can be done with what the gym has; say what there is "
                "(a basket, a wall, a line on the floor), or add a drill.",
                field="features",
            )
        counts = shared_out(self.wish.shots - self.wish.test_shots, stage, list(able))
        return tuple(
            item for part, count in counts.items() for item in self._part(part, count, able[part])
        )

    def _part(self, stage: Stage, shots: int, found: Sequence[Drill]) -> list[PlanItem]:
        """Return one drill, or two where there are shots for both; the next time, the next ones."""
        among = found[:TURNS]
        several = min(2 if shots >= TWO_DRILLS else 1, len(among))
        taken = [among[(self.turns[stage] + i) % len(among)] for i in range(several)]
        self.turns[stage] += several
        first = shots if several == 1 else by_fives(shots / 2)
        counts = (first, shots - first)[:several]
        pairs = zip(taken, counts, strict=True)
        return [item_of(drill, n, self.wish, targets=self.targets) for drill, n in pairs]


def item_of(drill: Drill, shots: int, wish: Wish, *, targets: Targets) -> PlanItem:
    """Return a drill as it stands in a plan: where, how many, how long and what to expect.

    A drill that names no spot of its own is shot from the player's. Only shots that go to the ring
    on a fixed number of attempts have a target; never close form work, where the movement is looked
    at, nor game-like shots, of which a chart of shots in a row says little.
    """
    spots: tuple[Spot, ...] = ()
    if "basket" in drill.needs:
        named = (spot_named(name, wish.rules) for name in drill.spots)
        spots = tuple(named) if drill.spots else wish.spots
    charted = drill.stage not in (Stage.CLOSE, Stage.GAME_LIKE)
    counted = charted and not drill.stops_on_makes
    return PlanItem(
        drill=drill.key,
        shots=shots,
        minutes=round(shots / drill.shots_per_minute, 1),
        spots=spots,
        target=targets.at(spots) if counted else Target(),
    )


def booked_tests(
    wish: Wish, sessions: Sequence[PlanSession], targets: Targets
) -> tuple[BookedTest, ...]:
    """Book a cold test on each session's day, then retention and transfer tests after the last."""
    spots = wish.spots
    expected = targets.at(spots)

    def test(day: date, kind: PracticeTest, note: str, target: Target) -> BookedTest:
        return BookedTest(
            day=day, kind=kind, shots=wish.test_shots, spots=spots, target=target, note=note
        )

    last = max(one.day for one in sessions)
    cold = [test(one.day, PracticeTest.COLD, COLD_NOTE, expected) for one in sessions]
    later = []
    for found in retention_days(last, wish.blocked_days):
        later.append(test(found.day, PracticeTest.RETENTION, RETENTION_NOTE, expected))
        # what a chart says of shots in a row says little of single ones, so no target
        later.append(test(found.day, PracticeTest.TRANSFER, TRANSFER_NOTE, Target()))
    return (*cold, *later)
