"""The plan of a trial: which way is shot when, in an order that anybody can check.

What a player can switch at once is compared side by side, in pairs or mirrored fours of blocks
whose order a coin decides. A change of technique has to be learnt, and once learnt can't be
switched off between blocks, so it is compared in phases: habit tests on several days, practice
with tests on the way, and cold tests one week and three to four weeks later [Carson2011]_.
"""

import hashlib
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from uuid import UUID, uuid4

from hoopwright.errors import BadInput
from hoopwright.trials.nouns import (
    Arm,
    Block,
    Kind,
    Layout,
    Phase,
    Question,
    Topic,
    TrialPlan,
)

#: what a player can switch between blocks; all else has to be learnt (common practice, no source)
AT_ONCE = frozenset(
    {Topic.FEET_TURN, Topic.AIM_POINT, Topic.WHERE_TO_LOOK, Topic.BALL, Topic.ROUTINE, Topic.CUE}
)
#: most pairs of a plan
MOST_PAIRS = 500
#: chance of a wrong "better" by the last planned pair; the rest of 5 in 100 is kept for later ones
PLANNED_ERROR = 0.04
#: days from the last practice test to the two delayed tests: one week, three to four weeks
DELAYS = (7, 25)
#: the change of a trial in phases starts up to so many tests later than its fewest, as drawn
LATER_STARTS = 3
_ORDERS = {
    (Kind.PAIRED, 0): (Arm.HABIT, Arm.CHANGE),
    (Kind.PAIRED, 1): (Arm.CHANGE, Arm.HABIT),
    (Kind.MIRRORED, 0): (Arm.HABIT, Arm.CHANGE, Arm.CHANGE, Arm.HABIT),
    (Kind.MIRRORED, 1): (Arm.CHANGE, Arm.HABIT, Arm.HABIT, Arm.CHANGE),
}
# allowed sizes of a layout
_SIZES = {
    "shots_per_block": (4, 200, "Shots that count in a block"),
    "washout": (0, 20, "Washout shots"),
    "familiarisation": (0, 1000, "Shots to get used to the change"),
    "days": (1, 200, "Days"),
    "every": (1, 60, "Days from one visit to the next"),
}


def switch_at_once(topic: Topic) -> bool:
    """Tell whether a player can go to and fro between habit and change from block to block."""
    return topic in AT_ONCE


def kind_for(topic: Topic) -> Kind:
    """Return the kind of trial a topic asks for."""
    return Kind.PAIRED if switch_at_once(topic) else Kind.PHASES


def layout_for(topic: Topic) -> Layout:
    """Return a layout to start from: about ten minutes a visit.

    Three visits side by side, or three habit tests, four practice tests and two delayed ones.
    Common practice, no source; ``power.detectable`` says what it can tell.
    """
    if switch_at_once(topic):
        return Layout(kind=Kind.PAIRED, pairs=12, shots_per_block=10, washout=2, days=6)
    return Layout(
        kind=Kind.PHASES, pairs=4, shots_per_block=30, washout=0, familiarisation=100, days=3
    )


def coin(seed: int, name: str, sides: int = 2) -> int:
    """Return a fair throw that follows from the seed, 0 to ``sides`` − 1.

    Parameters
    ----------
    seed
        Seed of the plan.
    name
        What is drawn, such as ``"pair 3"``.
    sides
        How many outcomes there are.

    Notes
    -----
    The SHA-256 sum [FIPS180]_ of ``"seed name"``, read as one large number, modulo ``sides``. No
    library's generator is asked, so that the order can be checked in any year, on any machine.
    """
    return int(hashlib.sha256(f"{seed} {name}".encode()).hexdigest(), 16) % sides


def plan_trial(
    question: Question, layout: Layout, *, start: date, seed: int, trial_id: UUID | None = None
) -> TrialPlan:
    """Return the plan of a trial.

    Parameters
    ----------
    question
        What is asked, with its measure and spots.
    layout
        How large the trial is.
    start
        Date of its first day.
    seed
        The order follows from it.
    trial_id
        Id to use; a new one where left out.

    Raises
    ------
    BadInput
        A size of the layout makes no trial.
    """
    check_layout(layout, measures=question.measures_watched)
    return TrialPlan(
        id=trial_id or uuid4(),
        question=question,
        layout=layout,
        seed=seed,
        start=start,
        blocks=_blocks(question, layout, start=start, seed=seed, added=0),
    )


def extended(plan: TrialPlan, *, pairs: int) -> TrialPlan:
    """Return the plan with more pairs (or fours) after its last; those planned stay as they are.

    Parameters
    ----------
    plan
        A plan side by side.
    pairs
        How many to add.

    Raises
    ------
    BadInput
        The plan is in phases, or ``pairs`` is not above zero.
    """
    if plan.kind is Kind.PHASES:
        raise BadInput("A trial in phases can't be made longer; plan a new one.", field="pairs")
    if pairs < 1:
        raise BadInput("Say how many pairs to add: one or more.", field="pairs")
    added = plan.added + pairs
    blocks = _blocks(plan.question, plan.layout, start=plan.start, seed=plan.seed, added=added)
    return replace(plan, blocks=blocks, added=added)


def check_plan(plan: TrialPlan) -> bool:
    """Tell whether the blocks are those that follow from the seed, in that order."""
    again = _blocks(plan.question, plan.layout, start=plan.start, seed=plan.seed, added=plan.added)
    return again == plan.blocks


def fewest_pairs(measures: int) -> int:
    """Return the fewest pairs with which "better" can be claimed at all.

    Were all of four pairs to go one way, coins would do that one time in sixteen; the last planned
    look may err four times in a hundred, shared out among the measures watched.
    """
    return math.ceil(math.log2(measures / PLANNED_ERROR))


def check_layout(layout: Layout, *, measures: int = 1) -> None:
    """Refuse a layout that makes no trial.

    Parameters
    ----------
    layout
        How large the trial is.
    measures
        Measures watched.

    Raises
    ------
    BadInput
        A size is out of its range; the sentence names it.
    """
    for name, (low, high, said) in _SIZES.items():
        if not low <= getattr(layout, name) <= high:
            raise BadInput(f"{said}: choose a number from {low} to {high}.", field=name)
    fewest = fewest_pairs(measures)
    if layout.kind is Kind.PHASES:
        _check_phases(layout)
    elif not fewest <= layout.pairs <= MOST_PAIRS:
        raise BadInput(
            f"Plan {fewest} to {MOST_PAIRS} pairs; with fewer, even a clean sweep could be luck.",
            field="pairs",
        )


def _check_phases(layout: Layout) -> None:
    if layout.days < 2:
        raise BadInput(
            "Test the habit on two days or more before changing anything; one test may be a "
            "good or a bad day.",
            field="days",
        )
    if not 0 <= layout.pairs <= 100:
        raise BadInput("Plan 0 to 100 tests on practice days.", field="pairs")


def _blocks(
    question: Question, layout: Layout, *, start: date, seed: int, added: int
) -> tuple[Block, ...]:
    """Return the blocks, numbered from 1."""
    drawn = (
        _phases(question, layout, start=start, seed=seed)
        if layout.kind is Kind.PHASES
        else _side_by_side(question, layout, start=start, seed=seed, count=layout.pairs + added)
    )
    return tuple(replace(block, number=i) for i, block in enumerate(drawn, start=1))


def _block(layout: Layout, arm: Arm, *, day: int, due: date, phase: Phase, spot: int = 0) -> Block:
    return Block(
        number=0,
        arm=arm,
        shots=layout.shots_per_block,
        washout=layout.washout,
        day=day,
        phase=phase,
        spot=spot,
        due=due,
    )


def _familiarisation(layout: Layout, *, day: int, due: date) -> Iterator[Block]:
    if layout.familiarisation:
        block = _block(layout, Arm.CHANGE, day=day, due=due, phase=Phase.FAMILIARISATION)
        yield replace(block, shots=layout.familiarisation, washout=0)


def _side_by_side(
    question: Question, layout: Layout, *, start: date, seed: int, count: int
) -> Iterator[Block]:
    """Give the blocks of pairs or fours; each shares one day and one spot."""
    yield from _familiarisation(layout, day=1, due=start)
    a_day = -(-layout.pairs // layout.days)
    for pair in range(1, count + 1):
        day = 1 + (pair - 1) // a_day
        due = start + timedelta(days=(day - 1) * layout.every)
        for arm in _ORDERS[layout.kind, coin(seed, f"pair {pair}")]:
            spot = (pair - 1) % len(question.spots)
            block = _block(layout, arm, day=day, due=due, phase=Phase.COMPARE, spot=spot)
            yield replace(block, pair=pair)


def _phases(question: Question, layout: Layout, *, start: date, seed: int) -> Iterator[Block]:
    """Give the blocks of habit tests, practice tests and delayed tests, each at every spot."""
    habit_tests = layout.days + coin(seed, "start", LATER_STARTS)
    changed = start + timedelta(days=habit_tests * layout.every)
    visits = [
        (start + timedelta(days=i * layout.every), Phase.BASELINE) for i in range(habit_tests)
    ]
    visits += [
        (changed + timedelta(days=(i + 1) * layout.every), Phase.PROBE) for i in range(layout.pairs)
    ]
    last = changed + timedelta(days=layout.pairs * layout.every)
    visits += [(last + timedelta(days=delay), Phase.DELAYED) for delay in DELAYS]
    day = 0
    for due, phase in visits:
        if day == habit_tests:
            day += 1
            yield from _familiarisation(layout, day=day, due=changed)
        day += 1
        arm = Arm.HABIT if phase is Phase.BASELINE else Arm.CHANGE
        for spot in range(len(question.spots)):
            yield _block(layout, arm, day=day, due=due, phase=phase, spot=spot)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderRow:
    """One block as the player reads it, on paper or on screen."""

    number: int
    day: int
    due: date | None
    #: the way to shoot by the name the player knows
    way: str
    spot: str
    #: what the block is for
    phase: Phase
    #: first shots that are logged and not counted, then those that count
    washout: int
    shots: int


def order_rows(plan: TrialPlan) -> tuple[OrderRow, ...]:
    """Return the order to shoot in, block by block."""
    asked = plan.question
    names = {Arm.HABIT: asked.habit, Arm.CHANGE: asked.change}
    return tuple(
        OrderRow(
            number=block.number,
            day=block.day,
            due=block.due,
            way=names[block.arm],
            spot=asked.spots[block.spot].name,
            phase=block.phase,
            washout=block.washout,
            shots=block.shots,
        )
        for block in plan.blocks
    )
