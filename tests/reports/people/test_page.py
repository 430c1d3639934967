"""Reports on paper: one page for the player, half a page for the team coach, names of readers."""

import re
from collections.abc import Callable
from dataclasses import replace

import pytest
from tests.reports.people_samples import MUCH, NOTHING, STATES, WHOLE, WON

from hoopwright.errors import NotFound
from hoopwright.reports.figures import Figure
from hoopwright.reports.landing_map import Equipment
from hoopwright.reports.people.material import Material
from hoopwright.reports.people.page import report_pdf
from hoopwright.reports.people.parent_report import parent_report
from hoopwright.reports.people.parts import Report, Section
from hoopwright.reports.people.pictures import picture
from hoopwright.reports.people.player_report import player_report
from hoopwright.reports.people.team_report import team_report


def drawing(state: Material, report: Report) -> Callable[[str], Figure]:
    return lambda name: picture(state, name, equipment=Equipment(), reader=report.reader)


def printed(state: Material, report: Report, paper: str = "a4") -> bytes:
    return report_pdf(report, drawing(state, report), day="2 December 2026", paper=paper)


def pages(pdf: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf))


#: the longest of each kind, and the emptiest
@pytest.mark.parametrize("state", ["won", "open", "whole", "nothing", "head knock"])
def test_the_player_gets_one_page(state: str) -> None:
    made = printed(STATES[state], player_report(STATES[state]))
    assert made.startswith(b"%PDF-") and pages(made) == 1


def test_one_page_on_us_letter_paper_too() -> None:
    made = printed(WON, player_report(WON), "us-letter")
    assert pages(made) == 1 and re.search(rb"MediaBox\s*\[0 0 612 792\]", made)


def test_the_team_coach_gets_one_page_at_most_and_the_family_two() -> None:
    assert pages(printed(WHOLE, team_report(WHOLE))) == 1
    assert pages(printed(WHOLE, parent_report(WHOLE))) <= 2


def test_text_typed_by_hand_is_set_as_text() -> None:
    """Nothing typed may run as a command of the typesetter."""
    hard = '#panic("no") $x$ <b> \\ "quoted" *bold*'
    report = replace(
        player_report(NOTHING), title=hard, sections=(Section(title=hard, lines=(hard,)),)
    )
    assert printed(NOTHING, report).startswith(b"%PDF-")


def test_there_is_a_picture_only_where_something_is_to_be_seen() -> None:
    assert MUCH.findings is not None
    reading = MUCH.findings.conditions[0]
    tally = replace(reading.tally, short=0, long=0, left=0, right=0, plain_misses=18)
    habit = replace(reading, tally=tally)
    blind = replace(MUCH, findings=replace(MUCH.findings, conditions=(habit,)))
    assert not [n for s in player_report(blind).sections for n in s.pictures]
    assert [n for s in player_report(MUCH).sections for n in s.pictures] == ["landing"]


def test_every_picture_has_words_for_those_who_cannot_see_it() -> None:
    for report in (player_report(WHOLE), parent_report(WHOLE)):
        for name in (n for one in report.sections for n in one.pictures):
            drawn = drawing(WHOLE, report)(name)
            assert len(drawn.alt) > 40 and drawn.title and drawn.note


def test_an_unknown_picture_is_refused() -> None:
    with pytest.raises(NotFound, match="no such picture"):
        picture(MUCH, "landing-9", equipment=Equipment())
