from dataclasses import replace
from uuid import UUID

import numpy as np
import pytest
from tests.plans.plan_samples import WISH, plan_of, turned
from tests.reports.test_group_facts import group
from tests.reports.test_page import pages

from hoopwright.plans.assign import assign
from hoopwright.plans.drills import library, with_drill
from hoopwright.plans.group import GroupWish, Member, Place
from hoopwright.plans.nouns import Cue, Focus, PlanItem
from hoopwright.plans.sheets import session_sheet
from hoopwright.records import Spot
from hoopwright.reports.practice_page import group_pdf, plan_pdf, sheet_pdf

DRILLS = library()
PLAN = plan_of(turned())
DAY = "25 November 2026"
#: Typst markup in a name would run code or break the page if it were spliced in
MARKUP = 'A #panic("no") *b* $x$ [y] "z" \\ <label> @ref // é 李'


def test_a_plan_of_three_weeks_fits_on_two_pages() -> None:
    assert pages(plan_pdf(PLAN, "Invented Ash", drills=DRILLS, day=DAY, invented=True)) == 2


@pytest.mark.parametrize("number", [1, 5, 9])
def test_a_visit_of_a_hundred_shots_fits_on_one_page(number: int) -> None:
    sheet = session_sheet(PLAN, number, drills=DRILLS, rng=np.random.default_rng(1))
    assert pages(sheet_pdf(sheet, "Invented Ash", day=DAY)) == 1


def test_a_group_has_a_page_for_the_coach_and_one_for_each_place() -> None:
    assert pages(group_pdf(group(), "Tuesday group", drills=DRILLS, day=DAY)) == 3


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_the_longest_plan_and_group_print(paper: str) -> None:
    wish = replace(WISH, weeks=6, weekdays=tuple(range(7)), shots=300)
    assert pages(plan_pdf(plan_of(wish), "x", drills=DRILLS, day=DAY, paper=paper)) >= 3
    many = tuple(Member(player_id=UUID(int=i + 1), name=f"Invented {i}") for i in range(24))
    places = tuple(Place(name=f"Basket {i}", room=5) for i in range(6))
    sheet = assign(GroupWish(members=many, places=places, slots=24, shots_per_slot=40))
    assert pages(group_pdf(sheet, "x", day=DAY, paper=paper)) >= 7


def test_names_are_text_and_never_markup() -> None:
    focus: Focus = replace(WISH.focus, name=MARKUP, reason=MARKUP)
    own = with_drill(DRILLS, replace(DRILLS[0], key="own", name=MARKUP, set_up=MARKUP))
    wish = replace(
        WISH, focus=focus, cue=Cue(text=MARKUP), spots=(Spot(name=MARKUP, x=0.0, y=4.2),)
    )
    plan = plan_of(wish)
    item = PlanItem(drill="own", shots=12, minutes=2, spots=wish.spots, note=MARKUP)
    session = replace(plan.sessions[0], items=(item,))
    plan = replace(plan, sessions=(session, *plan.sessions[1:]), notes=(MARKUP,))
    assert pages(plan_pdf(plan, MARKUP, drills=own, day=MARKUP)) == 2
    sheet = session_sheet(plan, 1, drills=own, rng=np.random.default_rng(1))
    assert pages(sheet_pdf(sheet, MARKUP, day=MARKUP)) == 1
    grouped = group()
    members = (replace(grouped.wish.members[0], name=MARKUP), *grouped.wish.members[1:])
    named = replace(grouped, wish=replace(grouped.wish, members=members))
    assert pages(group_pdf(named, MARKUP, drills=DRILLS, day=MARKUP)) == 3


def test_prints_are_tagged_for_screen_readers() -> None:
    """PDF 1.7, 14.8: a tagged PDF says so and has a structure tree."""
    pdf = plan_pdf(PLAN, "Invented Ash", drills=DRILLS, day=DAY)
    assert b"/StructTreeRoot" in pdf and b"/Marked true" in pdf
