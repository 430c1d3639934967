"""What a coach does with players."""

import re
from collections.abc import Iterator, Mapping
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.actions.checks import checked_player, checked_text
from hoopwright.actions.editing import note_added, note_changed, note_erased, note_removed
from hoopwright.errors import BadInput, Conflict, NotFound
from hoopwright.records import Player
from hoopwright.store import edits, films, games, owned, people

_WITH_YEAR = re.compile(r"(?P<name>.+?)\s*\((?P<year>\d{4})\)\s*")


def add_player(session: Session, player: Player, *, who: str) -> Player:
    """Add a player; the same one sent twice changes nothing.

    Returns
    -------
    Player
        As stored, its texts tidied.

    Raises
    ------
    BadInput
        A field can't be right, or there is a player of this name already and the two years of
        birth do not tell them apart.
    Conflict
        Another player has this id.
    """
    player = checked_player(player)
    try:
        known = people.get_player(session, player.id)
    except NotFound:
        _check_name_is_free(session, player)
        people.add_player(session, player)
        note_added(session, [player], who=who, player_id=player.id)
        return player
    if known != player:
        raise Conflict(f"This id already stands for {known.name}; send it under a new id.")
    return known


def change_player(session: Session, player: Player, *, who: str) -> Player:
    """Store a player anew under the same id.

    Raises
    ------
    BadInput
        As :func:`add_player`.
    NotFound
        There is no such player.
    """
    player = checked_player(player)
    before = people.get_player(session, player.id)
    if before == player:
        return player
    _check_name_is_free(session, player)
    people.set_player(session, player)
    note_changed(session, before, who=who, player_id=player.id)
    return player


def list_players(session: Session) -> list[Player]:
    """Return all players, by name."""
    return people.list_players(session)


def players_of(session: Session, coach: str) -> list[Player]:
    """Return the players of a coach, by name; those without one where ``coach`` is ""."""
    return [one for one in people.list_players(session) if one.coach == coach]


def get_player(session: Session, player_id: UUID) -> Player:
    """Return one player.

    Raises
    ------
    NotFound
        There is no such player.
    """
    return people.get_player(session, player_id)


def find_player(session: Session, name: str) -> Player:
    """Return the player of a name, written alone or with the year of birth: ``Name (2012)``.

    Raises
    ------
    BadInput
        Several players have this name.
    NotFound
        No player has this name.
    """
    wanted = checked_text(name, what="The player's name", field="name", needed=True)
    found = people.players_named(session, wanted)
    if not found and (said := _WITH_YEAR.fullmatch(wanted)):
        of_name = people.players_named(session, said["name"])
        found = [p for p in of_name if p.birth_year == int(said["year"])]
    if len(found) > 1:
        first = found[-1]
        raise BadInput(
            f"{len(found)} players are called {first.name}; "
            f"add the year of birth, as in {first.name} ({first.birth_year}).",
            field="name",
        )
    if not found:
        raise NotFound(f"No player is called {wanted}; check the spelling in the list of players.")
    return found[0]


def remove_player(session: Session, player_id: UUID, *, who: str) -> Player:
    """Remove a player with all that is kept of it; the log keeps what the player's fields were.

    The worker deletes the films' files soon after; see ``films.clear_removed``.

    Raises
    ------
    NotFound
        There is no such player.
    """
    player = people.get_player(session, player_id)
    films.remove_media_of(session, player_id)
    played = [game.id for game in games.list_games(session, player_id)]
    people.delete_player(session, player_id)
    games.delete_without_lines(session, played)
    note_removed(session, player, who=who, player_id=player_id)
    return player


def forget_player(session: Session, player_id: UUID, *, who: str) -> None:
    """Remove a player for good: the log keeps that things changed and when, not what they said.

    For a family that asks for its child's data to be erased; local rules may ask for more. A
    player that was removed before is forgotten too, as the log still tells of it.

    Raises
    ------
    NotFound
        There is no such player, and the log tells nothing of one.
    """
    if not edits.texts_of(session, player_id):
        people.get_player(session, player_id)
    had = owned.counts_of(session, player_id)
    played = [game.id for game in games.list_games(session, player_id)]
    if had["players"]:
        remove_player(session, player_id, who=who)
    # games that others played in too are still there
    have = owned.counts_of(session, player_id) | {"games": len(games.known_games(session, played))}
    gone = {name: n for name, n in _fewer(had, have) if n > 0}
    blanked = edits.blank_edits(session, player_id)
    note_erased(session, gone | {"log texts": blanked}, who=who, player_id=player_id)


def _fewer(had: Mapping[str, int], have: Mapping[str, int]) -> Iterator[tuple[str, int]]:
    for name, n in had.items():
        yield name, n - have[name]


def _check_name_is_free(session: Session, player: Player) -> None:
    for other in people.players_named(session, player.name):
        if other.id == player.id:
            continue
        if None in (player.birth_year, other.birth_year) or player.birth_year == other.birth_year:
            raise BadInput(
                f"There is already a player called {other.name}; "
                "add an initial to the name, or give both their years of birth.",
                field="name",
            )
