"""``film links``: which of a player's own body measures go with where the ball goes."""

import os
from typing import Annotated

import typer

from hoopwright.actions.links import player_links
from hoopwright.actions.people import find_player
from hoopwright.cli import options
from hoopwright.cli.show import as_json, say
from hoopwright.reports.link_data import links_data
from hoopwright.reports.link_facts import LinkFacts, link_facts, trial_name
from hoopwright.settings import Settings
from hoopwright.store.engine import open_database

_NONE_FILMED = (
    "No filmed shot of this player is in a workout yet; measure a film and enter its shots first."
)


def say_links(
    player: Annotated[str, typer.Option(help="The player's name, or Name (year of birth).")],
    data: options.Data = None,
    json: options.Json = False,
) -> None:
    """Tell which body measures go with short or long, left or right and release speed.

    hoopwright film links --player "Sample Player"
    """
    settings = Settings.from_env(os.environ, data=data)
    with open_database(settings.database).reading() as session:
        found = find_player(session, player)
        links = player_links(session, found.id)
    facts = link_facts(links)
    if json:
        note = facts.note if links else _NONE_FILMED
        as_json({"player": found.name, "links": links_data(links), "note": note})
        return
    say(found.name, heading=True)
    if links:
        _say(facts)
    else:
        say(_NONE_FILMED)


def _say(facts: LinkFacts) -> None:
    for sentence, idea in facts.worth:
        say(f"  {sentence} The trial: {trial_name(idea)}.")
    for sentence in (*facts.none_seen, *facts.cannot_tell):
        say(f"  {sentence}")
    say(facts.note)
