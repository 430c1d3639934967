"""The log of changes: added to, never changed, blanked only when a player is forgotten.

There is one writer at a time (``engine``), so that each entry can follow on the one before.
"""

import json
from collections.abc import Iterator, Sequence
from dataclasses import Field, asdict
from typing import Any, ClassVar, Protocol
from uuid import UUID

from sqlalchemy import Row, func, insert, select, update
from sqlalchemy.orm import Session

from hoopwright.records import Edit
from hoopwright.store import chain
from hoopwright.store.batches import batches
from hoopwright.store.chain import LogCheck, Seal
from hoopwright.store.tables import edits

#: what is said of the end of a player; its numbers are kept where all else is blanked
ERASE = "erase"
#: entries read at a time
_SOME = 5000


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
        last = last_seal(session)
        session.execute(insert(edits), list(_chained(changes, player_id, last)))


def last_seal(session: Session) -> Seal:
    """Return number and hash of the last entry."""
    asked = select(edits.c.id, edits.c.hash).order_by(edits.c.id.desc()).limit(1)
    row = session.execute(asked).one_or_none()
    return Seal(number=0, hash=chain.START) if row is None else Seal(number=row.id, hash=row.hash)


def check_log(session: Session, known: Seal | None = None) -> LogCheck:
    """Check the whole log, and that it still leads to a seal written down earlier."""
    return chain.check(_in_order(session), erased=erasures(session), known=known)


def _in_order(session: Session) -> Iterator[dict[str, Any]]:
    """Give all entries, some at a time: a check that stops early leaves nothing open."""
    last = 0
    while some := session.execute(
        select(edits).where(edits.c.id > last).order_by(edits.c.id).limit(_SOME)
    ).all():
        yield from (row._asdict() for row in some)
        last = some[-1].id


def erasures(session: Session) -> dict[UUID, int]:
    """Return the number of the last entry that tells of an erasure, by player."""
    asked = select(edits.c.player_id, func.max(edits.c.id)).group_by(edits.c.player_id)
    rows = session.execute(asked.where(edits.c.kind == "player", edits.c.what == ERASE))
    return {player_id: int(number) for player_id, number in rows}


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


def removed_players(session: Session) -> list[tuple[UUID, str]]:
    """Return id and last fields, as JSON text, of the players that the log still tells of."""
    asked = select(edits.c.player_id, edits.c.before).order_by(edits.c.id.desc())
    removed = asked.where(edits.c.kind == "player", edits.c.what == "remove")
    return [(row.player_id, row.before) for row in session.execute(removed) if row.before]


def texts_of(session: Session, player_id: UUID) -> int:
    """Return how many entries of a player's things say what was there before."""
    asked = select(func.count()).select_from(edits)
    return int(session.scalars(asked.where(*_telling(player_id))).one())


def blank_edits(session: Session, player_id: UUID) -> int:
    """Keep that and when things of a player changed, but not what they said; return how many.

    The key of each digest goes too, so that nobody can try what the text may have been. The chain
    stays right, as long as an entry that tells of the erasure follows.
    """
    blanked = texts_of(session, player_id)
    session.execute(update(edits).where(*_telling(player_id)).values(before="", salt=""))
    return blanked


def _telling(player_id: UUID) -> tuple[Any, ...]:
    return edits.c.player_id == player_id, edits.c.before != "", edits.c.what != ERASE


def _chained(changes: Sequence[Edit], player_id: UUID, last: Seal) -> Iterator[dict[str, object]]:
    previous = last.hash
    for number, one in enumerate(changes, start=last.number + 1):
        row = _to_row(one, player_id) | {"id": number}
        linked = chain.link(row, previous=previous)
        previous = linked.hash
        yield row | asdict(linked)


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
