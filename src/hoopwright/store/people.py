"""Players in the database."""

import unicodedata
from dataclasses import asdict
from typing import Any
from uuid import UUID

from sqlalchemy import Row, delete, insert, select, update
from sqlalchemy.orm import Session

from hoopwright.errors import NotFound
from hoopwright.records import Hand, Player
from hoopwright.store.tables import players


def name_key(name: str) -> str:
    """Return a name as it is compared: case, runs of spaces and letter encoding do not matter."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def get_player(session: Session, player_id: UUID) -> Player:
    """Return one player.

    Raises
    ------
    NotFound
        There is no such player.
    """
    row = session.execute(select(players).where(players.c.id == player_id)).one_or_none()
    if row is None:
        raise NotFound("That player is not in the store; go back to the list of players.")
    return _from_row(row)


def list_players(session: Session) -> list[Player]:
    """Return all players, by name."""
    rows = session.execute(select(players).order_by(players.c.name_key, players.c.birth_year))
    return [_from_row(row) for row in rows]


def players_named(session: Session, name: str) -> list[Player]:
    """Return the players of one name, eldest first; usually one or none."""
    asked = select(players).where(players.c.name_key == name_key(name))
    return [_from_row(row) for row in session.execute(asked.order_by(players.c.birth_year))]


def add_player(session: Session, player: Player) -> None:
    """Add a row."""
    session.execute(insert(players).values(_to_row(player)))


def set_player(session: Session, player: Player) -> None:
    """Write a player's row anew."""
    session.execute(update(players).where(players.c.id == player.id).values(_to_row(player)))


def delete_player(session: Session, player_id: UUID) -> None:
    """Delete a player with all workouts, sets and shots."""
    session.execute(delete(players).where(players.c.id == player_id))


def _to_row(player: Player) -> dict[str, object]:
    row = asdict(player)
    return row | {
        "name_key": name_key(player.name),
        "birth_year": player.birth_year or 0,
        "hand": player.hand.value,
    }


def _from_row(row: Row[Any]) -> Player:
    return Player(
        id=row.id, name=row.name, birth_year=row.birth_year or None, hand=Hand(row.hand),
        height=row.height, ball_size=row.ball_size, ring_height=row.ring_height,
        rules=row.rules, coach=row.coach, invented=row.invented,
    )  # fmt: skip
