"""What is entered of games and tests."""

from datetime import date
from uuid import UUID

import pytest

from hoopwright.errors import BadInput
from hoopwright.transfer.nouns import AnnouncedChange, Band, ColdTest, GameLine, ShotType, Start

ONE, DAY = UUID(int=1), date(2026, 11, 3)


def line(
    *, attempts: int, made: int, kind: ShotType = ShotType.THREE, contested: bool | None = None
) -> GameLine:
    return GameLine(
        id=ONE, player_id=ONE, game_id=ONE, day=DAY,
        shot_type=kind, contested=contested, attempts=attempts, made=made,
    )  # fmt: skip


def test_every_type_has_its_band_and_start() -> None:
    assert {t: (t.band, t.start) for t in ShotType} == {
        ShotType.FREE_THROW: (Band.FREE_THROW, None),
        ShotType.RIM: (Band.RIM, None),
        ShotType.MID_CATCH: (Band.MID, Start.CATCH),
        ShotType.MID_DRIBBLE: (Band.MID, Start.DRIBBLE),
        ShotType.MID: (Band.MID, None),
        ShotType.TWO: (Band.TWO, None),
        ShotType.THREE_CATCH: (Band.THREE, Start.CATCH),
        ShotType.THREE_DRIBBLE: (Band.THREE, Start.DRIBBLE),
        ShotType.THREE: (Band.THREE, None),
    }


@pytest.mark.parametrize(("attempts", "made"), [(0, 0), (5, 6), (5, -1), (201, 201)])
def test_counts_that_cannot_be(attempts: int, made: int) -> None:
    with pytest.raises(BadInput) as trouble:
        line(attempts=attempts, made=made)
    assert trouble.value.field in ("attempts", "made")
    with pytest.raises(BadInput):
        ColdTest(id=ONE, player_id=ONE, day=DAY, attempts=attempts * 5, made=made * 6)


def test_a_free_throw_is_not_contested() -> None:
    with pytest.raises(BadInput, match="free throw"):
        line(attempts=2, made=1, kind=ShotType.FREE_THROW, contested=True)
    assert line(attempts=2, made=1).kind == (ShotType.THREE, None)


def test_a_dip_is_announced_for_a_time_that_makes_sense() -> None:
    assert AnnouncedChange(name="stance turn", day=DAY, dip_days=14).until == date(2026, 11, 17)
    with pytest.raises(BadInput, match="days"):
        AnnouncedChange(name="stance turn", day=DAY, dip_days=-1)
