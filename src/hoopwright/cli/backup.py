"""``backup``: everything kept, in one file; proved and restored."""

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer

from hoopwright.actions import backup as action
from hoopwright.cli import options
from hoopwright.cli.files import check_free
from hoopwright.cli.show import as_json, notes_aside, progress_bar, say
from hoopwright.settings import Settings
from hoopwright.store.archive import Manifest
from hoopwright.store.media import open_media

commands = typer.Typer(help="Keep a second copy of everything.", no_args_is_help=False)

_CARE = "It holds everything about the players, film too: keep it as safe as the data."


@commands.callback(invoke_without_command=True)
def backup(context: typer.Context) -> None:
    """Keep a second copy of everything."""
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


@commands.command()
def make(
    file: Annotated[Path, typer.Argument(help="File to write.")],
    overwrite: Annotated[
        bool, typer.Option("--overwrite", help="Replace the file if it is there.")
    ] = False,
    data: options.Data = None,
    json: options.Json = False,
) -> None:
    """Back up database and films to one file, also while Hoopwright is running.

    hoopwright backup make friday.backup
    """
    check_free(file, overwrite=overwrite)
    place = _place(Settings.from_env(os.environ, data=data))
    with _telling("Copying films") as tell:
        manifest = action.make_backup(place, file, progress=tell)
    if json:
        as_json(action.as_data(manifest))
        return
    _note_missing(manifest)
    notes_aside([_CARE])
    say(f"Written: {file}, {_holds(manifest)}.")


@commands.command()
def prove(
    file: Annotated[Path, typer.Argument(help="The backup.")], json: options.Json = False
) -> None:
    """Check a backup: every checksum, the database, its rows, and its log.

    hoopwright backup prove friday.backup
    """
    with _telling("Checking") as tell:
        proof = action.prove_backup(file, progress=tell)
    seal = None if proof.log is None else str(proof.log.seal)
    if json:
        as_json(action.as_data(proof.manifest) | {"sound": True, "log_seal": seal})
        return
    _note_missing(proof.manifest)
    say(f"Sound: {file}, {_holds(proof.manifest)}.")
    if seal is not None:
        say(f"Its log is whole; seal: {seal}")


@commands.command()
def restore(
    file: Annotated[Path, typer.Argument(help="The backup.")],
    replace: Annotated[
        bool,
        typer.Option("--replace", help="Restore over data that is there; that is set aside."),
    ] = False,
    data: options.Data = None,
    json: options.Json = False,
) -> None:
    """Put a backup in place: all of it, or nothing. Stop Hoopwright first.

    hoopwright backup restore friday.backup --data elsewhere
    """
    place = _place(Settings.from_env(os.environ, data=data))
    with _telling("Unpacking films") as tell:
        done = action.restore_backup(file, place, replace=replace, progress=tell)
    aside = None if done.aside is None else str(done.aside)
    if json:
        as_json(
            action.as_data(done.manifest) | {"set_aside": aside, "erased_again": done.erased_again}
        )
        return
    _note_missing(done.manifest)
    say(f"Restored to {place.data}: {_holds(done.manifest)}.")
    if aside is not None:
        notes_aside([f"What was there before is in {aside}; delete it once you are sure."])
    if done.erased_again:
        say(f"Erased again, as they were erased after this backup: {done.erased_again} players.")


def _place(settings: Settings) -> action.Place:
    media = open_media(
        settings.films_address, copies=settings.film_copies, largest=settings.largest_film
    )
    return action.Place(database=settings.database, media=media, data=settings.data)


@contextmanager
def _telling(title: str) -> Iterator[Callable[[int, int], None]]:
    with progress_bar() as bar:
        task = bar.add_task(title, total=None)
        yield lambda done, of: bar.update(task, completed=done, total=of)


def _holds(manifest: Manifest) -> str:
    rows = manifest.rows
    films = len(manifest.films)
    return (
        f"{rows['players']} players, {rows.get('shots', 0)} shots, {films} film files, "
        f"of {manifest.made_at:%Y-%m-%d %H:%M} UTC"
    )


def _note_missing(manifest: Manifest) -> None:
    if manifest.missing:
        notes_aside([f"{len(manifest.missing)} film files were gone when it was made."])
