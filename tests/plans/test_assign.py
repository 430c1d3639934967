from collections import Counter
from dataclasses import replace
from itertools import pairwise
from uuid import UUID

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hoopwright.errors import BadInput
from hoopwright.plans.assign import assign
from hoopwright.plans.fit import SAME_HEIGHT
from hoopwright.plans.group import GroupSheet, GroupWish, Member, Place

LINES = ("free-throw line", "three-point line")


def members(count: int, **change: object) -> tuple[Member, ...]:
    return tuple(
        replace(Member(player_id=UUID(int=i + 1), name=f"Invented {i + 1}"), **change)  # type: ignore[arg-type]
        for i in range(count)
    )


def places(*rooms: int, height: float = 3.05) -> tuple[Place, ...]:
    return tuple(
        Place(name=f"basket {i + 1}", ring_height=height, room=r) for i, r in enumerate(rooms)
    )


@st.composite
def groups(draw: st.DrawFn) -> GroupWish:
    count = draw(st.integers(1, 24))
    heights = draw(
        st.sampled_from([st.just((3.05,)), st.sampled_from([(2.6,), (3.05,), (2.6, 3.05)])])
    )
    needs = st.sampled_from([("basket",), ("basket",), ("basket", LINES[0])])
    people = [replace(one, ring_heights=draw(heights), needs=draw(needs)) for one in members(count)]
    for pair in range(draw(st.integers(0, count // 4))):
        people[2 * pair] = replace(people[2 * pair], partner=people[2 * pair + 1].player_id)
    baskets = [
        Place(
            name=f"basket {i + 1}",
            ring_height=draw(st.sampled_from([2.6, 3.05, 3.05])),
            room=draw(st.integers(1, 5)),
            features=("basket", *draw(st.sampled_from([LINES, LINES, LINES[:1], ()]))),
        )
        for i in range(draw(st.integers(1, 6)))
    ]
    return GroupWish(members=tuple(people), places=tuple(baskets), slots=draw(st.integers(1, 10)))


@given(groups())
@settings(
    max_examples=60, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
def test_any_group_is_assigned_without_a_clash_or_told_why_not(wish: GroupWish) -> None:
    try:
        sheet = assign(wish)
    except BadInput as trouble:
        assert trouble.message.endswith(".") and trouble.field in ("places", "slots")
        assert any(word in trouble.message for word in (";", ":"))  # why, and what would do
        return
    check(sheet)


def check(sheet: GroupSheet) -> None:
    wish = sheet.wish
    assert len(sheet.at) == len(wish.members)
    assert all(len(row) == wish.slots for row in sheet.at)
    for slot in range(wish.slots):
        # one cell is one place, so nobody is at two; room is counted
        count = Counter(row[slot] for row in sheet.at)
        assert all(count[i] <= place.room for i, place in enumerate(wish.places))
    for member, row in zip(wish.members, sheet.at, strict=True):
        for there in row:
            if there is None:
                continue
            place = wish.places[there]
            assert place.ring_height is not None
            assert min(abs(place.ring_height - h) for h in member.ring_heights) <= SAME_HEIGHT
            assert set(member.needs) <= set(place.features)
        if member.partner is not None:
            number = [m.player_id for m in wish.members].index(member.partner)
            assert sheet.at[number] == row
    turns = [sheet.turns(i) for i in range(len(wish.members))]
    assert min(turns) >= 1 and max(turns) - min(turns) <= 1


@given(st.integers(1, 24), st.lists(st.integers(1, 5), min_size=1, max_size=6), st.integers(1, 10))
@settings(max_examples=40, deadline=None, derandomize=True)
def test_no_turn_is_lost_where_all_places_fit_all_players(
    count: int, rooms: list[int], slots: int
) -> None:
    """Counting, closed form: all get floor(places · slots / players) turns, never above the slots.

    Beyond that no place stays free while somebody could still have one turn more than the others.
    """
    wish = GroupWish(members=members(count), places=places(*rooms), slots=slots)
    even = min(slots, sum(rooms) * slots // count)
    if even == 0:
        with pytest.raises(BadInput, match="can't all have a turn"):
            assign(wish)
        return
    sheet = assign(wish)
    check(sheet)
    turns = [sheet.turns(i) for i in range(count)]
    assert min(turns) == even
    assert sum(turns) == min(sum(rooms) * slots, count * min(even + 1, slots))


def test_twenty_players_at_four_baskets() -> None:
    wish = GroupWish(members=members(20), places=places(4, 4, 3, 3), slots=10)
    sheet = assign(wish)
    check(sheet)
    assert {sheet.turns(i) for i in range(20)} == {7}  # 14 · 10 / 20
    assert sheet.shots(0) == 7 * 15
    seen = [len({p for p in row if p is not None}) for row in sheet.at]
    assert min(seen) >= 3  # nobody stands at one basket all day
    in_row = [step for row in sheet.at for step in pairwise(row)]
    rests = sum(a is None and b is None for a, b in in_row)
    assert rests <= 10  # of 60 rest slots
    assert sum(len(sheet.members_at(p, 0)) for p in range(4)) == 14


def test_the_same_group_gives_the_same_sheet() -> None:
    wish = GroupWish(members=members(7), places=places(2, 3), slots=6)
    assert assign(wish) == assign(wish)


@pytest.mark.parametrize(
    ("wish", "said"),
    [
        (
            GroupWish(members=members(2, ring_heights=(2.6,)), places=places(4), slots=4),
            "No basket has a ring at 2.60 m for Invented 1; set one to that height",
        ),
        (
            GroupWish(members=members(1, needs=("basket", "wall")), places=places(4), slots=4),
            "No place has a wall for Invented 1; add one",
        ),
        (
            GroupWish(
                members=(
                    members(1, partner=UUID(int=2))[0], *members(2)[1:],
                ),
                places=places(1, 1),
                slots=4,
            ),
            "Invented 1 and Invented 2 stay together, but no place has room for 2; make room",
        ),
        (
            GroupWish(members=members(20), places=places(2), slots=5),
            "20 players can't all have a turn at 1 place with room for 2 in 5 slots: make it 10 "
            "slots or make room for 2 more at each place.",
        ),
        (
            GroupWish(
                members=members(1, needs=("basket", "wall")),
                places=(
                    Place(name="a", ring_height=2.6, features=("basket", "wall")),
                    Place(name="b"),
                ),
                slots=2,
            ),
            "No single place has both the ring and the lines for Invented 1",
        ),
        (
            GroupWish(members=members(1, partner=UUID(int=99)), places=places(1), slots=1),
            "Invented 1's partner is not in the group",
        ),
        (
            GroupWish(members=(*members(1), *members(1)), places=places(1), slots=1),
            "in the group twice",
        ),
        (GroupWish(members=(), places=places(1), slots=1), "1 to 40 players"),
        (GroupWish(members=members(1), places=(), slots=1), "1 to 12 places"),
        (GroupWish(members=members(1), places=places(1), slots=0), "1 to 24 slots"),
        (GroupWish(members=members(1), places=places(0), slots=1), "at least one player"),
        (
            GroupWish(members=members(1), places=places(1), slots=1, shots_per_slot=0),
            "shots and minutes above 0",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_done_is_said_with_what_would_do(wish: GroupWish, said: str) -> None:
    with pytest.raises(BadInput) as trouble:
        assign(wish)
    assert said in trouble.value.message


def test_what_the_message_advises_does_it() -> None:
    wish = GroupWish(members=members(20), places=places(2), slots=5)
    check(assign(replace(wish, slots=10)))
    check(assign(replace(wish, places=places(4))))


def test_a_narrow_ring_sets_the_turns_of_all() -> None:
    """Six young ones share one low basket for 2 over 6 slots: 2 turns each, so 2 or 3 for all."""
    young = members(6, ring_heights=(2.6,))
    old = tuple(replace(one, player_id=UUID(int=100 + i)) for i, one in enumerate(members(6)))
    low = Place(name="low", ring_height=2.6, room=2)
    wish = GroupWish(members=(*young, *old), places=(low, *places(4, 4)), slots=6)
    sheet = assign(wish)
    check(sheet)
    assert {sheet.turns(i) for i in range(6)} == {2}
    assert {sheet.turns(i) for i in range(6, 12)} == {3}


def test_partners_of_partners_stay_together() -> None:
    three = list(members(5))
    three[0] = replace(three[0], partner=three[1].player_id)
    three[1] = replace(three[1], partner=three[2].player_id)
    sheet = assign(GroupWish(members=tuple(three), places=places(3, 1), slots=6))
    check(sheet)
    assert sheet.at[0] == sheet.at[1] == sheet.at[2]
