"""Long lists of ids, a piece at a time."""

from collections.abc import Iterator, Sequence
from uuid import UUID

#: how many ids one question may name; SQLite takes 32,766 at most
BATCH = 10_000


def batches(ids: Sequence[UUID]) -> Iterator[Sequence[UUID]]:
    """Return the ids in pieces that one question can name."""
    for start in range(0, len(ids), BATCH):
        yield ids[start : start + BATCH]
