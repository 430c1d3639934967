"""How much was done, held against the limits for the player's age: cautions with their source.

A week is the seven days that end today, so that no border of a calendar week hides a heavy one.
Days with nothing logged count as rest: the cautions know only what was written down.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from hoopwright.load.limits import WEEK, limit
from hoopwright.load.nouns import (
    Caution,
    CautionKind,
    Flag,
    Limit,
    LoadEntry,
    Severity,
)
from hoopwright.load.stops import stops

#: days looked back for time off
YEAR = 365
#: a break counts as time off from so many days on
BREAK = 28
#: days of one month off
MONTH = 30


def cautions(
    age: int | None, entries: Sequence[LoadEntry], *, flags: Sequence[Flag] = (), today: date
) -> tuple[Caution, ...]:
    """Return what to be careful about today, stops first.

    Parameters
    ----------
    age
        In whole years; None where it isn't known, which is read as the youngest, and said.
    entries
        What one player did; what lies after today is left out.
    flags
        Pain and head knocks of the same player.
    today
        The day it is asked for.

    Returns
    -------
    tuple of Caution
        Each one sentence or two, with the source of its limit.
    """
    done = [one for one in entries if one.day <= today]
    week = [one for one in done if (today - one.day).days < WEEK]
    look = _Look(age=age, done=done, week=week, today=today)
    said = (*stops(flags, today), *_hours(look), *_rest(look), *_games(look), *_shots(look))
    said = (*said, *_months_off(look))
    return tuple(sorted(said, key=lambda c: c.severity is not Severity.STOP))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Look:
    age: int | None
    done: Sequence[LoadEntry]
    #: entries of the seven days that end today
    week: Sequence[LoadEntry]
    today: date

    def limit(self, kind: CautionKind) -> Limit | None:
        return limit(kind, self.age)

    def caution(self, rule: Limit, message: str) -> Caution:
        unsaid = "Age not known, so the limit of the youngest is used: "
        text = message if self.age is not None else unsaid + message[:1].lower() + message[1:]
        return Caution(kind=rule.kind, severity=Severity.CAUTION, message=text, source=rule.source)

    def days(self) -> Iterator[tuple[date, list[LoadEntry]]]:
        """Give each day of the week with something on it, oldest first."""
        for day in sorted({one.day for one in self.week}):
            yield day, [one for one in self.week if one.day == day]


def _on(day: date) -> str:
    return f"{day.day} {day:%B}"


def _hours(look: _Look) -> Iterator[Caution]:
    organised = sum(one.organised_minutes for one in look.week) / 60
    everything = organised + sum(one.self_led_minutes for one in look.week) / 60
    rule = look.limit(CautionKind.WEEKLY_HOURS)
    if rule is not None and organised > rule.value:
        yield look.caution(
            rule,
            f"{organised:.1f} hours of organised basketball in 7 days, above the {rule.value:g} "
            "advised at this age; plan less in the next days.",
        )
    rule = look.limit(CautionKind.HIGH_HOURS)
    if rule is not None and everything > rule.value:
        yield look.caution(
            rule,
            f"{everything:.1f} hours in 7 days, alone and organised: more than {rule.value:g} a "
            "week goes with more overuse injuries in the young; plan less in the next days.",
        )


def _rest(look: _Look) -> Iterator[Caution]:
    rule = look.limit(CautionKind.REST_DAYS)
    busy = len({one.day for one in look.week if one.organised})
    if rule is None or WEEK - busy >= rule.value:
        return
    free = {0: "No day", 1: "Only 1 day"}.get(WEEK - busy, f"Only {WEEK - busy} days")
    days = "day" if rule.value == 1 else "days"
    yield look.caution(
        rule,
        f"{free} without organised basketball in the last 7; at least {rule.value:g} rest {days} "
        "a week are advised at this age; leave the next day free.",
    )


def _games(look: _Look) -> Iterator[Caution]:
    rule = look.limit(CautionKind.GAMES)
    if rule is None:
        return
    counts = {day: sum(one.games for one in entries) for day, entries in look.days()}
    for day, games in counts.items():
        if games > rule.value:
            yield look.caution(
                rule,
                f"{games} games on {_on(day)}, above the {rule.value:g} a day advised at this "
                "age; leave out a game or give extra rest.",
            )
    several = [day for day, games in counts.items() if games > 1]
    if any(day + timedelta(days=1) in several for day in several):
        yield look.caution(
            rule, "More than one game a day on days in a row: give extra rest days after it."
        )


def _shots(look: _Look) -> Iterator[Caution]:
    rule = look.limit(CautionKind.SESSION_SHOTS)
    if rule is None:
        return
    for day, entries in look.days():
        coached = sum(one.coached_shots for one in entries)
        alone = sum(one.self_led_shots for one in entries)
        if coached + alone > rule.value:
            yield look.caution(
                rule,
                f"{coached + alone} shots on {_on(day)} ({coached} coached, {alone} alone); "
                f"{rule.value:g} to {rule.high:g} a day is usual as the most at this age; "
                "stop on pain or when the form goes.",
            )


def _months_off(look: _Look) -> Iterator[Caution]:
    """Speak only where the log reaches back a whole year; a short log says nothing of it."""
    rule = look.limit(CautionKind.MONTHS_OFF)
    first = look.today - timedelta(days=YEAR - 1)
    if rule is None or not any(one.day <= first for one in look.done):
        return
    busy = sorted({one.day for one in look.done if one.day >= first})
    edges = [first - timedelta(days=1), *busy, look.today + timedelta(days=1)]
    gaps = [(b - a).days - 1 for a, b in pairwise(edges)]
    off = sum(gap for gap in gaps if gap >= BREAK)
    if off < rule.value * MONTH:
        yield look.caution(
            rule,
            f"{off} days off in breaks of four weeks or more in the last year; {rule.value:g} to "
            f"{rule.high:g} months away from one sport each year are advised at this age; plan a "
            "break.",
        )
