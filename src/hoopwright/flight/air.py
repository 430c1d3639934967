"""Air: density from altitude and temperature, drag, the spin force and buoyancy."""

import math
from dataclasses import dataclass

import numpy as np

from hoopwright.court.equipment import Ball
from hoopwright.errors import BadInput
from hoopwright.flight._compiled import Floats

#: [m/s²], the conventional value (CGPM 1901)
STANDARD_GRAVITY = 9.80665
#: specific gas constant of dry air [J/(kg K)] (ICAO standard atmosphere, Doc 7488)
_GAS_CONSTANT = 287.05287
#: 20 °C [K]
ROOM_TEMPERATURE = 293.15


def air_density(altitude: float = 0.0, temperature: float = ROOM_TEMPERATURE) -> float:
    """Return the density of dry air in a hall [kg/m³].

    Parameters
    ----------
    altitude
        Above sea level, −500 to 11,000. [m]
    temperature
        Of the air in the hall, which need not be the standard one outside. [K]

    Raises
    ------
    BadInput
        Altitude or temperature is out of that range, or the temperature looks like °C.

    Notes
    -----
    Pressure of the standard atmosphere [ICAO7488]_: 101325 Pa · (1 − 0.0065 h / 288.15)^5.2559,
    then the ideal gas law. Weather changes it by 3 % and humidity by 1 %; neither is modelled.
    """
    if not -500.0 <= altitude <= 11000.0:
        raise BadInput(f"Altitude must be −500 to 11,000 m, not {altitude:g}.", field="altitude")
    if not 220.0 <= temperature <= 330.0:
        raise BadInput(
            f"Air temperature must be 220 to 330 K (−53 to 57 °C), not {temperature:g}; "
            "add 273.15 to degrees Celsius.",
            field="temperature",
        )
    pressure: float = 101325.0 * (1.0 - 0.0065 * altitude / 288.15) ** 5.25588
    return pressure / (_GAS_CONSTANT * temperature)


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """What acts on the ball in flight.

    Raises
    ------
    BadInput
        A value is negative or not finite, or gravity is zero.
    """

    #: [kg/m³]; 0 switches drag, spin force and buoyancy off
    density: float
    #: of a basketball; 0.5 in [Palmer2005]_ (seen), range 0.47 (smooth sphere) to 0.54
    #: (Okubo and Hubbard; both from memory)
    drag_coefficient: float = 0.5
    #: lift coefficient over spin ratio r·ω/v; [Palmer2005]_ takes 1 (seen), which is the upper end;
    #: range 0.5 to 1.0, default midway
    lift_slope: float = 0.75
    #: [m/s²]
    gravity: float = STANDARD_GRAVITY
    #: rate at which spin dies away [1/s]; off, because nothing published is known to us
    spin_decay: float = 0.0

    def __post_init__(self) -> None:
        values = (self.density, self.drag_coefficient, self.lift_slope, self.spin_decay)
        if not all(math.isfinite(v) and v >= 0.0 for v in (*values, self.gravity)):
            raise BadInput("Air and gravity need numbers that are not below zero; correct them.")
        if self.gravity == 0.0:
            raise BadInput("Without gravity no shot comes down; give gravity in m/s².")

    @classmethod
    def standard(cls) -> "Air":
        """Return dry air at sea level and 20 °C."""
        return cls(density=air_density())

    @classmethod
    def at(cls, altitude: float, temperature: float = ROOM_TEMPERATURE) -> "Air":
        """Return the air of a hall at an altitude [m] and temperature [K]."""
        return cls(density=air_density(altitude, temperature))

    @classmethod
    def none(cls) -> "Air":
        """Return no air at all: gravity alone."""
        return cls(density=0.0)


#: the default wherever air can be given: sea level, 20 °C
STANDARD_AIR = Air.standard()


def force_constants(ball: Ball, air: Air) -> Floats:
    """Return what the kernels need to know of one ball in one air.

    Returns
    -------
    ndarray
        float64 [4]: gravity less buoyancy [m/s²], drag per speed squared [1/m], spin force per
        spin and speed [1], spin decay [1/s].

    Raises
    ------
    BadInput
        The ball is lighter than the air it displaces.

    Notes
    -----
    Drag ½·ρ·A·Cd·v² and spin force ½·ρ·A·CL·v² over the mass, with CL = slope · r·ω/v
    [Palmer2005]_, and buoyancy ρ·V·g.
    """
    radius, mass = ball.radius, ball.mass
    displaced = air.density * 4.0 / 3.0 * math.pi * radius**3 / mass
    if displaced >= 1.0:
        raise BadInput("That ball is lighter than air; check its mass in kg and its size in m.")
    push = 0.5 * air.density * math.pi * radius**2 / mass
    return np.array(
        [
            air.gravity * (1.0 - displaced),
            push * air.drag_coefficient,
            push * air.lift_slope * radius,
            air.spin_decay,
        ]
    )
