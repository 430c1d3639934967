from uuid import UUID

import pytest
from tests.plans.plan_samples import plan_of

from hoopwright.errors import UnknownName
from hoopwright.plans.assign import assign
from hoopwright.plans.drills import library
from hoopwright.plans.group import GroupSheet, GroupWish, Member, Place
from hoopwright.reports.group_facts import REST, group_facts, slot_title

DRILLS = library()
ITEMS = plan_of().sessions[0].items


def group(count: int = 5, slots: int = 4) -> GroupSheet:
    members = tuple(
        Member(
            player_id=UUID(int=i + 1),
            name=f"Invented {i + 1}",
            needs=("basket", "free-throw line"),
            test_shots=10,
            items=ITEMS,
        )
        for i in range(count)
    )
    places = (Place(name="Basket A", room=2), Place(name="Basket B", room=1))
    return assign(GroupWish(members=members, places=places, slots=slots))


def test_the_table_and_the_places_say_the_same() -> None:
    sheet = group()
    facts = group_facts(sheet, "Tuesday group", drills=DRILLS)
    assert facts.slots[0] == "1: 0–6 min" and len(facts.slots) == 4
    for name, row, shots in facts.rows:
        assert shots == 15 * sum(where != REST for where in row)
        for slot, where in enumerate(row):
            at = [s.name for s in facts.stations if name in [n for n, _ in s.slots[slot][1]]]
            assert at == ([] if where == REST else [where])


def test_each_turn_says_what_is_done_the_test_first() -> None:
    facts = group_facts(group(), "x", drills=DRILLS)
    first = facts.stations[0].slots[0][1][0][1]
    assert first.startswith("Cold test 10, then ") and first.endswith(" 5")
    assert facts.stations[0].about == "ring at 3.05 m, room for 2"


def test_the_summary_says_turns_and_shots() -> None:
    # 3 places · 4 slots for 5 players: 12 turns, so 2 or 3 each
    said = group_facts(group(), "x", drills=DRILLS).summary
    assert said.startswith("5 players at 2 places, 24 minutes: 2 or 3 turns, 30 or 45 shots each.")
    even = group_facts(group(3), "x", drills=DRILLS).summary
    assert "4 turns and 60 shots each" in even


def test_a_place_without_a_ring_and_half_minutes() -> None:
    wall = Place(name="Wall", ring_height=None, features=("wall",))
    member = Member(player_id=UUID(int=1), name="Invented 1", needs=("wall",))
    sheet = assign(GroupWish(members=(member,), places=(wall,), slots=2, minutes_per_slot=2.5))
    facts = group_facts(sheet, "x")
    assert facts.stations[0].about == "no ring, room for 4"
    assert facts.stations[0].slots[0][1] == (("Invented 1", ""),)
    assert slot_title(1, 2.5) == "2: 2.5–5 min"


def test_a_drill_that_is_gone_is_said() -> None:
    with pytest.raises(UnknownName):
        group_facts(group(), "x", drills=DRILLS[:1])
