"""All errors of the project, one tree.

::

    HoopwrightError
    ├── BadInput            what was typed, sent or read can't be used
    │   ├── NotAShot        no ball could fly like that
    │   ├── BadFilm         a clip can't be read or measured
    │   ├── BadTable        a table (CSV, XLSX) can't be read; carries rows
    │   └── UnknownName     no such ball, rule book, spot or option
    ├── ModelsMissing       the body and face models are not on this machine yet
    ├── NotFound            the thing asked for isn't in the store
    ├── Conflict            the same id already stands for something else
    ├── LateWord            a worker speaks of a job that is no longer its own
    └── StoreTrouble        the database, or the place for film, can't be opened or written

The docstring of a class is its default message; each message is one sentence that says what is
wrong and what to do. Edges translate once: the web shows it beside the field, the command line
prints one line and exits 2.
"""

from collections.abc import Sequence
from dataclasses import dataclass


class HoopwrightError(Exception):
    """Something went wrong; nothing was changed."""

    def __init__(self, message: str | None = None) -> None:
        self.message = message or (type(self).__doc__ or "").strip()
        super().__init__(self.message)


class BadInput(HoopwrightError):
    """That can't be used as typed; correct it and try again."""

    def __init__(self, message: str | None = None, *, field: str | None = None) -> None:
        super().__init__(message)
        #: name of the form field or option the message belongs to, if one
        self.field = field


class NotAShot(BadInput):
    """No ball could fly like that; check distance, speed and angle."""


class BadFilm(BadInput):
    """That film can't be read; film it again or choose another file."""


class UnknownName(BadInput):
    """That name is not known; see the list of known names."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RowTrouble:
    """What is wrong with one row of a table."""

    #: line number in the file, the header being line 1
    row: int
    #: column heading, or None where the whole row is meant
    column: str | None
    #: one sentence: what is wrong and what to do
    message: str


class BadTable(BadInput):
    """The table can't be read; correct the rows named and try again."""

    def __init__(self, message: str | None = None, *, rows: Sequence[RowTrouble] = ()) -> None:
        super().__init__(message)
        #: one entry per bad row, in file order
        self.rows = tuple(rows)


class ModelsMissing(HoopwrightError):
    """The body models are not here yet; run hoopwright film prepare, then try again."""


class NotFound(HoopwrightError):
    """That is not in the store; it may have been removed."""


class Conflict(HoopwrightError):
    """That id already stands for something else; send it again under a new id."""


class LateWord(HoopwrightError):
    """The job was cancelled or given to another worker; what this one made is dropped."""


class StoreTrouble(HoopwrightError):
    """The database can't be opened or written; check its folder and free space."""
