"""Form text → typed input, with each trouble beside its field; units other than SI stop here."""

import math
import re
from collections.abc import Callable, Mapping
from datetime import date
from enum import StrEnum
from typing import TypeVar
from uuid import UUID, uuid4

from hoopwright.errors import BadInput
from hoopwright.units import centimetres, feet, inches

Named = TypeVar("Named", bound=StrEnum)
Read = TypeVar("Read")

_NUMBER = r"[+-]?\d+(?:[.,]\d+)?"
_LENGTH = re.compile(
    rf"(?P<metric>{_NUMBER})\s*(?P<unit>m|cm)?"
    rf"|(?P<feet>\d+(?:[.,]\d+)?)\s*(?:ft|feet|foot|['′])\s*"
    rf"(?:(?P<inches>\d+(?:[.,]\d+)?)\s*(?:in|inch|inches|[\"″]|'')?)?",
    re.IGNORECASE,
)


class FormTrouble(BadInput):
    """Some fields need another look; each says what is wrong."""

    def __init__(self, troubles: Mapping[str, str]) -> None:
        super().__init__(next(iter(troubles.values()), None))
        #: field name → one sentence
        self.troubles = dict(troubles)


def troubles_of(trouble: BadInput) -> dict[str, str]:
    """Return the sentences of a refusal by field; "" where no field is meant."""
    if isinstance(trouble, FormTrouble):
        return trouble.troubles
    return {trouble.field or "": trouble.message}


class Fields:
    """What was typed; each reader notes its trouble, and :meth:`check` raises them all at once.

    A reader that notes a trouble returns a stand-in, so that the other fields are read too; the
    stand-in never gets past :meth:`check`.
    """

    def __init__(self, typed: Mapping[str, str] | None = None) -> None:
        self.typed = dict(typed or {})
        self.troubles: dict[str, str] = {}

    def check(self) -> None:
        """Raise what was noted, if anything.

        Raises
        ------
        FormTrouble
            With one sentence per field.
        """
        if self.troubles:
            raise FormTrouble(self.troubles)

    def text(self, name: str) -> str:
        """Return what was typed, without outer blanks."""
        return self.typed.get(name, "").strip()

    def ticked(self, name: str) -> bool:
        """Tell whether a box was ticked."""
        return bool(self.text(name))

    def whole(self, name: str, what: str, *, default: int | None = None) -> int:
        """Read a whole number; empty gives the default, or a trouble where there is none."""
        typed = self.text(name)
        if not typed and default is not None:
            return default
        if not re.fullmatch(r"[+-]?\d{1,9}", typed):
            said = "is empty" if not typed else f"is not a whole number: {shown(typed)}"
            self._note(name, f"{what} {said}; write digits only, such as 12.")
            return 0
        return int(typed)

    def year(self, name: str, what: str) -> int | None:
        """Read a year, or None where nothing was typed."""
        return self.whole(name, what) if self.text(name) else None

    def number(self, name: str, what: str, *, default: float | None = None) -> float:
        """Read a plain number with a point or a comma."""
        typed = self.text(name)
        if not typed and default is not None:
            return default
        if not re.fullmatch(_NUMBER, typed) or not math.isfinite(plain(typed)):
            said = "is empty" if not typed else f"is not a number: {shown(typed)}"
            self._note(name, f"{what} {said}; write it like 4.5.")
            return 0.0
        return plain(typed)

    def length(self, name: str, what: str) -> float | None:
        """Read a length in metres, centimetres, or feet and inches; None where empty. [m]."""
        typed = self.text(name)
        if not typed:
            return None
        found = _LENGTH.fullmatch(typed)
        if found is None:
            self._note(name, f"{what} is not a length: {shown(typed)}; write it like 3.05 m.")
            return None
        if found["metric"]:
            value = plain(found["metric"])
            return centimetres(value) if (found["unit"] or "").lower() == "cm" else value
        return feet(plain(found["feet"])) + inches(plain(found["inches"] or "0"))

    def needed_length(self, name: str, what: str) -> float:
        """Read a length that must be there. [m]."""
        value = self.length(name, what)
        if value is None and name not in self.troubles:
            self._note(name, f"{what} is empty; write it like 3.05 m.")
        return value if value is not None else 1.0

    def choice(self, name: str, kind: type[Named], default: Named) -> Named:
        """Read one of a list; empty gives the default."""
        typed = self.text(name)
        if not typed:
            return default
        known = {one.value: one for one in kind}
        if typed not in known:
            self._note(name, f"{shown(typed)} is not in the list; choose one that is.")
            return default
        return known[typed]

    def needed_choice(self, name: str, kind: type[Named], missing: str) -> Named:
        """Read one of a list; empty is a trouble, said by ``missing``."""
        if not self.text(name):
            self._note(name, missing)
        return self.choice(name, kind, next(iter(kind)))

    def day(self, name: str) -> date:
        """Read a day; empty is today."""
        typed = self.text(name)
        try:
            return date.fromisoformat(typed) if typed else date.today()
        except ValueError:
            self._note(name, f"{shown(typed)} is not a day; write it like 2026-11-25.")
            return date.today()

    def identity(self, name: str) -> UUID:
        """Read the id a form was given when it was drawn; a fresh one where it has none."""
        typed = self.text(name)
        if not typed:
            return uuid4()
        try:
            return UUID(typed)
        except ValueError:
            self._note("", "This form can't be sent as it is; open the page again and retype it.")
            return uuid4()

    def tried(self, name: str, read: Callable[[], Read], *, instead: Read) -> Read:
        """Read through a function that may refuse; a refusal becomes the field's trouble."""
        try:
            return read()
        except BadInput as trouble:
            self._note(name, trouble.message)
            return instead

    def refuse(self, name: str, sentence: str) -> None:
        """Note a trouble that the page itself found; the first of a field stands."""
        self._note(name, sentence)

    def _note(self, name: str, sentence: str) -> None:
        self.troubles.setdefault(name, sentence)


def plain(typed: str) -> float:
    """Return a number written with a point or a comma."""
    return float(typed.replace(",", "."))


def shown(typed: str) -> str:
    """Return what was typed in quotes, shortened."""
    return f"“{typed[:40]}…”" if len(typed) > 40 else f"“{typed}”"
