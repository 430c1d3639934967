"""Palmer 2005, Physics for Game Programmers, Table 7-7 (seen), and flight built on its values.

Sections of the derived rows: reference flights by DOP853 at rtol 1e-10 made outside the project,
m 0.62 kg, r 0.12 m, ρ 1.2 kg/m³, g 9.81 m/s².
"""

import math

import numpy as np
import pytest

from hoopwright.court.equipment import Ball
from hoopwright.flight.air import Air, force_constants
from hoopwright.flight.arc import cross_ring_plane, speed_to_reach

BALL = Ball(size=7, circumference=2.0 * math.pi * 0.12, mass=0.62)
#: share of its weight that the air lifts off this ball
LIFTED = 1.2 * 4.0 / 3.0 * math.pi * 0.12**3 / 0.62
SPIN = 6.0 * math.pi


def air(drag: float, slope: float = 0.0, *, buoyancy: bool = False) -> Air:
    """Air of the reference flights; without buoyancy, gravity makes up for it."""
    gravity = 9.81 if buoyancy else 9.81 / (1.0 - LIFTED)
    return Air(density=1.2, drag_coefficient=drag, lift_slope=slope, gravity=gravity)


def test_forces_of_table_7_7() -> None:
    # seen: weight 6.08 N, drag 0.76 N (1.23 m/s²), spin force 0.23 N (0.37 m/s²), at 7.5 m/s and
    # 1.5 rev/s with CL = rω/v
    g, drag, lift, _ = force_constants(BALL, air(0.5, 1.0))
    spin = 3.0 * math.pi
    assert g * 0.62 == pytest.approx(6.08, rel=0.01)
    assert drag * 7.5**2 == pytest.approx(1.23, rel=0.01)
    assert drag * 7.5**2 * 0.62 == pytest.approx(0.76, rel=0.01)
    assert lift * spin * 7.5 == pytest.approx(0.37, rel=0.01)
    assert lift * spin * 7.5 * 0.62 == pytest.approx(0.23, rel=0.01)
    assert 0.12 * spin / 7.5 == pytest.approx(0.15, abs=0.001)


VACUUM = Air(density=0.0, gravity=9.81)
# derived: air, spin, then case A (x, t, entry angle, apex) and case B (x, t, entry angle)
FLIGHTS = [
    ("none", VACUUM, 0.0, (4.41866, 0.98316, 40.895, 1.6866), (7.26272, 1.26953, 44.573)),
    ("0.47", air(0.47), 0.0, (4.02906, 0.94448, 41.784, 1.6069), (6.39988, 1.21314, 46.889)),
    ("0.5", air(0.5), 0.0, (4.00669, 0.94213, 41.830, 1.6022), (6.35271, 1.20980, 47.016)),
    ("0.54", air(0.54), 0.0, (3.97728, 0.93901, 41.890, 1.5960), (6.29103, 1.20539, 47.181)),
    (
        "buoyancy", air(0.5, buoyancy=True), 0.0,
        (4.07273, 0.95853, 42.112, 1.6238), (6.44166, 1.22824, 47.154),
    ),
    (
        "half lift", air(0.5, 0.5), SPIN,
        (4.05572, 0.96768, 42.551, 1.6366), (6.43819, 1.24576, 47.440),
    ),
    (
        "full lift", air(0.5, 1.0), SPIN,
        (4.10089, 0.99357, 43.258, 1.6718), (6.51734, 1.28248, 47.856),
    ),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "of", "spin", "first", "second"), FLIGHTS, ids=[row[0] for row in FLIGHTS]
)
def test_reference_flights(
    name: str, of: Air, spin: float, first: tuple[float, ...], second: tuple[float, ...]
) -> None:
    a = cross_ring_plane(7.3, math.radians(52.0), 0.9144, ball=BALL, air=of, spin=spin)
    b = cross_ring_plane(8.9, math.radians(50.0), 0.75, ball=BALL, air=of, spin=spin)
    for found, (x, t, steep) in ((a, first[:3]), (b, second)):
        assert float(found.distance) == pytest.approx(x, abs=1e-3)
        assert float(found.time) == pytest.approx(t, abs=1e-3)
        assert math.degrees(float(found.entry_angle)) == pytest.approx(steep, abs=0.02)
    assert float(a.apex) == pytest.approx(first[3], abs=1e-3)


# derived: air, spin, speed at 52° for a free throw, entry angle, m per m/s, cm per degree
SENSITIVITIES = [
    ("none", VACUUM, 0.0, 7.1470, 40.15, 1.476, -0.69),
    ("0.5", air(0.5), 0.0, 7.4439, 42.59, 1.286, -1.16),
    ("0.54", air(0.54), 0.0, 7.4688, 42.79, 1.272, -1.19),
    ("half lift", air(0.5, 0.5), SPIN, 7.4049, 43.09, 1.294, -1.73),
    ("full lift", air(0.5, 1.0), SPIN, 7.3695, 43.61, 1.300, -2.33),
]


@pytest.mark.parametrize(
    ("name", "of", "spin", "speed", "steep", "per_speed", "per_degree"),
    SENSITIVITIES, ids=[row[0] for row in SENSITIVITIES],
)  # fmt: skip
def test_what_a_free_throw_needs_and_forgives(
    name: str, of: Air, spin: float, speed: float, steep: float, per_speed: float, per_degree: float
) -> None:
    angle = math.radians(52.0)
    found = float(speed_to_reach(4.191, angle, 0.9144, ball=BALL, air=of, spin=spin))
    assert found == pytest.approx(speed, abs=0.002)
    faster = np.array([found - 0.01, found + 0.01, found, found])
    steeper = np.radians([52.0, 52.0, 51.5, 52.5])
    x = cross_ring_plane(faster, steeper, 0.9144, ball=BALL, air=of, spin=spin)
    assert (x.distance[1] - x.distance[0]) / 0.02 == pytest.approx(per_speed, abs=0.002)
    assert 100.0 * (x.distance[3] - x.distance[2]) == pytest.approx(per_degree, abs=0.02)
    at = cross_ring_plane(found, angle, 0.9144, ball=BALL, air=of, spin=spin)
    assert math.degrees(float(at.entry_angle)) == pytest.approx(steep, abs=0.02)


def test_neglecting_air_overthrows_by_a_third_of_a_metre_and_more() -> None:
    # derived: a free throw by 0.3–0.45 m, a three-pointer by 0.75–0.97 m at equal release
    for speed, angle, rise, low, high in (
        (7.3, 52.0, 0.9144, 0.3, 0.45),
        (8.9, 50.0, 0.75, 0.74, 0.98),
    ):
        bare = cross_ring_plane(speed, math.radians(angle), rise, ball=BALL, air=VACUUM)
        for of, spin in ((air(0.5), 0.0), (air(0.54), 0.0), (air(0.5, 1.0), SPIN)):
            real = cross_ring_plane(speed, math.radians(angle), rise, ball=BALL, air=of, spin=spin)
            assert low < float(bare.distance - real.distance) < high
