"""What one player takes to the gym: each drill with where, how many, and the order of the spots."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.plans.drills import drill_of
from hoopwright.plans.edits import session_of
from hoopwright.plans.nouns import (
    BookedTest,
    Drill,
    PlanItem,
    PlanSession,
    PracticePlan,
    PracticeTest,
    Stage,
    Target,
)
from hoopwright.plans.targets import Makes, makes_of
from hoopwright.records import Spot

#: stages in which no two shots running are from the same spot
_MIXED = (Stage.RANDOM, Stage.GAME_LIKE)


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRow:
    """One run of attempts with a box for each."""

    #: None for a test
    drill: Drill | None
    #: which test, for a test
    test: PracticeTest | None
    shots: int
    #: name of the spot of each attempt; () where it needs none
    spots: tuple[str, ...]
    #: makes to expect; None where it can't be told yet or isn't to be
    makes: Makes | None
    target: Target
    note: str = ""
    minutes: float | None = None

    @property
    def runs(self) -> tuple[tuple[str, int], ...]:
        """Attempts running from the same spot: its name and how many."""
        found: list[tuple[str, int]] = []
        for name in self.spots:
            if found and found[-1][0] == name:
                found[-1] = (name, found[-1][1] + 1)
            else:
                found.append((name, 1))
        return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionSheet:
    """One visit of one player."""

    plan: PracticePlan
    session: PlanSession
    rows: tuple[SheetRow, ...]

    @property
    def shots(self) -> int:
        """All attempts, the cold test among them."""
        return sum(row.shots for row in self.rows)


def session_sheet(
    plan: PracticePlan, number: int, *, drills: Sequence[Drill], rng: np.random.Generator
) -> SessionSheet:
    """Return what is done on one visit: the cold test first, then the drills.

    Parameters
    ----------
    plan, number
        The plan and the session.
    drills
        The library.
    rng
        Draws the order of the spots where they are mixed.

    Raises
    ------
    BadInput
        The plan has no such session.
    UnknownName
        A drill is not in the library any more.
    """
    session = session_of(plan, number)
    cold = [t for t in plan.tests if t.day == session.day and t.kind is PracticeTest.COLD]
    rows = [booked_row(test, rng=rng) for test in cold]
    rows += [item_row(item, drill_of(drills, item.drill), rng=rng) for item in session.items]
    return SessionSheet(plan=plan, session=session, rows=tuple(rows))


def booked_row(test: BookedTest, *, rng: np.random.Generator) -> SheetRow:
    """Return a test with a box for each attempt, its spots mixed."""
    return SheetRow(
        drill=None,
        test=test.kind,
        shots=test.shots,
        spots=mixed(test.spots, test.shots, rng=rng),
        makes=_makes(test.target, test.shots),
        target=test.target,
        note=test.note,
    )


def item_row(item: PlanItem, drill: Drill, *, rng: np.random.Generator) -> SheetRow:
    """Return a drill with a box for each attempt: spot by spot, or mixed from *random* on."""
    order = mixed if drill.stage in _MIXED else _in_turn
    return SheetRow(
        drill=drill,
        test=None,
        shots=item.shots,
        spots=order(item.spots, item.shots, rng=rng),
        makes=_makes(item.target, item.shots),
        target=item.target,
        note=item.note,
        minutes=item.minutes,
    )


def _makes(target: Target, shots: int) -> Makes | None:
    return None if target.expected is None else makes_of(target.expected, shots)


def mixed(spots: Sequence[Spot], shots: int, *, rng: np.random.Generator) -> tuple[str, ...]:
    """Return the spot of each attempt: as many from each, never the same twice running.

    Every round goes through all spots in a drawn order; with one spot there is nothing to mix.
    """
    names = [spot.name for spot in spots]
    order: list[str] = []
    while names and len(order) < shots:
        turn = [names[i] for i in rng.permutation(len(names))]
        if order and len(turn) > 1 and turn[0] == order[-1]:
            turn[0], turn[-1] = turn[-1], turn[0]
        order += turn
    return tuple(order[:shots])


def _in_turn(spots: Sequence[Spot], shots: int, *, rng: np.random.Generator) -> tuple[str, ...]:
    """Return the spot of each attempt, spot by spot; the first ones have the odd shots."""
    del rng
    if not spots:
        return ()
    each, odd = divmod(shots, len(spots))
    return tuple(spot.name for i, spot in enumerate(spots) for _ in range(each + (i < odd)))
