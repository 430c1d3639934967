"""The limits by age, each with its source: the rows of ``limits.csv``."""

import csv
from collections.abc import Mapping
from datetime import date
from functools import cache
from importlib.resources import files

from hoopwright.load.nouns import CautionKind, Limit, Status
from hoopwright.records import LoadLimits

#: days of a week
WEEK = 7


@cache
def all_limits() -> tuple[Limit, ...]:
    """Return every limit, youngest first within each kind."""
    text = files("hoopwright.load").joinpath("limits.csv").read_text(encoding="utf-8")
    return tuple(_limit(row) for row in csv.DictReader(text.splitlines()))


def _limit(row: Mapping[str, str]) -> Limit:
    return Limit(
        kind=CautionKind(row["kind"]),
        youngest=int(row["youngest"]) if row["youngest"] else None,
        oldest=int(row["oldest"]) if row["oldest"] else None,
        value=float(row["value"]),
        high=float(row["high"]),
        source=row["source"],
        key=row["key"],
        status=Status(row["status"]),
    )


def limit(kind: CautionKind, age: int | None) -> Limit | None:
    """Return the limit of a kind for an age; None where none is known for that age.

    Parameters
    ----------
    kind
        What is limited.
    age
        In whole years; None where it isn't known, which gets the limit of the youngest.
    """
    of_kind = [one for one in all_limits() if one.kind is kind]
    if age is None:
        return of_kind[0] if of_kind else None
    for one in of_kind:
        if (one.youngest or 0) <= age and (one.oldest is None or age <= one.oldest):
            return one
    return None


def careful_age(birth_year: int | None, today: date) -> int | None:
    """Return the lower of the two ages a year of birth allows; None where it isn't known."""
    return None if birth_year is None else max(today.year - birth_year - 1, 0)


def load_limits(age: int | None) -> LoadLimits:
    """Return what a plan needs to know of the limits for an age; None: as for the youngest."""
    shots, rest = limit(CautionKind.SESSION_SHOTS, age), limit(CautionKind.REST_DAYS, age)
    hours = limit(CautionKind.WEEKLY_HOURS, age)
    # every age has both; see the test of the table
    assert shots is not None and rest is not None
    unsaid = "age not known, so the limit of the youngest; " if age is None else ""
    return LoadLimits(
        shots_a_day=int(shots.value),
        shots_source=unsaid + shots.source,
        days_a_week=WEEK - int(rest.value),
        rest_source=unsaid + rest.source,
        hours_a_week=None if hours is None else hours.value,
        hours_source="" if hours is None else unsaid + hours.source,
    )
