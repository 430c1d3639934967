"""Filmed and tapped shots are lined up; a pair is called sure only where it is.

Lists are *known motion*: both are made from the same shots, so that the true pairs are known.
"""

from itertools import combinations, pairwise
from uuid import uuid4

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hoopwright.errors import BadInput
from hoopwright.film.matching import SURE, Matching, SeenShot, match
from hoopwright.records import Half, Landing, Miss, Shot


def seen(made: bool, time: float, *, at: tuple[float, float] | None = None,
         chance: float = 0.98) -> SeenShot:  # fmt: skip
    along, across = at or (None, None)
    return SeenShot(time=time, made=made, made_chance=chance, along=along, across=across)


def tap(made: bool, *miss: Miss, half: Half | None = None, at: tuple[float, float] | None = None,
        ) -> Shot:  # fmt: skip
    point = None if at is None else Landing(
        along=at[0], across=at[1], along_sd=0.05, across_sd=0.05
    )  # fmt: skip
    return Shot(id=uuid4(), made=made, miss=miss, half=half, landing=point)


def called(at: tuple[float, float]) -> Miss:
    """The one direction that is most wrong."""
    along, across = at
    if abs(along) >= abs(across):
        return Miss.LONG if along > 0 else Miss.SHORT
    return Miss.RIGHT if across > 0 else Miss.LEFT


def both(results: list[bool], rng: np.random.Generator) -> tuple[list[SeenShot], list[Shot]]:
    """The same shots filmed and tapped: misses 15 to 35 cm out, directions called as they were."""
    films, taps = [], []
    for i, made in enumerate(results):
        far, turn = (0.08 if made else rng.uniform(0.15, 0.35)), rng.uniform(0.0, 2.0 * np.pi)
        at = (float(far * np.cos(turn)), float(far * np.sin(turn)))
        films.append(seen(made, 6.0 * i + rng.uniform(-0.5, 0.5), at=at))
        taps.append(tap(True) if made else tap(False, called(at)))
    return films, taps


SHOTS = st.lists(st.booleans(), min_size=1, max_size=16)
SEEDS = st.integers(0, 2**32 - 1)


def ordered(found: Matching) -> bool:
    used = [one for one in found.tapped if one is not None]
    return all(early < late for early, late in pairwise(used))


@settings(max_examples=60, deadline=None)
@given(SHOTS, SEEDS)
def test_the_same_list_twice_is_matched_shot_for_shot(results: list[bool], seed: int) -> None:
    films, taps = both(results, np.random.default_rng(seed))
    found = match(films, taps)
    assert found.tapped == tuple(range(len(taps)))
    assert found.all_sure and not any(found.disputed)


@settings(max_examples=80, deadline=None)
@given(SHOTS, SEEDS, st.data())
def test_lost_shots_never_join_wrong_ones_unasked(
    results: list[bool], seed: int, data: st.DataObject
) -> None:
    """Any film shots and any taps missing: order kept, none used twice, chances are chances."""
    films, taps = both(results, np.random.default_rng(seed))
    numbers = list(range(len(taps)))
    lost_film = data.draw(st.sets(st.sampled_from(numbers), max_size=len(numbers)))
    lost_tap = data.draw(st.sets(st.sampled_from(numbers), max_size=len(numbers)))
    kept_film = [i for i in numbers if i not in lost_film]
    kept_tap = [i for i in numbers if i not in lost_tap]
    found = match([films[i] for i in kept_film], [taps[i] for i in kept_tap])
    assert len(found.tapped) == len(found.chance) == len(found.disputed) == len(kept_film)
    assert ordered(found)
    assert all(0.0 <= chance <= 1.0 + 1e-9 for chance in found.chance)
    assert all(j is None or 0 <= j < len(kept_tap) for j in found.tapped)


def right(found: Matching, films: list[int], taps: list[int]) -> list[bool]:
    """Whether each entry is the true pair; films and taps say which shot each entry is."""
    return [
        (j is not None and taps[j] == i) or (j is None and i not in taps)
        for i, j in zip(films, found.tapped, strict=True)
    ]


@pytest.mark.parametrize("makes", [0.4, 0.7, 0.9])
def test_sure_pairs_are_right(makes: float) -> None:
    """A chance of 0.95 and more may be wrong 1 time in 20 at most, also where shots are lost half
    as often again as the matching reckons with."""
    rng = np.random.default_rng(int(10 * makes))
    sure_right, sure, all_right, total = 0, 0, 0, 0
    for _ in range(80):
        films, taps = both([bool(rng.random() < makes) for _ in range(20)], rng)
        kept_film = [i for i in range(20) if rng.random() > 0.05]
        kept_tap = [i for i in range(20) if rng.random() > 0.03]
        found = match([films[i] for i in kept_film], [taps[i] for i in kept_tap])
        for good, told in zip(right(found, kept_film, kept_tap), found.sure, strict=True):
            sure += told
            sure_right += good and told
            all_right += good
            total += 1
    assert sure_right >= 0.95 * sure
    assert all_right >= 0.85 * total
    assert sure >= 0.5 * total


def test_chances_mean_what_they_say() -> None:
    """Calibration: entries told at 60–90 % are right about that often (binomial sd 3)."""
    rng = np.random.default_rng(21)
    chances: list[float] = []
    good: list[bool] = []
    for _ in range(120):
        films, taps = both([bool(rng.random() < 0.8) for _ in range(15)], rng)
        kept_film = [i for i in range(15) if rng.random() > 0.02]
        kept_tap = [i for i in range(15) if i != int(rng.integers(15))]
        found = match([films[i] for i in kept_film], [taps[i] for i in kept_tap])
        chances += found.chance
        good += right(found, kept_film, kept_tap)
    told, hit = np.array(chances), np.array(good)
    middling = (told > 0.5) & (told < 0.95)
    assert middling.sum() > 100
    assert hit[middling].mean() == pytest.approx(told[middling].mean(), abs=0.12)


@pytest.mark.parametrize("flips", list(combinations(range(12), 2))[::11])
def test_a_few_wrong_results_are_matched_and_disputed(flips: tuple[int, ...]) -> None:
    results = [True, False, True, True, False, False, True, True, False, True, False, True]
    films, taps = both(results, np.random.default_rng(5))
    wrong = [tap(not one.made) if i in flips else one for i, one in enumerate(taps)]
    found = match(films, wrong)
    assert found.tapped == tuple(range(12))
    assert [i for i, disputed in enumerate(found.disputed) if disputed] == list(flips)


def test_ten_makes_against_nine_are_not_sure_without_a_rhythm() -> None:
    """Closed form: any of ten taps may be the unfilmed one."""
    times = np.cumsum(np.random.default_rng(1).uniform(4.0, 14.0, 9))
    found = match([seen(True, float(t)) for t in times], [tap(True)] * 10)
    assert not found.all_sure and min(found.chance) < 0.8


def test_a_double_wait_shows_where_film_lost_a_shot() -> None:
    films = [seen(True, 8.0 * i) for i in range(10) if i != 4]
    found = match(films, [tap(True)] * 10)
    assert found.tapped == (0, 1, 2, 3, 5, 6, 7, 8, 9)
    assert min(found.chance) > 0.8


def test_a_shot_that_was_not_tapped_stays_alone() -> None:
    films = [seen(True, 0.0), seen(False, 8.0, at=(-0.3, 0.0)), seen(True, 16.0)]
    found = match(films, [tap(True), tap(True)])
    assert found.tapped == (0, None, 1)
    assert found.chance[1] > 0.7


@pytest.mark.parametrize(
    ("short", "long"),
    [
        (tap(False, Miss.SHORT), tap(False, Miss.LONG)),
        (tap(False, at=(-0.28, 0.02)), tap(False, at=(0.31, 0.0))),
    ],
    ids=["directions", "points"],
)
def test_miss_direction_tells_which_tap_is_missing(short: Shot, long: Shot) -> None:
    """Film has only the long miss of a short and a long one."""
    films = [seen(False, 0.0, at=(0.3, 0.01))]
    assert match(films, [short, long]).tapped == (1,)
    assert match(films, [long, short]).tapped == (0,)


def test_halves_of_the_ring_help_among_makes() -> None:
    films = [seen(True, 0.0, at=(0.1, 0.0))]
    taps = [tap(True, half=Half.FRONT), tap(True, half=Half.BACK)]
    assert match(films, taps).tapped == (1,)


def test_an_unsure_film_leans_on_the_order() -> None:
    """A result seen at even chance can't contradict anything."""
    films = [seen(True, 0.0, chance=0.5), seen(False, 6.0), seen(True, 12.0)]
    assert match(films, [tap(False), tap(False), tap(True)]).tapped == (0, 1, 2)


def test_nothing_filmed_or_nothing_tapped() -> None:
    assert match([], [tap(True)]) == Matching(tapped=(), chance=(), disputed=())
    alone = match([seen(True, 0.0), seen(False, 5.0)], [])
    assert alone.tapped == (None, None) and alone.all_sure
    assert alone.chance[0] >= SURE


def test_film_of_the_end_of_a_long_set() -> None:
    """The camera was started after thirty shots."""
    rng = np.random.default_rng(8)
    films, taps = both([bool(rng.random() < 0.6) for _ in range(45)], rng)
    found = match(films[30:], taps)
    assert found.tapped == tuple(range(30, 45))


@pytest.mark.parametrize("times", [(0.0, 5.0, 5.0), (5.0, 0.0), (0.0, float("nan"))])
def test_shots_out_of_order_are_refused(times: tuple[float, ...]) -> None:
    with pytest.raises(BadInput):
        match([seen(True, time) for time in times], [tap(True)])
