"""A number from a rule book with where it came from: the rows of ``standards.csv``."""

import csv
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib.resources import files

from hoopwright import units
from hoopwright.errors import UnknownName

#: factor to SI for each unit a row may use
_FACTORS = {
    "m": 1.0,
    "mm": 0.001,
    "ft": units.FOOT,
    "in": units.INCH,
    "kg": 1.0,
    "g": 0.001,
    "oz": units.OUNCE,
    "%": 0.01,
}


class Status(StrEnum):
    """How well a number is known."""

    #: the number itself was read in the source named
    SEEN = "seen"
    #: from memory of the source named; not read again
    MEMORY = "memory"
    #: arithmetic on other rows
    DERIVED = "derived"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sourced:
    """One number of one rule book with its source; SI units."""

    #: key of the rule book
    rules: str
    #: what it measures, such as ``"ring.height"`` or ``"ball7.mass"``
    item: str
    #: the number used [m, kg or a share]
    value: float
    #: lowest and highest allowed; both equal to the value where the book gives one number
    low: float
    high: float
    #: as the book prints it
    printed: str
    #: key in ``docs/references.md``
    source: str
    status: Status
    #: what to know about it; "" where nothing
    note: str


def _si(printed: str, unit: str) -> float:
    # nine decimals: a nanometre or a microgram, so that 3.6 stays 3.6 in binary arithmetic
    return round(float(printed) * _FACTORS[unit], 9)


def _row_to_sourced(row: dict[str, str], rules: str) -> Sourced:
    low = _si(row["low"], row["unit"])
    high = _si(row["high"] or row["low"], row["unit"])
    return Sourced(
        rules=rules,
        item=row["item"],
        value=_si(row["nominal"], row["unit"]) if row["nominal"] else round(0.5 * (low + high), 9),
        low=low,
        high=high,
        printed=row["printed"],
        source=row["source"],
        status=Status(row["status"]),
        note=row["note"],
    )


@cache
def all_sourced() -> dict[tuple[str, str], Sourced]:
    """Return every number of every rule book, by (rule book key, item)."""
    text = files("hoopwright.court").joinpath("standards.csv").read_text(encoding="utf-8")
    table: dict[tuple[str, str], Sourced] = {}
    for row in csv.DictReader(text.splitlines()):
        for rules in row["books"].split():
            table[rules, row["item"]] = _row_to_sourced(row, rules)
    return table


def sourced(rules: str, item: str) -> Sourced:
    """Return one number with its source and status.

    Parameters
    ----------
    rules
        Key of a rule book, such as ``"fiba"``.
    item
        Such as ``"ring.height"``, ``"lines.three_point"`` or ``"ball7.mass"``.

    Raises
    ------
    UnknownName
        The rule book gives no such number.
    """
    found = all_sourced().get((rules, item))
    if found is None:
        known = ", ".join(sorted(i for r, i in all_sourced() if r == rules))
        raise UnknownName(
            f"Rule book {rules!r} gives no number called {item!r}; it gives: {known or 'none'}."
        )
    return found
