"""One row of a table → who, where, how, and the shots it stands for."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from uuid import UUID

from hoopwright.actions.checks import check_gear, checked_player, checked_shot, checked_text
from hoopwright.actions.columns import TAP_ERROR_CM, WAYS
from hoopwright.actions.counts import expand_counts
from hoopwright.actions.quick_line import Mark
from hoopwright.actions.tables_in import cells as read
from hoopwright.actions.tables_in.cells import Cells
from hoopwright.court.frame import spot_at, spot_named, spot_xy
from hoopwright.court.standards import rule_book
from hoopwright.errors import BadInput, UnknownName
from hoopwright.records import (
    Half,
    Hand,
    Landing,
    Miss,
    MissDetail,
    Player,
    Purpose,
    Shot,
    ShotSet,
    Spot,
)
from hoopwright.store.people import name_key
from hoopwright.units import centimetres, degrees

#: stands in for ids and places that are given later
NO_ID = UUID(int=0)
#: a set of each miss detail, to check shots against
_NOTING = {
    detail: ShotSet(
        id=NO_ID, workout_id=NO_ID, position=0, miss_detail=detail,
        spot=Spot(name="?", x=0.0, y=4.0),
    )
    for detail in MissDetail
}  # fmt: skip
#: columns that rows of one set have alike
_ALIKE = (
    "player", "date", "set", "spot", "distance", "bearing_deg", "x_m", "y_m", "condition",
    "detail", "ordered", "stops_on_makes", "purpose", "ball", "ring_height_m", "rules",
    "hand", "birth_year", "player_height_m", "coach", "invented",
)  # fmt: skip
_SHOT_ONLY = ("miss", "along_cm", "across_cm", "feel", "id")
_PAIR = re.compile(r"\(?\s*(-?\d+(?:\.\d+)?)\s*[;,\s]\s*(-?\d+(?:\.\d+)?)\s*\)?")

#: who a row is about: the name as compared, and the year of birth if told
PlayerKey = tuple[str, int | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetKey:
    """What rows of one set have in common."""

    day: date | None
    #: the cell of the column set
    label: str
    spot: Spot
    condition: str
    #: None where the table says nothing
    ball_size: int | None
    ring_height: float | None
    #: False for counts
    ordered: bool
    stops_on_makes: bool
    purpose: Purpose


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """What a row says besides its shots; rows of one set say the same."""

    player: Player
    #: name and year as the table gives them, whatever the store knows besides
    said: PlayerKey
    key: SetKey
    detail: MissDetail | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RowRead:
    """One row, understood."""

    about: About
    #: ids as the table gives them, else NO_ID
    shots: tuple[Shot, ...]
    #: whether the row looked at left and right at all
    sides_seen: bool


def player_key(player: Player) -> PlayerKey:
    """Return what tells players apart."""
    return name_key(player.name), player.birth_year


class RowReader:
    """Reads rows; what rows of one set say alike is worked out once.

    Parameters
    ----------
    days
        The days that the cells of the column date stand for.
    known
        Players whose hand, ball, ring and rules stand where the table says nothing.
    """

    def __init__(self, days: Mapping[str, date], known: Mapping[PlayerKey, Player]) -> None:
        self._days = days
        self._known = known
        self._seen: dict[tuple[object, ...], About] = {}

    def read(self, row: Cells) -> RowRead | None:
        """Return what a row says; None where something is wrong, which the row then holds."""
        says = (bool(row.has("attempts")), *map(row.text, _ALIKE))
        about = self._seen.get(says) or _about(row, self._days, self._known)
        shots = _counts(row) if row.has("attempts", *WAYS) else _shot(row)
        if about is not None:
            _check_shots(row, shots, about.detail)
        if about is None or row.troubles:
            return None
        self._seen[says] = about
        return RowRead(about=about, shots=shots, sides_seen=bool(row.has("left", "right")))


def _about(row: Cells, days: Mapping[str, date], known: Mapping[PlayerKey, Player]) -> About | None:
    player = _player(row, known)
    spot = _spot(row, player.rules)
    ball = row.read("ball", _ball, blank=None)
    ring = row.read("ring_height_m", read.number, blank=None)
    ordered = row.read("ordered", read.yes, blank=True) and not row.has("attempts")
    stops = row.read("stops_on_makes", read.yes, blank=False)
    detail = row.read("detail", read.detail, blank=None)
    purpose = row.read("purpose", read.purpose, blank=Purpose.PRACTICE)
    label = words(row, "set", "The set")
    condition = words(row, "condition", "The condition")
    if spot is None or row.troubles:
        return None
    height = player.ring_height if ring is None else ring
    _guard(row, None, check_gear)(ball or player.ball_size, height, rules=player.rules)
    key = SetKey(
        day=days.get(row.text("date")), label=label, spot=spot, condition=condition,
        ball_size=ball, ring_height=ring, ordered=ordered, stops_on_makes=stops, purpose=purpose,
    )  # fmt: skip
    return About(player=player, said=_said(row), key=key, detail=detail)


def _guard(row: Cells, column: str | None, what: Callable[..., object]) -> Callable[..., None]:
    """Return the function with its refusals gathered by the row."""

    def guarded(*args: object, **options: object) -> None:
        try:
            what(*args, **options)
        except BadInput as trouble:
            row.add(column, trouble.message)

    return guarded


def words(row: Cells, column: str, what: str) -> str:
    """Return the short text of a cell, tidied."""

    def tidy(text: str) -> str:
        return checked_text(text, what=what, field=column)

    return row.read(column, tidy, blank="")


def _ball(text: str) -> int:
    size = read.whole(text)
    if size not in (3, 5, 6, 7):
        raise BadInput(
            f"{text!r} is no ball size; write 3, 5, 6 or 7 (any larger would not fit the ring)."
        )
    return size


def _player(row: Cells, known: Mapping[PlayerKey, Player]) -> Player:
    if not row.has("player"):
        row.add("player", "The player is blank; write a name or a pseudonym.")
    name = words(row, "player", "The player's name") or "?"
    year = row.read("birth_year", read.whole, blank=None)
    base = known_player(known, name, year) or Player(id=NO_ID, name=name, birth_year=year)
    player = replace(
        base,
        rules=row.read("rules", _rules, blank=base.rules),
        hand=row.read("hand", _hand, blank=base.hand),
        height=row.read("player_height_m", read.number, blank=base.height),
        coach=words(row, "coach", "The coach's name") or base.coach,
        invented=row.read("invented", read.yes, blank=base.invented),
    )
    if row.has("birth_year", "player_height_m"):
        _guard(row, None, checked_player)(player)
    return player


def _said(row: Cells) -> PlayerKey:
    return name_key(row.text("player")), row.read("birth_year", read.whole, blank=None)


def known_player(known: Mapping[PlayerKey, Player], name: str, year: int | None) -> Player | None:
    """Return the one known player of a name, and of a year of birth if told."""
    wanted = name_key(name)
    if year is not None:
        return known.get((wanted, year)) or known.get((wanted, None))
    of_name = [player for (key, _), player in known.items() if key == wanted]
    return of_name[0] if len(of_name) == 1 else None


def _rules(text: str) -> str:
    return rule_book(text).key


_hand = read.one_of({hand.value: hand for hand in Hand}, what="hand")


def _spot(row: Cells, rules: str) -> Spot | None:
    given = row.has("x_m", "y_m")
    if len(given) == 1:
        row.add(given[0], "A place needs both x_m and y_m; fill in the other one too.")
        return None
    x, y, distance, bearing = (
        row.read(column, read.number, blank=None)
        for column in ("x_m", "y_m", "distance", "bearing_deg")
    )
    name = words(row, "spot", "The spot's name")
    if row.troubles:
        return None
    column = "x_m" if given else "distance" if row.has("distance") else "spot"
    try:
        if x is not None and y is not None:
            return _at_xy(x, y, name, rules)
        if distance is not None:
            return _at_distance(distance, bearing, name, rules)
        return _by_name(name, rules)
    except BadInput as trouble:
        row.add(column, trouble.message)
        return None


@lru_cache(maxsize=1024)
def _at_xy(x: float, y: float, name: str, rules: str) -> Spot:
    return spot_xy(x, y, name=name, rules=rules)


@lru_cache(maxsize=1024)
def _at_distance(distance: float, bearing: float | None, name: str, rules: str) -> Spot:
    if bearing is None:
        # a known name says the direction, the cell says how far out
        return spot_at(distance, _bearing_of(name, rules), name=name, rules=rules)
    return spot_at(distance, degrees(bearing), name=name, rules=rules)


def _bearing_of(name: str, rules: str) -> float:
    try:
        return spot_named(name, rules).bearing
    except UnknownName:
        return 0.0


@lru_cache(maxsize=1024)
def _by_name(name: str, rules: str) -> Spot:
    if not name:
        raise BadInput("The place is blank; write a spot, or a distance in metres.")
    if pair := _PAIR.fullmatch(name):
        return spot_xy(float(pair[1]), float(pair[2]), rules=rules)
    return spot_named(name, rules)


def _shot(row: Cells) -> tuple[Shot, ...]:
    if not row.has("made"):
        row.add("made", "Blank; write yes, no, front or back, or a count with attempts.")
    unsaid: tuple[bool, Half | None] = (False, None)
    nowhere: tuple[Miss, ...] = ()
    made, half = row.read("made", read.went_in, blank=unsaid)
    miss = row.read("miss", read.directions, blank=nowhere)
    shot_id = row.read("id", _uuid, blank=NO_ID)
    landing = _landing(row)
    feel = row.read("feel", _feel, blank=None)
    if row.troubles:
        return ()
    try:
        return (Shot(id=shot_id, made=made, miss=miss, half=half, landing=landing, feel=feel),)
    except BadInput as trouble:
        row.add("miss" if miss else "made", trouble.message)
        return ()


def _feel(text: str) -> float:
    value = read.number(text)
    if not 0.0 <= value <= 10.0:
        raise BadInput(f"{text!r} is no feel score; write 0 to 10, or leave the cell blank.")
    return value


def _uuid(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError as trouble:
        raise BadInput(f"{text[:40]!r} is no id; leave the cell blank.") from trouble


def _landing(row: Cells) -> Landing | None:
    given = row.has("along_cm", "across_cm")
    if not given:
        return None
    if len(given) == 1:
        row.add(given[0], "A point needs both along_cm and across_cm; fill in the other one too.")
        return None
    usual = centimetres(TAP_ERROR_CM)
    along_sd = row.read("tap_error_cm", read.centimetres, blank=usual)
    across_sd = row.read("tap_error_across_cm", read.centimetres, blank=along_sd)
    along = row.read("along_cm", read.centimetres, blank=0.0)
    across = row.read("across_cm", read.centimetres, blank=0.0)
    try:
        return Landing(along=along, across=across, along_sd=along_sd, across_sd=across_sd)
    except BadInput as trouble:
        row.add("tap_error_cm", trouble.message)
        return None


def _counts(row: Cells) -> tuple[Shot, ...]:
    for column in row.has(*_SHOT_ONLY):
        row.add(column, "A row of counts can't say this of one shot; use one row per shot.")
    for column in ("made", "attempts"):
        if not row.has(column):
            row.add(column, f"A row of counts needs {column}; fill it in.")
    made = row.read("made", read.whole, blank=0)
    attempts = row.read("attempts", read.whole, blank=0)
    misses = {Miss(way): row.read(way, read.whole, blank=0) for way in WAYS}
    if row.troubles:
        return ()
    try:
        return tuple(map(_unnamed, expand_counts(made=made, attempts=attempts, misses=misses)))
    except BadInput as trouble:
        row.add(trouble.field if trouble.field != "misses" else "attempts", trouble.message)
        return ()


def _unnamed(mark: Mark) -> Shot:
    return Shot(id=NO_ID, made=mark.made, miss=mark.miss)


def _check_shots(row: Cells, shots: tuple[Shot, ...], detail: MissDetail | None) -> None:
    """Check the shots as the store will, in a set that notes what the row says it does."""
    inside = _NOTING[detail or MissDetail.TWO]
    for shot in shots if len(shots) == 1 else dict.fromkeys(shots):
        _guard(row, None if detail is None else "detail", checked_shot)(shot, inside)
