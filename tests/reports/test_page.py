import re
from dataclasses import replace

import pytest
from tests.reports.samples import FILMED, SHORT, SHORT_READING, YOUNG

from hoopwright.chart.findings import Findings
from hoopwright.reports.page import findings_pdf


def pages(pdf: bytes) -> int:
    assert pdf.startswith(b"%PDF-")
    return len(re.findall(rb"/Type\s*/Page\b", pdf))


@pytest.mark.parametrize("findings", [SHORT, YOUNG, FILMED], ids=["clear", "few shots", "filmed"])
def test_one_condition_prints_on_one_page(findings: Findings) -> None:
    pdf = findings_pdf(findings, day="25 November 2026", invented=True)
    assert pages(pdf) == 1


def test_names_are_text_and_never_markup() -> None:
    """Typst markup in a name would run code or break the page if it were spliced in."""
    name = 'A #panic("no") *b* $x$ [y] "z" \\ <label> @ref // é 李'
    spot = replace(SHORT_READING.spots[0], spot=replace(SHORT_READING.spots[0].spot, name=name))
    reading = replace(SHORT_READING, condition=name, spots=(spot,))
    findings = replace(SHORT, player_name=name, conditions=(reading,))
    pdf = findings_pdf(findings, day="25 November 2026")
    assert pages(pdf) == 1


def test_the_printed_page_is_tagged_for_screen_readers() -> None:
    """PDF 1.7, 14.8: a tagged PDF says so and has a structure tree; pictures carry /Alt."""
    pdf = findings_pdf(SHORT, day="25 November 2026")
    assert b"/StructTreeRoot" in pdf and b"/Marked true" in pdf
    assert pdf.count(b"/Alt") >= 4


def test_each_condition_is_printed() -> None:
    change = replace(SHORT_READING, condition="feet turned")
    pdf = findings_pdf(replace(SHORT, conditions=(SHORT_READING, change)), day="25 November 2026")
    assert pages(pdf) == 2
