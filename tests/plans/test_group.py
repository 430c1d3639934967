from collections import Counter
from dataclasses import replace
from uuid import UUID

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.plans.plan_samples import plan_of

from hoopwright.plans.drills import library
from hoopwright.plans.group import Member, Work, member_of, turns_of
from hoopwright.plans.nouns import PlanItem
from hoopwright.records import Player

DRILLS = library()


def test_a_member_takes_needs_from_the_drills_and_the_ring_from_the_player() -> None:
    player = Player(id=UUID(int=1), name="Invented Ash", ring_height=2.6)
    items = [
        PlanItem(drill="wall-shots", shots=10, minutes=1),
        PlanItem(drill="free-throws-in-pairs", shots=10, minutes=3),
    ]
    member = member_of(player, items, drills=DRILLS, test_shots=10)
    assert member.needs == ("basket", "free-throw line", "wall")
    assert member.ring_heights == (2.6,)
    assert member_of(player).needs == ("basket",)


@settings(derandomize=True, deadline=None)
@given(
    st.lists(st.integers(1, 60), max_size=6),
    st.integers(1, 10),
    st.integers(1, 30),
    st.integers(0, 30),
)
def test_each_turn_has_exactly_its_shots_and_the_test_comes_first(
    shots: list[int], turns: int, per_slot: int, test: int
) -> None:
    items = tuple(PlanItem(drill=f"d{i}", shots=n, minutes=1) for i, n in enumerate(shots))
    member = Member(player_id=UUID(int=1), name="x", test_shots=test, items=items)
    dealt = turns_of(member, turns, per_slot)
    assert len(dealt) == turns
    counts = [sum(work.shots for work in part) for part in dealt]
    if items:
        assert counts == [per_slot] * turns
    flat = [work for part in dealt for work in part]
    assert sum(w.shots for w in flat if w.drill == "") == min(test, turns * per_slot)
    order = [w.drill for w in flat if w.drill]
    assert order == sorted(order) and (not flat or test == 0 or flat[0].drill == "")


def test_drills_keep_their_shares_to_within_a_turn() -> None:
    items = plan_of().sessions[0].items
    member = Member(player_id=UUID(int=1), name="x", test_shots=10, items=items)
    dealt = turns_of(member, 9, 10)
    assert dealt[0] == (Work(drill="", shots=10),)
    member = replace(member, test_shots=0)
    turns = Counter(part[0].drill for part in turns_of(member, 9, 10))
    asked = sum(item.shots for item in items)
    assert all(abs(turns[i.drill] - 9 * i.shots / asked) < 1 for i in items)
    assert all(len(part) == 1 for part in turns_of(member, 9, 10))


def test_the_test_is_filled_up_with_the_first_drill() -> None:
    items = (PlanItem(drill="a", shots=10, minutes=1), PlanItem(drill="b", shots=20, minutes=1))
    member = Member(player_id=UUID(int=1), name="x", test_shots=10, items=items)
    a, b, test = (Work(drill=k, shots=n) for k, n in (("a", 5), ("b", 15), ("", 10)))
    assert turns_of(member, 3, 15) == ((test, a), (b,), (b,))
