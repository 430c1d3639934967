"""Games that were read from a table → the store."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.actions.games.kept import add_game, new_lines, record_lines
from hoopwright.actions.people import list_players
from hoopwright.actions.tables_in.games import read_games
from hoopwright.actions.tables_in.keeping import player_for
from hoopwright.errors import Conflict
from hoopwright.store import games as stored
from hoopwright.store.people import name_key
from hoopwright.transfer.nouns import Game, GameLine


@dataclass(frozen=True, slots=True, kw_only=True)
class GamesReport:
    """What was added to the store."""

    players: int
    games: int
    lines: int
    #: lines of the table that the store held already
    lines_already: int
    #: what was passed over or assumed, as plain sentences
    notes: tuple[str, ...] = ()


def import_games(session: Session, data: bytes, *, name: str, who: str) -> GamesReport:
    """Read a CSV or spreadsheet file and store its games; the same file twice adds nothing.

    Players are found by name, and by year of birth where the table gives it; those that are not
    in the store are added. A game of the same day and opponent is the same game.

    Raises
    ------
    BadTable
        The file can't be read; ``rows`` says what is wrong row by row. Nothing is stored.
    BadInput
        A player can't be told from another of the same name.
    Conflict
        The store holds other attempts at the same place.
    """
    read = read_games(data, name=name, players=list_players(session))
    ids: dict[UUID, UUID] = {}
    added = 0
    for player in read.players:
        kept, new = player_for(session, player, who=who)
        ids[player.id] = kept.id
        added += new
    notes, games, lines = list(read.notes), 0, 0
    for game in read.games:
        known = _same_game(session, game)
        moved = _moved(game, known, ids)
        fresh = _new(session, moved)
        notes += _perhaps_twice(moved, known, fresh)
        if fresh and known is None:
            add_game(session, replace(moved, lines=()), who=who)
            games += 1
        if fresh:
            record_lines(session, moved.id, fresh, who=who)
        lines += len(fresh)
    return GamesReport(
        players=added, games=games, lines=lines,
        lines_already=len(read.lines) - lines, notes=tuple(notes),
    )  # fmt: skip


def _same_game(session: Session, game: Game) -> Game | None:
    """Return the stored game that a game of a table is: by id, or by day and opponent."""
    known = stored.known_games(session, [game.id]).get(game.id)
    if known is not None or not game.opponent:
        return known
    wanted = name_key(game.opponent)
    of_day = stored.games_of_day(session, game.day)
    return next((one for one in of_day if name_key(one.opponent) == wanted), None)


def _moved(game: Game, known: Game | None, ids: Mapping[UUID, UUID]) -> Game:
    """Return a game with the store's ids of its players and of itself."""
    to = known or game
    lines = tuple(
        replace(
            line, player_id=ids[line.player_id], game_id=to.id, day=to.day, opponent=to.opponent
        )
        for line in game.lines
    )
    return replace(to, lines=lines)


def _new(session: Session, game: Game) -> list[GameLine]:
    try:
        return new_lines(session, game.lines)
    except Conflict as trouble:
        against = f" against {game.opponent}" if game.opponent else ""
        raise Conflict(
            f"The store holds other attempts for the game of {game.day}{against}; "
            "correct the stored lines, or give these rows a game of their own in the column game."
        ) from trouble


def _perhaps_twice(game: Game, known: Game | None, new: Sequence[GameLine]) -> Sequence[str]:
    """Say so where the game has lines of the same player and kind that are not of this table."""
    if known is None:
        return ()
    here = {line.id for line in game.lines}
    others = {_same(line) for line in known.lines if line.id not in here}
    twice = sum(_same(line) in others for line in new)
    if not twice:
        return ()
    return (
        f"The game of {game.day} had lines of the same player and kind of shot already "
        f"({twice}); look whether they are counted twice.",
    )


def _same(line: GameLine) -> tuple[object, ...]:
    return line.player_id, *line.kind
