"""Balls, rings and boards refuse what could not be one."""

import math

import pytest

from hoopwright.court.equipment import Ball, Board, Ring, check_fits
from hoopwright.court.standards import ball, rule_book
from hoopwright.errors import BadInput

RING = Ring(inside_diameter=0.4572, rod_diameter=0.016, height=3.05)


def test_ball_radius_is_circumference_over_two_pi() -> None:
    """Closed form."""
    one = Ball(size=7, circumference=2 * math.pi * 0.12, mass=0.6)
    assert one.radius == pytest.approx(0.12, rel=1e-15)


def test_ring_radii_are_half_the_diameters() -> None:
    assert (RING.radius, RING.rod_radius) == (0.2286, 0.008)


@pytest.mark.parametrize("height", [0.99, 4.01, -3.05, math.nan, math.inf, 305.0])
def test_ring_height_out_of_sense_is_one_sentence(height: float) -> None:
    with pytest.raises(BadInput, match="ring height in metres must be from 1 to 4") as caught:
        Ring(inside_diameter=0.4572, rod_diameter=0.016, height=height)
    assert ". " not in caught.value.message
    assert "\n" not in caught.value.message


@pytest.mark.parametrize(
    "sizes",
    [
        {"inside_diameter": 45.7},
        {"inside_diameter": math.nan},
        {"rod_diameter": 0.0},
        {"rod_diameter": -0.016},
    ],
)
def test_ring_diameters_out_of_sense_are_refused(sizes: dict[str, float]) -> None:
    numbers = {"inside_diameter": 0.4572, "rod_diameter": 0.016, "height": 3.05} | sizes
    with pytest.raises(BadInput, match="check its unit"):
        Ring(**numbers)


@pytest.mark.parametrize(("circumference", "mass"), [(75.0, 0.6), (0.75, 600.0), (0.75, math.nan)])
def test_ball_in_the_wrong_unit_is_refused(circumference: float, mass: float) -> None:
    with pytest.raises(BadInput, match="check its unit"):
        Ball(size=7, circumference=circumference, mass=mass)


@pytest.mark.parametrize("name", ["width", "height", "lower_edge", "setback"])
def test_board_out_of_sense_is_refused(name: str) -> None:
    sizes = {"width": 1.8, "height": 1.05, "lower_edge": 2.9, "setback": 0.38}
    Board(**sizes)
    with pytest.raises(BadInput, match="metres must be"):
        Board(**(sizes | {name: math.inf}))


def test_a_ball_larger_than_the_ring_is_refused_in_one_sentence() -> None:
    big = Ball(size=7, circumference=1.1, mass=0.6)
    small = Ring(inside_diameter=0.3, rod_diameter=0.016, height=3.05)
    with pytest.raises(BadInput, match=r"A ball 35\.0 cm across can't pass a ring 30\.0 cm"):
        check_fits(big, small)


def test_a_ball_exactly_as_wide_as_the_ring_is_refused() -> None:
    ring = Ring(inside_diameter=0.25, rod_diameter=0.016, height=3.05)
    with pytest.raises(BadInput):
        check_fits(Ball(size=7, circumference=0.25 * math.pi, mass=0.6), ring)


def test_every_ball_fits_every_ring() -> None:
    for size in (3, 5, 6, 7):
        check_fits(ball(size), rule_book("fiba").ring)
