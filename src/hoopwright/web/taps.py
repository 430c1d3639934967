"""Shots as the charting page sends them: JSON, or a plain form's fields, → records."""

import math
from collections.abc import Mapping
from typing import Any
from uuid import UUID

from hoopwright.errors import BadInput
from hoopwright.records import Half, Landing, Miss, Shot
from hoopwright.units import centimetres
from hoopwright.web.forms import Fields

#: error of a point tapped on the ring picture, one standard deviation [m]; common practice, no
#: source: about half a ball's radius, told on the page
TAP_ERROR = 0.05
#: the most shots taken in one sending
MOST = 200
#: what half of the ring picture shows, from ring centre [cm]
REACH = 70


def sent_shots(sent: Any) -> list[Shot]:
    """Read the shots of one sending.

    Raises
    ------
    BadInput
        It is not a list of shots, or a shot can't be right.
    """
    listed = sent.get("shots") if isinstance(sent, Mapping) else None
    if not isinstance(listed, list) or not 0 < len(listed) <= MOST:
        raise BadInput(f"Send from 1 to {MOST} shots at once, as a list named shots.")
    return [sent_shot(one) for one in listed]


def sent_shot(sent: Any) -> Shot:
    """Read one shot.

    Raises
    ------
    BadInput
        Something in it can't be right.
    """
    if not isinstance(sent, Mapping) or not isinstance(sent.get("made"), bool):
        raise BadInput("Each shot needs an id, and made as true or false.")
    ways = sent.get("miss", [])
    if not isinstance(ways, list):
        raise BadInput("The directions of a miss must be a list.")
    return Shot(
        id=identity(sent.get("id")),
        made=sent["made"],
        miss=tuple(named_way(way) for way in ways),
        half=_half(sent.get("half")),
        landing=_sent_landing(sent),
        feel=_sent_feel(sent.get("feel")),
    )


def identity(sent: Any) -> UUID:
    """Read the id a phone gave a shot.

    Raises
    ------
    BadInput
        It is not a UUID.
    """
    try:
        return UUID(str(sent))
    except ValueError as trouble:
        raise BadInput("Each shot needs an id that is a UUID.") from trouble


def named_way(way: Any) -> Miss:
    """Read a direction.

    Raises
    ------
    BadInput
        There is no such direction.
    """
    if not isinstance(way, str) or way not in {one.value for one in Miss}:
        raise BadInput("A miss is short, long, left or right; choose one of them.", field="miss")
    return Miss(way)


def _half(sent: Any) -> Half | None:
    if sent is None or sent == "":
        return None
    if not isinstance(sent, str) or sent not in {one.value for one in Half}:
        raise BadInput("A make goes through the front or the back half; choose one.")
    return Half(sent)


def _sent_feel(sent: Any) -> float | None:
    """Read how a shot felt; the record itself checks the range."""
    if sent is None:
        return None
    if isinstance(sent, bool) or not isinstance(sent, int | float) or not _is_sane(sent):
        raise BadInput("How a shot felt goes from 0 to 10; say a number in that range.")
    return float(sent)


def _sent_landing(sent: Mapping[str, Any]) -> Landing | None:
    along, across = sent.get("along_cm"), sent.get("across_cm")
    if along is None and across is None:
        return None
    return landing(_sent_number(along), _sent_number(across))


def _sent_number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not _is_sane(value):
        raise BadInput("A tapped point needs two plain numbers, along and across, in cm.")
    return float(value)


def _is_sane(value: float) -> bool:
    """Tell whether a number is finite and small enough to be centimetres on any court."""
    return math.isfinite(value) if isinstance(value, float) else abs(value) < 1_000_000


def landing(along_cm: float, across_cm: float) -> Landing:
    """Return a tapped point with the error of tapping."""
    return Landing(
        along=centimetres(along_cm),
        across=centimetres(across_cm),
        along_sd=TAP_ERROR,
        across_sd=TAP_ERROR,
    )


def form_shot(fields: Fields, shot_id: UUID) -> Shot:
    """Read a shot from the plain form: one button, or a result and a point.

    Raises
    ------
    BadInput
        Nothing was chosen, or it can't be right.
    """
    result = fields.text("result")
    along, across = _typed_point(fields)
    feel = fields.number("feel", "The feel") if fields.text("feel") else None
    fields.check()
    point = None if along is None or across is None else landing(along, across)
    match result.split():
        case ["made"]:
            return Shot(id=shot_id, made=True, landing=point, feel=feel)
        case ["made", half]:
            return Shot(id=shot_id, made=True, half=_half(half), landing=point, feel=feel)
        case ["missed", *ways] if len(ways) <= 2:
            miss = tuple(named_way(way) for way in ways)
            return Shot(id=shot_id, made=False, miss=miss, landing=point, feel=feel)
        case _:
            raise BadInput("Say made or missed; tap one of the buttons.", field="result")


def _typed_point(fields: Fields) -> tuple[float | None, float | None]:
    """Return along and across [cm]: typed, or from a tap on the picture without scripts."""
    if fields.text("tap.x") and fields.text("tap.y"):
        side = fields.number("tap.side", "The picture's side", default=320.0)
        scale = 2 * REACH / max(side, 1.0)
        x = fields.number("tap.x", "The point") * scale - REACH
        y = fields.number("tap.y", "The point") * scale - REACH
        return -y, x
    if not fields.text("along_cm") and not fields.text("across_cm"):
        return None, None
    return (
        fields.number("along_cm", "Along, in cm,"),
        fields.number("across_cm", "Across, in cm,"),
    )
