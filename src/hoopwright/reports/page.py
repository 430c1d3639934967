"""Facts and figures → one printed page (PDF), set by Typst."""

import json
from collections.abc import Mapping, Sequence
from importlib.resources import files

import typst

from hoopwright.chart.findings import ConditionReading, Findings
from hoopwright.records import ShotSet
from hoopwright.reports.facts import ConditionFacts, condition_facts, facts_of
from hoopwright.reports.figures import Figure, figures_of, svg
from hoopwright.reports.landing_map import Equipment

HOW_TO_READ = (
    "Likely: 8 chances in 10 that the true value is inside the range. Could be: 19 in 20. "
    "Shots still needed: for most players like this one, by simulation. A small chart "
    "gives a wide range: that is the chart, not the player."
)
FOOTER = "Made with Hoopwright. Stop on pain; a head knock ends the day. Keep children's data safe."
INVENTED = "Invented player: demo data"


def findings_pdf(
    findings: Findings,
    sets: Sequence[ShotSet] = (),
    *,
    day: str,
    invented: bool = False,
    equipment: Equipment | None = None,
    paper: str = "a4",
) -> bytes:
    """Return the findings of one player as a PDF.

    Parameters
    ----------
    findings
        What to print.
    sets
        The sets read, for the tapped points on the landing map.
    day
        Date of print, as it should read.
    invented
        True prints the mark of demo data.
    equipment
        Ring and ball drawn to scale.
    paper
        A Typst paper name, e.g. ``a4`` or ``us-letter``.
    """
    facts = facts_of(findings)
    data = {
        "title": f"Findings: {facts.player}",
        "subtitle": f"{INVENTED} · {day}" if invented else day,
        "footer": FOOTER,
        "conditions": [
            _condition(reading, _sets_of(reading, sets), equipment)
            for reading in findings.conditions
        ],
        "notes": list(facts.notes),
        "how_to_read": HOW_TO_READ,
    }
    template = files("hoopwright.reports").joinpath("templates/findings.typ").read_bytes()
    pdf = typst.compile(
        template, format="pdf", sys_inputs={"facts": json.dumps(data), "paper": paper}
    )
    return bytes(pdf)


def _sets_of(reading: ConditionReading, sets: Sequence[ShotSet]) -> tuple[ShotSet, ...]:
    return tuple(one for one in sets if one.condition == reading.condition)


def _condition(
    reading: ConditionReading, sets: Sequence[ShotSet], equipment: Equipment | None
) -> Mapping[str, object]:
    facts: ConditionFacts = condition_facts(reading)
    return {
        "title": facts.title,
        "counts": facts.counts,
        "make": facts.make,
        "of_ten": facts.of_ten,
        "headline": [*facts.headline],
        "film": [*facts.film],
        "worth": [[w.name, w.gain, w.chance] for w in facts.worth],
        "odd_spots": [*facts.odd_spots],
        "open_questions": [list(pair) for pair in facts.open_questions],
        "not_measured": [*facts.not_measured],
        "pictures": [_picture(one) for one in figures_of(reading, sets, equipment=equipment)],
    }


def _picture(figure: Figure) -> Mapping[str, str]:
    return {"title": figure.title, "alt": figure.alt, "svg": svg(figure.chart)}
