"""The command line: one command per action; prints; exits 0 (done), 1 (broken off) or 2 (refused).

Options are in the units coaches use, and each says its unit in its name or help; everything below
this package is in SI units.
"""

from typing import Annotated

import typer

from hoopwright import __version__
from hoopwright.cli import academy, backup, film, games, privacy, report, shots, trial
from hoopwright.cli.edge import OneLineErrors
from hoopwright.cli.findings import findings
from hoopwright.cli.practice import practice
from hoopwright.cli.tables import export_table, import_tables

app = typer.Typer(
    cls=OneLineErrors,
    help="From a basketball miss chart to findings a shooting coach can act on.",
    add_completion=False,
    no_args_is_help=False,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


@app.callback(invoke_without_command=True)
def start(
    context: typer.Context,
    version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False,
) -> None:
    """Show the help where no command is named."""
    if version:
        typer.echo(f"hoopwright {__version__}")
        raise typer.Exit
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


app.command()(shots.fly)
app.command()(shots.ring)
app.command()(findings)
app.command()(academy.demo)
app.command()(academy.serve)
app.command("import")(import_tables)
app.command("export")(export_table)
app.add_typer(film.commands, name="film")
app.add_typer(trial.commands, name="trial")
app.command()(practice)
app.add_typer(games.commands, name="games")
app.add_typer(report.commands, name="report")
app.add_typer(backup.commands, name="backup")
app.add_typer(privacy.player_commands, name="player")
app.add_typer(privacy.log_commands, name="log")


def main() -> None:
    """Run the command line."""
    app()
