"""A column of dates: ISO is taken; any other way only where the whole column leaves no doubt."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from hoopwright.actions.checks import FIRST_YEAR
from hoopwright.actions.tables_in.grid import Grid
from hoopwright.errors import RowTrouble

_MONTHS = (
    "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec",
)  # fmt: skip
_ISO = "year-month-day"
#: how a date is written → pattern; groups y, m, d, or a and b where the order is not known
_WAYS: Mapping[str, re.Pattern[str]] = {
    _ISO: re.compile(r"(?P<y>\d{4})-(?P<m>\d\d?)-(?P<d>\d\d?)(?:[T ][\d:.]*(?:Z|[+-][\d:]+)?)?"),
    "year/month/day": re.compile(r"(?P<y>\d{4})(?P<s>[/.])(?P<m>\d\d?)(?P=s)(?P<d>\d\d?)"),
    "numbers with /": re.compile(r"(?P<a>\d\d?)/(?P<b>\d\d?)/(?P<y>\d{4})"),
    "numbers with .": re.compile(r"(?P<a>\d\d?)\. ?(?P<b>\d\d?)\. ?(?P<y>\d{4})"),
    "numbers with -": re.compile(r"(?P<a>\d\d?)-(?P<b>\d\d?)-(?P<y>\d{4})"),
    "day month-name year": re.compile(
        r"(?P<d>\d\d?)[. -]+(?P<n>[A-Za-z]{3,9})[.,]?[ -]+(?P<y>\d{4})"
    ),
    "month-name day year": re.compile(
        r"(?P<n>[A-Za-z]{3,9})\.?[ -]+(?P<d>\d\d?),?[ -]+(?P<y>\d{4})"
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class DateColumn:
    """The dates of a column, or what is wrong with them."""

    #: by the text of the cell
    days: Mapping[str, date]
    troubles: tuple[RowTrouble, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Said:
    """One text and what it may mean."""

    way: str
    #: order of the numbers → day; one entry where the way leaves no doubt
    meanings: Mapping[str, date]


def dates_of(grid: Grid) -> DateColumn:
    """Return the days of a table's column date; a blank cell is a trouble."""
    if "date" not in grid.columns:
        note = "There is no column date; the shots can be read, but not stored."
        return DateColumn(days={}, troubles=(), notes=(note,))
    blank = [
        RowTrouble(row=line.number, column="date", message="The date is blank; write 2026-11-02.")
        for line in grid.lines
        if "date" not in line.cells
    ]
    filled = [(line.number, line.cells["date"]) for line in grid.lines if "date" in line.cells]
    column = read_dates(filled, latest=date.today().year + 1)
    return replace(column, troubles=(*column.troubles, *blank))


def read_dates(cells: Sequence[tuple[int, str]], *, latest: int) -> DateColumn:
    """Return the days that the cells of a column stand for.

    Parameters
    ----------
    cells
        Row number and text; blank cells left out.
    latest
        The last year that makes sense.
    """
    said = {text: _meanings(text, latest) for _, text in cells}
    ways = Counter(one.way for one in said.values() if one.meanings)
    if len(ways) <= 1:
        order = _one_order(said)
        if order is not None:
            return _settled(cells, said, order)
    troubles = tuple(
        RowTrouble(row=row, column="date", message=say)
        for row, text in cells
        if (say := _trouble(text, said[text], ways))
    )
    return DateColumn(days={}, troubles=troubles)


def _settled(cells: Sequence[tuple[int, str]], said: Mapping[str, _Said], order: str) -> DateColumn:
    days = {t: one.meanings[order] for t, one in said.items() if order in one.meanings}
    troubles = tuple(
        RowTrouble(row=row, column="date", message=_no_date(text))
        for row, text in cells
        if text not in days
    )
    plain = order in (_ISO, "")
    note = f"Dates were read as {order}."
    return DateColumn(days=days, troubles=troubles, notes=() if plain else (note,))


def _one_order(said: Mapping[str, _Said]) -> str | None:
    """Return the one order all cells can be read in; "" where no cell is a date at all."""
    readable = [set(one.meanings) for one in said.values() if one.meanings]
    if not readable:
        return ""
    common = set.intersection(*readable)
    return common.pop() if len(common) == 1 else None


def _meanings(text: str, latest: int) -> _Said:
    for way, pattern in _WAYS.items():
        if found := pattern.fullmatch(text):
            return _Said(way, _days(way, found, latest))
    return _Said("", {})


def _days(way: str, found: re.Match[str], latest: int) -> dict[str, date]:
    parts = found.groupdict()
    year = int(parts["y"])
    if "a" in parts:
        a, b = int(parts["a"]), int(parts["b"])
        asked = {"day/month/year": (b, a), "month/day/year": (a, b)}
    elif "n" in parts:
        asked = {way: (_month(parts["n"]), int(parts["d"]))}
    else:
        asked = {way: (int(parts["m"]), int(parts["d"]))}
    days = {order: _day(year, month, day) for order, (month, day) in asked.items()}
    return {o: d for o, d in days.items() if d is not None and FIRST_YEAR <= d.year <= latest}


def _month(name: str) -> int:
    start = name[:3].lower()
    return _MONTHS.index(start) + 1 if start in _MONTHS else 0


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


def _trouble(text: str, said: _Said, ways: Counter[str]) -> str:
    if not said.meanings:
        return _no_date(text)
    if said.way == _ISO and len(ways) > 1:
        return ""
    days = sorted({day.isoformat() for day in said.meanings.values()})
    if len(ways) > 1:
        also = ", ".join(ways)
        return (
            f"Dates are written in {len(ways)} ways here ({also}); "
            f"write {text!r} as {' or '.join(days)}."
        )
    if len(days) == 1:
        return f"Other dates here are in another order; write {text!r} as {days[0]}."
    return f"{text!r} could be {' or '.join(days)}; write the one meant, in this way."


def _no_date(text: str) -> str:
    return f"{text[:40]!r} is no date that makes sense; write it as year-month-day, 2026-11-02."
