"""What is measured in a trial, in the words and units a coach reads: makes per 100, cm, degrees."""

import math
from dataclasses import dataclass

from hoopwright.film.results import Body
from hoopwright.records import Estimate
from hoopwright.trials.nouns import Better, BodyMeasure, Measure, Question
from hoopwright.units import to_centimetres, to_degrees


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """The unit a measure is said in."""

    #: from the unit inside (makes per 100, m, rad, s) to the one said
    factor: float
    #: after a number, e.g. " cm"
    sign: str
    decimals: int
    #: title of an axis
    axis: str


_MAKES = Unit(factor=1.0, sign=" makes per 100", decimals=0, axis="makes per 100 shots")
_CM = Unit(factor=to_centimetres(1.0), sign=" cm", decimals=1, axis="cm")
_DEG = Unit(factor=to_degrees(1.0), sign="°", decimals=1, axis="degrees")
_MS = Unit(factor=1000.0, sign=" ms", decimals=0, axis="ms")
_PLAIN = Unit(factor=1.0, sign="", decimals=2, axis="")
_SPEED = Unit(factor=1.0, sign=" m/s", decimals=2, axis="m/s")
_BY_NAME = {"m": _CM, "rad": _DEG, "s": _MS, "m/s": _SPEED, "": _PLAIN}
#: SI unit of each measure of the body
_BODY_UNITS = {
    Body.STANCE_WIDTH: "m",
    Body.SIGHT_LINE: "m",
    Body.DIP_DEPTH: "m",
    Body.JUMP_RISE: "m",
    Body.DIP_TO_RELEASE: "s",
    Body.SET_TO_RELEASE: "s",
    Body.RELEASE_TO_TOE_OFF: "s",
    Body.RELEASE_TO_APEX: "s",
    Body.HOLD: "s",
    Body.BODY_SPEED: "m/s",
    Body.ARM_SPEED: "m/s",
    Body.RELEASE_RATIO: "",
}
#: a measure as it is offered, with what it takes
MEASURE_NAMES = {
    Measure.MAKE: "makes",
    Measure.ALONG: "short or long (middle of the landings)",
    Measure.ACROSS: "left or right (middle of the landings)",
    Measure.DISTANCE_CONTROL: "distance control (how far short and long lie apart)",
    Measure.LINE_CONTROL: "line control (how far left and right lie apart)",
    Measure.ENTRY_ANGLE: "entry angle (filmed)",
}
_SHORT_NAMES = {
    Measure.MAKE: "makes",
    Measure.ALONG: "short or long",
    Measure.ACROSS: "left or right",
}
#: what less and more of each measure is called
_SIDES = {
    Measure.ALONG: ("shorter", "longer"),
    Measure.ACROSS: ("further left", "further right"),
    Measure.DISTANCE_CONTROL: ("tighter", "wider"),
    Measure.LINE_CONTROL: ("tighter", "wider"),
    Measure.ENTRY_ANGLE: ("flatter", "steeper"),
}


def body_measure(name: Body, better: Better) -> BodyMeasure:
    """Return a measure of the body as a trial takes it."""
    return BodyMeasure(name=name.value, unit=_BODY_UNITS.get(name, "rad"), better=better)


def unit_of(measure: Measure | BodyMeasure) -> Unit:
    """Return the unit a measure is said in."""
    if isinstance(measure, BodyMeasure):
        return _BY_NAME.get(measure.unit, _PLAIN)
    if measure is Measure.MAKE:
        return _MAKES
    return _DEG if measure is Measure.ENTRY_ANGLE else _CM


def measure_name(measure: Measure | BodyMeasure) -> str:
    """Return a measure in a few words."""
    if isinstance(measure, BodyMeasure):
        return measure.name
    return _SHORT_NAMES.get(measure, measure.value)


def needs_landings(measure: Measure | BodyMeasure) -> bool:
    """Tell whether a measure asks for the place where each shot came down."""
    return measure in (
        Measure.ALONG, Measure.ACROSS, Measure.DISTANCE_CONTROL, Measure.LINE_CONTROL,
    )  # fmt: skip


def needs_film(measure: Measure | BodyMeasure) -> bool:
    """Tell whether only filmed shots have a measure."""
    return isinstance(measure, BodyMeasure) or measure is Measure.ENTRY_ANGLE


def hoped_for(question: Question) -> str:
    """Return what a trial hopes for, e.g. ``longer`` or ``steadier follow-through hold``."""
    measure = question.measure
    if measure is Measure.MAKE:
        return "more makes"
    if isinstance(measure, BodyMeasure):
        return {
            Better.MORE: f"more {measure.name}",
            Better.LESS: f"less {measure.name}",
            Better.STEADIER: f"steadier {measure.name}",
        }[measure.better]
    less, more = _SIDES[measure]
    return more if question.sign > 0 else less


def number(value: float, unit: Unit, *, sign: bool = True) -> str:
    """Return a plain number in the unit said, with a true minus and no sign on 0."""
    shown = f"{value * unit.factor:+.{unit.decimals}f}"
    if not shown.strip("+-0."):
        return shown.lstrip("+-")
    return (shown if sign else shown.lstrip("+-")).replace("-", "−")


def amount(value: float, measure: Measure | BodyMeasure) -> str:
    """Return a difference without its range, e.g. ``+5 makes per 100`` or ``3.2 cm longer``."""
    unit = unit_of(measure)
    if not isinstance(measure, BodyMeasure) and measure in _SIDES:
        less, more = _SIDES[measure]
        size = number(abs(value), unit, sign=False)
        if not size.strip("0."):
            return f"{size}{unit.sign}"
        return f"{size}{unit.sign} {more if value > 0 else less}"
    return f"{number(value, unit)}{unit.sign}"


def effect(estimate: Estimate, measure: Measure | BodyMeasure) -> str:
    """Return a difference with its 80 and 95 % ranges, e.g. ``+5 makes per 100 (likely …)``."""
    if not math.isfinite(estimate.value):
        return "can't tell yet"
    likely = _between(estimate.low80, estimate.high80, measure)
    could = _between(estimate.low95, estimate.high95, measure)
    return f"{amount(estimate.value, measure)} (likely {likely}; could be {could})"


def _between(low: float, high: float, measure: Measure | BodyMeasure) -> str:
    """Return a range, its unit named once: ``1.2 to 5.0 cm longer``, ``−1 to +9``."""
    unit = unit_of(measure)
    if isinstance(measure, BodyMeasure) or measure not in _SIDES:
        return f"{number(low, unit)} to {number(high, unit)}"
    if low * high < 0:
        return f"{amount(low, measure)} to {amount(high, measure)}"
    near, far = sorted((abs(low), abs(high)))
    return f"{number(near, unit, sign=False)} to {amount(math.copysign(far, low + high), measure)}"


def makes(made: int, shots: int) -> str:
    """Return e.g. ``34 of 60 made``."""
    return f"{made} of {shots} made"


def chance_in(share: float) -> str:
    """Return a chance as cases in 100, or in 1,000 where it is small."""
    if share < 0.0095:
        return f"{max(round(1000 * share), 1)} in 1,000"
    return f"{round(100 * share)} in 100"
