"""How a miss is called, checked on points whose direction anyone can see."""

from uuid import UUID

import numpy as np
import pytest

from hoopwright.chart import simulate
from hoopwright.chart.calls import call_chances, call_way, front_chances
from hoopwright.chart.make_table import ACROSS, ALONG
from hoopwright.chart.misses import STYLES, WAYS
from hoopwright.chart.model import landings
from hoopwright.chart.posterior import posteriors
from hoopwright.chart.prior import published_prior
from hoopwright.records import Chart, Miss, MissDetail, Player, Spot


def called(along: float, across: float, style: MissDetail) -> tuple[Miss, ...]:
    return WAYS[int(call_way(np.array([along]), np.array([across]), style)[0])]


@pytest.mark.parametrize(
    ("along", "across", "one", "two"),
    [
        (-0.20, 0.01, (Miss.SHORT,), (Miss.SHORT,)),
        (0.25, -0.02, (Miss.LONG,), (Miss.LONG,)),
        (0.01, -0.22, (Miss.LEFT,), (Miss.LEFT,)),
        (0.01, 0.22, (Miss.RIGHT,), (Miss.RIGHT,)),
        (-0.16, -0.14, (Miss.SHORT,), (Miss.SHORT, Miss.LEFT)),
        (-0.16, 0.14, (Miss.SHORT,), (Miss.SHORT, Miss.RIGHT)),
        (0.14, -0.16, (Miss.LEFT,), (Miss.LONG, Miss.LEFT)),
        (0.14, 0.16, (Miss.RIGHT,), (Miss.LONG, Miss.RIGHT)),
    ],
)
def test_known_directions(
    along: float, across: float, one: tuple[Miss, ...], two: tuple[Miss, ...]
) -> None:
    assert called(along, across, MissDetail.ONE) == one
    assert called(along, across, MissDetail.TWO) == two
    assert called(along, across, MissDetail.ALONG) == ((Miss.LONG if along > 0 else Miss.SHORT),)


def test_calls_share_out_each_point() -> None:
    chances = call_chances(ALONG, ACROSS)
    assert chances.shape == (len(STYLES), len(WAYS), len(ALONG), len(ACROSS))
    assert np.allclose(chances.sum(axis=1), 1.0, atol=1e-5)


def test_calls_mirror() -> None:
    """Left and right are alike, so mirrored points are called the mirrored way."""
    chances = call_chances(ALONG, ACROSS)
    mirrored = [0, 1, 3, 2, 5, 4, 7, 6]
    assert np.allclose(chances[:, mirrored][..., ::-1], chances, atol=1e-6)


def test_front_half_falls_from_near_to_far() -> None:
    front = front_chances(ALONG)
    assert np.all(np.diff(front) <= 0)
    assert front[0] > 0.98
    assert front[-1] < 0.02


def test_a_worse_eye_than_reckoned_with_bends_no_range_much(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A coach who sees the crossing to 5 cm, not 3, and slips in 5 % of calls, not 2: 80 % ranges
    of the aim still hold the truth for three players in four (*known motion*, 60 players)."""
    monkeypatch.setattr(simulate, "SEEING_SD", 0.05)
    monkeypatch.setattr(simulate, "SLIPS", 0.05)
    line = Spot(name="free throw", x=0.0, y=4.225)
    inside = []
    for seed in range(60):
        rng = np.random.default_rng([11, seed])
        shooter = simulate.draw_shooter(published_prior(), rng)
        sets = simulate.simulate_sets(shooter, [line], 80, style=simulate.Style.ONE, rng=rng)
        found = posteriors(Chart(player=Player(id=UUID(int=1), name="Invented"), sets=sets))[0]
        truth = landings(shooter.psi[None], found.places).where[0, 0]
        drawn = landings(found.psi(500), found.places).where[:, 0]
        for column in (0, 2):
            low, high = np.quantile(drawn[:, column], [0.1, 0.9])
            inside.append(low <= truth[column] <= high)
    assert np.mean(inside) > 0.72
