"""Games and what players shot in them; changes that were announced to cost makes for a while."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from sqlalchemy import Row, Select, delete, func, insert, select, update
from sqlalchemy.orm import Session

from hoopwright.errors import NotFound
from hoopwright.store.batches import batches
from hoopwright.store.tables import announced_changes, game_lines, games
from hoopwright.transfer.nouns import AnnouncedChange, Game, GameLine, ShotType


@dataclass(frozen=True, slots=True, kw_only=True)
class Announced:
    """A change that was announced for one player."""

    id: UUID
    player_id: UUID
    change: AnnouncedChange


def get_game(session: Session, game_id: UUID) -> Game:
    """Return one game with its lines.

    Raises
    ------
    NotFound
        There is no such game.
    """
    found = known_games(session, [game_id])
    if not found:
        raise NotFound("That game is not in the store; it may have been removed.")
    return found[game_id]


def known_games(session: Session, game_ids: Sequence[UUID]) -> dict[UUID, Game]:
    """Return those of some games that are stored, with their lines, by id."""
    found: dict[UUID, Game] = {}
    for ids in batches(game_ids):
        for game in _games(session, select(games).where(games.c.id.in_(ids))):
            found[game.id] = game
    return found


def games_of_day(session: Session, day: date) -> list[Game]:
    """Return the games of a day with their lines."""
    return _games(session, select(games).where(games.c.day == day).order_by(games.c.id))


def list_games(session: Session, player_id: UUID) -> list[Game]:
    """Return the games that a player has lines in, with those lines only, oldest first."""
    ids = select(game_lines.c.game_id).where(game_lines.c.player_id == player_id)
    asked = select(games).where(games.c.id.in_(ids)).order_by(games.c.day, games.c.id)
    return _games(session, asked, player_id=player_id)


def add_games(session: Session, new: Sequence[Game]) -> None:
    """Add the rows of games; their lines are added apart."""
    if new:
        session.execute(insert(games), [_game_row(one) for one in new])


def set_game(session: Session, game: Game) -> None:
    """Write a game's row anew; its lines stay."""
    session.execute(update(games).where(games.c.id == game.id).values(_game_row(game)))


def delete_game(session: Session, game_id: UUID) -> None:
    """Delete a game with its lines."""
    session.execute(delete(games).where(games.c.id == game_id))


def delete_without_lines(session: Session, game_ids: Sequence[UUID]) -> None:
    """Delete those of some games that nobody has a line in any more."""
    empty = games.c.id.not_in(select(game_lines.c.game_id))
    for ids in batches(game_ids):
        session.execute(delete(games).where(games.c.id.in_(ids), empty))


def get_line(session: Session, line_id: UUID) -> GameLine:
    """Return one line.

    Raises
    ------
    NotFound
        There is no such line.
    """
    found = known_lines(session, [line_id])
    if not found:
        raise NotFound("That line of a game is not in the store; it may have been removed.")
    return found[line_id]


def known_lines(session: Session, line_ids: Sequence[UUID]) -> dict[UUID, GameLine]:
    """Return those of some lines that are stored, by id."""
    found: dict[UUID, GameLine] = {}
    for ids in batches(line_ids):
        for line in _lines(session, _all_lines().where(game_lines.c.id.in_(ids))):
            found[line.id] = line
    return found


def lines_of(session: Session, player_ids: Sequence[UUID]) -> dict[UUID, list[GameLine]]:
    """Return the lines of some players, oldest first, by the player's id."""
    found: dict[UUID, list[GameLine]] = {one: [] for one in player_ids}
    for ids in batches(player_ids):
        for line in _lines(session, _all_lines().where(game_lines.c.player_id.in_(ids))):
            found[line.player_id].append(line)
    return found


def games_by_day(session: Session, player_id: UUID, *, since: date) -> Mapping[date, int]:
    """Return in how many games of each day a player has lines."""
    count = func.count(game_lines.c.game_id.distinct())
    asked = select(games.c.day, count).join(game_lines, game_lines.c.game_id == games.c.id)
    asked = asked.where(game_lines.c.player_id == player_id, games.c.day >= since)
    return {day: n for day, n in session.execute(asked.group_by(games.c.day))}


def add_lines(session: Session, new: Sequence[GameLine]) -> None:
    """Add the rows of lines; their games must be there."""
    if new:
        session.execute(insert(game_lines), [_line_row(one) for one in new])


def set_line(session: Session, line: GameLine) -> None:
    """Write a line's row anew."""
    session.execute(update(game_lines).where(game_lines.c.id == line.id).values(_line_row(line)))


def delete_line(session: Session, line_id: UUID) -> None:
    """Delete one line."""
    session.execute(delete(game_lines).where(game_lines.c.id == line_id))


def get_announced(session: Session, announced_id: UUID) -> Announced:
    """Return one announced change.

    Raises
    ------
    NotFound
        There is no such change.
    """
    asked = select(announced_changes).where(announced_changes.c.id == announced_id)
    row = session.execute(asked).one_or_none()
    if row is None:
        raise NotFound("That announced change is not in the store; it may have been removed.")
    return _announced(row)


def list_announced(session: Session, player_id: UUID) -> list[Announced]:
    """Return the changes announced for a player, oldest first."""
    asked = select(announced_changes).where(announced_changes.c.player_id == player_id)
    rows = session.execute(asked.order_by(announced_changes.c.day, announced_changes.c.id))
    return [_announced(row) for row in rows]


def add_announced(session: Session, announced: Announced) -> None:
    """Add a row."""
    row = {
        "id": announced.id,
        "player_id": announced.player_id,
        "name": announced.change.name,
        "day": announced.change.day,
        "dip_days": announced.change.dip_days,
    }
    session.execute(insert(announced_changes).values(row))


def delete_announced(session: Session, announced_id: UUID) -> None:
    """Delete one announced change."""
    session.execute(delete(announced_changes).where(announced_changes.c.id == announced_id))


def _games(session: Session, asked: Select[Any], *, player_id: UUID | None = None) -> list[Game]:
    rows = session.execute(asked).all()
    ids = asked.with_only_columns(games.c.id).order_by(None)
    inside = _all_lines().where(game_lines.c.game_id.in_(ids))
    if player_id is not None:
        inside = inside.where(game_lines.c.player_id == player_id)
    lines: dict[UUID, list[GameLine]] = {}
    for line in _lines(session, inside):
        lines.setdefault(line.game_id, []).append(line)
    return [
        Game(id=row.id, day=row.day, opponent=row.opponent, lines=tuple(lines.get(row.id, ())))
        for row in rows
    ]


def _all_lines() -> Select[Any]:
    return select(game_lines, games.c.day, games.c.opponent).join(
        games, games.c.id == game_lines.c.game_id
    )


def _lines(session: Session, asked: Select[Any]) -> list[GameLine]:
    in_order = (games.c.day, games.c.id, game_lines.c.shot_type, game_lines.c.id)
    return [
        GameLine(
            id=row.id, player_id=row.player_id, game_id=row.game_id, day=row.day,
            opponent=row.opponent, shot_type=ShotType(row.shot_type), contested=row.contested,
            attempts=row.attempts, made=row.made,
        )
        for row in session.execute(asked.order_by(*in_order))
    ]  # fmt: skip


def _game_row(game: Game) -> dict[str, object]:
    return {"id": game.id, "day": game.day, "opponent": game.opponent}


def _line_row(line: GameLine) -> dict[str, object]:
    return {
        "id": line.id,
        "game_id": line.game_id,
        "player_id": line.player_id,
        "shot_type": line.shot_type.value,
        "contested": line.contested,
        "attempts": line.attempts,
        "made": line.made,
    }


def _announced(row: Row[Any]) -> Announced:
    change = AnnouncedChange(name=row.name, day=row.day, dip_days=row.dip_days)
    return Announced(id=row.id, player_id=row.player_id, change=change)
