"""The shipped make table is what the physics says.

Source of the truth: *known motion*, fresh shots played by ``flight.ring`` (itself checked against
an independent implementation in tests/flight), under other random numbers than the table's own.
"""

from typing import Any

import numpy as np
import pytest

from hoopwright.chart import _kernel as k
from hoopwright.chart import model
from hoopwright.chart._normal_kernel import normal_loglik
from hoopwright.chart.make_table import (
    ACROSS,
    ALONG,
    BALL_SIZES,
    BEARINGS,
    ENTRIES,
    RINGS,
    SHOTS,
    SPEEDS,
    count_makes,
    make_table,
)
from hoopwright.chart.prior import published_prior
from hoopwright.chart.simulate import draw_shooter, fly_shots
from hoopwright.chart.spots import spot_flight
from hoopwright.errors import UnknownName
from hoopwright.records import Spot


@pytest.mark.parametrize(("size", "bearing", "speed"), [(7, 0, 4), (6, 2, 6), (5, 4, 1), (3, 1, 9)])
def test_shipped_counts_are_the_physics(size: int, bearing: int, speed: int) -> None:
    """Two tables under other random numbers: the same makes to 0.3 points over the grid, and no
    cell further apart than luck in 2 × 24 shots allows (a difference of 20 of 24 is never luck)."""
    fresh = count_makes(size, float(BEARINGS[bearing]), float(SPEEDS[speed]), seed=99) / SHOTS
    shipped = make_table(size).chances[bearing, speed]
    assert float(np.mean(fresh)) == pytest.approx(float(np.mean(shipped)), abs=0.003)
    assert np.max(np.abs(fresh - shipped)) < 20 / 24


def test_shape_and_edges() -> None:
    for size in BALL_SIZES:
        chances = make_table(size).chances
        shape = (len(BEARINGS), len(SPEEDS), len(ENTRIES), len(RINGS), len(ALONG), len(ACROSS))
        assert chances.shape == shape
        assert chances.min() >= 0
        assert chances.max() <= 1
        # a shot at the grid's short end never reaches the ring; nothing there can go in
        assert chances[..., 0, :].max() == 0
        # straight over the middle of the ring and steep, nothing can go wrong
        assert chances[:, :, -3, :, list(ALONG.round(3)).index(0.025), len(ACROSS) // 2].min() == 1


def test_smaller_balls_go_in_more() -> None:
    shares = [make_table(size).chances[:, :, 3:].mean() for size in BALL_SIZES]
    assert shares == sorted(shares, reverse=True)


def test_a_shooter_on_the_left_sees_the_mirror_image() -> None:
    table = make_table(7)
    speeds = np.full(len(ENTRIES), 6.3)
    right, left = table.slices(0.7, speeds), table.slices(-0.7, speeds)
    assert np.array_equal(right[..., ::-1], left)


def test_unknown_ball() -> None:
    with pytest.raises(UnknownName, match="no ball of size 4"):
        make_table(4)


def test_expected_makes_match_flown_shots() -> None:
    """Over 24 simulated players the model's make share is unbiased to 0.8 points and within 2
    points (one standard deviation) of 20,000 flown shots, whose own luck is 0.35 points."""
    rng = np.random.default_rng(3)
    gaps = []
    for i in range(24):
        spot = Spot(name="", x=4.0 * np.sin(i), y=1.0 + 4.0 * abs(np.cos(i)))
        shooter = draw_shooter(published_prior(), rng, stature=1.85)
        places = model.Places.stack(
            [spot_flight(spot, ball_size=7, ring_height=3.05, stature=1.85)]
        )
        expected = model.landings(shooter.psi[None], places).made[0, 0]
        gaps.append(expected - fly_shots(shooter, spot, 20_000, rng=rng).made.mean())
    assert abs(float(np.mean(gaps))) < 0.008
    assert float(np.std(gaps)) < 0.02


def plain(kernel: Any) -> Any:
    """The function that numba compiled, uncompiled."""
    return kernel.py_func


def test_kernels_are_plain_python_too() -> None:
    """The compiled loops and the same lines run by Python agree (coverage of what numba hides)."""
    rng = np.random.default_rng(5)
    table = make_table(7).slices(0.3, np.full(len(ENTRIES), 6.0))
    a, b = np.empty(table.shape[2:], np.float32), np.empty(table.shape[2:], np.float32)
    k.blend(table, 3.3, 1.2, 5, 60, a)
    plain(k.blend)(table, 3.3, 1.2, 5, 60, b)
    assert np.allclose(a[5:60], b[5:60], atol=1e-6)
    along, along2 = np.empty(len(ALONG), np.float32), np.empty(len(ALONG), np.float32)
    args = (-0.03, 0.12, float(ALONG[0]), 0.025)
    assert k.cell_shares(*args, along) == plain(k.cell_shares)(*args, along2)
    assert np.allclose(along, along2, atol=1e-7)
    assert float(along.sum()) == pytest.approx(1.0, abs=1e-5)
    point, where = np.array([0.05, -0.02, 0.05, 0.05]), np.array([-0.03, 0.12, 0.0, 0.08])
    grid = np.array([ALONG[0], 0.025, ACROSS[0], 0.025])
    chance = k.chance_near(a, grid, where, point)
    assert chance == pytest.approx(plain(k.chance_near)(a, grid, where, point), abs=1e-9)
    gap, cov = rng.standard_normal(5), np.eye(5) * 0.3
    assert normal_loglik(gap.copy(), cov.copy()) == pytest.approx(
        plain(normal_loglik)(gap.copy(), cov.copy())
    )


def test_normal_table_is_the_normal() -> None:
    """Within 2e-6 of SciPy's normal distribution function, and exact in the far tails."""
    from scipy import special

    x = np.linspace(-8, 8, 4001)
    ours = np.array([k.normal_below(float(v)) for v in x])
    assert np.max(np.abs(ours - special.ndtr(x))) < 2e-6
    assert np.all(np.diff(ours) >= 0)
