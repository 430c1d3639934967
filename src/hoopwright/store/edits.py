"""The log of changes: added to, never changed, blanked only when a player is forgotten."""

import json
from collections.abc import Sequence
from dataclasses import Field, asdict
from typing import Any, ClassVar, Protocol
from uuid import UUID

from sqlalchemy import Row, insert, select, update
from sqlalchemy.orm import Session

from hoopwright.records import Edit
from hoopwright.store.batches import batches
from hoopwright.store.tables import edits


class Thing(Protocol):
    """What the log speaks of: a frozen record with an id."""

    __dataclass_fields__: ClassVar[dict[str, Field[Any]]]

    @property
    def id(self) -> UUID:
        """What tells it from others."""


def as_text(thing: Thing) -> str:
    """Return a record as JSON text, for :attr:`hoopwright.records.Edit.before`."""
    return json.dumps(asdict(thing), default=str, ensure_ascii=False)


def add_edits(session: Session, changes: Sequence[Edit], *, player_id: UUID) -> None:
    """Add entries to the log of one player's things."""
    if changes:
        session.execute(insert(edits), [_to_row(one, player_id) for one in changes])


def list_edits(session: Session, thing_id: UUID) -> list[Edit]:
    """Return the changes of one thing, oldest first."""
    rows = session.execute(select(edits).where(edits.c.thing_id == thing_id).order_by(edits.c.id))
    return [_from_row(row) for row in rows]


def removed_among(session: Session, ids: Sequence[UUID], *, kind: str = "shot") -> set[UUID]:
    """Return those of some shots, or things of another kind, that were taken out one by one."""
    asked = select(edits.c.thing_id).where(edits.c.kind == kind, edits.c.what == "remove")
    gone: set[UUID] = set()
    for some in batches(ids):
        gone.update(session.scalars(asked.where(edits.c.thing_id.in_(some))))
    return gone


def blank_edits(session: Session, player_id: UUID) -> None:
    """Keep that and when things of a player changed, but not what they said."""
    session.execute(update(edits).where(edits.c.player_id == player_id).values(before=""))


def _to_row(edit: Edit, player_id: UUID) -> dict[str, object]:
    return {
        "at": edit.at,
        "who": edit.who,
        "kind": edit.kind,
        "thing_id": edit.thing_id,
        "what": edit.what,
        "before": edit.before,
        "player_id": player_id,
    }


def _from_row(row: Row[Any]) -> Edit:
    return Edit(
        at=row.at, who=row.who, kind=row.kind,
        thing_id=row.thing_id, what=row.what, before=row.before,
    )  # fmt: skip
