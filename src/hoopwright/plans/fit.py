"""Which places fit which players, and who stays together."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import connected_components

from hoopwright.errors import BadInput
from hoopwright.plans.group import GroupWish, Member, Place

#: a ring this near to the height asked for will do [m]
SAME_HEIGHT = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Units:
    """Players and partners as the solver sees them."""

    #: numbers of the members of each unit
    members: tuple[tuple[int, ...], ...]
    #: how many they are, int64 [unit]
    sizes: NDArray[np.int64]
    #: room of each place, int64 [place]
    rooms: NDArray[np.int64]
    #: unit and place that fit, int64 [pair, 2]
    pairs: NDArray[np.int64]

    def with_room(self, more: int) -> "Units":
        """Return the same with more room at each place."""
        return replace(self, rooms=self.rooms + more)


def units_of(wish: GroupWish) -> Units:
    """Return players and partners with the places that fit them.

    Raises
    ------
    BadInput
        A partner is not in the group, or no place fits somebody; the message says what would.
    """
    groups = _together(wish.members)
    fits = [
        [_fits(place, [wish.members[m] for m in group]) for place in wish.places]
        for group in groups
    ]
    for group, row in zip(groups, fits, strict=True):
        if not any(row):
            raise BadInput(_why_none(wish, [wish.members[m] for m in group]), field="places")
    return Units(
        members=tuple(groups),
        sizes=np.array([len(group) for group in groups], np.int64),
        rooms=np.array([place.room for place in wish.places], np.int64),
        pairs=np.argwhere(np.array(fits)).astype(np.int64),
    )


def _together(members: Sequence[Member]) -> list[tuple[int, ...]]:
    """Return the numbers of those who stay together, partners of partners among them."""
    number = {member.player_id: i for i, member in enumerate(members)}
    if len(number) < len(members):
        raise BadInput("A player is in the group twice; leave one out.", field="players")
    links = np.zeros((len(members), len(members)))
    for i, member in enumerate(members):
        if member.partner is None:
            continue
        if member.partner not in number or member.partner == member.player_id:
            raise BadInput(
                f"{member.name}'s partner is not in the group; add the partner or choose another.",
                field="players",
            )
        links[i, number[member.partner]] = 1
    count, labels = connected_components(sparse.csr_array(links), directed=False)
    return [tuple(int(m) for m in np.flatnonzero(labels == label)) for label in range(count)]


def _fits(place: Place, members: Sequence[Member]) -> bool:
    return (
        place.room >= len(members)
        and all(_ring_fits(place, member) for member in members)
        and all(set(member.needs) <= set(place.features) for member in members)
    )


def _ring_fits(place: Place, member: Member) -> bool:
    if "basket" not in member.needs:
        return True
    height = place.ring_height
    return height is not None and any(
        abs(height - asked) <= SAME_HEIGHT for asked in member.ring_heights
    )


def _why_none(wish: GroupWish, members: Sequence[Member]) -> str:
    """Say in one sentence why no place fits, and what would."""
    who = " and ".join(member.name for member in members)
    for member in members:
        if not any(_ring_fits(place, member) for place in wish.places):
            asked = " or ".join(f"{height:.2f} m" for height in member.ring_heights)
            return (
                f"No basket has a ring at {asked} for {member.name}; set one to that height, or "
                "let the player shoot at another."
            )
        for need in member.needs:
            if not any(need in place.features for place in wish.places):
                return (
                    f"No place has a {need} for {member.name}; add one, or choose drills that "
                    "need none."
                )
    if all(place.room < len(members) for place in wish.places):
        return (
            f"{who} stay together, but no place has room for {len(members)}; make room for "
            f"{len(members)} at one, or let them go apart."
        )
    return (
        f"No single place has the ring, the lines and the room for {who} together; make one that "
        "has, or let the partners go apart."
        if len(members) > 1
        else f"No single place has both the ring and the lines for {who}; make one that has, or "
        "choose other drills."
    )
