"""One question over many players, and feel, in sentences."""

from uuid import UUID

import numpy as np
import pytest
from tests.reports.trial_samples import QUESTION

from hoopwright.reports.feel_facts import feel_facts, often
from hoopwright.reports.pooled_facts import heap_sentence, pooled_facts
from hoopwright.trials.counted import PlayerCounts
from hoopwright.trials.crude import crude_and_within
from hoopwright.trials.feel import read_feel
from hoopwright.trials.pooled import PlayerEffect, pool


def counts(number: int, habit: tuple[int, int], change: tuple[int, int]) -> PlayerCounts:
    return PlayerCounts(
        player=UUID(int=number),
        habit_made=(habit[0],), habit_shots=(habit[1],),
        change_made=(change[0],), change_shots=(change[1],),
    )  # fmt: skip


def test_a_heap_that_points_the_other_way_is_not_to_be_believed() -> None:
    """Charig et al. 1986, BMJ 292:879 (from memory): 78 against 83 of 100 in one heap."""
    found = crude_and_within([counts(1, (234, 270), (81, 87)), counts(2, (55, 80), (192, 263))])
    sentence = heap_sentence(QUESTION, found)
    assert sentence.startswith("Don't believe the heap")
    assert "all shots thrown together say −5 makes per 100" in sentence
    assert "player by player it is +" in sentence


def test_a_heap_that_agrees_is_said_plainly() -> None:
    found = crude_and_within([counts(1, (20, 40), (28, 40)), counts(2, (10, 40), (18, 40))])
    assert heap_sentence(QUESTION, found).startswith(
        "All shots in one heap: +20 makes per 100. Player by player: +20 makes per 100 (likely"
    )


def test_no_name_is_said_unless_asked_for() -> None:
    effects = [
        PlayerEffect(player=UUID(int=i), value=8.0 + i, sd=9.0, shots=80) for i in range(1, 4)
    ]
    read = pool(effects, smallest=5.0)
    facts = pooled_facts(QUESTION, read, crude=None)
    assert [one.name for one in facts.players] == ["Player 1", "Player 2", "Player 3"]
    assert "2 more players with a trial" in facts.differ
    assert facts.heap == "" and "likely" in facts.following and "could be" in facts.average
    names = {UUID(int=i): f"Invented {i}" for i in range(1, 4)}
    named = pooled_facts(QUESTION, read, crude=None, names=names)
    assert named.players[0].name == "Invented 1"


@pytest.mark.parametrize("size", [12, 120])
def test_feel_is_told_with_its_range_or_with_how_many_shots_are_needed(size: int) -> None:
    rng = np.random.default_rng(3)
    made = rng.random(size) < 0.5
    feel = np.clip(5 + 3 * made + rng.normal(0, 1.5, size), 0, 10).round()
    facts = feel_facts(
        read_feel(feel, made, off=np.full(size, np.nan), groups=np.arange(size) // 20,
                  days=np.full(size, 739000), seed=1)
    )  # fmt: skip
    if size == 12:
        assert "too few to say anything" in facts.right and "more shots with a feel" in facts.needed
    else:
        assert "was the made one" in facts.right and "a coin gets 50" in facts.right
        assert "Trust feel" in facts.trust
        assert sum(int(made.split(" of ")[1]) for _, made, _ in facts.steps) == size
        assert "three days" in facts.drift


def test_times_in_100_carry_both_ranges() -> None:
    read = pool([PlayerEffect(player=UUID(int=1), value=0.6, sd=0.02)], smallest=0.05)
    assert often(read.average).count(" to ") == 2
