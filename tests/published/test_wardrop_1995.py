"""Simpson's flip in pairs of free throws. Wardrop, The American Statistician 49:24–28 (1995).

Counts: seen second-hand (a page that swaps in other players' names; which player is which from a
second page). The shares .881/.906, .593/.612 and .811/.729 were seen; odds ratios, and the common
one of 0.875 within players, are derived by the formula of Mantel and Haenszel.
"""

from uuid import UUID

import pytest

from hoopwright.transfer.nouns import ShotType
from hoopwright.transfer.transferred import Counts, compare
from hoopwright.trials.counted import PlayerCounts
from hoopwright.trials.crude import crude_and_within
from hoopwright.trials.pooled_counts import pool_counts

#: second shots after a make stand for the change, after a miss for the habit:
#: (made after miss, after miss, made after make, after make)
BIRD, ROBEY = (48, 53, 251, 285), (49, 80, 54, 91)


def player(number: int, counts: tuple[int, int, int, int]) -> PlayerCounts:
    a, b, c, d = counts
    return PlayerCounts(
        player=UUID(int=number),
        habit_made=(a,), habit_shots=(b,), change_made=(c,), change_shots=(d,),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("counts", "difference", "odds"), [(BIRD, -2.50, 0.769), (ROBEY, -1.91, 0.923)]
)
def test_each_player_alone(
    counts: tuple[int, int, int, int], difference: float, odds: float
) -> None:
    found = crude_and_within([player(1, counts)])
    assert found.crude == pytest.approx(difference, abs=0.005)
    assert found.crude_odds == pytest.approx(odds, abs=5e-4)
    assert found.within.value == pytest.approx(found.crude)
    assert not found.flipped


def test_in_one_heap_the_sign_flips_and_is_said_to() -> None:
    found = crude_and_within([player(1, BIRD), player(2, ROBEY)])
    assert found.crude == pytest.approx(8.18, abs=0.005)
    assert found.crude_odds == pytest.approx(1.594, abs=5e-4)
    assert found.within.value < 0.0
    assert found.within_odds.value == pytest.approx(0.875, abs=5e-4)
    assert found.flipped
    # each player's own difference is small beside its error: the flip is no proof of the reverse
    assert found.flip_may_be_luck


def test_the_pool_of_both_does_not_believe_the_heap() -> None:
    """The hierarchical reading sides with the players: no gain, and far from sure either way."""
    found = pool_counts([player(1, BIRD), player(2, ROBEY)])
    assert found.average.value < 0.5
    assert 0.1 < found.chance_better < 0.5
    assert found.average.high80 < 8.18


#: the two players as two kinds of shot of one, "before" for after a miss, "after" for after a make
FIRST = Counts(before=53, before_made=48, after=285, after_made=251)
SECOND = Counts(before=80, before_made=49, after=91, after_made=54)


def test_the_mix_explains_what_all_shots_together_seem_to_say() -> None:
    found = compare({(ShotType.FREE_THROW, None): FIRST, (ShotType.RIM, None): SECOND})
    assert found.plain == pytest.approx(100 * (0.811 - 0.729), abs=0.1)
    # each alone: −2.5 and −1.9 points, so what is not the mix lies between them
    assert found.plain - found.by_mix == pytest.approx(-2.2, abs=0.3)
    assert found.mix_explains
