"""Like for like before and after a change; a check against emcee.

Reference library: emcee (affine-invariant ensemble sampler, PyPI), on the posterior written out
anew; it shares no code with the project.
"""

from datetime import date, timedelta
from uuid import UUID

import emcee
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import special

from hoopwright.errors import BadInput
from hoopwright.transfer.nouns import GameLine, ShotType
from hoopwright.transfer.transferred import Counts, Kind, compare, read_transfer
from hoopwright.trials.nouns import Said

Floats = NDArray[np.float64]
ONE, DAY = UUID(int=1), date(2026, 11, 3)
THREE: Kind = (ShotType.THREE, None)
LINE: Kind = (ShotType.FREE_THROW, None)
RIM: Kind = (ShotType.RIM, True)


def counts(before: tuple[int, int], after: tuple[int, int]) -> Counts:
    """Makes and attempts, before and after."""
    return Counts(before=before[1], before_made=before[0], after=after[1], after_made=after[0])


def line(week: int, kind: Kind, made: int, attempts: int, *, player: UUID = ONE) -> GameLine:
    return GameLine(
        id=UUID(int=week + 1), player_id=player, game_id=UUID(int=week),
        day=DAY + timedelta(weeks=week), shot_type=kind[0], contested=kind[1],
        attempts=attempts, made=made,
    )  # fmt: skip


def log_posterior(z: Floats) -> Floats:
    """Log density of (change, then base and kind's own part, both scaled, for two kinds)."""
    change = 0.25 * z[:, 0]
    total = -0.5 * np.sum(z**2, axis=1)
    for i, usual, (b, bn, a, an) in ((1, 0.32, (28, 90, 31, 80)), (3, 0.65, (33, 50, 30, 40))):
        base = special.logit(usual) + 0.7 * z[:, i]
        after = base + change + 0.10 * z[:, i + 1]
        total = total + b * base - bn * np.logaddexp(0, base)
        total = total + a * after - an * np.logaddexp(0, after)
    return np.asarray(total)


def test_agrees_with_a_general_sampler() -> None:
    """Mean within 0.1 standard deviation; ends of the 80 % range within 0.15."""
    sampler = emcee.EnsembleSampler(
        48, 5, log_posterior, vectorize=True, moves=[(emcee.moves.DEMove(), 1.0)]
    )
    np.random.seed(2)  # noqa: NPY002 — emcee draws from the global state
    sampler.run_mcmc(0.5 * np.random.default_rng(2).standard_normal((48, 5)), 3500)
    z = sampler.get_chain(discard=500, flat=True)
    gain = np.zeros(len(z))
    for i, usual, weight in (
        (1, 0.32, (90 / 140 + 80 / 120) / 2),
        (3, 0.65, (50 / 140 + 40 / 120) / 2),
    ):
        base = special.logit(usual) + 0.7 * z[:, i]
        after = base + 0.25 * z[:, 0] + 0.10 * z[:, i + 1]
        gain += 100 * weight * (special.expit(after) - special.expit(base))
    found = compare({THREE: counts((28, 90), (31, 80)), LINE: counts((33, 50), (30, 40))})
    sd = gain.std()
    assert found.difference.value == pytest.approx(gain.mean(), abs=0.1 * sd)
    assert found.difference.low80 == pytest.approx(np.quantile(gain, 0.1), abs=0.15 * sd)
    assert found.difference.high95 == pytest.approx(np.quantile(gain, 0.975), abs=0.15 * sd)


def test_many_attempts_tell_and_few_do_not() -> None:
    many = compare({THREE: counts((900, 3000), (1200, 3000))})
    assert many.said is Said.BETTER
    assert many.difference.value == pytest.approx(10, abs=1)
    assert many.attempts_needed == 0
    few = compare({THREE: counts((9, 30), (12, 30))})
    assert few.said is Said.CANNOT_TELL
    assert few.difference.value < 5
    assert compare({THREE: counts((1200, 3000), (900, 3000))}).said is Said.WORSE


def test_attempts_still_needed_are_enough() -> None:
    """If the true difference is as it looks, that many more attempts make 4 of 5 such players
    clear (planned by the normal formula, so within 10 points of it)."""
    start = counts((900, 3000), (33, 90))
    asked = compare({THREE: start})
    assert asked.attempts_needed is not None and asked.attempts_needed > 300
    rng = np.random.default_rng(8)
    gain = max(asked.difference.value, 5.0) / 100
    n = 90 + asked.attempts_needed
    futures = [counts((900, 3000), (int(rng.binomial(n, 0.3 + gain)), n)) for _ in range(200)]
    clear = np.mean([compare({THREE: one}).said is Said.BETTER for one in futures])
    assert 0.65 <= clear <= 0.95


def test_too_few_games_before_can_never_tell() -> None:
    found = compare({THREE: counts((20, 60), (200, 500))})
    assert found.said in (Said.CANNOT_TELL, Said.LEANING_BETTER)
    assert found.attempts_needed is None
    assert found.smallest_clear > 10


def test_only_another_mix_is_said_to_be_that() -> None:
    """Both kinds exactly as before; only more free throws."""
    found = compare({THREE: counts((60, 200), (15, 50)), LINE: counts((35, 50), (140, 200))})
    assert found.plain == pytest.approx(24, abs=0.1)
    assert found.by_mix == pytest.approx(found.plain, abs=0.1)
    assert found.mix_explains
    assert found.said is Said.CANNOT_TELL
    assert abs(found.difference.value) < 1.0


def test_a_true_gain_is_not_put_down_to_the_mix() -> None:
    found = compare({THREE: counts((60, 200), (80, 200)), LINE: counts((35, 50), (42, 55))})
    assert not found.mix_explains
    assert found.plain - found.by_mix == pytest.approx(9.2, abs=0.5)


def test_lines_are_added_up_by_kind_and_the_rest_left_out() -> None:
    before = [line(0, THREE, 2, 6), line(1, THREE, 1, 5), line(1, RIM, 3, 4)]
    after = [line(9, THREE, 4, 8), line(9, LINE, 2, 2)]
    found = read_transfer(before, after)
    assert found.compared == {THREE: counts((3, 11), (4, 8))}
    assert set(found.left_out) == {RIM, LINE}


def test_nothing_alike_or_nobody_in_particular() -> None:
    with pytest.raises(BadInput, match="both before and after"):
        read_transfer([line(0, THREE, 1, 2)], [line(9, LINE, 1, 2)])
    with pytest.raises(BadInput, match="several players"):
        read_transfer([line(0, THREE, 1, 2)], [line(9, THREE, 1, 2, player=UUID(int=2))])
    with pytest.raises(BadInput, match="more makes"):
        counts((3, 2), (1, 1))
