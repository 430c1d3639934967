"""Court axes: named spots, spots from distance and bearing, and what a spot means.

Origin on the floor below ring centre, *y* away from the board along the court's long axis, *x* to
the right as seen by a player facing the board; metres and radians. A spot is where the feet are:
that the ball leaves the hand a little nearer to the ring is not allowed for here.
"""

import math
from dataclasses import dataclass
from enum import IntEnum

from hoopwright.court.standards import Board, Lines, RuleBook, rule_book
from hoopwright.errors import BadInput, NotAShot, UnknownName
from hoopwright.records import Spot

#: farthest and nearest spot a shot is charted from [m]; common practice, no source
FARTHEST, NEAREST = 15.0, 0.5
#: room a ball needs beside the board's edge: a little over the largest radius [m]
_CLEARANCE = 0.125
#: a spot this near to a named one goes by its name [m]
_SAME_SPOT = 0.75
#: feet this near to the free-throw spot shoot a free throw [m]
_FREE_THROW_ROOM = 0.15
#: slack so that a spot exactly on a line's outer edge counts as outside it [m]
_ON_LINE = 1e-6

#: other ways people write a name
_SAME_NAME = {
    "ft": "free throw",
    "foul line": "free throw",
    "free throw line": "free throw",
    "top of the key": "top",
    "top of the arc": "top",
    "close": "close middle",
}


class ShotValue(IntEnum):
    """What a made shot from a spot counts."""

    FREE_THROW = 1
    TWO = 2
    THREE = 3


@dataclass(frozen=True, slots=True)
class _Place:
    x: float
    y: float


def _book(rules: RuleBook | str) -> RuleBook:
    return rule_book(rules) if isinstance(rules, str) else rules


def _pair(name: str, place: _Place) -> dict[str, _Place]:
    return {f"left {name}": _Place(-place.x, place.y), f"right {name}": place}


def _on_arc(radius: float, bearing: float) -> _Place:
    return _Place(radius * math.sin(bearing), radius * math.cos(bearing))


def _arc_places(lines: Lines) -> dict[str, _Place]:
    """Places on the three-point line, or on the free-throw distance where there is none."""
    if lines.three_point is None or lines.corner is None:
        level = _Place(lines.free_throw, 0.0)
        return _pair("corner", level) | _pair("wing", _on_arc(lines.free_throw, math.pi / 4))
    short = _Place(0.5 * (0.5 * lines.lane_width + lines.corner), 0.0)
    return {
        **_pair("corner", _Place(lines.corner, 0.0)),
        **_pair("wing", _on_arc(lines.three_point, math.pi / 4)),
        **_pair("slot", _on_arc(lines.three_point, math.pi / 8)),
        "top": _Place(0.0, lines.three_point),
        **_pair("short corner", short),
    }


def _places(lines: Lines) -> dict[str, _Place]:
    """Every named place: lines from the rule book, the rest common practice, no source."""
    edge = 0.5 * lines.lane_width
    return {
        "free throw": _Place(0.0, lines.free_throw),
        "close middle": _Place(0.0, 1.5),
        **_pair("block", _Place(edge, 0.75)),
        **_pair("elbow", _Place(edge, lines.free_throw)),
        **_arc_places(lines),
    }


def spot_names(rules: RuleBook | str = "fiba") -> tuple[str, ...]:
    """Return the names of all spots a rule book's lines define.

    Raises
    ------
    UnknownName
        There is no such rule book.
    """
    return tuple(_places(_book(rules).lines))


def _plain_name(name: str) -> str:
    words = name.strip().lower().replace("_", " ").replace("-", " ").split()
    if words and words[-1] in ("left", "right"):
        words = [words[-1], *words[:-1]]
    plain = " ".join(words)
    return _SAME_NAME.get(plain, plain)


def spot_named(name: str, rules: RuleBook | str = "fiba") -> Spot:
    """Return the spot of a name; left and right are as seen by a player facing the board.

    Parameters
    ----------
    name
        Such as ``"free throw"`` or ``"left corner"``; case, hyphens and word order of left and
        right do not matter.
    rules
        A rule book or its key.

    Raises
    ------
    UnknownName
        The rule book's lines define no spot of this name; the message lists those they do.
    """
    book = _book(rules)
    places = _places(book.lines)
    plain = _plain_name(name)
    if plain not in places:
        known = ", ".join(places)
        raise UnknownName(f"There is no spot called {name!r} under {book.name}; choose: {known}.")
    place = places[plain]
    return Spot(name=plain, x=place.x, y=place.y)


def _hides_ring(board: Board, x: float, y: float) -> bool:
    """Tell whether the board stands between a place and ring centre."""
    room = board.setback - _CLEARANCE
    half = 0.5 * board.width
    return y < -room and (abs(x) <= half or -y * half / abs(x) > room)


def _on_court_trouble(book: RuleBook, x: float, y: float) -> str:
    lines = book.lines
    if y < -lines.end_line_to_ring:
        return "beyond the end line"
    if abs(x) > 0.5 * lines.court_width:
        return "beyond the sideline"
    return ""


def check_spot(x: float, y: float, rules: RuleBook | str = "fiba") -> None:
    """Raise unless a shot can be taken from a place.

    Parameters
    ----------
    x, y
        Court axes [m].
    rules
        A rule book or its key; gives the board and the edges of the court.

    Raises
    ------
    BadInput
        A coordinate is not a plain number.
    NotAShot
        The place is behind the board, off the court, below the ring or more than 15 m away.
    """
    if not (math.isfinite(x) and math.isfinite(y)):
        raise BadInput("A spot needs plain numbers; check its distance and bearing, or x and y.")
    book, distance = _book(rules), math.hypot(x, y)
    if distance > FARTHEST:
        raise NotAShot(
            f"A spot {distance:.1f} m from the ring is too far; give one within {FARTHEST:g} m."
        )
    if distance < NEAREST:
        raise NotAShot(
            f"A spot {distance:.2f} m out is under the ring; give one at {NEAREST:g} m or more."
        )
    if _hides_ring(book.board, x, y):
        raise NotAShot("That spot is behind the board; move it to where the ring can be seen.")
    if off := _on_court_trouble(book, x, y):
        raise NotAShot(f"That spot is {off}, off the court; check its distance and bearing.")


def spot_xy(x: float, y: float, *, name: str = "", rules: RuleBook | str = "fiba") -> Spot:
    """Return the spot at a place, named after the nearest named spot unless a name is given.

    Parameters
    ----------
    x, y
        Court axes [m].
    name
        What the coach calls it; "" to find one.
    rules
        A rule book or its key.

    Raises
    ------
    BadInput, NotAShot
        As ``check_spot``.
    """
    check_spot(x, y, rules)
    return Spot(name=name.strip() or nearest_name(x, y, rules), x=x, y=y)


def spot_at(
    distance: float, bearing: float = 0.0, *, name: str = "", rules: RuleBook | str = "fiba"
) -> Spot:
    """Return the spot at a distance and bearing from the point below ring centre.

    Parameters
    ----------
    distance
        On the floor, to the point below ring centre [m].
    bearing
        From straight in front of the board, + to the right facing it [rad].
    name
        What the coach calls it; "" to find one.
    rules
        A rule book or its key.

    Raises
    ------
    BadInput
        A value is not a plain number, or the distance is not above zero.
    NotAShot
        No shot is taken from there; see ``check_spot``.
    """
    if not (math.isfinite(distance) and math.isfinite(bearing)):
        raise BadInput("A spot needs plain numbers; check its distance and bearing.")
    if distance <= 0.0:
        raise BadInput(f"The distance of a spot must be above zero, not {distance:g} m.")
    x, y = distance * math.sin(bearing), distance * math.cos(bearing)
    return spot_xy(x, y, name=name, rules=rules)


def nearest_name(x: float, y: float, rules: RuleBook | str = "fiba") -> str:
    """Return the name of the named spot within 0.75 m, or distance and side in words.

    Parameters
    ----------
    x, y
        Court axes [m].
    rules
        A rule book or its key.
    """
    places = _places(_book(rules).lines)
    name = min(places, key=lambda n: math.hypot(places[n].x - x, places[n].y - y))
    if math.hypot(places[name].x - x, places[name].y - y) <= _SAME_SPOT:
        return name
    bearing = round(math.degrees(math.atan2(x, y)))
    side = "straight" if bearing == 0 else f"{abs(bearing)}° {'right' if bearing > 0 else 'left'}"
    return f"{math.hypot(x, y):.1f} m {side}"


def board_angle(spot: Spot) -> float:
    """Return the angle between the line to ring centre and the board's face.

    Derived: a right angle less the bearing; π/2 straight in front, 0 level with the ring, below
    zero from nearer the end line than the ring is [rad].
    """
    return 0.5 * math.pi - abs(spot.bearing)


def slant_distance(spot: Spot, rise: float) -> float:
    """Return the straight distance from a point above a spot to ring centre.

    Derived: Pythagoras on the floor distance and the rise.

    Parameters
    ----------
    spot
        Where the feet are.
    rise
        Ring height minus the height of the point, such as eyes or release [m].

    Returns
    -------
    float
        [m]
    """
    return math.hypot(spot.distance, rise)


def shot_value(spot: Spot, rules: RuleBook | str = "fiba") -> ShotValue:
    """Return what a made shot from a spot counts.

    A spot on the outer edge of the three-point line counts as outside it, since feet that stand
    there do not touch the line. Within 0.15 m of the free-throw spot it is a free throw.

    Parameters
    ----------
    spot
        Where the feet are.
    rules
        A rule book or its key.
    """
    lines = _book(rules).lines
    if math.hypot(spot.x, spot.y - lines.free_throw) <= _FREE_THROW_ROOM:
        return ShotValue.FREE_THROW
    if lines.three_point is None or lines.corner is None:
        return ShotValue.TWO
    if spot.y > lines.arc_meets:
        outside = spot.distance >= lines.three_point - _ON_LINE
    else:
        outside = abs(spot.x) >= lines.corner - _ON_LINE
    return ShotValue.THREE if outside else ShotValue.TWO
