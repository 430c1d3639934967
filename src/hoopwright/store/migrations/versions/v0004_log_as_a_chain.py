"""The log of changes becomes a chain of hashes; what is in it is chained as it stands."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import sqlalchemy as sa
from alembic import op

from hoopwright.store.chain import START, link

revision: str = "0004"
down_revision: str | None = "0003"
branch_labels: None = None
depends_on: None = None

_NEW = ("salt", "digest", "previous", "hash")
#: entries chained at a time
_SOME = 5000
_edits = sa.table(
    "edits",
    sa.column("id", sa.BigInteger()),
    sa.column("at", sa.DateTime(timezone=True)),
    sa.column("who", sa.Text()),
    sa.column("kind", sa.Text()),
    sa.column("thing_id", sa.Uuid()),
    sa.column("player_id", sa.Uuid()),
    sa.column("what", sa.Text()),
    sa.column("before", sa.Text()),
    *(sa.column(name, sa.Text()) for name in _NEW),
)


def upgrade() -> None:
    """Add the columns and fill them."""
    for name in _NEW:
        op.add_column("edits", sa.Column(name, sa.Text(), server_default="", nullable=False))
    number, previous = 0, START
    while rows := _rows_after(number):
        previous = _chain(rows, previous)
        number = rows[-1]["id"]


def downgrade() -> None:
    """Drop them."""
    for name in _NEW:
        op.drop_column("edits", name)


def _rows_after(number: int) -> Sequence[Any]:
    asked = sa.select(_edits).where(_edits.c.id > number).order_by(_edits.c.id).limit(_SOME)
    return op.get_bind().execute(asked).mappings().all()


def _chain(rows: Sequence[Any], previous: str) -> str:
    links = []
    for row in rows:
        linked = link(row, previous=previous)
        previous = linked.hash
        links.append({"number": row["id"]} | asdict(linked))
    one = sa.update(_edits).where(_edits.c.id == sa.bindparam("number"))
    one = one.values({_edits.c[name]: sa.bindparam(name) for name in _NEW})
    op.get_bind().execute(one, links)
    return previous
