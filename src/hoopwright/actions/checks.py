"""Refuse what can't be true before it is stored; each refusal says what to do."""

import math
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date

from hoopwright.court.equipment import check_fits
from hoopwright.court.frame import check_spot
from hoopwright.court.standards import ball, rule_book
from hoopwright.errors import BadInput
from hoopwright.records import Landing, MeasuredRelease, Miss, MissDetail, Player, Shot, ShotSet

#: longest name, condition or spot name taken
LONGEST = 80
#: longest note about a trial, a plan, a day or a flag
LONGEST_NOTE = 400
#: more sets than a workout can hold
MOST_SETS = 10_000
#: the first year a workout can be from
FIRST_YEAR = 1950
#: a ball this far from ring centre was not shot at it [m]; common practice, no source
FARTHEST_LANDING = 5.0
#: coarsest and finest error a landing point can have [m]
LANDING_ERROR = (0.0005, 1.0)
#: release speeds of anybody who shoots a basketball [m/s]
RELEASE_SPEED = (1.0, 20.0)
#: a variance below zero by no more than this is rounding [SI]
_NOTHING = 1e-12
_ALONG = frozenset({Miss.SHORT, Miss.LONG})


@contextmanager
def at_field(field: str) -> Iterator[None]:
    """Name the form field that a refusal inside belongs to, unless it names one itself."""
    try:
        yield
    except BadInput as trouble:
        trouble.field = trouble.field or field
        raise


def checked_text(
    text: str, *, what: str, field: str, needed: bool = False, longest: int = LONGEST
) -> str:
    """Return a short text tidied: no control characters, no double spaces.

    Raises
    ------
    BadInput
        The text is too long, or empty where it is needed.
    """
    plain = "".join(" " if _is_unseen(c) else c for c in text)
    tidy = " ".join(unicodedata.normalize("NFC", plain).split())
    if needed and not tidy:
        raise BadInput(f"{what} is empty; fill it in.", field=field)
    if len(tidy) > longest:
        raise BadInput(f"{what} is longer than {longest} letters; shorten it.", field=field)
    return tidy


def _is_unseen(letter: str) -> bool:
    """Tell control characters and those that turn the writing direction; joiners may stay."""
    turns = "\u202a" <= letter <= "\u202e" or "\u2066" <= letter <= "\u2069"
    return turns or unicodedata.category(letter) in ("Cc", "Cn", "Co", "Cs")


def checked_who(who: str) -> str:
    """Return the name of whoever acts, tidied; it is kept in the log of changes.

    Raises
    ------
    BadInput
        The name is empty or too long.
    """
    return checked_text(who, what="The name of who does this", field="who", needed=True)


def checked_player(player: Player) -> Player:
    """Return a player with texts tidied and numbers checked.

    Raises
    ------
    BadInput
        A field can't be right; ``field`` names it.
    """
    check_gear(player.ball_size, player.ring_height, rules=player.rules)
    _check_birth_year(player.birth_year)
    _check_height(player.height)
    return replace(
        player,
        name=checked_text(player.name, what="The player's name", field="name", needed=True),
        coach=checked_text(player.coach, what="The coach's name", field="coach"),
        rules=rule_book(player.rules).key,
    )


def check_gear(ball_size: int, ring_height: float, *, rules: str) -> None:
    """Raise BadInput unless there is such a ball, rule book and ring, and the ball fits."""
    with at_field("rules"):
        book = rule_book(rules)
    with at_field("ball_size"):
        the_ball = ball(ball_size, rules=book.key)
    with at_field("ring_height"):
        check_fits(the_ball, replace(book.ring, height=ring_height))


def check_day(day: date) -> None:
    """Raise BadInput unless a workout can be from that day, by a clock that may be a little off."""
    last = date.today().year + 1
    if not FIRST_YEAR <= day.year <= last:
        raise BadInput(
            f"The day of a workout must be from {FIRST_YEAR} to {last}, not {day}; check the year.",
            field="day",
        )


def checked_set(shot_set: ShotSet, *, rules: str) -> ShotSet:
    """Return a set, without its shots, with texts tidied and numbers checked.

    Raises
    ------
    BadInput
        A field can't be right; ``field`` names it.
    """
    check_gear(shot_set.ball_size, shot_set.ring_height, rules=rules)
    spot = shot_set.spot
    with at_field("spot"):
        check_spot(spot.x, spot.y, rules)
    if not 0 <= shot_set.position < MOST_SETS:
        raise BadInput(f"A set's place in the workout must be from 0 to {MOST_SETS - 1}.")
    name = checked_text(spot.name, what="The spot's name", field="spot", needed=True)
    condition = checked_text(shot_set.condition, what="The condition", field="condition")
    return replace(shot_set, spot=replace(spot, name=name), condition=condition, shots=())


def checked_shot(shot: Shot, shot_set: ShotSet) -> Shot:
    """Return a shot with its miss directions in the usual order, along before across.

    Raises
    ------
    BadInput
        A number can't be right, or the miss says more than the set's misses are noted in.
    """
    _check_detail(shot, shot_set.miss_detail)
    if shot.landing is not None:
        _check_landing(shot.landing)
    if shot.release is not None:
        _check_release(shot.release)
    return replace(shot, miss=tuple(sorted(shot.miss, key=lambda m: m not in _ALONG)))


def _check_birth_year(year: int | None) -> None:
    this_year = date.today().year
    if year is not None and not 1900 <= year <= this_year:
        raise BadInput(
            f"The year of birth must be from 1900 to {this_year}, not {year}.", field="birth_year"
        )


def _check_height(height: float | None) -> None:
    if height is not None and not 0.5 <= height <= 2.6:
        raise BadInput(
            f"The player's height must be from 0.5 to 2.6 m, not {height:g}; check its unit.",
            field="height",
        )


def _check_detail(shot: Shot, detail: MissDetail) -> None:
    if not shot.miss:
        return
    said = " and ".join(m.value for m in shot.miss)
    if detail is MissDetail.NONE:
        raise BadInput(
            f"This set notes make or miss only, but a shot missed {said}; "
            "leave the direction out or start a set that notes directions.",
            field="miss",
        )
    if detail is MissDetail.ALONG and not _ALONG.issuperset(shot.miss):
        raise BadInput(
            f"This set notes short and long only, but a shot missed {said}; "
            "leave the side out or start a set that notes sides.",
            field="miss",
        )
    if detail is not MissDetail.TWO and len(shot.miss) > 1:
        raise BadInput(
            f"This set notes one direction a miss, but a shot missed {said}; "
            "keep the worse one or start a set that notes two.",
            field="miss",
        )


def _check_landing(landing: Landing) -> None:
    far = max(abs(landing.along), abs(landing.across))
    if far > FARTHEST_LANDING:
        raise BadInput(
            f"A landing point {far:.1f} m from ring centre is too far; check that its unit is cm.",
            field="landing",
        )
    low, high = LANDING_ERROR
    if not all(low <= sd <= high for sd in (landing.along_sd, landing.across_sd)):
        raise BadInput(
            "The error of a landing point must be from 0.05 to 100 cm; check its unit.",
            field="landing",
        )


def _check_release(release: MeasuredRelease) -> None:
    numbers = (
        release.speed, release.angle, release.direction, release.height,
        release.along, release.across, *release.covariance, *release.shared,
    )  # fmt: skip
    if not all(math.isfinite(n) for n in numbers):
        raise BadInput("A filmed shot needs plain numbers; measure it again.", field="release")
    low, high = RELEASE_SPEED
    if not low <= release.speed <= high:
        raise BadInput(
            f"A release speed of {release.speed:g} m/s is out of reach; "
            f"check that it is from {low:g} to {high:g}.",
            field="release",
        )
    shared = release.shared[::6]
    if any(own <= 0 for own in release.covariance[::6]) or any(v < -_NOTHING for v in shared):
        raise BadInput("A filmed shot needs errors above zero; measure it again.", field="release")
