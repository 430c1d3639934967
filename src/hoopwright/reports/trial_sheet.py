"""The order of a trial on paper: black on white, a box for each shot, the seed to check it by."""

import itertools
import json
from collections.abc import Mapping, Sequence
from datetime import date
from importlib.resources import files

import typst

from hoopwright.reports import words
from hoopwright.reports.page import FOOTER, INVENTED
from hoopwright.reports.trial_plan_facts import (
    layout_sentence,
    noted_sentence,
    question_sentence,
)
from hoopwright.trials.design import OrderRow, order_rows
from hoopwright.trials.nouns import Phase, TrialPlan

#: most boxes drawn for a block; longer ones are counted on a line
MOST_BOXES = 40
_LETTERS = (
    "In each box one letter: m made, s short, d deep (long), l left, r right, x missed. Grey boxes "
    "are washout shots: write them down, they don't count."
)


def order_sheet(
    plan: TrialPlan, *, player: str, day: str, invented: bool = False, paper: str = "a4"
) -> bytes:
    """Return the order of a trial as a PDF to shoot by.

    Parameters
    ----------
    plan
        The trial.
    player
        Whose it is.
    day
        Date of print, as it should read.
    invented
        True prints the mark of demo data.
    paper
        A Typst paper name, e.g. ``a4`` or ``us-letter``.
    """
    question = plan.question
    data = {
        "title": f"Trial: {player}",
        "subtitle": f"{INVENTED} · {day}" if invented else day,
        "footer": FOOTER,
        "question": question.what,
        "ways": question_sentence(question),
        "layout": layout_sentence(plan),
        "seed": f"Seed of the order: {plan.seed}. Shoot the blocks in this order.",
        "noted": " ".join(line for line in (noted_sentence(question.measure), _LETTERS) if line),
        "days": [_day(rows) for rows in _by_day(plan)],
    }
    template = files("hoopwright.reports").joinpath("templates/trial.typ").read_bytes()
    pdf = typst.compile(
        template, format="pdf", sys_inputs={"facts": json.dumps(data), "paper": paper}
    )
    return bytes(pdf)


def _by_day(plan: TrialPlan) -> list[list[OrderRow]]:
    return [list(rows) for _, rows in itertools.groupby(order_rows(plan), key=lambda r: r.day)]


def _day(rows: Sequence[OrderRow]) -> Mapping[str, object]:
    due = rows[0].due
    return {
        "title": f"Visit {rows[0].day}" + (f", {_date(due)}" if due else ""),
        "blocks": [_block(row) for row in rows],
    }


def _block(row: OrderRow) -> Mapping[str, object]:
    total = row.washout + row.shots
    counted = row.phase is not Phase.FAMILIARISATION
    return {
        "number": str(row.number),
        "way": words.opened(row.way),
        "spot": words.opened(row.spot),
        "note": block_note(row),
        "grey": row.washout if counted else total,
        "boxes": total if total <= MOST_BOXES else 0,
    }


def block_note(row: OrderRow) -> str:
    """Say how many shots a block has and which of them count."""
    shots = words.plural(row.washout + row.shots, "shot")
    if row.phase is Phase.FAMILIARISATION:
        return f"{shots} to get used to it; none counts"
    kind = {
        Phase.BASELINE: "habit test",
        Phase.PROBE: "test on the way",
        Phase.DELAYED: "cold test",
    }
    named = f"{kind[row.phase]}, " if row.phase in kind else ""
    if not row.washout:
        return f"{named}{shots}"
    first = "first" if row.washout == 1 else f"first {row.washout}"
    verb = "doesn't" if row.washout == 1 else "don't"
    return f"{named}{shots}; the {first} {verb} count"


def _date(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
