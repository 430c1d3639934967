"""The posterior against a general Markov-chain library on every single shot's likelihood.

Reference library: emcee (affine-invariant ensemble sampler, PyPI). It is handed the shots of the
blocks, days as levels of their own, and knows nothing of differences or of mixtures.
"""

from collections.abc import Callable

import emcee
import numpy as np
import pytest
from numpy.typing import NDArray

from hoopwright.trials.compare import SCALES, BlockNumber, block_numbers, pairs_compared
from hoopwright.trials.nouns import Arm, Measure, TrialPlan
from hoopwright.trials.posterior import (
    Mixture,
    Numbers,
    chances_above,
    estimate_of,
    posterior,
)
from hoopwright.trials.simulate import Truth, simulate_results

Floats = NDArray[np.float64]
Planned = Callable[..., TrialPlan]


def chain(loglik: Callable[[Floats], Floats], start: Floats, steps: int) -> Floats:
    """Return draws of the first parameter, float64 [draw]."""
    sampler = emcee.EnsembleSampler(start.shape[0], start.shape[1], loglik, vectorize=True)
    sampler.random_state = np.random.RandomState(1).get_state()
    sampler.run_mcmc(start, steps)
    drawn: Floats = sampler.get_chain(discard=steps // 5, flat=True)[:, 0]
    return drawn


def agrees(ours: Mixture, draws: Floats) -> None:
    """Mean within 0.1 SD; SD within 6 %, of which 3 % are the chain's own."""
    assert ours.mean == pytest.approx(draws.mean(), abs=0.1 * draws.std())
    assert ours.sd == pytest.approx(draws.std(), rel=0.06)


def columns(numbers: list[BlockNumber]) -> tuple[Floats, Floats, Floats, NDArray[np.int64]]:
    """Return shots, whether changed, place in the trial and pair of each block."""
    shots = np.array([float(n.shots) for n in numbers])
    changed = np.array([float(n.block.arm is Arm.CHANGE) for n in numbers])
    place = np.array([float(n.block.number) for n in numbers])
    return shots, changed, place, np.array([(n.block.pair or 0) - 1 for n in numbers])


def test_landing_points_agree_with_a_general_sampler(planned: Planned) -> None:
    plan = planned(Measure.ALONG, pairs=8)
    results = simulate_results(plan, Truth(shift=0.05), rng=np.random.default_rng(3))
    numbers = block_numbers(plan, results, measure=Measure.ALONG)
    n, changed, place, pair = columns(numbers)
    mean, squares = np.array([b.mean for b in numbers]), np.array([b.squares for b in numbers])
    known = SCALES[Measure.ALONG]

    def loglik(t: Floats) -> Floats:
        gain, order, log_tau, log_sd, level = t[:, 0], t[:, 1], t[:, 2], t[:, 3], t[:, 4:]
        tau, sd = np.exp(log_tau)[:, None], np.exp(log_sd)[:, None]
        middle = level[:, pair] + gain[:, None] * changed
        middle = middle + order[:, None] * (place - place.mean())
        spread = sd**2 / n + tau**2
        fit = -0.5 * ((mean - middle) ** 2 / spread + np.log(spread)).sum(1)
        fit += (-(n - 1) * np.log(sd) - squares / (2 * sd**2)).sum(1)
        fit += -0.5 * (gain / known.effect) ** 2 - 0.5 * (order / known.order) ** 2
        fit += -0.5 * (tau[:, 0] / known.block) ** 2 + log_tau
        return np.asarray(fit)

    rng, walkers = np.random.default_rng(1), 40
    start = np.column_stack([
        rng.normal(0.05, 0.02, walkers), rng.normal(0, known.order, walkers),
        np.log(known.block) + rng.normal(0, 0.3, walkers),
        np.log(0.12) + rng.normal(0, 0.05, walkers),
        mean.reshape(8, 2).mean(1) + rng.normal(0, 0.02, (walkers, 8)),
    ])  # fmt: skip
    compared = pairs_compared(numbers, Measure.ALONG)
    assert compared is not None
    agrees(posterior(compared.numbers), chain(loglik, start, 5000))


def test_makes_agree_with_a_general_sampler(planned: Planned) -> None:
    """Binomial shots; days and blocks vary normally and are integrated by quadrature."""
    plan = planned(pairs=8, shots=20)
    results = simulate_results(plan, Truth(gain=0.1), rng=np.random.default_rng(3))
    numbers = block_numbers(plan, results, measure=Measure.MAKE)
    n, changed, place, _ = columns(numbers)
    made = np.round(np.array([b.mean for b in numbers]) * n / 100).reshape(8, 2)[
        None, :, :, None, None
    ]
    changed, place = changed.reshape(8, 2), place.reshape(8, 2)
    place = place - place.mean(1, keepdims=True)
    known, day_sd = SCALES[Measure.MAKE], 6.0
    node, weight = np.polynomial.hermite_e.hermegauss(5)
    weight = weight / weight.sum()

    def loglik(t: Floats) -> Floats:
        gain, order, log_tau, log_day, level = (column[:, None, None, None] for column in t.T)
        tau, day = np.exp(log_tau), np.exp(log_day)
        of_day = level + gain * changed[..., None] + order * place[..., None] + day * node
        share = (of_day[..., None] + tau[..., None] * node) / 100
        off = (share <= 0) | (share >= 1)
        share = np.clip(share, 1e-9, 1 - 1e-9)
        shots = made * np.log(share) + (20 - made) * np.log(1 - share)
        block = np.log((np.exp(np.where(off, -60.0, shots) + 40) * weight).sum(-1))
        fit = np.log((np.exp(block.sum(2)) * weight).sum(-1)).sum(1)
        fit += -0.5 * (t[:, 0] / known.effect) ** 2 - 0.5 * (t[:, 1] / known.order) ** 2
        fit += -0.5 * (np.exp(t[:, 2]) / known.block) ** 2 + t[:, 2]
        fit += -0.5 * (np.exp(t[:, 3]) / day_sd) ** 2 + t[:, 3]
        return np.asarray(fit)

    rng, walkers = np.random.default_rng(1), 24
    start = np.column_stack([
        rng.normal(8, 2, walkers), rng.normal(0, 0.5, walkers),
        np.log(2) + rng.normal(0, 0.3, walkers), np.log(4) + rng.normal(0, 0.3, walkers),
        45 + rng.normal(0, 2, walkers),
    ])  # fmt: skip
    compared = pairs_compared(numbers, Measure.MAKE)
    assert compared is not None
    agrees(posterior(compared.numbers), chain(loglik, start, 3000))


def rows(values: Floats, *, freedom: float = np.inf) -> Numbers:
    return Numbers(
        value=values,
        variance=np.full(len(values), 4.0),
        blocks=np.full(len(values), 2.0),
        columns=np.ones((len(values), 1)),
        prior_sd=np.array([1e4]),
        block_scale=1e-6,
        freedom=freedom,
    )


def test_without_block_variance_it_is_the_textbook_normal() -> None:
    """Closed form: mean of the rows, standard error from the known variance."""
    values = np.array([1.0, 3.0, 2.0, 6.0])
    found = posterior(rows(values))
    assert found.mean == pytest.approx(3.0, abs=1e-6)
    assert found.sd == pytest.approx(1.0, abs=1e-6)
    told = found.estimate()
    assert told.low95 == pytest.approx(3.0 - 1.96, abs=0.01)
    assert told.high80 == pytest.approx(3.0 + 1.2816, abs=0.01)
    assert found.chance_above(3.0) == pytest.approx(0.5, abs=1e-6)


def test_few_shots_give_the_tails_of_a_t() -> None:
    """Five degrees of freedom and one row: the 95 % range is wider than a normal's by a t's 1.31,
    less what seven points of the scatter cut off."""
    wide = posterior(rows(np.array([0.0]), freedom=5.0)).estimate()
    assert 1.2 < wide.high95 / (2 * 1.96) < 1.35


def test_many_trials_at_once_say_what_one_by_one_does() -> None:
    values = np.random.default_rng(3).normal(0.5, 2, (6, 5))
    together = chances_above(rows(values[0], freedom=12.0), values)
    alone = [posterior(rows(v, freedom=12.0)).chance_above(0.0) for v in values]
    assert together == pytest.approx(alone, abs=1e-12)


def test_a_distribution_is_told_by_its_ranges() -> None:
    x = np.linspace(0, 10, 2001)
    told = estimate_of(x, x / 10)
    assert told.value == pytest.approx(5.0, abs=1e-6)
    assert told.low80 == pytest.approx(1.0)
    assert told.high50 == pytest.approx(7.5)
