"""``log`` and ``player``: check the log; hand out, and erase, everything about a player."""

import json as text
import os
from pathlib import Path
from typing import Annotated

import typer

from hoopwright.actions import handed_out, privacy
from hoopwright.cli import options
from hoopwright.cli.files import check_free, write_file
from hoopwright.cli.show import as_json, notes_aside, say, two_columns
from hoopwright.errors import BadInput
from hoopwright.settings import Settings
from hoopwright.store.engine import open_database
from hoopwright.store.media import Media, open_media

log_commands = typer.Typer(help="The log of changes.", no_args_is_help=False)
player_commands = typer.Typer(help="Everything about one player.", no_args_is_help=False)

Who = Annotated[str, typer.Option("--who", help="Who does this, for the log of changes.")]
Whom = Annotated[
    str, typer.Argument(metavar="PLAYER", help="Name, Name (year of birth), or the player's id.")
]


@log_commands.callback(invoke_without_command=True)
def log(context: typer.Context) -> None:
    """Show the help where no command is named."""
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


@player_commands.callback(invoke_without_command=True)
def player(context: typer.Context) -> None:
    """Show the help where no command is named."""
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


@log_commands.command("check")
def check_log(
    seal: Annotated[
        str,
        typer.Option("--seal", help="A seal written down earlier; the log must still lead to it."),
    ] = "",
    data: options.Data = None,
    json: options.Json = False,
) -> None:
    """Check that no entry of the log was changed, taken out or put in.

    hoopwright log check
    """
    settings = Settings.from_env(os.environ, data=data)
    with open_database(settings.database).reading() as session:
        found = privacy.check_log(session, seal=seal)
    if json:
        as_json({
            "whole": found.broken is None, "entries": found.entries, "seal": str(found.seal),
            "broken": found.broken, "why": found.why,
        })  # fmt: skip
    if found.broken is not None:
        raise BadInput(
            f"The log was altered: entry {found.broken} is wrong, {found.why}; "
            f"{found.entries} entries before it are right. Keep this data and ask who had access."
        )
    if not json:
        say(f"The log is whole: {found.entries} entries.")
        say(f"Seal: {found.seal}")


@player_commands.command("export")
def export_player(
    whom: Whom,
    file: Annotated[Path, typer.Argument(help="File to write, ending in .zip.")],
    no_films: Annotated[
        bool, typer.Option("--no-films", help="Leave the films' files out.")
    ] = False,
    overwrite: Annotated[
        bool, typer.Option("--overwrite", help="Replace the file if it is there.")
    ] = False,
    who: Who = "command line",
    data: options.Data = None,
    json: options.Json = False,
) -> None:
    """Write everything about a player to one file, for those who may ask for it.

    hoopwright player export "Sample Player" sample.zip
    """
    if file.suffix.lower() != ".zip":
        raise BadInput(f"{file} must end in .zip, as that is what is written.")
    check_free(file, overwrite=overwrite)
    settings = Settings.from_env(os.environ, data=data)
    database = open_database(settings.database)
    with database.reading() as session:
        found = privacy.find_anyone(session, whom)
    held = handed_out.hand_out(
        database, _media(settings), found, file, who=who, with_films=not no_films
    )
    database.close()
    if json:
        as_json({"player_id": str(found.id), "file": str(file), "holds": held})
        return
    notes_aside(["Personal data: give it only to those whom it is for."])
    say(f"Written: {file}")
    two_columns([(name.replace("_", " "), str(n)) for name, n in held.items()])


@player_commands.command("erase")
def erase_player(
    whom: Whom,
    for_good: Annotated[
        bool, typer.Option("--for-good", help="Do it; without this, only what would go is told.")
    ] = False,
    receipt: Annotated[
        Path | None, typer.Option("--receipt", help="JSON file to write the receipt to.")
    ] = None,
    who: Who = "command line",
    data: options.Data = None,
    json: options.Json = False,
) -> None:
    """Remove everything about a player for good, film too, and give a receipt.

    hoopwright player erase "Sample Player" --for-good --receipt receipt.json
    """
    if receipt is not None:
        _check_receipt(receipt)
    settings = Settings.from_env(os.environ, data=data)
    database = open_database(settings.database)
    with database.reading() as session:
        found = privacy.find_anyone(session, whom)
        going = privacy.would_go(session, found.id)
    if not for_good:
        raise BadInput(
            f"This would remove {found.name} ({found.id}) for good: {_listed(going)}; "
            "add --for-good to do it."
        )
    done = privacy.erase_player(database, _media(settings), found.id, who=who)
    database.close()
    said = privacy.receipt_data(done)
    if receipt is not None:
        write_file(receipt, text.dumps(said, indent=2, ensure_ascii=False).encode() + b"\n")
    if json:
        as_json(said)
        return
    say(f"Erased: player {done.player_id}, {done.at:%Y-%m-%d %H:%M} UTC, by {done.who}.")
    two_columns([(name.replace("_", " "), str(n)) for name, n in done.removed.items()])
    say(f"Film files deleted: {done.files}; still to be deleted: {done.files_left}.")
    say(f"Entry of the log: {done.seal}")
    notes_aside([f"Not reached: {one}." for one in done.not_reached])


def _check_receipt(path: Path) -> None:
    """Refuse a file that could not be written, before anything is erased."""
    check_free(path, overwrite=False)
    if not os.access(path.parent, os.W_OK | os.X_OK):
        raise BadInput(f"{path} can't be written; choose another folder for the receipt.")


def _listed(going: dict[str, int]) -> str:
    return ", ".join(f"{n} {name.replace('_', ' ')}" for name, n in going.items())


def _media(settings: Settings) -> Media:
    return open_media(
        settings.films_address, copies=settings.film_copies, largest=settings.largest_film
    )
