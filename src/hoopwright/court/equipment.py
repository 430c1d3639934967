"""Balls, rings and boards: frozen, checked when built, SI units."""

import math
from dataclasses import dataclass

from hoopwright.errors import BadInput

#: ring heights taken as meant [m]: a toddler's hoop to a ring no rule book has
LOWEST_RING, HIGHEST_RING = 1.0, 4.0


def _need(value: float, what: str, *, low: float, high: float) -> None:
    """Raise BadInput unless a number is finite and from low to high (both in metres or kg)."""
    if not math.isfinite(value) or not low <= value <= high:
        raise BadInput(f"{what} must be from {low:g} to {high:g}, not {value:g}; check its unit.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ball:
    """A ball of one size.

    Raises
    ------
    BadInput
        A number is not finite or could not belong to a ball for this game.
    """

    #: size number: 3, 5, 6 or 7
    size: int
    #: around the middle [m]
    circumference: float
    #: [kg]
    mass: float

    def __post_init__(self) -> None:
        _need(self.circumference, "A ball's circumference in metres", low=0.3, high=1.2)
        _need(self.mass, "A ball's mass in kilograms", low=0.05, high=2.0)

    @property
    def radius(self) -> float:
        """Half the diameter [m]."""
        return self.circumference / (2.0 * math.pi)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """A ring of round rod; its top is the ring plane.

    Raises
    ------
    BadInput
        The height is below 1 m or above 4 m, or a diameter is out of sense.
    """

    #: [m]
    inside_diameter: float
    #: thickness of the rod [m]
    rod_diameter: float
    #: top of the ring above the floor [m]
    height: float

    def __post_init__(self) -> None:
        _need(self.height, "The ring height in metres", low=LOWEST_RING, high=HIGHEST_RING)
        _need(self.inside_diameter, "The ring's inside diameter in metres", low=0.2, high=1.0)
        _need(self.rod_diameter, "The ring's rod diameter in metres", low=0.002, high=0.05)

    @property
    def radius(self) -> float:
        """Ring centre to the inside edge [m]."""
        return 0.5 * self.inside_diameter

    @property
    def rod_radius(self) -> float:
        """Half the thickness of the rod [m]."""
        return 0.5 * self.rod_diameter


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """A flat upright rectangle behind the ring.

    Raises
    ------
    BadInput
        A size is not finite or out of sense.
    """

    #: [m]
    width: float
    #: [m]
    height: float
    #: lower edge above the floor [m]
    lower_edge: float
    #: ring centre to the board's face [m]
    setback: float
    #: outside width of the painted rectangle above the ring [m], where the book gives one
    target_width: float | None = None
    #: outside height of the painted rectangle [m]; the top of its lower line is level with the ring
    target_height: float | None = None

    def __post_init__(self) -> None:
        _need(self.width, "The board's width in metres", low=0.3, high=3.0)
        _need(self.height, "The board's height in metres", low=0.2, high=2.0)
        _need(self.lower_edge, "The board's lower edge in metres", low=0.3, high=4.0)
        _need(self.setback, "Ring centre to board in metres", low=0.15, high=1.0)


def check_fits(ball: Ball, ring: Ring) -> None:
    """Raise BadInput when a ball can't pass through a ring.

    Parameters
    ----------
    ball, ring
        The pair to check.

    Raises
    ------
    BadInput
        The ball's diameter is not below the ring's inside diameter.
    """
    if 2.0 * ball.radius >= ring.inside_diameter:
        raise BadInput(
            f"A ball {200 * ball.radius:.1f} cm across can't pass a ring "
            f"{100 * ring.inside_diameter:.1f} cm across; choose a smaller ball or a larger ring."
        )
