"""``trial``: plan one, enter its blocks from paper, read what its shots say."""

import os
from datetime import date
from typing import Annotated
from uuid import UUID, uuid5

import typer
from sqlalchemy.orm import Session

from hoopwright.actions.people import find_player
from hoopwright.actions.shots import enter_line
from hoopwright.actions.trials import (
    BlockView,
    TrialReading,
    TrialView,
    begin_block,
    finish_block,
    list_trials,
    look_at_trial,
    read_trial,
    view_trial,
)
from hoopwright.cli import options
from hoopwright.cli.show import as_json, say
from hoopwright.cli.trial_plan import day as typed_day
from hoopwright.cli.trial_plan import named, plan
from hoopwright.errors import BadInput
from hoopwright.records import MissDetail
from hoopwright.reports.trial_data import question_data, verdict_data
from hoopwright.reports.trial_facts import verdict_facts
from hoopwright.reports.words import opened, plural
from hoopwright.settings import Settings
from hoopwright.store.engine import open_database
from hoopwright.trials.nouns import TrialPlan, Verdict

commands = typer.Typer(
    help="Set a change against the habit: plan it, enter its blocks, read the verdict.",
    no_args_is_help=True,
)
commands.command()(plan)

_Trial = Annotated[
    str, typer.Option("--trial", help="Id of the trial; the player's newest if left out.")
]
_Player = Annotated[str, typer.Option(help="The player's name, or Name (year of birth).")]


@commands.command()
def enter(
    line: Annotated[
        str, typer.Argument(help="One letter a shot, as in docs/quick-entry.md, such as mmsdx.")
    ],
    player: _Player = "",
    trial: _Trial = "",
    block: Annotated[
        int | None, typer.Option(help="Number of the block; the next one if left out.")
    ] = None,
    day: Annotated[str, typer.Option(help="When it was shot; today if left out.")] = "",
    detail: Annotated[
        str, typer.Option(help="How misses are noted: none, along, one or two directions.")
    ] = "one",
    finish: Annotated[
        bool, typer.Option("--finish", help="The block is over, though shots are missing.")
    ] = False,
    who: options.Who = "command line",
    data: options.Data = None,
    json: options.Json = False,
) -> None:
    """Enter the shots of one block of a trial; entered twice, it changes nothing.

    hoopwright trial enter --player "Sample Player" --block 3 mmsdmxmmlm
    """
    on = typed_day(day, "--day") or date.today()
    how = named(detail, MissDetail, "--detail")
    settings = Settings.from_env(os.environ, data=data)
    with open_database(settings.database).session() as session:
        view = _found(session, player, trial)
        wanted = _block(view, block)
        _enter(session, view, wanted, line=line, on=on, detail=how, who=who)
        if finish:
            finish_block(session, view.trial.id, number=wanted.block.number, who=who)
        after = view_trial(session, view.trial.id)
    _told(after, wanted.block.number, json=json)


@commands.command()
def read(
    player: _Player = "",
    trial: _Trial = "",
    look: Annotated[
        bool, typer.Option("--look", help="Keep this look, with today's verdict.")
    ] = False,
    who: options.Who = "command line",
    data: options.Data = None,
    json: options.Json = False,
) -> None:
    """Tell what the shots of a trial say so far: verdict, ranges, what is still needed.

    hoopwright trial read --player "Sample Player"
    """
    settings = Settings.from_env(os.environ, data=data)
    with open_database(settings.database).session() as session:
        view = _found(session, player, trial)
        reading = (
            look_at_trial(session, view.trial.id, who=who)
            if look
            else read_trial(session, view.trial.id)
        )
    if json:
        as_json(_data(reading))
    elif reading.verdict is None:
        say(reading.missing)
    else:
        _say(reading.view.trial.plan, reading.verdict)


def _found(session: Session, player: str, trial: str) -> TrialView:
    """Return the trial that is meant: by its id, or the newest of a player."""
    if trial:
        try:
            return view_trial(session, UUID(trial))
        except ValueError as trouble:
            raise BadInput(f"--trial is not an id: {trial!r}; copy it from trial plan.") from (
                trouble
            )
    if not player:
        raise BadInput("Say whose trial: give --player or --trial.")
    found = list_trials(session, find_player(session, player).id)
    if not found:
        raise BadInput("This player has no trial yet; plan one with hoopwright trial plan.")
    return found[0]


def _block(view: TrialView, number: int | None) -> BlockView:
    if number is None:
        if view.next_block is None:
            raise BadInput("Every block of this trial is shot already, or it was stopped.")
        return view.next_block
    view.trial.plan.block(number)
    return next(one for one in view.blocks if one.block.number == number)


def _enter(
    session: Session,
    view: TrialView,
    wanted: BlockView,
    *,
    line: str,
    on: date,
    detail: MissDetail,
    who: str,
) -> None:
    trial_id, number = view.trial.id, wanted.block.number
    set_id = wanted.begun.set_id if wanted.begun else uuid5(trial_id, f"set of block {number}")
    if wanted.begun is None:
        begin_block(session, trial_id, number=number, set_id=set_id, on=on, who=who, detail=detail)
    enter_line(session, set_id, line, who=who, entry_id=uuid5(set_id, "line from paper"))


def _told(view: TrialView, number: int, *, json: bool) -> None:
    one = next(b for b in view.blocks if b.block.number == number)
    following = view.next_block
    if json:
        as_json(
            {
                "trial": str(view.trial.id),
                "block": number,
                "shots": one.shots,
                "planned": one.block.total,
                "blocks_done": view.blocks_done,
                "blocks": len(view.blocks),
                "next_block": following.block.number if following else None,
            }
        )
        return
    say(f"Block {number}: {one.shots} of {plural(one.block.total, 'shot')}.")
    if following is not None and following.block.number != number:
        say(f"Next: block {following.block.number}, {following.row.way}.")


def _data(reading: TrialReading) -> dict[str, object]:
    plan = reading.view.trial.plan
    return {
        "trial": str(plan.id),
        "player": reading.view.player.name,
        **question_data(plan.question),
        "state": reading.view.state.value,
        "order_follows_from_seed": reading.order_checked,
        "missing": reading.missing,
        "verdict": verdict_data(plan, reading.verdict) if reading.verdict else None,
    }


def _say(plan: TrialPlan, verdict: Verdict) -> None:
    facts = verdict_facts(plan, verdict)
    say(f"{opened(facts.said)}: {facts.headline}", heading=True)
    for sentence in (facts.effect, facts.chance, *facts.counts, facts.needed, facts.luck):
        say(f"  {sentence}")
    for name, found in facts.rows[1:]:
        say(f"  {name}: {found}.")
    for sentence in facts.guards:
        say(f"  Before you believe it: {sentence}")
    say(facts.looking)
