"""One letter per shot, for copying a paper sheet; described in ``docs/quick-entry.md``."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from hoopwright.errors import BadInput
from hoopwright.records import Half, Miss, MissDetail

#: the most shots one line may hold
MOST = 1000
_WAYS: Mapping[str, Miss] = {
    "s": Miss.SHORT,
    "d": Miss.LONG,
    "l": Miss.LEFT,
    "r": Miss.RIGHT,
}
_HALVES: Mapping[str, Half] = {"f": Half.FRONT, "b": Half.BACK}
_LETTERS = "m (made), x (missed), s (short), d (deep, so long), l (left), r (right), f or b"
# what may stand in a line: a group number, a gap, a bracket of directions, one letter
_PIECE = re.compile(
    r"(?P<number>(?<![^\s,;|/])\d+[.:)]?(?=[\s,;|/]|$))"
    r"|(?P<gap>[\s,;|/]+)|\((?P<two>[^()]*)\)|(?P<letter>[a-z])",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One shot as written on the sheet."""

    made: bool
    miss: tuple[Miss, ...] = ()
    half: Half | None = None


def parse_line(line: str) -> tuple[Mark, ...]:
    """Return the shots of a line, in order.

    Parameters
    ----------
    line
        Such as ``"mmsdm (sl)xmmr"``: letters in either case; gaps, commas, bars and group
        numbers that stand alone (``1:``) are passed over.

    Raises
    ------
    BadInput
        A character stands for no shot (the message points at it), the line holds no shot, or it
        holds more than 1000.
    """
    marks: list[Mark] = []
    at = 0
    while at < len(line):
        piece = _PIECE.match(line, at)
        if piece is None:
            raise _wrong(line, at)
        if piece.lastgroup in ("two", "letter"):
            marks.append(_mark(piece, line))
        at = piece.end()
    if not marks:
        raise BadInput(f"There is no shot in this line; write {_LETTERS}.", field="line")
    if len(marks) > MOST:
        raise BadInput(
            f"This line holds {len(marks)} shots; enter at most {MOST} at a time.", field="line"
        )
    return tuple(marks)


def detail_of(marks: tuple[Mark, ...]) -> MissDetail:
    """Return how finely a sheet notes its misses, judged by what stands on it."""
    ways = {way for mark in marks for way in mark.miss}
    if any(len(mark.miss) > 1 for mark in marks):
        return MissDetail.TWO
    if ways & {Miss.LEFT, Miss.RIGHT}:
        return MissDetail.ONE
    return MissDetail.ALONG if ways else MissDetail.NONE


def _mark(piece: re.Match[str], line: str) -> Mark:
    if piece["letter"] is not None:
        return _single(piece["letter"].lower(), line, piece.start())
    ways = []
    for offset, letter in enumerate(piece["two"].lower()):
        if letter not in _WAYS:
            raise _wrong(line, piece.start("two") + offset)
        ways.append(_WAYS[letter])
    if len(ways) != 2 or len({way in (Miss.SHORT, Miss.LONG) for way in ways}) != 2:
        raise _wrong(line, piece.start(), say="a bracket holds s or d, then l or r, as in (sl)")
    return Mark(made=False, miss=tuple(ways))


def _single(letter: str, line: str, at: int) -> Mark:
    if letter in _WAYS:
        return Mark(made=False, miss=(_WAYS[letter],))
    if letter in _HALVES:
        return Mark(made=True, half=_HALVES[letter])
    if letter not in "mx":
        raise _wrong(line, at)
    return Mark(made=letter == "m")


def _wrong(line: str, at: int, *, say: str = "") -> BadInput:
    seen = line[max(0, at - 12) : at] + "→" + line[at : at + 12]
    if line[at].isdigit():
        say = say or "write a letter once per shot; a number may only stand alone, as in 1:"
    elif line[at] in "()":
        say = say or "a bracket holds two directions and is closed, as in (sl)"
    what = say or f"write {_LETTERS}"
    return BadInput(f"Character {at + 1}, {line[at]!r} in “{seen}”: {what}.", field="line")
