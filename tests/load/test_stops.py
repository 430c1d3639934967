from dataclasses import replace
from datetime import date, timedelta
from uuid import UUID

import pytest
from tests.load.entries import PLAYER, flag

from hoopwright.errors import BadInput
from hoopwright.load.nouns import CautionKind, Clearer, Flag, FlagKind, Severity
from hoopwright.load.stops import is_open, stopped_days, stops

#: a leap day
KNOCK = date(2028, 2, 29)


def test_a_head_knock_stops_the_day_and_every_day_until_it_is_cleared() -> None:
    knock = flag(FlagKind.HEAD_KNOCK, KNOCK)
    for day in (KNOCK, date(2028, 3, 1), date(2029, 2, 28)):
        (said,) = stops([knock], day)
        assert said.severity is Severity.STOP
        assert "see a professional; do not return today" in said.message
        assert "a coach does not clear" in said.message
    assert stops([knock], KNOCK - timedelta(days=1)) == ()


def test_pain_stops_the_day_and_is_never_named() -> None:
    pain = replace(flag(FlagKind.PAIN, KNOCK), note="left knee")
    (said,) = stops([pain], KNOCK)
    assert said.severity is Severity.STOP
    assert "do not return today" in said.message and "professional" in said.message
    for word in ("strain", "sprain", "tendon", "fracture", "concussion", "injur"):
        assert word not in said.message.lower()


def test_who_may_clear_what() -> None:
    next_day = KNOCK + timedelta(days=1)
    knock, pain = flag(FlagKind.HEAD_KNOCK, KNOCK), flag(FlagKind.PAIN, KNOCK)
    assert "coach" not in [c.value for c in Clearer]
    with pytest.raises(BadInput, match="only a licensed health professional"):
        replace(knock, cleared_on=next_day, cleared_by=Clearer.FAMILY)
    cleared = replace(pain, cleared_on=next_day, cleared_by=Clearer.FAMILY)
    assert is_open(cleared, KNOCK) and not is_open(cleared, next_day)


@pytest.mark.parametrize("kind", list(FlagKind))
def test_nobody_returns_on_the_day_itself(kind: FlagKind) -> None:
    with pytest.raises(BadInput, match="on the day"):
        replace(flag(kind, KNOCK), cleared_on=KNOCK, cleared_by=Clearer.PROFESSIONAL)


@pytest.mark.parametrize(
    ("on", "by", "said"),
    [
        (KNOCK + timedelta(days=1), None, "both who cleared"),
        (None, Clearer.PROFESSIONAL, "both who cleared"),
        (KNOCK - timedelta(days=1), Clearer.PROFESSIONAL, "before the day"),
    ],
)
def test_half_a_clearance_is_refused(on: date | None, by: Clearer | None, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        Flag(
            id=UUID(int=1), player_id=PLAYER, kind=FlagKind.PAIN, day=KNOCK,
            cleared_on=on, cleared_by=by,
        )  # fmt: skip


def test_the_way_back_after_a_head_knock_is_step_by_step() -> None:
    cleared = replace(
        flag(FlagKind.HEAD_KNOCK, KNOCK),
        cleared_on=date(2028, 3, 8),
        cleared_by=Clearer.PROFESSIONAL,
    )
    (said,) = stops([cleared], date(2028, 3, 8))
    assert said.severity is Severity.CAUTION and "step by step" in said.message
    assert stops([cleared], date(2028, 3, 15)) == ()


def test_pain_twice_in_four_weeks_is_to_be_looked_at() -> None:
    first = replace(
        flag(FlagKind.PAIN, date(2028, 2, 10)),
        cleared_on=date(2028, 2, 12),
        cleared_by=Clearer.FAMILY,
    )
    second = replace(
        flag(FlagKind.PAIN, KNOCK), cleared_on=date(2028, 3, 2), cleared_by=Clearer.FAMILY
    )
    (said,) = stops([first, second], date(2028, 3, 3))
    assert said.kind is CautionKind.PAIN and "Pain on 2 days within 28 days" in said.message
    seen = replace(second, cleared_by=Clearer.PROFESSIONAL)
    assert stops([first, seen], date(2028, 3, 3)) == ()
    assert stops([first, second], date(2028, 3, 10)) == ()  # 10 February is out of the 28 days


def test_stopped_days_are_those_a_flag_is_open_on() -> None:
    knock = replace(
        flag(FlagKind.HEAD_KNOCK, KNOCK),
        cleared_on=date(2028, 3, 3),
        cleared_by=Clearer.PROFESSIONAL,
    )
    assert stopped_days([knock], date(2028, 2, 27), date(2028, 3, 6)) == (
        KNOCK, date(2028, 3, 1), date(2028, 3, 2),
    )  # fmt: skip
    assert stopped_days([], date(2028, 2, 27), date(2028, 3, 6)) == ()
