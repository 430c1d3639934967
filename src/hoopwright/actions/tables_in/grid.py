"""Bytes of a CSV or spreadsheet file → headings and rows of text, with their line numbers."""

import csv
import io
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

import fastexcel

from hoopwright.actions.columns import CHART, Headings, as_typed
from hoopwright.errors import BadTable, RowTrouble

#: largest file taken [bytes]; some 140,000 shots as the store writes them
LARGEST = 20_000_000
#: largest spreadsheet taken once unpacked [bytes]
LARGEST_UNPACKED = 200_000_000
#: most rows taken
MOST_ROWS = 200_000
#: how many bad rows a report lists; the rest are counted
MOST_TROUBLES = 200
_SEPARATORS = (",", ";", "\t")
_SHEETS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
_MARKS = {b"\xef\xbb\xbf": "utf-8-sig", b"\xff\xfe": "utf-16", b"\xfe\xff": "utf-16"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One row of a table."""

    #: line number in the file, the headings being line 1
    number: int
    #: text by column name, blank cells left out
    cells: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """A table as text."""

    #: the columns that are known
    columns: frozenset[str]
    lines: tuple[Line, ...]
    #: what was passed over, as plain sentences
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Raw:
    number: int
    cells: Sequence[str]


def read_grid(data: bytes, *, name: str, asked: Headings = CHART) -> Grid:
    """Return the rows of a CSV, XLSX, XLS or ODS file as text; blank rows are left out.

    Parameters
    ----------
    data
        The whole file.
    name
        Its name, for messages.
    asked
        The columns it may have.

    Raises
    ------
    BadTable
        The file is too large, empty, no table, lacks a column, or has rows with too many cells.
    """
    check_size(len(data), name=name)
    rows, notes = _sheet(data, name) if data.startswith(_SHEETS) else _text(data, name)
    head = next(rows, None)
    if head is None:
        raise BadTable(f"{name} is empty; its first row must hold the headings.")
    columns, more = _headings(head.cells, name, asked)
    lines, troubles = _lines(rows, columns)
    if troubles:
        raise BadTable(f"{name} has rows with more cells than headings.", rows=troubles)
    if not lines:
        raise BadTable(f"{name} has headings but no rows; add a row per {asked.row}.")
    return Grid(columns=frozenset(filter(None, columns)), lines=lines, notes=(*notes, *more))


def check_size(size: int, *, name: str) -> None:
    """Raise BadTable when a file is too large to be a chart."""
    if size > LARGEST:
        raise BadTable(
            f"{name} has {size / 1e6:.0f} MB, and {LARGEST / 1e6:.0f} MB is the most; "
            "is it a chart? If so, split it."
        )


def refuse(troubles: Sequence[RowTrouble], *, total: int, name: str) -> None:
    """Raise BadTable where anything is wrong with some rows."""
    if not troubles:
        return
    bad = len({one.row for one in troubles})
    listed = sorted(troubles, key=lambda one: one.row)[:MOST_TROUBLES]
    more = f" The first {MOST_TROUBLES} things are listed." if len(troubles) > len(listed) else ""
    raise BadTable(
        f"{bad} of {total} rows of {name} can't be read, and nothing was taken in; "
        f"correct them and send the file again.{more}",
        rows=listed,
    )


def _lines(
    rows: Iterator[_Raw], columns: Sequence[str]
) -> tuple[tuple[Line, ...], list[RowTrouble]]:
    lines, troubles = [], []
    for row in rows:
        texts = [cell.strip() for cell in row.cells]
        cells = {c: as_typed(t) for c, t in zip(columns, texts, strict=False) if c and t}
        if any(texts[len(columns) :]):
            troubles.append(_too_many(row.number))
        if cells:
            lines.append(Line(number=row.number, cells=cells))
        if len(lines) > MOST_ROWS:
            raise BadTable(f"There are more than {MOST_ROWS:,} rows; split the file.")
    return tuple(lines), troubles


def _too_many(row: int) -> RowTrouble:
    say = "More cells than headings; put a text that holds the separator in double quotes."
    return RowTrouble(row=row, column=None, message=say)


def _headings(cells: Sequence[str], name: str, asked: Headings) -> tuple[list[str], list[str]]:
    """Return the column each heading stands for, "" where none, and notes."""
    written = ["_".join(c.replace("-", " ").casefold().split()) for c in cells]
    columns = [asked.same.get(w, w) for w in written]
    twice = sorted({c for c in columns if c in asked.columns and columns.count(c) > 1})
    if twice:
        raise BadTable(f"{name} has the column {twice[0]} twice; rename one.")
    _check_needed(columns, name, asked)
    others = [
        cell.strip() for cell, c in zip(cells, columns, strict=True) if c not in asked.columns
    ]
    others = [other for other in others if other]
    note = f"Columns passed over: {', '.join(others)}." if others else ""
    return [c if c in asked.columns else "" for c in columns], [note] if note else []


def _check_needed(columns: Sequence[str], name: str, asked: Headings) -> None:
    lacking = [
        c for c, ways in asked.needed.items() if not any(set(way) <= set(columns) for way in ways)
    ]
    if not lacking:
        return
    unknown = [c for c in columns if c and c not in asked.columns]
    near = [(get_close_matches(c, unknown, n=1, cutoff=0.6), c) for c in lacking]
    hints = [f"rename {found[0]!r} to {c!r}" for found, c in near if found]
    what = "spot or distance" if lacking == ["spot"] else " and no column ".join(lacking)
    such = f"its first row must hold headings such as {asked.example}"
    raise BadTable(f"{name} has no column {what}; {' and '.join(hints) if hints else such}.")


def _text(data: bytes, name: str) -> tuple[Iterator[_Raw], list[str]]:
    text, notes = _decoded(data, name)
    head = text.lstrip("\n").split("\n", 1)[0]
    separator = max(_SEPARATORS, key=head.count)
    return _csv_rows(text, separator, name), notes


def _decoded(data: bytes, name: str) -> tuple[str, list[str]]:
    encoding = next((code for mark, code in _MARKS.items() if data.startswith(mark)), "utf-8")
    notes = []
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        text = data.decode("cp1252", errors="replace")
        notes = [f"{name} is not in UTF-8; read as Windows text. Check names with accents."]
    if _is_binary(text):
        raise BadTable(f"{name} is not a table; save it as CSV (UTF-8) or XLSX and send that.")
    return text.replace("\r\n", "\n").replace("\r", "\n"), notes


def _is_binary(text: str) -> bool:
    strange = sum((c < " " and c not in "\t\n\r\f") or c in "\x7f\ufffd" for c in text[:100_000])
    return "\0" in text or strange > 0.01 * min(len(text), 100_000)


def _csv_rows(text: str, separator: str, name: str) -> Iterator[_Raw]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    while True:
        first = reader.line_num + 1
        try:
            cells = next(reader, None)
        except csv.Error as trouble:
            raise BadTable(
                f"{name} can't be read from line {first} on; check the double quotes there."
            ) from trouble
        if cells is None:
            return
        if any(cell.strip() for cell in cells):
            yield _Raw(first, cells)


def _sheet(data: bytes, name: str) -> tuple[Iterator[_Raw], list[str]]:
    _check_unpacked(data, name)
    try:
        book = fastexcel.read_excel(data)
        sheet = book.load_sheet(0, header_row=None, dtypes="string")
    except fastexcel.FastExcelError as trouble:
        raise BadTable(
            f"{name} can't be read as a spreadsheet; save it as XLSX or CSV and send that."
        ) from trouble
    more = book.sheet_names[1:]
    notes = [f"Only the first sheet was read; passed over: {', '.join(more)}."] if more else []
    return _sheet_rows(sheet.to_polars().iter_rows()), notes


def _sheet_rows(body: Iterator[tuple[str | None, ...]]) -> Iterator[_Raw]:
    # the library leaves out blank rows above the headings, so the headings are row 1
    for number, cells in enumerate(body, start=1):
        if any(cells):
            yield _Raw(number, [cell or "" for cell in cells])


def _check_unpacked(data: bytes, name: str) -> None:
    if not data.startswith(b"PK"):
        return
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            size = sum(entry.file_size for entry in packed.infolist())
    except zipfile.BadZipFile as trouble:
        raise BadTable(
            f"{name} is damaged or no spreadsheet; save it again as XLSX or CSV."
        ) from trouble
    if size > LARGEST_UNPACKED:
        raise BadTable(f"{name} unpacks to more than a chart can hold; split it.")
