"""``findings``: a chart table to findings, without a database."""

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from hoopwright.actions.tables_in import LARGEST, read_charts
from hoopwright.chart.findings import Findings
from hoopwright.chart.group import fit_group, prior_for
from hoopwright.chart.infer import read_chart
from hoopwright.chart.posterior import age_of
from hoopwright.cli import options
from hoopwright.cli.files import read_file
from hoopwright.cli.show import as_json, notes_aside, say, with_progress
from hoopwright.errors import BadInput
from hoopwright.records import Chart
from hoopwright.reports.data import findings_data
from hoopwright.reports.facts import ConditionFacts, Facts, facts_of


def findings(
    chart: Annotated[
        Path,
        typer.Argument(
            help="CSV, XLSX, XLS or ODS file of shots, see docs/chart-csv.md; - reads a CSV from "
            "the input stream."
        ),
    ],
    json: options.Json = False,
) -> None:
    """Read a chart of makes and misses: aim, spread, expected makes, and what each change is worth.

    hoopwright findings examples/three_spots.csv
    """
    name = "the input" if str(chart) == "-" else chart.name
    read = read_charts(read_file(chart, largest=LARGEST), name=name)
    charts, left_out = _readable(read.charts)
    found = _read(charts)
    notes = [*read.notes, *left_out]
    if json:
        as_json({"players": [findings_data(one) for one in found], "notes": notes})
        return
    notes_aside(notes)
    told = [facts_of(one) for one in found]
    for one in told:
        _say(one)
    # most players share the prior, so that it is said once, below all
    for line in dict.fromkeys(line for one in told for line in one.prior):
        say(line)


def _readable(charts: Sequence[Chart]) -> tuple[list[Chart], list[str]]:
    """Return the charts that hold shots to read, and a note for each of the others."""
    good = [c for c in charts if any(s.shots and not s.stops_on_makes for s in c.sets)]
    if not good:
        raise BadInput(
            "Every shot in this table is from a drill that stops on a make, which bends the "
            "percentage; chart a set of a fixed number of shots."
        )
    notes = [
        f"{c.player.name} is left out: every shot is from a drill that stops on a make."
        for c in charts
        if c not in good
    ]
    return good, notes


def _read(charts: Sequence[Chart]) -> list[Findings]:
    """Read each player beside the others, as far as they are enough to learn from."""
    group = fit_group(charts)
    return [
        read_chart(c, prior=None if group is None else prior_for(group, age_of(c)))
        for c in with_progress(charts, "Reading charts")
    ]


def _say(facts: Facts) -> None:
    say(facts.player, heading=True)
    for one in facts.conditions:
        _say_condition(one)
    for note in facts.notes:
        say(note)
    say("")


def _say_condition(one: ConditionFacts) -> None:
    say(f"{one.title}: {one.counts}")
    for sentence in (one.make, *one.headline, *one.measures, *one.film, *one.odd_spots):
        say(f"  {sentence}")
    say("  Worth, per 100 shots:")
    for row in one.worth:
        say(f"    {row.name}: {row.gain}; best of these: {row.chance}")
    still_open = [said for said in one.cannot_tell if said not in one.headline]
    for sentence in (*still_open, *(f"Not measured: {said}" for said in one.not_measured)):
        say(f"  {sentence}")
