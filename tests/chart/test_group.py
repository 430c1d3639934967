"""Players read together: regression to the mean, and a prior refitted from eight or more."""

from dataclasses import replace
from uuid import UUID

import numpy as np
import pytest

from hoopwright.chart import _kernel as k
from hoopwright.chart.group import ENOUGH_PLAYERS, fit_group, prior_for, read_charts
from hoopwright.chart.infer import read_chart
from hoopwright.chart.prior import age_shift, published_prior
from hoopwright.chart.simulate import Shooter, Style, draw_shooter, simulate_sets
from hoopwright.records import Chart, Player, Spot

LINE = Spot(name="free throw", x=0.0, y=4.225)


def academy(count: int, shots: int, *, bias: float = 0.0) -> list[Chart]:
    """Players who all fall short by about the same share, charted with one direction."""
    charts = []
    for i in range(count):
        rng = np.random.default_rng([8, i])
        psi = draw_shooter(published_prior(), rng).psi
        psi[k.SPEED_BIAS] = bias + 0.003 * rng.standard_normal()
        sets = simulate_sets(Shooter(psi=psi), [LINE], shots, style=Style.ONE, rng=rng)
        charts.append(Chart(player=Player(id=UUID(int=i + 1), name=f"Invented {i}"), sets=sets))
    return charts


def test_too_few_players_keep_the_published_prior() -> None:
    assert fit_group(academy(ENOUGH_PLAYERS - 1, 20)) is None


def test_a_group_that_falls_short_is_learnt() -> None:
    prior = fit_group(academy(16, 60, bias=-0.010))
    assert prior is not None
    published = published_prior()
    assert prior.centre[k.SPEED_BIAS] < -0.004
    assert prior.sd[k.SPEED_BIAS] < published.sd[k.SPEED_BIAS]
    assert "16 players" in prior.source
    # the ring belongs to the gym
    assert prior.centre[k.RING] == published.centre[k.RING]


def test_one_lucky_set_is_pulled_toward_the_group() -> None:
    """Regression to the mean: the worst and best of twelve like players both come back."""
    charts = academy(12, 20)
    alone = [read_chart(c).conditions[0].make.value for c in charts]
    together = [f.conditions[0].make.value for f in read_charts(charts)]
    raw = [c.sets[0].made / 20 for c in charts]
    best, worst = int(np.argmax(raw)), int(np.argmin(raw))
    for values in (alone, together):
        assert values[best] < raw[best]
        assert values[worst] > raw[worst]
    assert np.std(together) <= np.std(alone) * 1.02


def test_age_moves_the_centre() -> None:
    group = published_prior()
    child = prior_for(group, 9.0)
    assert np.allclose(child.centre - group.centre, age_shift(9.0))
    assert age_shift(9.0)[k.LOG_SPEED_SD] > age_shift(15.0)[k.LOG_SPEED_SD] > 0


def test_same_seed_same_findings() -> None:
    charts = academy(8, 20)
    a, b = read_charts(charts), read_charts(charts)
    assert [x.conditions[0].make for x in a] == [x.conditions[0].make for x in b]


def test_many_is_near_one_by_one() -> None:
    """The quick way for many players and the careful way for one say the same within noise."""
    charts = academy(ENOUGH_PLAYERS, 60)
    group = fit_group(charts)
    assert group is not None
    quick = read_charts(charts)[0].conditions[0]
    careful = read_chart(replace(charts[0]), prior=prior_for(group, None)).conditions[0]
    width = careful.aim_along.high80 - careful.aim_along.low80
    assert quick.aim_along.value == pytest.approx(careful.aim_along.value, abs=0.15 * width)
