"""Who goes where when: no clash, room kept, rings that fit, partners together, equal turns.

Solved as a mixed-integer programme by SciPy (HiGHS): one yes-or-no for each unit (a player, or
partners), place and slot. The most turns that everybody can have is found first from its linear
relaxation, which is never below it; then that many turns, or one more, are asked for each.
"""

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.optimize import Bounds, LinearConstraint, milp

from hoopwright.errors import BadInput
from hoopwright.plans.fit import Units, units_of
from hoopwright.plans.group import GroupSheet, GroupWish

#: most players, places and slots of one sheet
MOST_MEMBERS, MOST_PLACES, MOST_SLOTS = 40, 12, 24
#: branches after which the solver gives the best it has: a bound by count, not by the clock, so
#: that the same group always gets the same sheet
_BRANCHES = 200
#: a turn more than this is worth searching for [turns]
_GAP = 0.5
#: worth of a change of place against that of a turn: too small to cost one
_VARIETY = 1e-3

Rows = NDArray[np.int64]


def assign(wish: GroupWish) -> GroupSheet:
    """Return who goes where when.

    Each player is at one place or rests; no place has more players than it has room for; rings and
    lines fit the player; partners are always together; players differ by one turn at most.

    Parameters
    ----------
    wish
        Who, where and how many slots.

    Raises
    ------
    BadInput
        It can't be done; the message says why and what would make it possible.
    """
    _check(wish)
    units = units_of(wish)
    least = _most_turns(units, wish.slots)
    for turns in range(least, 0, -1):
        found = _solved(units, wish.slots, turns)
        if found is not None:
            return GroupSheet(wish=wish, at=_rows(wish, units, _rests_apart(found)))
    raise BadInput(_what_would_do(wish, units), field="slots")


def _check(wish: GroupWish) -> None:
    for count, most, what in (
        (len(wish.members), MOST_MEMBERS, "players"),
        (len(wish.places), MOST_PLACES, "places"),
        (wish.slots, MOST_SLOTS, "slots"),
    ):
        if not 1 <= count <= most:
            raise BadInput(f"A group's sheet has 1 to {most} {what}; check them.", field=what)
    if wish.shots_per_slot < 1 or not wish.minutes_per_slot > 0:
        raise BadInput("A slot needs shots and minutes above 0.", field="slots")
    if any(place.room < 1 for place in wish.places):
        raise BadInput("Each place has room for at least one player.", field="places")


def _most_turns(units: Units, slots: int) -> int:
    """Return the most turns everybody might have: the linear relaxation over all slots at once."""
    unit, place = units.pairs.T
    n, count, places = len(unit), len(units.sizes), len(units.rooms)
    # columns: turns of each unit at each place, then the turns that everybody has
    pair, sizes = np.arange(n), units.sizes[unit].astype(float)
    of_unit = sparse.coo_array((np.ones(n), (unit, pair)), shape=(count, n + 1)).tocsr()
    of_place = sparse.coo_array((sizes, (place, pair)), shape=(places, n + 1)).tocsr()
    last = np.full(count, n)
    everybody = sparse.coo_array(
        (np.ones(count), (np.arange(count), last)), shape=(count, n + 1)
    ).tocsr()
    found = milp(
        np.append(np.zeros(n), -1.0),
        bounds=Bounds(0, np.inf),
        constraints=[
            LinearConstraint(of_unit, ub=slots),
            LinearConstraint(of_place, ub=units.rooms * slots),
            LinearConstraint(of_unit - everybody, lb=0),
        ],
    )
    return 0 if found.x is None else int(np.floor(found.x[-1] + 1e-6))


def _solved(units: Units, slots: int, turns: int) -> Rows | None:
    """Return the place of each unit in each slot, −1 for a rest, int64 [unit, slot]; None: none."""
    unit, place = (np.repeat(column, slots) for column in units.pairs.T)
    slot = np.tile(np.arange(slots), len(units.pairs))
    count, columns = len(units.sizes), np.arange(len(unit))

    def summed(rows: Rows, number: int, values: NDArray[np.float64]) -> sparse.coo_array:
        return sparse.coo_array((values, (rows, columns)), shape=(number, len(columns)))

    ones, sizes = np.ones(len(unit)), units.sizes[unit].astype(float)
    once = summed(unit * slots + slot, count * slots, ones)
    room = summed(place * slots + slot, len(units.rooms) * slots, sizes)
    total = summed(unit, count, ones)
    # a turn for everybody first; among equals, one place further each slot
    rotates = (unit + slot) % len(units.rooms) == place
    found = milp(
        -sizes * (1.0 + _VARIETY * rotates),
        integrality=np.ones(len(unit), np.int64),
        bounds=Bounds(0, 1),
        constraints=[
            LinearConstraint(once.tocsr(), ub=1),
            LinearConstraint(room.tocsr(), ub=np.repeat(units.rooms, slots)),
            LinearConstraint(total.tocsr(), lb=turns, ub=turns + 1),
        ],
        options={
            "node_limit": _BRANCHES,
            "mip_rel_gap": _GAP / (int(units.sizes.sum()) * (turns + 1)),
        },
    )
    if found.x is None:
        return None
    rows = np.full((count, slots), -1, np.int64)
    taken = found.x > 0.5
    rows[unit[taken], slot[taken]] = place[taken]
    return rows


def _rests_apart(rows: Rows) -> Rows:
    """Reorder the slots, which changes nothing else, so that few rest twice in a row."""
    resting = rows < 0
    left, order = list(range(1, rows.shape[1])), [0]
    while left:
        both = [int(np.sum(resting[:, order[-1]] & resting[:, slot])) for slot in left]
        order.append(left.pop(int(np.argmin(both))))
    return rows[:, order]


def _rows(wish: GroupWish, units: Units, found: Rows) -> tuple[tuple[int | None, ...], ...]:
    rows: dict[int, tuple[int | None, ...]] = {}
    for members, places in zip(units.members, found, strict=True):
        for member in members:
            rows[member] = tuple(None if place < 0 else int(place) for place in places)
    return tuple(rows[member] for member in range(len(wish.members)))


def _what_would_do(wish: GroupWish, units: Units) -> str:
    """Say why not everybody gets a turn, and the fewest slots or the room that would do."""
    said = (
        f"{len(wish.members)} players can't all have a turn at {_room(wish)} in "
        f"{_counted(wish.slots, 'slot')}"
    )
    ways = []
    slots = next((n for n in range(wish.slots + 1, MOST_SLOTS + 1) if _works(units, n, 0)), None)
    if slots is not None:
        ways.append(f"make it {slots} slots")
    more = next((n for n in range(1, MOST_MEMBERS) if _works(units, wish.slots, n)), None)
    if more is not None:
        ways.append(f"make room for {more} more at each place")
    return f"{said}: {' or '.join(ways) or 'split the group'}."


def _works(units: Units, slots: int, more: int) -> bool:
    roomier = units.with_room(more)
    return _most_turns(roomier, slots) >= 1 and _solved(roomier, slots, 1) is not None


def _room(wish: GroupWish) -> str:
    room = sum(place.room for place in wish.places)
    return f"{_counted(len(wish.places), 'place')} with room for {room}"


def _counted(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"
