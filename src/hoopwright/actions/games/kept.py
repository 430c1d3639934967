"""What a coach does with games: attempts by shot type, and changes announced beforehand."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.actions.checks import LONGEST_NOTE, check_day, checked_text
from hoopwright.actions.editing import NOBODY, note_added, note_changed, note_removed
from hoopwright.errors import Conflict, NotFound
from hoopwright.store import edits, people
from hoopwright.store import games as stored
from hoopwright.store.games import Announced
from hoopwright.transfer.nouns import Game, GameLine


def add_game(session: Session, game: Game, *, who: str) -> Game:
    """Add a game, with its lines if it has any; sent twice, it changes nothing.

    Raises
    ------
    BadInput
        Something in it can't be right.
    Conflict
        Another game or line has one of the ids.
    NotFound
        A line is of a player who is not in the store.
    """
    bare = _checked(replace(game, lines=()))
    known = stored.known_games(session, [game.id]).get(game.id)
    if known is None:
        stored.add_games(session, [bare])
        note_added(session, [bare], who=who, player_id=NOBODY)
    elif replace(known, lines=()) != bare:
        raise Conflict("This id already stands for another game; send it under a new id.")
    record_lines(session, game.id, game.lines, who=who)
    return stored.get_game(session, game.id)


def change_game(session: Session, game: Game, *, who: str) -> Game:
    """Store a game's day and opponent anew; its lines stay as they are.

    Raises
    ------
    BadInput
        The day or the opponent's name can't be right.
    NotFound
        There is no such game.
    """
    before = stored.get_game(session, game.id)
    after = _checked(replace(game, lines=()))
    if after != replace(before, lines=()):
        stored.set_game(session, after)
        note_changed(session, replace(before, lines=()), who=who, player_id=NOBODY)
    return stored.get_game(session, game.id)


def remove_game(session: Session, game_id: UUID, *, who: str) -> Game:
    """Remove a game with its lines; the log keeps them.

    Raises
    ------
    NotFound
        There is no such game.
    """
    before = stored.get_game(session, game_id)
    for line in before.lines:
        note_removed(session, line, who=who, player_id=line.player_id)
    stored.delete_game(session, game_id)
    note_removed(session, replace(before, lines=()), who=who, player_id=NOBODY)
    return before


def get_game(session: Session, game_id: UUID) -> Game:
    """Return one game with the lines of all its players.

    Raises
    ------
    NotFound
        There is no such game.
    """
    return stored.get_game(session, game_id)


def list_games(session: Session, player_id: UUID) -> list[Game]:
    """Return the games of a player, with the player's own lines, oldest first.

    Raises
    ------
    NotFound
        There is no such player.
    """
    people.get_player(session, player_id)
    return stored.list_games(session, player_id)


def record_lines(session: Session, game_id: UUID, lines: Sequence[GameLine], *, who: str) -> int:
    """Add lines to a game and return how many were new.

    A line that is stored already, or was changed or removed since it was first sent, changes
    nothing.

    Raises
    ------
    Conflict
        One of the ids stands for a line that differs.
    NotFound
        There is no such game, or no such player.
    """
    game = stored.get_game(session, game_id)
    new = new_lines(session, [_of_game(line, game) for line in lines])
    for player_id in {line.player_id for line in new}:
        people.get_player(session, player_id)
    stored.add_lines(session, new)
    for line in new:
        note_added(session, [line], who=who, player_id=line.player_id)
    return len(new)


def new_lines(session: Session, lines: Sequence[GameLine]) -> list[GameLine]:
    """Return those of some lines that were never stored.

    Raises
    ------
    Conflict
        One of the ids stands for a line that differs.
    """
    known = stored.known_lines(session, [line.id for line in lines])
    unknown = [line for line in lines if line.id not in known]
    gone = edits.removed_among(session, [line.id for line in unknown], kind="game line")
    for line in lines:
        if line.id in known and not _is_or_was(session, line, known[line.id]):
            raise Conflict(
                "A line sent again differs from the one stored under its id; change the stored "
                "one, or send this one under a new id."
            )
    return list({line.id: line for line in unknown if line.id not in gone}.values())


def change_line(session: Session, line: GameLine, *, who: str) -> GameLine:
    """Store a line anew; it stays its player's and its game's.

    Raises
    ------
    NotFound
        There is no such line.
    """
    before = stored.get_line(session, line.id)
    game = stored.get_game(session, before.game_id)
    after = replace(_of_game(line, game), player_id=before.player_id)
    if after != before:
        stored.set_line(session, after)
        note_changed(session, before, who=who, player_id=before.player_id)
    return after


def remove_line(session: Session, line_id: UUID, *, who: str) -> GameLine:
    """Remove a line; the log keeps it.

    Raises
    ------
    NotFound
        There is no such line.
    """
    before = stored.get_line(session, line_id)
    stored.delete_line(session, line_id)
    note_removed(session, before, who=who, player_id=before.player_id)
    return before


def announce_change(session: Session, announced: Announced, *, who: str) -> Announced:
    """Say that a change will cost a player makes for a while; sent twice, it changes nothing.

    Raises
    ------
    BadInput
        The change has no name, or the day can't be right.
    Conflict
        Another announcement has this id.
    NotFound
        There is no such player.
    """
    check_day(announced.change.day)
    name = checked_text(
        announced.change.name, what="The change", field="name", needed=True, longest=LONGEST_NOTE
    )
    announced = replace(announced, change=replace(announced.change, name=name))
    people.get_player(session, announced.player_id)
    try:
        known = stored.get_announced(session, announced.id)
    except NotFound:
        stored.add_announced(session, announced)
        note_added(session, [announced], who=who, player_id=announced.player_id)
        return announced
    if known != announced:
        raise Conflict("This id already stands for another change; send it under a new id.")
    return known


def announced_changes(session: Session, player_id: UUID) -> list[Announced]:
    """Return the changes announced for a player, oldest first.

    Raises
    ------
    NotFound
        There is no such player.
    """
    people.get_player(session, player_id)
    return stored.list_announced(session, player_id)


def withdraw_change(session: Session, announced_id: UUID, *, who: str) -> Announced:
    """Take an announced change back; the log keeps it.

    Raises
    ------
    NotFound
        There is no such announcement.
    """
    before = stored.get_announced(session, announced_id)
    stored.delete_announced(session, announced_id)
    note_removed(session, before, who=who, player_id=before.player_id)
    return before


def _checked(game: Game) -> Game:
    check_day(game.day)
    opponent = checked_text(game.opponent, what="The opponent", field="opponent")
    return replace(game, opponent=opponent)


def _of_game(line: GameLine, game: Game) -> GameLine:
    """Return a line with the day and opponent of its game."""
    return replace(line, game_id=game.id, day=game.day, opponent=game.opponent)


def _is_or_was(session: Session, line: GameLine, before: GameLine) -> bool:
    """Tell whether a line says what the stored one says or once said, whenever the game was."""
    if _says(asdict(line)) == _says(asdict(before)):
        return True
    sent = _says(json.loads(edits.as_text(line)))
    earlier = (e.before for e in edits.list_edits(session, line.id) if e.what == "change")
    return any(_says(json.loads(text)) == sent for text in earlier if text)


def _says(line: Mapping[str, object]) -> list[object]:
    return [line[name] for name in ("player_id", "shot_type", "contested", "attempts", "made")]
