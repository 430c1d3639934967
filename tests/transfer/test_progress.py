"""The line through cold tests, changes of level, announced dips and marked tests."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from uuid import UUID

import numpy as np
import pytest
from scipy import special

from hoopwright.errors import BadInput
from hoopwright.transfer.levels import likelihoods
from hoopwright.transfer.nouns import AnnouncedChange, ColdTest, TestKind
from hoopwright.transfer.progress import PlaceLine, announce, read_progress
from hoopwright.transfer.simulate import FIRST_DAY, PLAYER, steady_tests
from hoopwright.transfer.turning import SHOWN_FROM, turn_in, weights
from hoopwright.trials.nouns import Said


def series(
    made: Sequence[int], *, attempts: int = 25, every: int = 7, place: str = "free throw"
) -> list[ColdTest]:
    return [
        ColdTest(
            id=UUID(int=i), player_id=PLAYER, day=FIRST_DAY + timedelta(days=every * i),
            attempts=attempts, made=k, place=place,
        )
        for i, k in enumerate(made)
    ]  # fmt: skip


def marked(kind: TestKind, made: int, *, week: int) -> ColdTest:
    return replace(
        series([made])[0], kind=kind, day=FIRST_DAY + timedelta(weeks=week), id=UUID(int=99)
    )


def only_line(tests: Sequence[ColdTest], *changes: AnnouncedChange) -> PlaceLine:
    [line] = read_progress(tests, changes).lines
    return line


DOWN = [15, 17, 14, 16, 15, 17, 16, 15, 7, 6, 8, 7, 8, 6, 7, 8]


def test_a_steady_player_is_told_as_steady() -> None:
    line = only_line(series([12, 13, 12, 14, 12, 13, 11, 13, 12, 13]))
    assert line.changes == () and line.said is Said.CANNOT_TELL
    assert line.gain is not None and abs(line.gain.value) < 4
    assert line.points[-1].level.value == pytest.approx(0.5, abs=0.04)
    assert line.points[-1].level.low95 < 0.5 < line.points[-1].level.high95


def test_one_test_is_told_with_how_many_shots_are_needed() -> None:
    line = only_line(series([12]))
    assert line.gain is None and line.said is Said.CANNOT_TELL
    assert 60 < line.attempts_needed < 200
    more = only_line(series([12] * 12))
    assert more.attempts_needed < line.attempts_needed


def test_a_fall_nobody_announced_is_an_alarm_on_its_day() -> None:
    line = only_line(series(DOWN))
    [change] = line.changes
    assert change.day == FIRST_DAY + timedelta(weeks=8)
    assert change.earliest <= change.day <= change.latest
    assert change.alarm and change.announced == ""
    assert change.difference.value == pytest.approx(-34, abs=6)
    assert line.said is Said.WORSE


def test_an_announced_dip_is_no_alarm() -> None:
    told = announce("stance turn", FIRST_DAY + timedelta(weeks=8), weeks=4)
    [change] = only_line(series(DOWN), told).changes
    assert change.announced == "stance turn" and not change.alarm
    elsewhere = announce("dip", FIRST_DAY + timedelta(weeks=12), weeks=4)
    assert only_line(series(DOWN), elsewhere).changes[0].alarm


def test_a_dip_is_open_until_its_day_and_overdue_after() -> None:
    told = announce("stance turn", FIRST_DAY + timedelta(weeks=8), weeks=4)
    [open_dip] = only_line(series(DOWN[:11]), told).dips
    assert open_dip.open and not open_dip.overdue
    [late] = only_line(series(DOWN), told).dips
    assert late.overdue and late.difference is not None and late.difference.high80 < 0
    back = [*DOWN[:10], 13, 15, 16, 16, 17, 16]
    [over] = only_line(series(back), told).dips
    assert not over.overdue and not over.open
    [unseen] = only_line(series(DOWN[:8]), told).dips
    assert unseen.difference is None


def test_retention_is_on_the_line_and_transfer_beside_it() -> None:
    cold = series([15] * 8)
    kept, lost = (marked(TestKind.RETENTION, made, week=12) for made in (15, 5))
    game_like = marked(TestKind.TRANSFER, 5, week=12)
    held = only_line([*cold, kept])
    assert len(held.points) == 9 and held.marks[0].said is Said.CANNOT_TELL
    assert held.marks[0].difference is not None
    assert abs(held.marks[0].difference.value) < 4
    assert only_line([*cold, lost]).marks[0].said in (Said.WORSE, Said.LEANING_WORSE)
    beside = only_line([*cold, game_like])
    assert len(beside.points) == 8 and beside.marks[0].said is Said.LEANING_WORSE
    assert beside.points == only_line(cold).points


def test_a_marked_test_with_nothing_before_it_says_nothing() -> None:
    line = only_line([marked(TestKind.TRANSFER, 9, week=0)])
    assert line.points == () and line.gain is None
    assert line.marks[0].difference is None


def test_places_have_lines_of_their_own_in_any_order_entered() -> None:
    wing = series([5, 6, 5], place="wing")
    free = series([15, 16, 15])
    both = read_progress([*reversed(wing), *free])
    assert {line.place for line in both.lines} == {"wing", "free throw"}
    alone = read_progress(free).lines[0]
    assert alone in both.lines


def test_what_can_not_be_read() -> None:
    with pytest.raises(BadInput, match="no cold tests yet"):
        read_progress([])
    other = replace(series([3])[0], player_id=UUID(int=5))
    with pytest.raises(BadInput, match="several players"):
        read_progress([*series([3]), other])
    with pytest.raises(BadInput, match="fewer years"):
        read_progress(series([12] * 401, every=1))


def test_many_series_one_day_are_one_level() -> None:
    line = only_line(series([10, 14, 12], every=0))
    assert line.gain is None
    assert len({round(point.level.value, 9) for point in line.points}) == 1
    assert {point.day for point in line.points} == {date(2026, 1, 5)}


@pytest.mark.parametrize(("share", "scatter"), [(0.5, 0.0), (0.5, 0.24), (0.7, 0.36)])
def test_luck_alone_seldom_shows_a_change(share: float, scatter: float) -> None:
    """At most 5 of 100 players who don't change, looking after every test; 120 each here, the
    full table in the docs."""
    rng = np.random.default_rng(11)
    level = np.full(16, special.logit(share))
    table = likelihoods([25] * 26, range(26))
    shown = 0
    for _ in range(120):
        drawn = steady_tests(rng, level, attempts=25, scatter=scatter)
        shown += bool(np.any(weights(table[[test.made for test in drawn]]) >= SHOWN_FROM))
    assert shown <= 0.05 * 120


def test_looking_after_every_test_is_reading_those_so_far() -> None:
    logs = likelihoods([25] * 12, [15, 17, 14, 16, 15, 17, 7, 6, 8, 7, 8, 6])
    after_each = weights(logs)
    for seen in (4, 8, 9, 12):
        turn = turn_in(logs[:seen])
        assert (turn is not None) == (after_each[seen - 1] >= SHOWN_FROM)
        assert turn is None or turn.weight == pytest.approx(after_each[seen - 1])
    assert list(after_each[:3]) == [1, 1, 1] and after_each[-1] > SHOWN_FROM


def test_a_large_change_is_shown_for_most() -> None:
    rng = np.random.default_rng(12)
    level = np.where(np.arange(20) < 10, -0.5, 0.5)
    found = []
    for _ in range(30):
        drawn = steady_tests(rng, level, attempts=25, scatter=0.12)
        logs = likelihoods([t.attempts for t in drawn], [t.made for t in drawn])
        found.append(turn_in(logs))
    assert sum(turn is not None for turn in found) >= 24
    assert np.median([turn.test for turn in found if turn]) == pytest.approx(10, abs=1)
