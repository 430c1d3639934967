"""What players did on which day, and who must not practise: load entries and flags."""

from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from typing import Any
from uuid import UUID

from sqlalchemy import Row, Select, delete, insert, select, update
from sqlalchemy.orm import Session

from hoopwright.errors import NotFound
from hoopwright.load.nouns import Clearer, Flag, FlagKind, LoadEntry
from hoopwright.store.tables import flags, load_entries


def get_entry(session: Session, entry_id: UUID) -> LoadEntry:
    """Return one load entry.

    Raises
    ------
    NotFound
        There is no such entry.
    """
    asked = select(load_entries).where(load_entries.c.id == entry_id)
    row = session.execute(asked).one_or_none()
    if row is None:
        raise NotFound("That load entry is not in the store; it may have been removed.")
    return LoadEntry(**row._mapping)


def list_entries(
    session: Session, player_id: UUID, *, since: date | None = None
) -> list[LoadEntry]:
    """Return a player's load entries from a day on, oldest first."""
    asked = select(load_entries).where(load_entries.c.player_id == player_id)
    if since is not None:
        asked = asked.where(load_entries.c.day >= since)
    rows = session.execute(asked.order_by(load_entries.c.day, load_entries.c.id))
    return [LoadEntry(**row._mapping) for row in rows]


def add_entry(session: Session, entry: LoadEntry) -> None:
    """Add a row."""
    session.execute(insert(load_entries).values(asdict(entry)))


def set_entry(session: Session, entry: LoadEntry) -> None:
    """Write an entry's row anew."""
    here = load_entries.c.id == entry.id
    session.execute(update(load_entries).where(here).values(asdict(entry)))


def delete_entry(session: Session, entry_id: UUID) -> None:
    """Delete one entry."""
    session.execute(delete(load_entries).where(load_entries.c.id == entry_id))


def get_flag(session: Session, flag_id: UUID) -> Flag:
    """Return one flag.

    Raises
    ------
    NotFound
        There is no such flag.
    """
    row = session.execute(select(flags).where(flags.c.id == flag_id)).one_or_none()
    if row is None:
        raise NotFound("That flag is not in the store; it may have been withdrawn.")
    return _flag(row)


def list_flags(session: Session, player_id: UUID) -> list[Flag]:
    """Return a player's flags, oldest first."""
    return _flags(session, select(flags).where(flags.c.player_id == player_id))


def uncleared_flags(session: Session, day: date) -> Mapping[UUID, list[Flag]]:
    """Return all flags that hold on a day, by the player's id."""
    holds = (flags.c.cleared_on.is_(None)) | (flags.c.cleared_on > day)
    found: dict[UUID, list[Flag]] = {}
    for flag in _flags(session, select(flags).where(flags.c.day <= day, holds)):
        found.setdefault(flag.player_id, []).append(flag)
    return found


def add_flag(session: Session, flag: Flag) -> None:
    """Add a row."""
    session.execute(insert(flags).values(_flag_row(flag)))


def set_flag(session: Session, flag: Flag) -> None:
    """Write a flag's row anew."""
    session.execute(update(flags).where(flags.c.id == flag.id).values(_flag_row(flag)))


def delete_flag(session: Session, flag_id: UUID) -> None:
    """Delete one flag."""
    session.execute(delete(flags).where(flags.c.id == flag_id))


def _flags(session: Session, asked: Select[Any]) -> list[Flag]:
    return [_flag(row) for row in session.execute(asked.order_by(flags.c.day, flags.c.id))]


def _flag_row(flag: Flag) -> dict[str, object]:
    by = flag.cleared_by
    return asdict(flag) | {"kind": flag.kind.value, "cleared_by": by and by.value}


def _flag(row: Row[Any]) -> Flag:
    by = row.cleared_by
    named = {"kind": FlagKind(row.kind), "cleared_by": Clearer(by) if by else None}
    return Flag(**(dict(row._mapping) | named))
