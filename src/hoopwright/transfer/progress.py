"""One line through a player's cold tests: the level, when it changed, and what the tests after say.

The line goes through cold and retention tests of one place. A retention or transfer test is also
set against what the tests before it foresaw. A dip that was announced is no alarm while it lasts.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
from scipy import special

from hoopwright.errors import BadInput
from hoopwright.records import Estimate
from hoopwright.transfer.levels import LEVELS, STEP, Walk, likelihoods, paths, walk
from hoopwright.transfer.nouns import AnnouncedChange, ColdTest, TestKind
from hoopwright.transfer.said import said_of
from hoopwright.transfer.shares import Floats
from hoopwright.transfer.turning import Turn, turns
from hoopwright.trials.nouns import Said

#: most tests of one place read at once: years of weekly tests
MOST_TESTS = 400
#: a level is said to be told once its 80 % range is no wider than this either way
TOLD_WITHIN = 0.05
#: how far a test under another condition may lie off the line, in the log of the odds; common
#: practice, no source
_OFF_SD = 0.5
_Z80 = 1.2816
_PATHS = 2000


@dataclass(frozen=True, slots=True, kw_only=True)
class LinePoint:
    """The level on one day of tests."""

    day: date
    attempts: int
    made: int
    #: share made that is the player's level that day, given all tests
    level: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeShown:
    """A day from which the level is another one."""

    #: first test day of the new level
    day: date
    #: test days that may be the first of the new level (80 %)
    earliest: date
    latest: date
    #: level after less before, in makes per 100
    difference: Estimate
    #: the announced change in whose dip it falls, "" where in none
    announced: str
    #: worth looking into: makes went down, and nobody had said they would
    alarm: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A retention or transfer test against what the tests before it foresaw."""

    test: ColdTest
    #: level in this test less level foreseen, in makes per 100; None where no test came before
    difference: Estimate | None
    said: Said


@dataclass(frozen=True, slots=True, kw_only=True)
class Dip:
    """An announced dip, and whether makes came back in time."""

    change: AnnouncedChange
    #: last day that makes may be down
    until: date
    #: the dip is still open on the day of the last test
    open: bool
    #: level of the last test less that before the change, in makes per 100; None without tests on
    #: both sides
    difference: Estimate | None
    #: the time is over and makes are clearly or likely below what they were
    overdue: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceLine:
    """Progress in one place."""

    place: str
    points: tuple[LinePoint, ...]
    changes: tuple[ChangeShown, ...]
    marks: tuple[Mark, ...]
    dips: tuple[Dip, ...]
    #: level at the last test less that at the first, in makes per 100; None with tests of one day
    gain: Estimate | None
    said: Said
    #: shots still needed until the level is told to within 5 points; 0 where it is
    attempts_needed: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """A player's progress, a line per place in the order they were first tested."""

    lines: tuple[PlaceLine, ...]


def read_progress(
    tests: Sequence[ColdTest], changes: Sequence[AnnouncedChange] = (), *, seed: int = 1
) -> Progress:
    """Return the line through one player's tests, per place.

    Parameters
    ----------
    tests
        In any order.
    changes
        Changes that were announced to cost makes for a while.
    seed
        For the drawing of paths; the same tests always read the same.

    Raises
    ------
    BadInput
        There are no tests, they are several players', or too many.
    """
    if not tests:
        raise BadInput("There are no cold tests yet; take one at the start of a visit.")
    if len({test.player_id for test in tests}) > 1:
        raise BadInput("These tests are of several players; read one player's progress.")
    ordered = sorted(tests, key=lambda test: test.day)
    places = dict.fromkeys(test.place for test in ordered)
    return Progress(
        lines=tuple(
            _read_place(place, [t for t in ordered if t.place == place], changes, seed)
            for place in places
        )
    )


def _read_place(
    place: str, tests: Sequence[ColdTest], changes: Sequence[AnnouncedChange], seed: int
) -> PlaceLine:
    if len(tests) > MOST_TESTS:
        raise BadInput(f"More than {MOST_TESTS} tests of {place or 'one place'}; read fewer years.")
    on_line = [test for test in tests if test.kind is not TestKind.TRANSFER]
    line = _Line(on_line, seed) if on_line else None
    gain = line.apart(0, len(on_line) - 1) if line and line.days > 1 else None
    return PlaceLine(
        place=place,
        points=line.points() if line else (),
        changes=tuple(_change(line, turn, changes) for turn in line.turns) if line else (),
        marks=tuple(_mark(test, tests) for test in tests if test.kind is not TestKind.COLD),
        dips=tuple(_dip(line, change) for change in changes) if line else (),
        gain=gain,
        said=said_of(gain) if gain else Said.CANNOT_TELL,
        attempts_needed=line.needed() if line else _needed_for(0.5, 0.25),
    )


class _Line:
    """The tests of one place, read once."""

    def __init__(self, tests: Sequence[ColdTest], seed: int) -> None:
        self.tests = tests
        logs = likelihoods([t.attempts for t in tests], [t.made for t in tests])
        self.turns = turns(logs)
        self.walk = walk(logs, _gaps(tests))
        self._seed = seed

    @property
    def days(self) -> int:
        """How many days there are tests of."""
        return len({test.day for test in self.tests})

    def points(self) -> tuple[LinePoint, ...]:
        """Return the line, a point per test."""
        return tuple(
            LinePoint(
                day=test.day, attempts=test.attempts, made=test.made,
                level=_estimate(self.walk.level(i)),
            )
            for i, test in enumerate(self.tests)
        )  # fmt: skip

    def apart(self, one: int, other: int) -> Estimate:
        """Return level at another test less that at one, in makes per 100."""
        rng = np.random.default_rng(self._seed)
        ends = paths(self.walk, one, other, count=_PATHS, rng=rng)
        # within a place of the grid every level is as likely
        levels = LEVELS[ends] + STEP * (rng.random(ends.shape) - 0.5)
        shares = special.expit(levels)
        return Estimate.from_draws(100 * (shares[:, 1] - shares[:, 0]))

    def needed(self) -> int:
        """Return shots until the last level is told."""
        level = self.walk.level(len(self.tests) - 1)
        shares = special.expit(LEVELS)
        mean = float(level @ shares)
        return _needed_for(mean, float(np.sqrt(level @ (shares - mean) ** 2)))


def _needed_for(mean: float, sd: float) -> int:
    variance = mean * (1 - mean)
    return max(0, int(np.ceil(variance * ((_Z80 / TOLD_WITHIN) ** 2 - 1 / sd**2))))


def _gaps(tests: Sequence[ColdTest]) -> list[int]:
    return [(b.day - a.day).days for a, b in pairwise(tests)]


def _estimate(level: Floats) -> Estimate:
    return Estimate.from_draws(special.expit(LEVELS), level)


def _change(line: _Line, turn: Turn, changes: Sequence[AnnouncedChange]) -> ChangeShown:
    day = line.tests[turn.test].day
    earliest, latest = line.tests[turn.first].day, line.tests[turn.last].day
    difference = turn.difference.scaled(100)
    inside = next((c.name for c in changes if c.day <= latest and earliest <= c.until), "")
    return ChangeShown(
        day=day, earliest=earliest, latest=latest, difference=difference,
        announced=inside, alarm=difference.high80 < 0 and not inside,
    )  # fmt: skip


def _mark(test: ColdTest, tests: Sequence[ColdTest]) -> Mark:
    before = [t for t in tests if t.day < test.day and t.kind is not TestKind.TRANSFER]
    if not before:
        return Mark(test=test, difference=None, said=Said.CANNOT_TELL)
    counted = [*before, test]
    logs = likelihoods([t.attempts for t in counted], [t.made for t in counted])
    found = walk(logs, _gaps(counted))
    difference = _off_line(found, logs[-1])
    return Mark(test=test, difference=difference, said=said_of(difference))


def _off_line(found: Walk, test: Floats) -> Estimate:
    """Return the level in a test less the one foreseen, makes per 100.

    Parameters
    ----------
    found
        The walk up to and with the test.
    test
        Log chance of the test, float64 [scatter, level].
    """
    foreseen = found.level_before(-1)
    scatter = found.weights_before[-1].sum(axis=0)
    here = special.logsumexp(test, axis=0, b=scatter[:, None])
    steps = np.arange(-int(4 * _OFF_SD / STEP), int(4 * _OFF_SD / STEP) + 1)
    to = np.arange(len(LEVELS))[:, None] + steps
    inside = (to >= 0) & (to < len(LEVELS))
    to = np.clip(to, 0, len(LEVELS) - 1)
    logs = here[to] - here.max() - 0.5 * (steps * STEP / _OFF_SD) ** 2
    chances = np.where(inside, np.exp(logs) * foreseen[:, None], 0.0)
    gained = special.expit(LEVELS[to]) - special.expit(LEVELS)[:, None]
    return Estimate.from_draws(100 * gained.ravel(), chances.ravel())


def _dip(line: _Line, change: AnnouncedChange) -> Dip:
    last = len(line.tests) - 1
    before = [i for i, test in enumerate(line.tests) if test.day < change.day]
    after = line.tests[last].day >= change.day
    difference = line.apart(before[-1], last) if before and after else None
    is_open = line.tests[last].day <= change.until
    below = difference is not None and difference.high80 < 0
    return Dip(
        change=change, until=change.until, open=is_open,
        difference=difference, overdue=below and not is_open,
    )  # fmt: skip


def announce(name: str, day: date, *, weeks: int = 4) -> AnnouncedChange:
    """Return a change whose dip may last some weeks; four are common practice, no source."""
    return AnnouncedChange(name=name, day=day, dip_days=timedelta(weeks=weeks).days)
