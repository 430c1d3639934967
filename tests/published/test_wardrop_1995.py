"""A flip when players are pooled. Wardrop, Am Stat 49:24–28 (1995): two free throws in a row.

Counts seen on a public page, names left out: of the first player after a make 251 of 285, after a
miss 48 of 53; of the second 54 of 91 and 49 of 80. Pooled, a make seems to help (81.1 against
72.9 %); of each player alone it does not. The two players stand here for two kinds of shot,
"before" for after a miss and "after" for after a make: it is the mix that makes the flip.
"""

import pytest

from hoopwright.transfer.nouns import ShotType
from hoopwright.transfer.transferred import Counts, compare

FIRST = Counts(before=53, before_made=48, after=285, after_made=251)
SECOND = Counts(before=80, before_made=49, after=91, after_made=54)


def test_the_mix_explains_what_all_shots_together_seem_to_say() -> None:
    found = compare({(ShotType.FREE_THROW, None): FIRST, (ShotType.RIM, None): SECOND})
    assert found.plain == pytest.approx(100 * (0.811 - 0.729), abs=0.1)
    # each alone: −2.5 and −1.9 points, so what is not the mix lies between them
    assert found.plain - found.by_mix == pytest.approx(-2.2, abs=0.3)
    assert found.mix_explains
