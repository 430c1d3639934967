"""``games``: tables of games into the store, and what the next games are likely to bring."""

import os
from pathlib import Path
from typing import Annotated

import typer

from hoopwright.actions.games import GamesReport, forecast_games, import_games, practice_to_games
from hoopwright.actions.people import find_player
from hoopwright.actions.tables_in import LARGEST
from hoopwright.cli import options
from hoopwright.cli.files import read_file
from hoopwright.cli.show import as_json, notes_aside, say, with_progress
from hoopwright.errors import BadInput
from hoopwright.reports.game_data import forecast_data, ratio_data
from hoopwright.reports.game_facts import RatioFacts, forecast_sentences, ratio_facts
from hoopwright.settings import Settings
from hoopwright.store.engine import open_database
from hoopwright.transfer.nouns import ShotType

commands = typer.Typer(
    help="Games: attempts by kind of shot, beside practice and to come.", no_args_is_help=True
)

#: what the report counts, as keys and as words
_COUNTED = {
    "players": "players added",
    "games": "games added",
    "lines": "rows added",
    "lines_already": "rows that were stored already",
}


@commands.command("import")
def import_tables(
    files: Annotated[
        list[Path],
        typer.Argument(
            help="CSV, XLSX, XLS or ODS files of games, see docs/games.md; - reads a CSV from the "
            "input stream."
        ),
    ],
    who: Annotated[
        str, typer.Option("--who", help="Who does this, for the log of changes.")
    ] = "command line",
    data: options.Data = None,
    json: options.Json = False,
) -> None:
    """Store tables of games; all of them or, if a row of one can't be read, none.

    hoopwright games import games.csv
    """
    read = [(path, read_file(path, largest=LARGEST)) for path in files]
    settings = Settings.from_env(os.environ, data=data)
    with open_database(settings.database).session() as session:
        reports = [
            import_games(session, table, name=path.name, who=who)
            for path, table in with_progress(read, "Storing")
        ]
    _say_imported(reports, json=json)


def _say_imported(reports: list[GamesReport], *, json: bool) -> None:
    total = {key: sum(getattr(one, key) for one in reports) for key in _COUNTED}
    notes = list(dict.fromkeys(note for one in reports for note in one.notes))
    if json:
        as_json({**total, "notes": notes})
        return
    notes_aside(notes)
    for key, words in _COUNTED.items():
        say(f"{total[key]} {words}")


@commands.command("forecast")
def foresee(
    player: Annotated[str, typer.Option(help="The player's name, or Name (year of birth).")],
    games: Annotated[int, typer.Option(help="How many games, 1 to 200.")] = 5,
    attempts: Annotated[
        list[str] | None,
        typer.Option(
            help='Attempts to come of one kind, over all these games: "three=20"; as many a game '
            "as so far if left out. May be given several times."
        ),
    ] = None,
    data: options.Data = None,
    json: options.Json = False,
) -> None:
    """Tell what the next games are likely to bring, and how games stand beside practice.

    hoopwright games forecast --player "Sample Player" --games 5
    """
    wanted = dict(_kind(text) for text in attempts or ())
    settings = Settings.from_env(os.environ, data=data)
    with open_database(settings.database).reading() as session:
        found = find_player(session, player)
        reading = practice_to_games(session, found.id)
        foreseen = forecast_games(session, found.id, games=games, attempts=wanted or None)
    kinds = {kind.value: count for kind, count in foreseen.attempts.items()}
    left_out = [kind.value for kind in foreseen.left_out]
    if json:
        as_json(
            {"player": found.name, "games": games, "attempts_by_kind": kinds}
            | {"left_out": left_out, "forecast": forecast_data(foreseen.forecast)}
            | {"kinds": [ratio_data(one) for one in reading.rows]}
        )
        return
    if left_out:
        notes_aside([f"Left out, as nothing is charted of it in practice: {', '.join(left_out)}."])
    said = ", ".join(f"{count} {kind}" for kind, count in kinds.items())
    say(f"{found.name}, {games} games: {said}", heading=True)
    for sentence in forecast_sentences(foreseen.forecast):
        say(f"  {sentence}")
    for one in reading.rows:
        _say_ratio(ratio_facts(one))


def _say_ratio(one: RatioFacts) -> None:
    say(f"{one.kind}: games {one.game}; practice {one.practice}")
    for sentence in (f"That is {one.ratio}.", one.needed, one.noise, one.source):
        if sentence:
            say(f"  {sentence}")


def _kind(text: str) -> tuple[ShotType, int]:
    """Read ``three=20``."""
    name, _, count = text.rpartition("=")
    kinds = {kind.value: kind for kind in ShotType}
    if name.strip().lower() not in kinds or not count.strip().isdecimal() or int(count) < 1:
        raise BadInput(
            f'--attempts must be like "three=20", not {text!r}; kinds are {", ".join(kinds)}.',
            field="--attempts",
        )
    return kinds[name.strip().lower()], int(count)
