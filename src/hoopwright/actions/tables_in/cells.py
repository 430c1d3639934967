"""The cells of one row, read one by one; what is wrong is gathered, not raised at the first."""

import math
from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import TypeVar

from hoopwright.actions.tables_in.grid import Line
from hoopwright.errors import BadInput, RowTrouble
from hoopwright.records import Half, Miss, MissDetail, Purpose

_T = TypeVar("_T")
_YES = frozenset({"yes", "y", "1", "1.0", "true", "made", "make"})
_NO = frozenset({"no", "n", "0", "0.0", "false", "missed", "miss"})
_HALVES = {half.value: half for half in Half}
_MISSES = {way.value: way for way in Miss}
#: letters that a sane number stays under
_LONGEST_NUMBER = 40


class Cells:
    """One row; every refusal is added to ``troubles`` under its column."""

    def __init__(self, line: Line) -> None:
        self._line = line
        self.troubles: list[RowTrouble] = []

    @property
    def number(self) -> int:
        """Line number in the file."""
        return self._line.number

    def has(self, *columns: str) -> list[str]:
        """Return those of some columns that are filled in."""
        return [column for column in columns if column in self._line.cells]

    def text(self, column: str) -> str:
        """Return the text of a cell, "" where blank."""
        return self._line.cells.get(column, "")

    def read(self, column: str, parse: Callable[[str], _T], *, blank: _T) -> _T:
        """Return what a parser makes of a cell, ``blank`` where it is empty or wrong."""
        text = self.text(column)
        if not text:
            return blank
        try:
            return parse(text)
        except BadInput as trouble:
            self.add(column, trouble.message)
            return blank

    def add(self, column: str | None, message: str) -> None:
        """Gather one more thing that is wrong."""
        self.troubles.append(RowTrouble(row=self.number, column=column, message=message))


def number(text: str) -> float:
    """Return a plain number; a decimal comma is taken.

    Raises
    ------
    BadInput
        It is not one: words, units, NaN and infinity are refused.
    """
    return _number(text, 0)


def centimetres(text: str) -> float:
    """Return a number of centimetres in metres.

    Raises
    ------
    BadInput
        It is not a plain number.
    """
    # shifting the decimal point is exact, dividing by 100 is not
    return _number(text, -2)


def whole(text: str) -> int:
    """Return a count: a whole number, not below zero.

    Raises
    ------
    BadInput
        It is not one.
    """
    value = number(text)
    if value < 0:
        raise BadInput(f"{text!r} is below zero; write a count of 0 or more.")
    if value != int(value) or value > 1e6:
        raise BadInput(f"{text!r} is not a count; write a whole number.")
    return int(value)


def yes(text: str) -> bool:
    """Return whether a cell says yes.

    Raises
    ------
    BadInput
        It says neither yes nor no.
    """
    word = text.casefold()
    if word not in _YES | _NO:
        raise BadInput(f"{text[:40]!r} is neither yes nor no; write one of the two.")
    return word in _YES


def went_in(text: str) -> tuple[bool, Half | None]:
    """Return whether a shot was made, and through which half of the ring if that is said.

    Raises
    ------
    BadInput
        The cell says nothing of the kind.
    """
    word = text.casefold()
    if word in _HALVES:
        return True, _HALVES[word]
    if word in _YES | _NO:
        return word in _YES, None
    hint = " For a count, fill in the column attempts too." if word.isdigit() else ""
    raise BadInput(f"{text[:40]!r} is not yes, no, front or back.{hint}")


def directions(text: str) -> tuple[Miss, ...]:
    """Return the direction or two that a miss is noted with.

    Raises
    ------
    BadInput
        A word is not a direction.
    """
    words = text.casefold().replace("+", " ").replace("/", " ").replace("-", " ").split()
    wrong = [word for word in words if word not in _MISSES]
    if wrong:
        raise BadInput(
            f"{wrong[0][:40]!r} is no direction; write short, long, left, right, "
            "or two of them as in short+left."
        )
    return tuple(_MISSES[word] for word in words)


def one_of(choices: Mapping[str, _T], *, what: str) -> Callable[[str], _T]:
    """Return a parser that takes one of some words."""

    def parse(text: str) -> _T:
        if text.casefold() not in choices:
            raise BadInput(f"{text[:40]!r} is no {what}; write one of {', '.join(choices)}.")
        return choices[text.casefold()]

    return parse


detail = one_of({d.value: d for d in MissDetail}, what="detail of misses")
purpose = one_of({p.value: p for p in Purpose if p.value}, what="purpose of a set")


def _number(text: str, power: int) -> float:
    """Return a number times a power of ten, rounded once."""
    plain = text.replace("−", "-").replace(" ", "")
    if plain.count(",") == 1 and "." not in plain:
        plain = plain.replace(",", ".")
    try:
        refused = len(plain) > _LONGEST_NUMBER or "_" in plain
        value = math.nan if refused else float(Decimal(plain).scaleb(power))
    except (ArithmeticError, ValueError):
        value = math.nan
    if not math.isfinite(value):
        raise BadInput(f"{text[:40]!r} is not a plain number; write one without its unit.")
    return value
