"""Feet, inches, degrees and the like to SI and back: the only place a conversion factor appears."""

import math

#: metres in one foot, exact (1959 international yard and pound agreement)
FOOT = 0.3048
#: metres in one inch, exact
INCH = 0.0254
#: kilograms in one avoirdupois ounce, exact
OUNCE = 0.028349523125


def feet(value: float) -> float:
    """Return feet as metres."""
    return value * FOOT


def inches(value: float) -> float:
    """Return inches as metres."""
    return value * INCH


def ounces(value: float) -> float:
    """Return avoirdupois ounces as kilograms."""
    return value * OUNCE


def centimetres(value: float) -> float:
    """Return centimetres as metres."""
    return value / 100.0


def to_centimetres(metres: float) -> float:
    """Return metres as centimetres."""
    return metres * 100.0


def degrees(value: float) -> float:
    """Return degrees as radians."""
    return math.radians(value)


def to_degrees(radians: float) -> float:
    """Return radians as degrees."""
    return math.degrees(radians)


def turns_per_second(value: float) -> float:
    """Return revolutions per second as radians per second."""
    return value * 2.0 * math.pi
