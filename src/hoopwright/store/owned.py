"""Which rows of which table are a player's: found by following the foreign keys from the player.

A new table is included by itself, as long as it names its player or hangs on a table that does; a
test asks for a decision about any other.
"""

from typing import Any
from uuid import UUID

from sqlalchemy import ColumnElement, Table, func, select
from sqlalchemy.orm import Session

from hoopwright.store.tables import game_lines, games, metadata

#: tables that tell of no player: camera places, drills, names of files to be deleted
OF_NOBODY = frozenset({"scenes", "drills", "removed_media"})


def owned(player_id: UUID) -> dict[str, ColumnElement[bool]]:
    """Return for each table which of its rows are a player's, tables in order of dependence."""
    found: dict[str, ColumnElement[bool]] = {}
    for table in metadata.sorted_tables:
        which = _which(table, player_id, found)
        if which is not None:
            found[table.name] = which
    # a game belongs to all who played; nothing in it leads to them, but their lines lead to it
    played = select(game_lines.c.game_id).where(found[game_lines.name])
    return found | {games.name: games.c.id.in_(played)}


def counts_of(session: Session, player_id: UUID) -> dict[str, int]:
    """Return how many rows of each table are a player's."""
    asked = select(func.count())
    return {
        name: int(session.scalars(asked.select_from(metadata.tables[name]).where(which)).one())
        for name, which in owned(player_id).items()
    }


def rows_of(session: Session, player_id: UUID) -> dict[str, list[dict[str, Any]]]:
    """Return a player's rows by table, in order of their keys."""
    found = {}
    for name, which in owned(player_id).items():
        table = metadata.tables[name]
        asked = select(table).where(which).order_by(*table.primary_key.columns)
        found[name] = [dict(row) for row in session.execute(asked).mappings()]
    return found


def _which(
    table: Table, player_id: UUID, found: dict[str, ColumnElement[bool]]
) -> ColumnElement[bool] | None:
    if table.name == "players":
        return table.c.id == player_id
    if "player_id" in table.c:
        return table.c.player_id == player_id
    for key in table.foreign_key_constraints:
        owner = key.referred_table
        if owner.name in found:
            # the first column of a key of several names what all of it hangs on
            ours, theirs = key.elements[0].parent, key.elements[0].column
            return ours.in_(select(theirs).where(found[owner.name]))
    return None
