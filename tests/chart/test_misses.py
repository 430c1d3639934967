"""Charted sets become the arrays the likelihood reads, whatever detail is missing."""

from uuid import uuid4

import numpy as np
import pytest

from hoopwright.chart import _kernel as k
from hoopwright.chart.misses import by_condition, evidence, style_of, tally
from hoopwright.records import Half, Landing, Miss, MissDetail, Shot, ShotSet, Spot

LINE = Spot(name="free throw", x=0.0, y=4.225)
WING = Spot(name="wing", x=4.0, y=4.0)


def shot(made: bool, *miss: Miss, half: Half | None = None, at: Landing | None = None) -> Shot:
    return Shot(id=uuid4(), made=made, miss=miss, half=half, landing=at)


def a_set(*shots: Shot, spot: Spot = LINE, condition: str = "", drill: bool = False) -> ShotSet:
    return ShotSet(
        id=uuid4(),
        workout_id=uuid4(),
        position=0,
        spot=spot,
        condition=condition,
        stops_on_makes=drill,
        shots=shots,
    )


def test_counts_go_to_their_columns() -> None:
    got = evidence(
        [
            a_set(
                shot(True),
                shot(True, half=Half.FRONT),
                shot(True, half=Half.BACK),
                shot(False),
                shot(False, Miss.SHORT),
                shot(False, Miss.RIGHT),
            )
        ]
    )
    row = got.counts[0]
    assert row[k.MAKE] == row[k.MAKE_FRONT] == row[k.MAKE_BACK] == row[k.MISS] == 1
    assert row[k.FIRST_WAY] == 1
    assert row[k.FIRST_WAY + 3] == 1
    assert row.sum() == 6
    assert got.shots.tolist() == [6]
    assert got.made.tolist() == [3]


def test_either_order_of_a_diagonal_is_the_same() -> None:
    a = evidence([a_set(shot(False, Miss.SHORT, Miss.LEFT))])
    b = evidence([a_set(shot(False, Miss.LEFT, Miss.SHORT))])
    assert np.array_equal(a.counts, b.counts)


def test_one_diagonal_makes_the_set_two_directional() -> None:
    assert style_of(a_set(shot(False, Miss.SHORT))) == 1
    assert style_of(a_set(shot(False, Miss.SHORT), shot(False, Miss.LONG, Miss.LEFT))) == 2


def test_points_are_sorted_by_block() -> None:
    tap = Landing(along=0.1, across=-0.05, along_sd=0.05, across_sd=0.05)
    got = evidence(
        [
            a_set(shot(True, at=tap), shot(False)),
            a_set(shot(False, at=tap), shot(True, at=tap), spot=WING),
        ]
    )
    assert got.point_from.tolist() == [0, 1, 3]
    assert got.point_made.tolist() == [True, False, True]
    assert got.counts.sum(axis=1).tolist() == [1, 0]


def test_habit_comes_first_and_drills_stay_out() -> None:
    sets = [
        a_set(shot(True), condition="deeper"),
        a_set(shot(True)),
        a_set(shot(True), drill=True),
        a_set(),
    ]
    groups = by_condition(sets)
    assert list(groups) == ["", "deeper"]
    assert [len(g) for g in groups.values()] == [1, 1]


def test_tally_counts_both_directions_of_a_diagonal() -> None:
    got = tally([a_set(shot(True), shot(False), shot(False, Miss.SHORT, Miss.LEFT))])
    assert (got.shots, got.made, got.short, got.left, got.plain_misses) == (3, 1, 1, 1, 1)


def test_style_follows_the_detail_asked_for() -> None:
    one = ShotSet(
        id=uuid4(), workout_id=uuid4(), position=0, spot=LINE, miss_detail=MissDetail.ALONG
    )
    assert style_of(one) == 0


@pytest.mark.parametrize("bad", [(Miss.SHORT, Miss.LONG), (Miss.LEFT, Miss.RIGHT)])
def test_opposite_directions_are_refused(bad: tuple[Miss, Miss]) -> None:
    with pytest.raises(Exception, match="one of short or long"):
        shot(False, *bad)
