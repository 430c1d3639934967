"""What is taken to the gym: one player's visit, or who goes where when for a group."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from uuid import UUID

import numpy as np
from sqlalchemy.orm import Session

from hoopwright.actions.load import stopped_on
from hoopwright.actions.plans.drill_library import drill_library
from hoopwright.actions.plans.kept import running_plan
from hoopwright.errors import BadInput
from hoopwright.plans.assign import assign
from hoopwright.plans.group import GroupSheet, GroupWish, Member, Place, member_of
from hoopwright.plans.nouns import Drill, PracticeTest
from hoopwright.plans.sheets import SessionSheet, session_sheet
from hoopwright.records import Player
from hoopwright.store import people
from hoopwright.store import plans as stored


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupVisit:
    """A visit of several players."""

    day: date
    player_ids: tuple[UUID, ...]
    places: tuple[Place, ...]
    #: how many slots the time is cut into
    slots: int
    #: length of a slot [min]
    minutes_per_slot: float = 6.0
    #: shots of one player in one slot
    shots_per_slot: int = 15
    #: who stays at whose side, both ways
    partners: Mapping[UUID, UUID] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupPlan:
    """Who goes where when, and who does not practise."""

    sheet: GroupSheet
    drills: tuple[Drill, ...]
    #: players a flag stops that day, and why, in one sentence
    stopped: tuple[tuple[Player, str], ...]


def sheet_of(session: Session, plan_id: UUID, *, number: int) -> SessionSheet:
    """Return what one player does on one visit of a plan; asked again, it is the same.

    Raises
    ------
    BadInput
        The plan has no such session.
    NotFound
        There is no such plan.
    UnknownName
        A drill is not in the library any more.
    """
    plan = stored.get_plan(session, plan_id).plan
    # the order of mixed spots follows from the plan, so that a lost sheet can be printed again
    rng = np.random.default_rng([plan_id.int, number])
    return session_sheet(plan, number, drills=drill_library(session), rng=rng)


def group_sheet(session: Session, visit: GroupVisit) -> GroupPlan:
    """Return who goes where when; each player does what the own plan says for that day.

    Raises
    ------
    BadInput
        It can't be done, with what would make it possible; or all the players are stopped.
    NotFound
        One of the players is not in the store.
    """
    held = stopped_on(session, visit.day)
    players = [people.get_player(session, one) for one in dict.fromkeys(visit.player_ids)]
    stopped = tuple((one, held[one.id][0].message) for one in players if one.id in held)
    fit = [one for one in players if one.id not in held]
    if players and not fit:
        raise BadInput("Flags stop everybody of this group that day; choose another day.")
    drills = drill_library(session)
    wish = GroupWish(
        members=tuple(_member(session, one, visit, drills=drills) for one in fit),
        places=visit.places,
        slots=visit.slots,
        minutes_per_slot=visit.minutes_per_slot,
        shots_per_slot=visit.shots_per_slot,
    )
    present = {one.id for one in fit}
    alone = [m for m in wish.members if m.partner is not None and m.partner not in present]
    if alone:
        raise BadInput(f"The partner of {alone[0].name} is not there; choose another partner.")
    return GroupPlan(sheet=assign(wish), drills=drills, stopped=stopped)


def _member(
    session: Session, player: Player, visit: GroupVisit, *, drills: Sequence[Drill]
) -> Member:
    kept = running_plan(session, player.id)
    partner = visit.partners.get(player.id)
    if kept is None:
        return member_of(player, drills=drills, partner=partner)
    items = [item for one in kept.plan.sessions if one.day == visit.day for item in one.items]
    cold = [t.shots for t in kept.plan.tests if (t.day, t.kind) == (visit.day, PracticeTest.COLD)]
    return member_of(player, items, drills=drills, partner=partner, test_shots=sum(cold))
