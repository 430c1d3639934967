"""Links from body to ball, on *known motion*: simulated players whose links are told.

The full table, with thousands of players, is made by ``benchmarks/links.py`` and shown in
``docs/film-links.md``; here are fewer players, with bounds that allow for so few.
"""

import math
from collections.abc import Hashable
from dataclasses import replace
from uuid import UUID

import numpy as np
import odrpack
import pytest
from numpy.typing import NDArray
from scipy import stats

from hoopwright.errors import BadInput
from hoopwright.film.links import rows
from hoopwright.film.links.found import Link, Outcome, Said, Way
from hoopwright.film.links.levelling import Runs, level
from hoopwright.film.links.read import FEWEST, links
from hoopwright.film.links.rows import Sample, links_of
from hoopwright.film.links.simulate import OWN_SD, SPREADS, Case, Filmed, simulated
from hoopwright.film.links.slope import Slope, column, shrunken, slope
from hoopwright.film.results import (
    BallPath,
    Body,
    BodyMeasure,
    FilmedShot,
    Flight,
    Measured,
)
from hoopwright.records import MeasuredRelease

Floats = NDArray[np.float64]

DIP = (Body.DIP_DEPTH, Outcome.ALONG)
LINKED = Case(reliability=0.9, slopes={DIP: 0.5})
#: kinds of players without any link, in turn
NOTHING = (
    Case(shots=40), Case(shots=80), Case(shots=150, days=2), Case(drift=2.0), Case(tails=3.0),
    Case(reliability=0.5, missing=0.2),
)  # fmt: skip
PLAYERS = 180


def look(one: Filmed) -> tuple[Link, ...]:
    return links(one.measures, one.outcomes, runs=one.runs)


def named(found: tuple[Link, ...]) -> list[Link]:
    return [link for link in found if link.said is Said.WORTH_A_TRIAL]


def is_found(found: tuple[Link, ...]) -> bool:
    """Whether the linked measure is named, by itself or in a group that moves together."""
    return any(
        one.outcome is DIP[1] and DIP[0] in (one.measure, *one.together) for one in named(found)
    )


@pytest.fixture(scope="module")
def nothing_linked() -> list[tuple[Link, ...]]:
    return [
        look(simulated(NOTHING[seed % len(NOTHING)], np.random.default_rng(seed)))
        for seed in range(PLAYERS)
    ]


@pytest.fixture(scope="module")
def one_linked() -> list[tuple[Link, ...]]:
    return [look(simulated(LINKED, np.random.default_rng(7000 + s))) for s in range(PLAYERS)]


def true_slope(link: Link, case: Case) -> float:
    """The built-in slope for one own spread as this link reckons it [SI]."""
    size = (case.slopes or {}).get((link.measure, link.outcome), 0.0)
    return size * SPREADS[link.outcome][0] * link.own_sd / OWN_SD


def covered(all_links: list[Link], case: Case) -> tuple[float, float]:
    """Share of 80 and 95 % ranges that hold the truth."""
    told = [(link.slope, true_slope(link, case)) for link in all_links if link.slope is not None]
    in80 = np.mean([one.low80 <= truth <= one.high80 for one, truth in told])
    return float(in80), float(np.mean([one.low95 <= truth <= one.high95 for one, truth in told]))


def test_a_player_without_links_is_rarely_told_of_one(
    nothing_linked: list[tuple[Link, ...]],
) -> None:
    """At most 5 players in 100; 14 of 180 would be rarer than 1 in 20 at that rate (binomial)."""
    false = sum(bool(named(found)) for found in nothing_linked)
    assert false <= stats.binom.ppf(0.95, PLAYERS, 0.05)


def test_a_true_link_is_found_in_most_players(one_linked: list[tuple[Link, ...]]) -> None:
    """0.5 spread per spread, 80 shots, 20 measures; 0.9 of the measure's scatter is its own."""
    found = sum(is_found(one) for one in one_linked)
    assert found >= stats.binom.ppf(0.05, PLAYERS, 0.8)
    # and said the right way round: deeper goes longer
    slopes = [one.slope.value for links in one_linked for one in named(links)
              if (one.measure, one.outcome) == DIP and one.slope]  # fmt: skip
    assert len(slopes) > 0.6 * PLAYERS and min(slopes) > 0.0


def test_other_families_are_not_dragged_in(one_linked: list[tuple[Link, ...]]) -> None:
    """With one true link the others are still only luck."""
    family = {Body.DIP_DEPTH, Body.KNEE_DIP, Body.TRUNK_DIP, Body.SHOULDER_DIP}
    false = sum(
        any(one.measure not in family or one.outcome is not DIP[1] for one in named(links))
        for links in one_linked
    )
    assert false <= stats.binom.ppf(0.99, PLAYERS, 0.05)


def test_a_group_that_moves_together_is_one_finding(one_linked: list[tuple[Link, ...]]) -> None:
    for found in one_linked:
        for one in named(found):
            again = [o for o in found if o.outcome is one.outcome and o.measure in one.together]
            assert not again
    groups = [one.together for found in one_linked for one in named(found)]
    assert np.mean([len(group) >= 1 for group in groups]) > 0.9


def test_ranges_hold_the_truth(
    nothing_linked: list[tuple[Link, ...]], one_linked: list[tuple[Link, ...]]
) -> None:
    """All pairs, nearly all without a link, and the linked one by itself (binomial sd 3, 1.6)."""
    plain = [link for found in nothing_linked for link in found]
    in80, in95 = covered(plain, Case())
    assert in80 == pytest.approx(0.80, abs=0.05) and in95 == pytest.approx(0.95, abs=0.04)
    linked = [link for found in one_linked for link in found if
              (link.measure, link.outcome) == DIP]  # fmt: skip
    in80, in95 = covered(linked, LINKED)
    assert in80 > 0.72 and in95 > 0.90


def test_few_unlinked_pairs_stay_open_at_eighty_shots(
    nothing_linked: list[tuple[Link, ...]],
) -> None:
    pairs = [link for found in nothing_linked[1::6] for link in found]
    assert np.mean([link.said is Said.NONE_SEEN for link in pairs]) > 0.7
    for link in pairs:
        if link.said is Said.CANNOT_TELL:
            assert link.beyond or link.shots_needed is not None or link.reliability < 0.3


def clean_line(
    rng: np.random.Generator, *, error: float, shots: int = 120
) -> tuple[Floats, Floats, Floats]:
    """A straight line of slope 2 with known errors both ways: true x, seen x and y."""
    x = rng.standard_normal(shots)
    return x, x + error * rng.standard_normal(shots), 2.0 * x + rng.standard_normal(shots)


def per_unit(seen: Floats, y: Floats, error: float) -> tuple[float, float]:
    """Our slope and its error in plain units of y per unit of x."""
    runs = Runs(where=[0] * len(y), day=[0] * len(y))
    ready = level(y, np.full(len(y), 1e-6), runs=runs)
    one = column(seen, np.full(len(y), error), like=ready)
    found = slope(ready.values, one, own_share=ready.own_share, free=ready.free)
    unit = ready.own_sd / one.own_sd
    return found.value * unit, found.se * unit


def test_slope_without_errors_is_that_of_a_general_library() -> None:
    """Reference: ordinary least squares, scipy.stats.linregress, after the same straight trend."""
    order = np.arange(120.0)
    for seed in range(5):
        x, _, y = clean_line(np.random.default_rng(seed), error=0.0)
        ours, se = per_unit(x, y, 0.0)
        level_x, level_y = (v - np.polyval(np.polyfit(order, v, 1), order) for v in (x, y))
        reference = stats.linregress(level_x, level_y)
        assert ours == pytest.approx(reference.slope, abs=0.5 * reference.stderr)
        assert se == pytest.approx(reference.stderr, rel=0.3)


def test_slope_with_errors_both_ways_is_that_of_a_general_library() -> None:
    """Reference: orthogonal distance regression with the true error ratio (odrpack, PyPI).

    Both are consistent; least squares on the seen values is 40 % too flat and far from both.
    """
    gaps, flat = [], []
    for seed in range(40):
        _, seen, y = clean_line(np.random.default_rng(seed), error=0.8)
        ours, se = per_unit(seen, y, 0.8)
        fit = odrpack.odr_fit(
            lambda x, b: b[0] * x + b[1], seen, y, np.array([1.0, 0.0]),
            weight_x=1.0 / 0.8**2, weight_y=1.0,
        )  # fmt: skip
        gaps.append((ours - fit.beta[0]) / se)
        flat.append((stats.linregress(seen, y).slope - ours) / se)
    assert abs(np.mean(gaps)) < 0.25 and np.max(np.abs(gaps)) < 2.0
    assert np.mean(flat) < -2.0


def test_shrinking_pulls_unsure_slopes_in_and_leaves_sure_ones() -> None:
    """Closed form: normal prior of half a spread, normal likelihood."""
    sure, unsure = (shrunken(Slope(value=0.5, se=se, free=10_000)) for se in (0.01, 0.5))
    assert sure.value == pytest.approx(0.5, rel=1e-3)
    assert unsure.value == pytest.approx(0.25, rel=1e-3)
    assert unsure.sd == pytest.approx(0.5 / math.sqrt(2.0), rel=1e-3)
    assert unsure.within(100.0) == pytest.approx(1.0)


def drifting_together(shots: int, rng: np.random.Generator) -> Filmed:
    """A player who sinks lower and shoots shorter all session long, and has no link."""
    case = Case(shots=shots, drift=0.0, missing=0.0)
    one = simulated(case, rng)
    tired = np.linspace(1.0, -1.0, shots) ** 3 + np.linspace(1.0, -1.0, shots)
    measures = {n: (v + 2.0 * OWN_SD * tired, s) for n, (v, s) in one.measures.items()}
    outcomes = {n: (v + 2.0 * SPREADS[n][0] * tired, s) for n, (v, s) in one.outcomes.items()}
    return replace(one, measures=measures, outcomes=outcomes)


def test_drift_of_body_and_ball_together_is_no_link() -> None:
    players = [drifting_together(80, np.random.default_rng(s)) for s in range(40)]
    raw = [np.corrcoef(np.nan_to_num(p.measures[Body.HOLD][0]), p.outcomes[Outcome.ALONG][0])[0, 1]
           for p in players]  # fmt: skip
    assert np.mean(np.abs(raw)) > 0.5
    assert sum(bool(named(look(p))) for p in players) <= stats.binom.ppf(0.99, 40, 0.05)


def spots(one: Filmed) -> Floats:
    """Sets of ten, the two spots in turn, as the simulation takes them."""
    return np.array([(i // 10) % 2 for i in range(len(one.runs.day))], dtype=np.float64)


def test_what_differs_between_spots_and_days_is_no_link() -> None:
    """From far the dip is deeper and the ball goes shorter: a fact of the spots, not a link."""
    false = 0
    for seed in range(30):
        one = simulated(Case(missing=0.0, days=2), np.random.default_rng(400 + seed))
        far = spots(one)
        values, sds = one.measures[Body.DIP_DEPTH]
        along, errors = one.outcomes[Outcome.ALONG]
        moved = {**one.measures, Body.DIP_DEPTH: (values + 5.0 * OWN_SD * far, sds)}
        shifted = {**one.outcomes, Outcome.ALONG: (along - 0.5 * far, errors)}
        false += bool(named(links(moved, shifted, runs=one.runs)))
    assert false <= stats.binom.ppf(0.99, 30, 0.05)


def test_a_measure_within_the_films_error_can_not_be_told_by_more_shots() -> None:
    one = simulated(LINKED, np.random.default_rng(1))
    values, sds = one.measures[Body.HOLD]
    rng = np.random.default_rng(2)
    hidden = {**one.measures, Body.HOLD: (0.05 * values + sds * 0 + rng.normal(0, 0.2, 80),
                                          np.full(80, 0.2))}  # fmt: skip
    found = [link for link in links(hidden, one.outcomes, runs=one.runs)
             if link.measure is Body.HOLD]  # fmt: skip
    assert len(found) == 3
    for link in found:
        assert link.said is Said.CANNOT_TELL and link.slope is None
        assert link.shots_needed is None and not link.beyond


def test_a_blank_arm_is_told_apart_from_no_link() -> None:
    one = simulated(LINKED, np.random.default_rng(3))
    blank = np.full(80, np.nan)
    some = np.where(np.arange(80) < 8, one.measures[Body.ELBOW_SET][0], np.nan)
    measures = {**one.measures, Body.ELBOW_FLARE: (blank, blank),
                Body.ELBOW_SET: (some, one.measures[Body.ELBOW_SET][1])}  # fmt: skip
    found = {(link.measure, link.outcome): link
             for link in links(measures, one.outcomes, runs=one.runs)}  # fmt: skip
    left = int(np.isfinite(some).sum())
    for name, shots in ((Body.ELBOW_FLARE, 0), (Body.ELBOW_SET, left)):
        link = found[name, Outcome.ALONG]
        assert (link.said, link.shots) == (Said.CANNOT_TELL, shots)
        assert link.shots_needed == 80 - shots


@pytest.mark.parametrize("shots", [0, 1, 5, FEWEST // 2])
def test_a_handful_of_shots_says_nothing_but_how_many_more(shots: int) -> None:
    one = simulated(Case(shots=80), np.random.default_rng(4))
    first = slice(0, shots)
    found = links(
        {n: (v[first], s[first]) for n, (v, s) in one.measures.items()},
        {n: (v[first], s[first]) for n, (v, s) in one.outcomes.items()},
        runs=Runs(where=one.runs.where[first], day=one.runs.day[first]),
    )
    assert len(found) == 60
    assert all(link.said is Said.CANNOT_TELL and link.shots_needed for link in found)


def test_the_shots_asked_for_find_the_link() -> None:
    """Players of 40 shots whose dip can't be told yet film what was asked: most then know."""
    told, asked = 0, 0
    for seed in range(200, 260):
        case = replace(LINKED, shots=40)
        dip = [x for x in look(simulated(case, np.random.default_rng(seed)))
               if (x.measure, x.outcome) == DIP]  # fmt: skip
        if not dip or dip[0].shots_needed is None:
            continue
        total = replace(LINKED, shots=40 + dip[0].shots_needed)
        asked += 1
        told += is_found(look(simulated(total, np.random.default_rng(seed + 1000))))
    assert asked > 15
    assert told >= 0.65 * asked


def test_one_misread_shot_makes_no_link() -> None:
    one = simulated(Case(misread=0.0, missing=0.0), np.random.default_rng(6))
    before = named(look(one))
    values, sds = (v.copy() for v in one.measures[Body.HOLD])
    along, errors = (v.copy() for v in one.outcomes[Outcome.ALONG])
    values[40] += 40.0 * OWN_SD
    along[40] += 2.0
    after = links({**one.measures, Body.HOLD: (values, sds)},
                  {**one.outcomes, Outcome.ALONG: (along, errors)}, runs=one.runs)  # fmt: skip
    assert before == [] and named(after) == []


def test_a_link_starts_a_trial_that_would_bring_the_ball_back() -> None:
    one = simulated(replace(LINKED, shots=150), np.random.default_rng(8))
    along, errors = one.outcomes[Outcome.ALONG]
    ways = {}
    for shift in (-0.6, 0.6):
        moved = {**one.outcomes, Outcome.ALONG: (along - along.mean() + shift, errors)}
        best = named(links(one.measures, moved, runs=one.runs))[0]
        assert best.trial is not None and (best.measure, best.outcome) == DIP
        ways[shift] = best.trial.way
    # deeper goes longer, so a short shooter tries deeper
    assert ways == {-0.6: Way.MORE, 0.6: Way.LESS}
    centred = {**one.outcomes, Outcome.ALONG: (along - along.mean(), errors)}
    steady = named(links(one.measures, centred, runs=one.runs))[0].trial
    assert steady is not None and steady.way is Way.STEADIER


def test_same_seed_same_answer_and_all_pairs_are_told() -> None:
    one = simulated(LINKED, np.random.default_rng(9))
    assert look(one) == look(one)
    pairs = {(x.measure, x.outcome) for x in look(one)}
    grouped = {(m, x.outcome) for x in named(look(one)) for m in x.together}
    assert len(pairs | grouped) == 60


def test_outcomes_and_measures_that_never_change_say_nothing() -> None:
    one = simulated(LINKED, np.random.default_rng(11))
    errors = np.full(80, 0.02)
    still = {**one.outcomes, Outcome.SPEED: (np.full(80, 7.0), errors)}
    assert {link.said for link in links(one.measures, still, runs=one.runs)} == {Said.CANNOT_TELL}
    stiff = {**one.measures, Body.HOLD: (np.full(80, 0.5), errors)}
    found = [x for x in links(stiff, one.outcomes, runs=one.runs) if x.measure is Body.HOLD]
    assert {(link.said, link.slope) for link in found} == {(Said.CANNOT_TELL, None)}


def test_lists_of_different_lengths_are_refused() -> None:
    one = simulated(LINKED, np.random.default_rng(9))
    short = {**one.measures, Body.HOLD: (np.zeros(3), np.ones(3))}
    with pytest.raises(BadInput, match="one place per shot"):
        links(short, one.outcomes, runs=one.runs)


def filmed_shot(i: int, one: Filmed) -> FilmedShot:
    """A filmed shot as measuring hands it on."""
    errors = [one.outcomes[n][1][i] for n in (Outcome.SPEED, Outcome.ALONG, Outcome.ACROSS)]
    release = MeasuredRelease(
        speed=float(one.outcomes[Outcome.SPEED][0][i]), angle=0.9, direction=0.0, height=2.2,
        along=float(one.outcomes[Outcome.ALONG][0][i]),
        across=float(one.outcomes[Outcome.ACROSS][0][i]),
        covariance=tuple(
            np.diag([errors[0] ** 2, 1e-4, 1e-4, errors[1] ** 2, errors[2] ** 2]).ravel()
        ),
    )  # fmt: skip
    flight = Flight(
        time=0.0, position=(0.0, 0.0, 2.0), velocity=(0.0, 5.0, 5.0), spin=0.0, drag=1.0,
        covariance=(0.0,) * 64, first=0.0, last=1.0, rows=(), misfit=1.0,
    )  # fmt: skip
    rough = Measured(value=1.0, sd=0.1)
    ball = BallPath(
        flight=flight, release_time=rough, ring_time=rough, release=release,
        release_point=(0.0, 0.0, 2.2), entry_angle=rough, apex=rough, release_height=rough,
        made=True, made_chance=0.9,
    )  # fmt: skip
    body = tuple(
        BodyMeasure(name=name, value=float(values[i]), sd=float(sds[i]))
        for name, (values, sds) in one.measures.items() if np.isfinite(values[i])
    )  # fmt: skip
    return FilmedShot(id=UUID(int=i), position=i, start=0.0, end=1.0, ball=ball, body=body)


def sample_of(shot: FilmedShot, *, day: Hashable, spot: Hashable) -> Sample:
    """A measured shot as the store gives it back to the search."""
    assert shot.ball is not None
    body = {one.name: (one.value, one.own_sd) for one in shot.body}
    return Sample(release=shot.ball.release, body=body, day=day, spot=spot)


def test_filmed_shots_read_as_their_columns_do() -> None:
    one = simulated(LINKED, np.random.default_rng(10))
    samples = [
        sample_of(filmed_shot(i, one), day=day, spot=spot)
        for i, (spot, day) in enumerate(zip(spots(one), one.runs.day, strict=True))
    ]
    found = links_of(samples)
    plain = {(x.measure, x.outcome): x for x in look(one)}
    assert len(found) == len(plain)
    for link in found:
        same = plain[link.measure, link.outcome]
        assert (link.said, link.shots) == (same.said, same.shots)
        assert (link.slope is None) == (same.slope is None)
        if link.slope and same.slope:
            assert link.slope.value == pytest.approx(same.slope.value, rel=1e-6, abs=1e-9)
    assert links_of([]) == ()


def test_a_long_history_is_read_from_its_latest_shots(monkeypatch: pytest.MonkeyPatch) -> None:
    one = simulated(LINKED, np.random.default_rng(12))
    samples = [sample_of(filmed_shot(i, one), day=0, spot=0) for i in range(80)]
    monkeypatch.setattr(rows, "MOST_SHOTS", 40)
    assert links_of(samples) == links_of(samples[40:])
