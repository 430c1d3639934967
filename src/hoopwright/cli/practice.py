"""``practice``: make a plan, or tell what the plan that goes on says."""

import os
from datetime import date
from pathlib import Path
from typing import Annotated
from uuid import uuid4

import typer
from sqlalchemy.orm import Session

from hoopwright.actions import plans
from hoopwright.actions.people import find_player
from hoopwright.cli import options
from hoopwright.cli.files import write_file
from hoopwright.cli.practice_show import as_data, say_nothing_yet, say_plan
from hoopwright.cli.show import as_json, say
from hoopwright.court.frame import spot_named
from hoopwright.errors import BadInput
from hoopwright.plans.nouns import Cue, Focus, FocusFrom, FocusKind, Wish
from hoopwright.records import Player
from hoopwright.reports.practice_page import plan_pdf
from hoopwright.reports.practice_words import WEEKDAYS
from hoopwright.settings import Settings
from hoopwright.store.engine import open_database

Weeks = Annotated[int, typer.Option(help="How many weeks, 1 to 6.")]
Days = Annotated[
    str, typer.Option(help="Days of practice, by their first three letters: mon,wed,fri.")
]


def practice(
    player: Annotated[str, typer.Option(help="The player's name, or Name (year of birth).")],
    cue: Annotated[
        str | None,
        typer.Option(help="Make a plan with this cue: the one thing to think of, in few words."),
    ] = None,
    focus: Annotated[
        str | None,
        typer.Option(
            help="What the plan is about; what findings and trials put first if left out."
        ),
    ] = None,
    start: Annotated[
        str | None, typer.Option(help="First day, as 2026-11-25; today if left out.")
    ] = None,
    weeks: Weeks = 3,
    days: Days = "mon,wed,fri",
    shots: Annotated[int, typer.Option(help="Shots a visit, the cold test among them.")] = 60,
    spot: Annotated[
        list[str] | None,
        typer.Option(help="Named spot to shoot from; may be given several times."),
    ] = None,
    pdf: Annotated[Path | None, typer.Option(help="Write the plan as a PDF too.")] = None,
    who: Annotated[
        str, typer.Option("--who", help="Who does this, for the log of changes.")
    ] = "command line",
    data: options.Data = None,
    json: options.Json = False,
) -> None:
    """Tell what a player's plan says; with a cue, make the plan first.

    hoopwright practice --player "Sample Player"
    hoopwright practice --player "Sample Player" --cue "land where I left" --weeks 2
    """
    settings = Settings.from_env(os.environ, data=data)
    database = open_database(settings.database)
    if cue is not None:
        with database.session() as session:
            found = find_player(session, player)
            wish = Wish(
                player_id=found.id,
                focus=_focus(session, found, focus),
                cue=Cue(text=cue),
                start=_day(start),
                weeks=weeks,
                weekdays=_weekdays(days),
                shots=shots,
                spots=tuple(spot_named(one, found.rules) for one in spot or ["free throw"]),
            )
            plans.plan_practice(session, wish, plan_id=uuid4(), who=who)
    with database.reading() as session:
        _tell(session, find_player(session, player), pdf=pdf, json=json)


def _tell(session: Session, found: Player, *, pdf: Path | None, json: bool) -> None:
    kept = plans.running_plan(session, found.id)
    if kept is None:
        if pdf is not None:
            raise BadInput("No plan goes on to be printed; make one with --cue.", field="--pdf")
        choices = plans.focus_for(session, found.id)
        if json:
            as_json(as_data(found, None, choices=choices))
        else:
            say_nothing_yet(found, choices)
        return
    view = plans.view_plan(session, kept.id)
    drills = plans.drill_library(session)
    if pdf is not None:
        day = f"{date.today().day} {date.today():%B %Y}"
        write_file(
            pdf, plan_pdf(view.plan, found.name, drills=drills, day=day, invented=found.invented)
        )
    if json:
        as_json(as_data(found, view, choices=()))
        return
    say_plan(view, drills)
    if pdf is not None and str(pdf) != "-":
        say(f"Written: {pdf}")


def _focus(session: Session, found: Player, asked: str | None) -> Focus:
    """Return the first focus that findings and trials offer, the one asked for, or one's own."""
    choices = plans.focus_for(session, found.id)
    if asked is None:
        if not choices:
            raise BadInput(
                "Neither findings nor trials can tell yet what pays most; name it with --focus.",
                field="--focus",
            )
        return choices[0]
    wanted = asked.strip().casefold()
    for one in choices:
        if wanted and wanted in (one.name.casefold(), one.condition.casefold()):
            return one
    return Focus(
        kind=FocusKind.FORM,
        name=asked,
        chosen_from=FocusFrom.COACH,
        reason="The coach chose it.",
        changes_form=True,
    )


def _day(typed: str | None) -> date:
    try:
        return date.fromisoformat(typed) if typed else date.today()
    except ValueError as trouble:
        raise BadInput(
            f"--start must be a day like 2026-11-25, not {typed!r}.", field="--start"
        ) from trouble


def _weekdays(typed: str) -> tuple[int, ...]:
    known = {name[:3].lower(): i for i, name in enumerate(WEEKDAYS)}
    parts = [part.strip().lower()[:3] for part in typed.split(",")]
    if not set(parts) <= known.keys():
        raise BadInput(f"--days must be like mon,wed,fri, not {typed!r}.", field="--days")
    return tuple(sorted(known[part] for part in parts))
