"""Plain counts of a set, written out as shots."""

from collections.abc import Mapping

from hoopwright.actions.quick_line import Mark
from hoopwright.errors import BadInput
from hoopwright.records import Miss

#: the most attempts entered at once
MOST = 1000


def expand_counts(*, made: int, attempts: int, misses: Mapping[Miss, int]) -> tuple[Mark, ...]:
    """Return one mark per attempt: makes first, then misses by direction, then the rest.

    Parameters
    ----------
    misses
        How many missed each way, one way a miss.

    Raises
    ------
    BadInput
        A count is negative, more were made than attempted, more missed than were not made, or
        there are none or more than 1000 attempts.
    """
    for field, count in (("made", made), ("attempts", attempts), *_named(misses)):
        if count < 0:
            raise BadInput(f"The count of {field} is below zero; write 0 or more.", field=field)
    if not 0 < attempts <= MOST:
        raise BadInput(
            f"Enter from 1 to {MOST} attempts at a time, not {attempts}.", field="attempts"
        )
    if made > attempts:
        raise BadInput(
            f"{made} made of {attempts} attempts can't be; check the two counts.", field="made"
        )
    plain = attempts - made - sum(misses.values())
    if plain < 0:
        raise BadInput(
            f"{sum(misses.values())} misses with a direction are more than the "
            f"{attempts - made} that did not go in; count each miss under one direction.",
            field="misses",
        )
    aimed = [Mark(made=False, miss=(way,)) for way in Miss for _ in range(misses.get(way, 0))]
    return (*[Mark(made=True)] * made, *aimed, *[Mark(made=False)] * plain)


def _named(misses: Mapping[Miss, int]) -> list[tuple[str, int]]:
    return [(way.value, count) for way, count in misses.items()]
