"""Who does not practise on a day: pain and knocks to the head. Never a diagnosis."""

from collections.abc import Sequence
from datetime import date, timedelta

from hoopwright.load.nouns import Caution, CautionKind, Clearer, Flag, FlagKind, Severity

#: what every page and print with a caution says beside it
DEFERS = (
    "These are cautions, not medical advice: local rules and a licensed health professional "
    "come first."
)
HEAD_SOURCE = (
    "CDC, HEADS UP to Youth Sports: off the same day, back only when a health professional says so"
)
STEPS_SOURCE = "Patricios and others 2023, British Journal of Sports Medicine 57:695 (from memory)"
PAIN_SOURCE = "common practice, no source"
#: days after a clearance in which the way back is step by step
STEPS_DAYS = 7
#: pain twice within so many days is to be looked at
AGAIN_DAYS = 28


def is_open(flag: Flag, day: date) -> bool:
    """Tell whether a flag stops the player on a day."""
    return flag.day <= day and (flag.cleared_on is None or day < flag.cleared_on)


def stopped_days(flags: Sequence[Flag], first: date, last: date) -> tuple[date, ...]:
    """Return the days, from first to last included, on which a flag stops the player."""
    days = (first + timedelta(days=i) for i in range((last - first).days + 1))
    return tuple(day for day in days if any(is_open(flag, day) for flag in flags))


def stops(flags: Sequence[Flag], today: date) -> tuple[Caution, ...]:
    """Return what the flags say today, head knocks first.

    Parameters
    ----------
    flags
        All flags of one player.
    today
        The day it is asked for; later flags are left out.
    """
    held = [flag for flag in flags if is_open(flag, today)]
    knocks = [_head_knock(f, today) for f in held if f.kind is FlagKind.HEAD_KNOCK]
    pains = [_pain(f, today) for f in held if f.kind is FlagKind.PAIN]
    return (*knocks, *pains, *_steps(flags, today), *_again(flags, today))


def _on(day: date) -> str:
    return f"{day.day} {day:%B %Y}"


def _head_knock(flag: Flag, today: date) -> Caution:
    when = "today" if flag.day == today else f"on {_on(flag.day)}"
    return Caution(
        kind=CautionKind.HEAD_KNOCK,
        severity=Severity.STOP,
        message=(
            f"Head knock {when}: see a professional; do not return today. Stay with the player, "
            "tell the parents, and call emergency help if anything gets worse. Back only when a "
            "licensed health professional says so; a coach does not clear."
        ),
        source=HEAD_SOURCE,
    )


def _pain(flag: Flag, today: date) -> Caution:
    when = "today" if flag.day == today else f"on {_on(flag.day)}, not cleared yet"
    return Caution(
        kind=CautionKind.PAIN,
        severity=Severity.STOP,
        message=(
            f"Pain {when}: do not return today. See a professional if it is strong, stays or "
            "comes back; from the next day on the player or a parent may say that it is gone."
        ),
        source=PAIN_SOURCE,
    )


def _steps(flags: Sequence[Flag], today: date) -> tuple[Caution, ...]:
    """Return the way back after a head knock that was cleared a short time ago."""
    last = max(
        (f.cleared_on for f in flags if f.kind is FlagKind.HEAD_KNOCK and f.cleared_on is not None),
        default=None,
    )
    if last is None or not 0 <= (today - last).days < STEPS_DAYS:
        return ()
    return (
        Caution(
            kind=CautionKind.HEAD_KNOCK,
            severity=Severity.CAUTION,
            message=(
                f"Cleared on {_on(last)} after a head knock: come back step by step as the "
                "professional said, at least a day for each step, and stop if anything returns."
            ),
            source=STEPS_SOURCE,
        ),
    )


def _again(flags: Sequence[Flag], today: date) -> tuple[Caution, ...]:
    """Return a word on pain that came more than once and was not looked at."""
    since = today - timedelta(days=AGAIN_DAYS)
    pains = [f for f in flags if f.kind is FlagKind.PAIN and since < f.day <= today]
    seen = any(f.cleared_by is Clearer.PROFESSIONAL for f in pains)
    if len({f.day for f in pains}) < 2 or seen:
        return ()
    return (
        Caution(
            kind=CautionKind.PAIN,
            severity=Severity.CAUTION,
            message=(
                f"Pain on {len({f.day for f in pains})} days within {AGAIN_DAYS} days: have a "
                "licensed health professional look before there is more shooting."
            ),
            source=PAIN_SOURCE,
        ),
    )
