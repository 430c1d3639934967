"""What a filmed shot says: each number in a coach's units with the range it is likely in."""

import math
from dataclasses import dataclass

from hoopwright.film.results import BallPath, Body, FilmedShot, Measured
from hoopwright.reports.words import sided

#: from the middle to the edge of an 80 % range, in standard deviations
_EIGHTY = 1.2816
_TIMES = (
    Body.DIP_TO_RELEASE, Body.SET_TO_RELEASE, Body.RELEASE_TO_TOE_OFF, Body.RELEASE_TO_APEX,
    Body.HOLD,
)  # fmt: skip
_LENGTHS = (Body.STANCE_WIDTH, Body.SIGHT_LINE, Body.DIP_DEPTH, Body.JUMP_RISE)
_SPEEDS = (Body.BODY_SPEED, Body.ARM_SPEED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One number of a shot."""

    name: str
    #: value, unit and range, such as ``7.32 m/s (likely 7.25 to 7.39)``
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotFacts:
    """One filmed shot in words."""

    #: such as ``Shot 3, 14.2 s``
    title: str
    #: made or missed and how sure
    result: str
    ball: tuple[Line, ...] = ()
    body: tuple[Line, ...] = ()
    #: what could not be measured, and why
    left_out: tuple[Line, ...] = ()
    doubts: tuple[str, ...] = ()
    #: True where findings may use it
    usable: bool


def shot_facts(shot: FilmedShot) -> ShotFacts:
    """Return one filmed shot in words."""
    path = shot.ball
    return ShotFacts(
        title=f"Shot {shot.position + 1}, {shot.start:.1f} s",
        result="no flight could be read" if path is None else _result(path),
        ball=() if path is None else _ball(path),
        body=tuple(
            Line(name=m.name.value, said=body_said(m.name, m.value, m.sd)) for m in shot.body
        ),
        left_out=tuple(Line(name=one.name.value, said=one.reason) for one in shot.left_out),
        doubts=tuple(d.message for d in shot.doubts),
        usable=shot.usable,
    )


def body_said(name: Body, value: float, sd: float) -> str:
    """Return a body measure with its range.

    Parameters
    ----------
    name
        Which.
    value, sd
        Value and one standard deviation [SI].
    """
    unit, factor, places = _unit(name)
    return _said(Measured(value=value, sd=sd), unit, factor=factor, places=places)


def _result(path: BallPath) -> str:
    word = "made" if path.made else "missed"
    if path.made_chance >= 0.995:
        return word
    return f"{word} ({round(100 * path.made_chance)} % sure)"


def _ball(path: BallPath) -> tuple[Line, ...]:
    release = path.release
    sd = [math.sqrt(max(release.total[6 * i], 0.0)) for i in range(5)]
    degrees = math.degrees(1.0)

    def line(name: str, said: str) -> Line:
        return Line(name=name, said=said)

    return (
        line("release speed", _said(Measured(value=release.speed, sd=sd[0]), "m/s", places=2)),
        line(
            "release angle",
            _said(Measured(value=release.angle, sd=sd[1]), "°", factor=degrees, places=1),
        ),
        line("release height", _said(path.release_height, "m", places=2)),
        line("entry angle", _said(path.entry_angle, "°", factor=degrees, places=1)),
        line("apex", _said(path.apex, "m", places=2)),
        line("along", _side(release.along, sd[3], "short", "long")),
        line("across", _side(release.across, sd[4], "left", "right")),
    )


def _said(number: Measured, unit: str, *, factor: float = 1.0, places: int = 0) -> str:
    reach = _EIGHTY * number.sd
    value, low, high = (
        f"{factor * v:.{places}f}".replace("-", "−")
        for v in (number.value, number.value - reach, number.value + reach)
    )
    space = "" if unit == "°" else " "
    return f"{value}{space}{unit} (likely {low} to {high})"


def _side(value: float, sd: float, below: str, above: str) -> str:
    reach = _EIGHTY * sd
    said, low, high = (sided(v, below, above) for v in (value, value - reach, value + reach))
    return f"{said} (likely {low} to {high})"


def _unit(name: Body) -> tuple[str, float, int]:
    """Return the unit shown, the factor to it from SI, and decimal places."""
    if name in _TIMES:
        return "ms", 1000.0, 0
    if name in _LENGTHS:
        return "cm", 100.0, 0
    if name in _SPEEDS:
        return "m/s", 1.0, 2
    return ("% of stature", 100.0, 0) if name is Body.RELEASE_RATIO else ("°", math.degrees(1.0), 0)
