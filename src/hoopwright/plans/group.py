"""A group at several baskets: who is there, what there is, and who goes where when."""

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from hoopwright.plans.nouns import Drill, PlanItem
from hoopwright.records import Player


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A basket, or a part of the floor without one."""

    name: str
    #: top of the ring above the floor [m]; None: no ring here
    ring_height: float | None = 3.05
    #: most players at once
    room: int = 4
    #: what it has, from ``nouns.ALL_FEATURES``
    features: tuple[str, ...] = ("basket", "free-throw line", "three-point line")


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """One player of the group."""

    player_id: UUID
    name: str
    #: tops of the rings the player may shoot at [m]
    ring_heights: tuple[float, ...] = (3.05,)
    #: what a place must have for the player's drills
    needs: tuple[str, ...] = ("basket",)
    #: who stays at the player's side, if anybody
    partner: UUID | None = None
    #: attempts of the cold test, first of all; 0: none
    test_shots: int = 0
    #: what to practise after it, in order
    items: tuple[PlanItem, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupWish:
    """What a group's sheet is asked for."""

    members: tuple[Member, ...]
    places: tuple[Place, ...]
    #: how many slots the time is cut into
    slots: int
    #: length of a slot [min]
    minutes_per_slot: float = 6.0
    #: shots of one player in one slot
    shots_per_slot: int = 15


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupSheet:
    """Who goes where when."""

    wish: GroupWish
    #: number of the place for each member and slot; None is a rest slot
    at: tuple[tuple[int | None, ...], ...]

    def turns(self, member: int) -> int:
        """Return in how many slots a member shoots."""
        return sum(place is not None for place in self.at[member])

    def shots(self, member: int) -> int:
        """Return how many shots a member takes."""
        return self.turns(member) * self.wish.shots_per_slot

    def members_at(self, place: int, slot: int) -> tuple[Member, ...]:
        """Return who is at a place in a slot."""
        return tuple(
            member
            for member, row in zip(self.wish.members, self.at, strict=True)
            if row[slot] == place
        )


def member_of(
    player: Player,
    items: Sequence[PlanItem] = (),
    *,
    drills: Sequence[Drill] = (),
    test_shots: int = 0,
    partner: UUID | None = None,
) -> Member:
    """Return a player as member of a group, with what a place must have for the drills.

    Parameters
    ----------
    player
        Gives name and ring height.
    items
        What to practise, such as the items of the session that is due.
    drills
        The library.
    test_shots
        Attempts of the cold test; 0: none.
    partner
        Who stays at the player's side.
    """
    of_key = {one.key: one for one in drills}
    needed = {need for item in items for need in of_key[item.drill].needs}
    return Member(
        player_id=player.id,
        name=player.name,
        ring_heights=(player.ring_height,),
        needs=tuple(sorted(needed | {"basket"})),
        partner=partner,
        test_shots=test_shots,
        items=tuple(items),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """Part of one turn: a drill, or the cold test."""

    #: key of the drill; "" for the cold test
    drill: str
    shots: int


def turns_of(member: Member, turns: int, shots_per_slot: int) -> tuple[tuple[Work, ...], ...]:
    """Deal a member's work out over the turns: the cold test first, then one drill a turn.

    The drills keep their order and their shares to within a turn; one whose share is less than
    half a turn may get none. Each turn has exactly the shots of a slot; without drills, only those
    of the test.

    Parameters
    ----------
    member
        Gives the attempts of the test, and the drills with their shots.
    turns
        In how many slots the member shoots.
    shots_per_slot
        Shots of one turn.
    """
    dealt: list[tuple[Work, ...]] = []
    test = member.test_shots
    for turn in range(turns):
        tested = min(test, shots_per_slot)
        test -= tested
        parts = [Work(drill="", shots=tested)] if tested else []
        if member.items and tested < shots_per_slot:
            drill = _drill_at(member.items, (turn + 0.5) / turns)
            parts.append(Work(drill=drill, shots=shots_per_slot - tested))
        dealt.append(tuple(parts))
    return tuple(dealt)


def _drill_at(items: Sequence[PlanItem], part: float) -> str:
    """Return the drill at a part, 0 to 1, of the shots of all items."""
    upto = 0
    asked = part * sum(item.shots for item in items)
    for item in items:
        upto += item.shots
        if asked <= upto:
            return item.drill
    return items[-1].drill
