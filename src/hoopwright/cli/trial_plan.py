"""``trial plan``: a question becomes an order to shoot in, with what it can and can't tell."""

import os
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from enum import StrEnum
from pathlib import Path
from typing import Annotated, TypeVar
from uuid import uuid4

import typer

from hoopwright.actions.people import find_player
from hoopwright.actions.trials import TrialView, TrialWish, foretold, plan_trial, view_trial
from hoopwright.cli import options
from hoopwright.cli.files import write_file
from hoopwright.cli.options import plain
from hoopwright.cli.show import as_json, say
from hoopwright.court.frame import spot_named
from hoopwright.errors import BadInput
from hoopwright.film.results import Body
from hoopwright.records import Player, Spot
from hoopwright.reports.trial_data import plan_data
from hoopwright.reports.trial_plan_facts import plan_facts
from hoopwright.reports.trial_sheet import block_note, order_sheet
from hoopwright.reports.trial_words import body_measure, unit_of
from hoopwright.reports.words import listed, opened
from hoopwright.settings import Settings
from hoopwright.store.engine import open_database
from hoopwright.trials.design import kind_for, layout_for
from hoopwright.trials.nouns import (
    Better,
    BodyMeasure,
    Kind,
    Layout,
    Measure,
    Question,
    Topic,
)

_Named = TypeVar("_Named", bound=StrEnum)


_Player = Annotated[str, typer.Option(help="The player's name, or Name (year of birth).")]
_Change = Annotated[str, typer.Option(help="What is tried, as the player is told it.")]
_Habit = Annotated[str, typer.Option(help="What the present way is called.")]
_Asked = Annotated[str, typer.Option(help="The question in your own words.")]
_Topic = Annotated[
    str, typer.Option(help="What kind of thing it is, such as feet turn, cue or dip.")
]
_Measure = Annotated[
    str,
    typer.Option(
        help="make, along, across, distance control, line control, entry angle, or a measure of "
        "the body such as stance turn."
    ),
]
_Better = Annotated[str, typer.Option(help="Hoped for: more, less, or (of the body) steadier.")]
_Spots = Annotated[
    list[str] | None,
    typer.Option("--spot", help="Where from; may be given several times. Free throw if left out."),
]
_Kind = Annotated[
    str, typer.Option(help="paired, mirrored or phases; as usual for the topic if left out.")
]
_Pairs = Annotated[
    int | None, typer.Option(help="Pairs or fours of blocks; in phases, tests on the way.")
]
_Shots = Annotated[int | None, typer.Option(help="Shots of a block that count.")]
_Washout = Annotated[
    int | None, typer.Option(help="First shots of a block, noted and not counted.")
]
_Used = Annotated[int | None, typer.Option(help="Shots with the change before it is compared.")]
_Days = Annotated[int | None, typer.Option(help="Visits; in phases, habit tests.")]
_Every = Annotated[int | None, typer.Option(help="Days from one visit to the next.")]
_Start = Annotated[str, typer.Option(help="First day, as 2026-11-25; today if left out.")]
_Stop = Annotated[str, typer.Option(help="Shots of later days don't count.")]
_Smallest = Annotated[
    float | None,
    typer.Option(help="Smallest difference worth knowing: makes per 100, cm or degrees."),
]
_Also = Annotated[list[str] | None, typer.Option(help="Anything else changed along with it.")]
_Watched = Annotated[int, typer.Option(help="How many measures are looked at.")]
_Seed = Annotated[int | None, typer.Option(help="The order follows from it; drawn if left out.")]
_Sheet = Annotated[Path | None, typer.Option(help="PDF to write the order to.")]
_Overwrite = Annotated[bool, typer.Option("--overwrite", help="Replace the PDF if it is there.")]


def plan(
    player: _Player,
    change: _Change,
    habit: _Habit = "habit",
    question: _Asked = "",
    topic: _Topic = "other",
    measure: _Measure = "make",
    better: _Better = "more",
    spot: _Spots = None,
    kind: _Kind = "",
    pairs: _Pairs = None,
    shots: _Shots = None,
    washout: _Washout = None,
    familiarisation: _Used = None,
    days: _Days = None,
    every: _Every = None,
    start: _Start = "",
    stop: _Stop = "",
    smallest: _Smallest = None,
    also: _Also = None,
    watched: _Watched = 1,
    seed: _Seed = None,
    sheet: _Sheet = None,
    overwrite: _Overwrite = False,
    who: options.Who = "command line",
    data: options.Data = None,
    json: options.Json = False,
) -> None:
    """Plan a trial of a change against the habit, and tell what it can and can't find.

    hoopwright trial plan --player "Sample Player" --change "feet turned" --topic "feet turn"
    """
    about, asked = named(topic, Topic, "--topic"), measured(measure, better)
    layout = sized(
        about, kind, pairs=pairs, shots_per_block=shots, washout=washout,
        familiarisation=familiarisation, days=days, every=every,
    )  # fmt: skip
    first, last = day(start, "--start") or date.today(), day(stop, "--stop")
    _check_free(sheet, overwrite)
    ways = named(better, Better, "--better")
    with open_database(Settings.from_env(os.environ, data=data).database).session() as session:
        found = find_player(session, player)
        wanted = Question(
            what=question, change=change, habit=habit, topic=about, measure=asked, better=ways,
            spots=_spots(found, spot or ["free throw"]), smallest=_smallest(smallest, asked),
            also_changed=tuple(also or ()), measures_watched=watched,
        )  # fmt: skip
        wish = TrialWish(
            id=uuid4(), player_id=found.id, question=wanted, layout=layout, start=first,
            seed=seed, stop_day=last,
        )  # fmt: skip
        view = view_trial(session, plan_trial(session, wish, who=who).id)
    _give(view, sheet=sheet, json=json)


def _check_free(sheet: Path | None, overwrite: bool) -> None:
    if sheet is not None and sheet.exists() and not overwrite:
        raise BadInput(f"{sheet} is there already; choose another name or add --overwrite.")


def _smallest(typed: float | None, measure: Measure | BodyMeasure) -> float | None:
    """Return the smallest difference in the unit inside."""
    if typed is None:
        return None
    return plain(typed, "--smallest", low=0.001, high=1000.0) / unit_of(measure).factor


def _give(view: TrialView, *, sheet: Path | None, json: bool) -> None:
    if sheet is not None:
        write_file(sheet, _printed(view))
    if json:
        as_json({"player": view.player.name, **plan_data(view.trial.plan, foretold(view))})
    else:
        _say(view)


def named(typed: str, kind: type[_Named], option: str) -> _Named:
    """Read one of a list of names."""
    for one in kind:
        if one.value == typed.strip().lower():
            return one
    names = listed([one.value for one in kind])
    raise BadInput(f"{option} can't be {typed!r}; choose one of {names}.", field=option)


def measured(typed: str, better: str) -> Measure | BodyMeasure:
    """Read what a trial is decided on."""
    name = typed.strip().lower()
    for body in Body:
        if body.value == name:
            return body_measure(body, named(better, Better, "--better"))
    if name not in {one.value for one in Measure}:
        raise BadInput(
            f"--measure can't be {typed!r}; choose make, along, across, distance control, line "
            "control, entry angle or a measure of the body, such as stance turn.",
            field="--measure",
        )
    return Measure(name)


def sized(topic: Topic, kind: str, **sizes: int | None) -> Layout:
    """Return the layout asked for; sizes left out are as usual for the kind."""
    asked = named(kind, Kind, "--kind") if kind else kind_for(topic)
    usual = layout_for(Topic.DIP if asked is Kind.PHASES else Topic.CUE)
    pairs = usual.pairs // 2 if asked is Kind.MIRRORED else usual.pairs
    given = {name: value for name, value in sizes.items() if value is not None}
    return replace(usual, kind=asked, **({"pairs": pairs} | given))


def day(typed: str, option: str) -> date | None:
    """Read a day; None where none is given."""
    try:
        return date.fromisoformat(typed) if typed else None
    except ValueError as trouble:
        raise BadInput(
            f"{option} is not a day: {typed!r}; write it like 2026-11-25.", field=option
        ) from trouble


def _spots(player: Player, names: Sequence[str]) -> tuple[Spot, ...]:
    return tuple(spot_named(name, player.rules) for name in dict.fromkeys(names))


def _printed(view: TrialView) -> bytes:
    today = date.today()
    return order_sheet(
        view.trial.plan,
        player=view.player.name,
        day=f"{today.day} {today:%B %Y}",
        invented=view.player.invented,
    )


def _say(view: TrialView) -> None:
    plan = view.trial.plan
    facts = plan_facts(plan, foretold(view))
    say(f"{view.player.name}: {plan.question.change}", heading=True)
    for line in (facts.question, facts.layout, facts.cost):
        say(line)
    for line in (*facts.can, *facts.cannot):
        say(f"  {line}")
    if facts.cheaper:
        say(f"  {facts.cheaper}")
    say(f"Trial {plan.id}, seed {plan.seed}")
    visit = 0
    for row in (one.row for one in view.blocks):
        if row.day != visit:
            visit = row.day
            say(f"Visit {visit}" + (f", {row.due}" if row.due else ""))
        say(f"  {row.number}. {opened(row.way)}, {row.spot}: {block_note(row)}")
