"""Pictures and paper of trials."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from tests.reports.test_page import pages
from tests.reports.trial_samples import LANDING, QUESTION, SMALL, SPOT, estimate, plan, verdict

from hoopwright.reports.colours import SCHEMES
from hoopwright.reports.figures import specification, svg
from hoopwright.reports.trial_figures import many_figure, verdict_figure
from hoopwright.reports.trial_sheet import block_note, order_sheet
from hoopwright.trials.design import layout_for, order_rows
from hoopwright.trials.nouns import Measure, Topic


@pytest.mark.parametrize("colours", SCHEMES)
def test_makes_and_centimetres_have_a_panel_each(colours: str) -> None:
    figure = verdict_figure(QUESTION, verdict(), scheme=SCHEMES[colours])
    panels = specification(figure.chart, SCHEMES[colours])["vconcat"]
    titles = [one["layer"][1]["encoding"]["x"]["title"] for one in panels]
    assert titles == ["makes per 100 shots", "cm"]
    assert ET.fromstring(svg(figure.chart, SCHEMES[colours])).tag.endswith("svg")
    assert "could be" in figure.alt and len(figure.table) == 3


def test_ranges_differ_by_thickness_so_that_black_and_white_is_enough() -> None:
    drawn = specification(verdict_figure(LANDING, verdict()).chart)["vconcat"][0]["layer"]
    widths = [one["mark"]["strokeWidth"] for one in drawn if one["mark"]["type"] == "rule"]
    assert sorted(set(widths)) == [1, 3, 8, 14]


def test_many_players_are_drawn_in_the_unit_said() -> None:
    rows = [("average", estimate(0.03, 0.02)), ("Player 1", estimate(0.05, 0.04))]
    figure = many_figure(rows, name="x", title="X", measure=Measure.ALONG)
    sets = specification(figure.chart)["datasets"].values()
    assert [[row["value"] for row in rows] for rows in sets if "said" in rows[0]] == [[3.0, 5.0]]
    assert figure.table[1][1].startswith("3.0 cm longer (likely")


def test_the_order_prints_every_block_on_few_pages() -> None:
    pdf = order_sheet(plan(), player="Invented Ash", day="25 November 2026", invented=True)
    assert pages(pdf) == 1
    usual = plan(layout=layout_for(Topic.CUE))
    assert 1 <= pages(order_sheet(usual, player="Invented Ash", day="25 November 2026")) <= 3
    learnt = plan(replace(QUESTION, topic=Topic.DIP), layout_for(Topic.DIP))
    assert pages(order_sheet(learnt, player="Invented Ash", day="25 November 2026")) <= 3


def test_names_are_text_and_never_markup() -> None:
    name = 'A #panic("no") *b* $x$ [y] "z" \\ <label> @ref // é 李'
    question = replace(QUESTION, what=name, change=name, spots=(replace(SPOT, name=name),))
    assert pages(order_sheet(plan(question), player=name, day=name)) >= 1


def test_what_counts_is_said_of_each_block() -> None:
    first, second = (block_note(row) for row in order_rows(plan())[:2])
    assert first == "50 shots to get used to it; none counts"
    assert second == "10 shots; the first 2 don't count"
    one = order_rows(plan(layout=replace(SMALL, washout=1)))[1]
    assert block_note(one) == "9 shots; the first doesn't count"
    learnt = plan(replace(QUESTION, topic=Topic.DIP), layout_for(Topic.DIP))
    notes = [block_note(row) for row in order_rows(learnt)]
    assert notes[0] == "habit test, 30 shots" and notes[-1] == "cold test, 30 shots"
    assert any(re.match("test on the way", one) for one in notes)
