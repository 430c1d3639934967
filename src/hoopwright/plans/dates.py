"""On which days a plan is practised and tested."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from hoopwright.plans.nouns import Wish

WEEK = 7
#: days after the last session at which a retention test is wished for, and within which it stays
#: one: about a week, and three to four weeks
RETENTION = ((7, (7, 10)), (24, (21, 28)))
#: how far a free day is looked for after that
_FURTHER = 28
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Days:
    """The days of the sessions, each with its week, and what had to give."""

    #: week of the plan, from 1, and the day; in order
    visits: tuple[tuple[int, date], ...]
    #: wished days that were blocked, and where they went; None: dropped
    moved: tuple[tuple[date, date | None], ...]


def visit_days(wish: Wish) -> Days:
    """Return the days of the sessions.

    A week of the plan is the seven days from its first. A blocked day moves to the nearest later
    free day of its week, then to the nearest earlier one, and is dropped where there is none.
    """
    blocked = frozenset(wish.blocked_days)
    visits: list[tuple[int, date]] = []
    moved: list[tuple[date, date | None]] = []
    for week in range(1, wish.weeks + 1):
        first = wish.start + (week - 1) * WEEK * _DAY
        days = [first + i * _DAY for i in range(WEEK)]
        asked = [day for day in days if day.weekday() in wish.weekdays]
        taken = [day for day in asked if day not in blocked]
        for day in (one for one in asked if one in blocked):
            other = _free(_around(day, days), blocked, taken)
            moved.append((day, other))
            taken += [] if other is None else [other]
        visits += [(week, day) for day in sorted(taken)]
    return Days(visits=tuple(visits), moved=tuple(moved))


def _around(day: date, days: Sequence[date]) -> list[date]:
    return [d for d in days if d > day] + [d for d in reversed(days) if d < day]


def _free(days: Iterable[date], blocked: Collection[date], taken: Collection[date]) -> date | None:
    return next((day for day in days if day not in blocked and day not in taken), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Retention:
    """One retention test's day."""

    day: date
    #: False where every day of its time is blocked, so that it comes at another time
    in_time: bool


def retention_days(last: date, blocked: Sequence[date]) -> tuple[Retention, ...]:
    """Return the days of the tests about one week, and three to four weeks, after the last visit.

    Parameters
    ----------
    last
        Day of the last session.
    blocked
        Days nothing may be planned on.

    Notes
    -----
    The day wished for, then later ones up to the end of its time, then earlier ones, then any free
    day after; where four further weeks are blocked too, the first day beyond them.
    """
    held = frozenset(blocked)
    found: list[Retention] = []
    for wished, (first, end) in RETENTION:
        order = [*range(wished, end + 1), *range(wished - 1, first - 1, -1)]
        order += range(end + 1, end + _FURTHER)
        taken = [one.day for one in found]
        day = _free((last + n * _DAY for n in order), held, taken)
        day = day or _first_after(last + (end + _FURTHER) * _DAY, held)
        found.append(Retention(day=day, in_time=first <= (day - last).days <= end))
    return tuple(found)


def _first_after(day: date, blocked: Collection[date]) -> date:
    while day in blocked:
        day += _DAY
    return day


def said_day(day: date) -> str:
    """Return a date in words, such as ``Mon 2 March``."""
    return f"{day:%a} {day.day} {day:%B}"
