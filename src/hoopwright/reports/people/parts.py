"""What a report for people is made of: sections of sentences, icon rows, tables and pictures."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from hoopwright.records import Estimate
from hoopwright.reports import words

#: what stands where another player's name was typed into a text of the coach
SOMEBODY = "another player"


class Reader(StrEnum):
    """Who a report is for."""

    PLAYER = "player"
    PARENT = "parent"
    TEAM = "team"
    COACH = "coach"
    GROUP = "group"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ten:
    """A row of ten icons: a share as a count of ten, and its range in words."""

    label: str
    #: how many of ten are filled
    count: int
    #: e.g. "about 6 of 10; could be 5 to 7"
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A heading and what stands under it, in this order."""

    title: str
    #: said in large letters: the cue
    spoken: str = ""
    #: what must be read first, such as a stop
    alert: tuple[str, ...] = ()
    tens: tuple[Ten, ...] = ()
    lines: tuple[str, ...] = ()
    points: tuple[str, ...] = ()
    #: heading row, then a row each; empty where there is none
    table: tuple[tuple[str, ...], ...] = ()
    #: names of pictures, see ``pictures``
    pictures: tuple[str, ...] = ()
    #: in small letters: how to read it, where it is from
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """Everything one report says."""

    reader: Reader
    title: str
    #: from which days and shots
    about: str
    sections: tuple[Section, ...]
    #: what stands at the foot
    closing: tuple[str, ...] = ()
    invented: bool = False


def ten_of(label: str, share: Estimate) -> Ten:
    """Return a share as an icon row."""
    return Ten(label=label, count=round(10 * share.value), words=words.of_ten(share))


def texts(report: Report) -> Iterator[str]:
    """Give all sentences that are to be read, without headings, tables and small print."""
    for one in report.sections:
        yield from one.alert
        yield from (f"{row.label}: {row.words}." for row in one.tens)
        yield from one.lines
        yield from one.points
    yield from report.closing


def without_names(report: Report, names: Sequence[str]) -> Report:
    """Return a report in which no other player is named.

    A cue or the name of a change is typed by hand, and may hold the name of another child.

    Parameters
    ----------
    report
        As it was made.
    names
        Whole names of the other players.
    """
    sections = tuple(_section_without(one, names) for one in report.sections)
    return replace(report, sections=sections)


def _section_without(one: Section, names: Sequence[str]) -> Section:
    def each(lines: Sequence[str]) -> tuple[str, ...]:
        return tuple(unnamed(line, names) for line in lines)

    return replace(
        one,
        spoken=unnamed(one.spoken, names),
        alert=each(one.alert),
        lines=each(one.lines),
        points=each(one.points),
        table=tuple(each(row) for row in one.table),
        tens=tuple(replace(ten, label=unnamed(ten.label, names)) for ten in one.tens),
        note=unnamed(one.note, names),
    )


def unnamed(text: str, names: Sequence[str]) -> str:
    """Return a text without the names given."""
    for name in sorted(names, key=len, reverse=True):
        if name.casefold() in text.casefold():
            text = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", SOMEBODY, text, flags=re.IGNORECASE)
    return text
