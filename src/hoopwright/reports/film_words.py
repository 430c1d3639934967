"""The numbers of one filmed shot as plain words, each with its range.

No number is judged: there is no norm here, and none of another player.
"""

import math
from dataclasses import dataclass

from hoopwright.film.results import BallPath, Body, BodyMeasure, FilmedShot, Flag, SideRead
from hoopwright.reports.words import signed
from hoopwright.units import to_centimetres, to_degrees

#: a normal error is within this many standard deviations in 80 of 100 cases
LIKELY = 1.2816


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """One number of a shot, ready to read."""

    #: for forms and addresses
    key: str
    name: str
    #: value and range
    said: str
    #: shorter, for a clip
    short: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Unit:
    """How a kind of number is said."""

    factor: float
    unit: str
    digits: int = 0
    #: words for values under and over 0, where a sign alone would not be understood
    below: str = ""
    above: str = ""
    #: the most that the number can be, in its unit
    most: float = math.inf


_CM = to_centimetres(1.0)
_DEGREES = to_degrees(1.0)
_SPEED = _Unit(factor=1.0, unit=" m/s", digits=2)
_ANGLE = _Unit(factor=_DEGREES, unit="°", digits=1)
_JOINT = _Unit(factor=_DEGREES, unit="°", most=180.0)
_HEIGHT = _Unit(factor=1.0, unit=" m", digits=2)
_LENGTH = _Unit(factor=_CM, unit=" cm")
_TIME = _Unit(factor=1000.0, unit=" ms")
_TURN = _Unit(
    factor=_DEGREES, unit="°", below="toward the shooting side", above="toward the other side"
)

#: how each measure of the body is said; joint angles are inside angles, 180° is straight
UNITS = {
    Body.STANCE_WIDTH: _LENGTH,
    Body.STANCE_TURN: _TURN,
    Body.HIP_TURN: _TURN,
    Body.SHOULDER_TURN: _TURN,
    Body.SIGHT_LINE: _Unit(
        factor=_CM, unit=" cm", below="to the other side", above="to the shooting side"
    ),
    Body.ELBOW_FLARE: _Unit(factor=_DEGREES, unit="°", below="inward", above="outward"),
    Body.DIP_DEPTH: _LENGTH,
    **dict.fromkeys(
        (
            Body.KNEE_DIP, Body.KNEE_SET, Body.KNEE_RELEASE,
            Body.ELBOW_DIP, Body.ELBOW_SET, Body.ELBOW_RELEASE,
            Body.SHOULDER_DIP, Body.SHOULDER_SET, Body.SHOULDER_RELEASE, Body.WRIST_SET,
        ),
        _JOINT,
    ),
    **dict.fromkeys(
        (Body.TRUNK_DIP, Body.TRUNK_SET, Body.TRUNK_RELEASE),
        _Unit(factor=_DEGREES, unit="°", below="back", above="forward"),
    ),
    Body.DIP_TO_RELEASE: _TIME,
    Body.SET_TO_RELEASE: _TIME,
    Body.RELEASE_TO_TOE_OFF: _Unit(
        factor=1000.0, unit=" ms", below="before the toes leave", above="after the toes leave"
    ),
    Body.RELEASE_TO_APEX: _Unit(
        factor=1000.0, unit=" ms", below="before the apex", above="after the apex"
    ),
    Body.JUMP_RISE: _LENGTH,
    Body.BODY_SPEED: _Unit(factor=1.0, unit=" m/s", digits=1),
    Body.ARM_SPEED: _Unit(factor=1.0, unit=" m/s", digits=1),
    Body.RELEASE_RATIO: _Unit(factor=100.0, unit=" % of stature"),
    Body.HOLD: _TIME,
}  # fmt: skip


def ball_numbers(ball: BallPath) -> tuple[Number, ...]:
    """Return what the ball did, release to ring."""
    release = ball.release
    speed_sd, angle_sd, direction_sd, along_sd, across_sd = (
        math.sqrt(max(release.total[6 * i], 0.0)) for i in range(5)
    )
    way = _Unit(factor=_DEGREES, unit="°", digits=1, below="left", above="right")
    return (
        _number("speed", "release speed", (release.speed, speed_sd), _SPEED),
        _number("angle", "release angle", (release.angle, angle_sd), _ANGLE),
        _number("direction", "release direction", (release.direction, direction_sd), way),
        _number(
            "height", "release height", (ball.release_height.value, ball.release_height.sd), _HEIGHT
        ),
        _number("apex", "apex", (ball.apex.value, ball.apex.sd), _HEIGHT),
        _number("entry", "entry angle", (ball.entry_angle.value, ball.entry_angle.sd), _ANGLE),
        _number(
            "along", "along", (release.along, along_sd),
            _Unit(factor=_CM, unit=" cm", below="short", above="long"),
        ),
        _number(
            "across", "across", (release.across, across_sd),
            _Unit(factor=_CM, unit=" cm", below="left", above="right"),
        ),
    )  # fmt: skip


def side_numbers(side: SideRead) -> tuple[Number, ...]:
    """Return the numbers of a flight read from the side without marks."""
    numbers = (
        ("speed", "release speed", side.speed, _SPEED),
        ("angle", "release angle", side.angle, _ANGLE),
        ("entry", "falling angle at the end", side.entry_angle, _ANGLE),
        ("rise", "rise above release", side.rise, _HEIGHT),
        ("yaw", "camera off square", side.yaw, _ANGLE),
    )
    return tuple(_number(key, name, (m.value, m.sd), unit) for key, name, m, unit in numbers)


def shot_numbers(shot: FilmedShot) -> tuple[Number, ...]:
    """Return what the ball did in a shot, read with marks or without; nothing where neither."""
    if shot.ball is not None:
        return ball_numbers(shot.ball)
    return () if shot.side is None else side_numbers(shot.side)


def body_numbers(measures: tuple[BodyMeasure, ...]) -> tuple[Number, ...]:
    """Return what the body did, in the order measured."""
    return tuple(
        _number(one.name.name.lower(), one.name.value, (one.value, one.sd), UNITS[one.name])
        for one in measures
    )


def result_words(shot: FilmedShot) -> str:
    """Return made or missed with how sure that is, e.g. ``made, 97 chances in 100``."""
    if shot.ball is None and shot.said is not None:
        return f"{'made' if shot.said else 'missed'}, set by hand"
    if shot.ball is None:
        if any(doubt.flag is Flag.NO_MARKS for doubt in shot.doubts):
            return "can't be read without marks"
        return "made or missed can't be told without marks" if shot.side else "no flight found"
    word = "made" if shot.ball.made else "missed"
    if shot.ball.made_chance >= 1.0:
        return f"{word}, set by hand"
    if shot.ball.made_chance >= 0.995:
        return f"{word}, more than 99 chances in 100"
    return f"{word}, {round(100 * shot.ball.made_chance)} chances in 100"


def _number(key: str, name: str, measured: tuple[float, float], unit: _Unit) -> Number:
    value, sd = (part * unit.factor for part in measured)
    ends = (value - LIKELY * sd, min(value + LIKELY * sd, unit.most))
    one = _sided(value, unit) if unit.below else _said(value, unit) + unit.unit
    between = _sided_range(ends, unit) if unit.below else _plain_range(ends, unit)
    return Number(
        key=key, name=name, said=f"{one} (likely {between})", short=f"{name} {one} ({between})"
    )


def _plain_range(ends: tuple[float, float], unit: _Unit) -> str:
    """Return the range; its unit was said with the value."""
    low, high = (_said(end, unit) for end in ends)
    return f"{low} to {high}"


def _said(value: float, unit: _Unit) -> str:
    if unit.digits == 0:
        return signed(value).removeprefix("+")
    return f"{value:.{unit.digits}f}".replace("-", "−")


def _sided(value: float, unit: _Unit) -> str:
    """Return e.g. ``6 cm short``; a value that rounds to 0 has no side."""
    text = f"{abs(value):.{unit.digits}f}"
    if float(text) == 0.0:
        return f"0{unit.unit}"
    return f"{text}{unit.unit} {unit.above if value > 0 else unit.below}"


def _sided_range(ends: tuple[float, float], unit: _Unit) -> str:
    """Return the range in words; the side is said once where both ends have it."""
    low, high = ends
    if low >= 0.0 or high <= 0.0:
        near, far = sorted(ends, key=abs)
        return f"{abs(near):.{unit.digits}f} to {_sided(far, unit)}"
    return f"{_sided(low, unit)} to {_sided(high, unit)}"
