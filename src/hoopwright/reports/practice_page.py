"""Practice on paper: a plan, one player's sheet, a group's sheet; set by Typst."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from importlib.resources import files

import typst

from hoopwright.plans.group import GroupSheet
from hoopwright.plans.nouns import Drill, PracticePlan
from hoopwright.plans.sheets import SessionSheet
from hoopwright.reports.group_facts import group_facts
from hoopwright.reports.page import FOOTER, INVENTED
from hoopwright.reports.practice_facts import plan_facts, sheet_facts

SAFETY = (
    "Pain, or a knock to the head? Stop for today and see a professional; a coach does not clear. "
    "Local rules and a health professional come first."
)
HOW_TO_READ = (
    "Usual and most days: 8 in 10 runs of so many attempts, by the player's own chart; luck is in "
    "it. A count outside it on one day proves nothing. Mixed shots often go in less often than the "
    "same shots in a row: that is the practice, not the player."
)


def plan_pdf(
    plan: PracticePlan,
    player: str,
    *,
    drills: Sequence[Drill],
    day: str,
    invented: bool = False,
    paper: str = "a4",
) -> bytes:
    """Return a practice plan as a PDF.

    Parameters
    ----------
    plan
        What to print.
    player
        The player's name as it should read.
    drills
        The library.
    day
        Date of print, as it should read.
    invented
        True prints the mark of demo data.
    paper
        A Typst paper name, e.g. ``a4`` or ``us-letter``.
    """
    facts = asdict(plan_facts(plan, player, drills=drills))
    return _printed("plan", {"facts": facts, **_around(day, invented)}, paper)


def sheet_pdf(
    sheet: SessionSheet, player: str, *, day: str, invented: bool = False, paper: str = "a4"
) -> bytes:
    """Return one player's sheet for one visit as a PDF; parameters as ``plan_pdf``."""
    facts = asdict(sheet_facts(sheet, player))
    return _printed("sheet", {"facts": facts, **_around(day, invented)}, paper)


def group_pdf(
    sheet: GroupSheet,
    title: str,
    *,
    drills: Sequence[Drill] = (),
    day: str,
    invented: bool = False,
    paper: str = "a4",
) -> bytes:
    """Return a group's sheet as a PDF: one page for the coach, one for each place.

    Parameters
    ----------
    sheet
        Who goes where when.
    title
        Such as the group's name.
    drills
        The library; needed where members have drills.
    day, invented, paper
        As for ``plan_pdf``.
    """
    facts = asdict(group_facts(sheet, title, drills=drills))
    return _printed("group", {"facts": facts, **_around(day, invented)}, paper)


def _around(day: str, invented: bool) -> Mapping[str, str]:
    return {
        "subtitle": f"{INVENTED} · {day}" if invented else day,
        "footer": FOOTER,
        "safety": SAFETY,
        "how_to_read": HOW_TO_READ,
    }


def _printed(name: str, data: Mapping[str, object], paper: str) -> bytes:
    folder = files("hoopwright.reports").joinpath("templates")
    template = folder.joinpath(f"practice_{name}.typ").read_text(encoding="utf-8")
    style = folder.joinpath("practice_style.typ").read_text(encoding="utf-8")
    pdf = typst.compile(
        f"{style}\n{template}".encode(),
        format="pdf",
        sys_inputs={"facts": json.dumps(data), "paper": paper},
    )
    return bytes(pdf)
