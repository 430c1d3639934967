"""The path to given moments: closed form without air, a DOP853 reference with it, and reversal."""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from hoopwright.court.standards import ball
from hoopwright.flight.air import STANDARD_AIR, Air, force_constants
from hoopwright.flight.moments import backspin, path_at

STATE = np.array([0.3, -4.2, 2.2, 0.2, 4.4, 6.0])
TIMES = np.array([0.9, -0.3, 0.0, 0.41, -0.05, 1.3])


def test_without_air_it_is_a_parabola() -> None:
    """Closed form of uniform acceleration."""
    got = path_at(STATE, TIMES, spin=(0.0, 0.0, 0.0), force=force_constants(ball(7), Air.none()))
    t = TIMES[:, None]
    gravity = np.array([0.0, 0.0, -9.80665])
    assert got[:, :3] == pytest.approx(STATE[:3] + STATE[3:] * t + 0.5 * gravity * t**2, abs=1e-12)
    assert got[:, 3:] == pytest.approx(STATE[3:] + gravity * t, abs=1e-12)


def test_with_air_it_agrees_with_a_tight_integrator() -> None:
    """SciPy's DOP853 at rtol 1e-12 is the reference."""
    force = force_constants(ball(7), STANDARD_AIR)
    spin = np.array(backspin(STATE[3:], 13.0))

    def slope(_: float, s: NDArray[np.float64]) -> NDArray[np.float64]:
        v = s[3:]
        a = -force[1] * np.linalg.norm(v) * v + force[2] * np.cross(spin, v)
        return np.concatenate([v, a - (0.0, 0.0, force[0])])

    got = path_at(STATE, TIMES, spin=backspin(STATE[3:], 13.0), force=force)
    for t, row in zip(TIMES, got, strict=True):
        if t == 0.0:
            assert row == pytest.approx(STATE)
            continue
        true = solve_ivp(slope, (0.0, t), STATE, method="DOP853", rtol=1e-12, atol=1e-12).y[:, -1]
        assert row[:3] == pytest.approx(true[:3], abs=1e-4)
        assert row[3:] == pytest.approx(true[3:], abs=1e-3)


def test_forth_and_back_ends_where_it_began() -> None:
    """Motion under these forces runs back the same way."""
    force = force_constants(ball(7), STANDARD_AIR)
    spin = backspin(STATE[3:], 13.0)
    far = path_at(STATE, [0.8], spin=spin, force=force)[0]
    back = path_at(far, [-0.8], spin=spin, force=force)[0]
    assert back == pytest.approx(STATE, abs=1e-4)


def test_backspin_lies_level_across_the_shot() -> None:
    """Derived: at right angles to the heading, + about the shooter's right for a shot ahead."""
    assert backspin((0.0, 5.0, 5.0), 3.0) == pytest.approx((3.0, 0.0, 0.0))
    assert np.dot(backspin((2.0, 5.0, 5.0), 3.0), (2.0, 5.0, 0.0)) == pytest.approx(0.0)
    assert backspin((0.0, 0.0, 5.0), 3.0) == (3.0, 0.0, 0.0)


def test_moments_out_of_sense_are_not_a_number() -> None:
    force = force_constants(ball(7), STANDARD_AIR)
    got = path_at(STATE, [np.nan, np.inf, -1e9, 0.1], spin=(0.0, 0.0, 0.0), force=force)
    assert np.isnan(got[:3]).all()
    assert np.isfinite(got[3]).all()
