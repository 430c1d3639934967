"""A report for people as a PDF, set by Typst: the player's one page, and all others."""

import json
from collections.abc import Callable, Mapping
from dataclasses import asdict
from importlib.resources import files
from typing import Any

import typst

from hoopwright.reports.figures import Figure, svg
from hoopwright.reports.page import INVENTED
from hoopwright.reports.people.parts import Reader, Report, Section

_FOOTERS = {
    Reader.PLAYER: "Made with Hoopwright.",
    Reader.PARENT: "Made with Hoopwright. Personal data of a child: keep it safe.",
}
_FOOTER = "Made with Hoopwright. Personal data: keep it safe."


def report_pdf(
    report: Report,
    draw: Callable[[str], Figure],
    *,
    day: str,
    paper: str = "a4",
) -> bytes:
    """Return a report as a PDF.

    Parameters
    ----------
    report
        What to print.
    draw
        Draws the picture of a name.
    day
        Date of print, as it should read.
    paper
        A Typst paper name, e.g. ``a4`` or ``us-letter``.
    """
    data = {
        "title": report.title,
        "about": report.about,
        "subtitle": f"{INVENTED} · {day}" if report.invented else day,
        "sections": [_section(one, draw) for one in report.sections],
        "closing": [*report.closing],
        "footer": _FOOTERS.get(report.reader, _FOOTER),
    }
    return _printed(_TEMPLATES.get(report.reader, "people_report"), data, paper)


_TEMPLATES = {Reader.PLAYER: "people_player", Reader.TEAM: "people_half"}


def _section(one: Section, draw: Callable[[str], Figure]) -> Mapping[str, Any]:
    drawn = [draw(name) for name in one.pictures]
    pictures = [
        {"title": f.title, "alt": f.alt, "svg": svg(f.chart), "note": f.note} for f in drawn
    ]
    return asdict(one) | {"pictures": pictures}


def _printed(name: str, data: Mapping[str, object], paper: str) -> bytes:
    folder = files("hoopwright.reports").joinpath("templates")
    style = folder.joinpath("people_style.typ").read_text(encoding="utf-8")
    template = folder.joinpath(f"{name}.typ").read_text(encoding="utf-8")
    pdf = typst.compile(
        f"{style}\n{template}".encode(),
        format="pdf",
        sys_inputs={"facts": json.dumps(data), "paper": paper},
    )
    return bytes(pdf)
