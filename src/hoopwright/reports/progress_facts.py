"""Progress through cold tests in sentences: the level, what changed it, what later tests say."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from hoopwright.records import Estimate
from hoopwright.reports import words
from hoopwright.transfer.nouns import ColdTest
from hoopwright.transfer.progress import ChangeShown, Dip, Mark, PlaceLine
from hoopwright.trials.nouns import Said

_GAINS = {
    Said.BETTER: "Better than at the first test",
    Said.LEANING_BETTER: "Leaning better than at the first test",
    Said.CANNOT_TELL: "Can't tell yet whether it differs from the first test",
    Said.LEANING_WORSE: "Leaning worse than at the first test",
    Said.WORSE: "Worse than at the first test",
}
_MARKS = {
    Said.BETTER: "better than the tests before foresaw",
    Said.LEANING_BETTER: "leaning better than the tests before foresaw",
    Said.CANNOT_TELL: "can't tell yet from what the tests before foresaw",
    Said.LEANING_WORSE: "leaning worse than the tests before foresaw",
    Said.WORSE: "worse than the tests before foresaw",
}
#: how the picture and its sentences are to be read
HOW_TO_READ = (
    "The line goes through cold and retention tests: first shots of a day, a fixed number, no "
    "coaching before. One test is mostly luck, so read the band, not the dots. A change is shown "
    "only where the tests say so; by luck alone that happens to at most 5 of 100 players."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LineFacts:
    """One place's progress, in words."""

    place: str
    #: where the level is now
    now: str
    #: how many of ten icons to fill
    of_ten: int
    sentences: tuple[str, ...]
    #: heading row, then one row per test
    table: tuple[tuple[str, ...], ...]


def said_date(day: date) -> str:
    """Return e.g. ``3 November 2026``."""
    return f"{day.day} {day:%B %Y}"


def line_facts(line: PlaceLine) -> LineFacts:
    """Say in sentences what the tests of one place show."""
    last = line.points[-1].level if line.points else None
    return LineFacts(
        place=words.opened(line.place or "All tests"),
        now=words.opened(words.of_ten(last)) + "." if last else "No cold test of this place yet.",
        of_ten=round(10 * last.value) if last else 0,
        sentences=tuple(_sentences(line)),
        table=(
            ("Day", "Made", "Level then, of 100"),
            *(
                (said_date(p.day), f"{p.made} of {p.attempts}", _level(p.level))
                for p in line.points
            ),
        ),
    )


def _level(level: Estimate) -> str:
    value, low, high = (round(100 * v) for v in (level.value, level.low80, level.high80))
    return f"{value} (likely {low} to {high})"


def _sentences(line: PlaceLine) -> Iterator[str]:
    if line.gain is not None:
        yield f"{_GAINS[line.said]}: {words.gain(line.gain)}."
    elif line.points:
        yield "Can't tell yet how it moves: take another cold test on another day."
    if line.attempts_needed:
        more = words.plural(line.attempts_needed, "more cold-test shot")
        yield f"Can't tell the level to within 5 points yet: about {more} would."
    yield from (change_sentence(one) for one in line.changes)
    yield from (dip_sentence(one) for one in line.dips)
    yield from (mark_sentence(one) for one in line.marks)


def change_sentence(one: ChangeShown) -> str:
    """Say from when the level is another one, and whether that was announced."""
    span = ""
    if one.earliest != one.latest:
        span = f" (somewhere from {said_date(one.earliest)} to {said_date(one.latest)})"
    said = f"From {said_date(one.day)} on{span} the level is another one: " + words.gain(
        one.difference
    )
    if one.announced:
        return f"{said}. It falls into the dip that was announced for “{one.announced}”."
    if one.alarm:
        return f"{said}. Nobody had announced it: look at load, pain and film first."
    return f"{said}."


def dip_sentence(one: Dip) -> str:
    """Say what became of an announced dip."""
    named = f"“{one.change.name}” from {said_date(one.change.day)}"
    until = said_date(one.until)
    difference = "" if one.difference is None else f": {words.gain(one.difference)} so far"
    if one.overdue:
        return (
            f"The dip announced for {named} should be over since {until}, but is not{difference}."
        )
    if one.open:
        said = f"A dip is announced for {named} until {until}, so fewer makes are no alarm"
        return f"{said}{difference}."
    return f"The dip announced for {named} ended on {until}{difference}."


def mark_sentence(one: Mark) -> str:
    """Say how a retention or transfer test stands against the tests before it."""
    named = f"{words.opened(one.test.kind.value)} of {_test(one.test)}"
    if one.difference is None:
        return f"{named}: no test came before, so nothing to hold it against."
    return f"{named}: {_MARKS[one.said]}, {words.gain(one.difference)}."


def _test(test: ColdTest) -> str:
    return f"{said_date(test.day)}, {test.made} of {test.attempts}"
