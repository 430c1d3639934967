from datetime import date, timedelta

import pytest
from tests.load.entries import PLAYER, entry, flag

from hoopwright.errors import BadInput
from hoopwright.load.cautions import cautions
from hoopwright.load.nouns import Caution, CautionKind, FlagKind, LoadEntry, Severity

#: a Friday; the seven days that end on it hold a leap day, 29 February
TODAY = date(2028, 3, 3)
DAY = timedelta(days=1)


def kinds(said: tuple[Caution, ...]) -> list[CautionKind]:
    return [one.kind for one in said]


@pytest.mark.parametrize(("age", "hours"), [(8, 3), (9, 5), (12, 10), (15, 14)])
def test_hours_speak_above_the_limit_and_not_at_it(age: int, hours: float) -> None:
    """DiFiori and others 2018, Table 4: 3, 5, 10 and 14 organised hours a week."""
    days = [entry(TODAY - i * DAY, hours=hours / 2) for i in range(2)]
    assert cautions(age, days, today=TODAY) == ()
    more = [*days, entry(TODAY - 2 * DAY, hours=0.1)]
    (said,) = cautions(age, more, today=TODAY)
    assert said.kind is CautionKind.WEEKLY_HOURS
    assert f"above the {hours:g} advised" in said.message
    assert "DiFiori" in said.source


def test_shooting_alone_is_no_organised_hour() -> None:
    """DiFiori and others 2018, Table 4, note a: shooting by oneself is not organised."""
    assert cautions(8, [entry(TODAY, alone=6)], today=TODAY) == ()


def test_all_hours_together_above_sixteen() -> None:
    """Brenner 2016: more than 16 hours a week."""
    sixteen = [entry(TODAY - i * DAY, hours=1, alone=3) for i in range(4)]
    assert cautions(16, sixteen, today=TODAY) == ()
    seventeen = [*sixteen, entry(TODAY - 4 * DAY, alone=1)]
    (said,) = cautions(16, seventeen, today=TODAY)
    assert said.kind is CautionKind.HIGH_HOURS and "17.0 hours" in said.message


@pytest.mark.parametrize("back", [6, 7])
def test_a_week_is_the_seven_days_that_end_today_across_a_leap_day(back: int) -> None:
    days = [entry(TODAY, hours=3), entry(TODAY - back * DAY, hours=3)]
    assert kinds(cautions(9, days, today=TODAY)) == [CautionKind.WEEKLY_HOURS] * (back == 6)


def test_the_border_of_a_calendar_week_hides_nothing() -> None:
    """Saturday and Monday fall in two calendar weeks, and in one run of seven days."""
    saturday = date(2028, 3, 4)
    days = [entry(saturday, hours=3), entry(saturday + 2 * DAY, hours=3)]
    assert kinds(cautions(9, days, today=saturday + 2 * DAY)) == [CautionKind.WEEKLY_HOURS]


@pytest.mark.parametrize(("age", "free"), [(8, 2), (11, 2), (12, 1), (18, 1), (40, 1)])
def test_rest_days(age: int, free: int) -> None:
    """DiFiori and others 2018: 2 rest days up to age 11, then 1; adults: common practice."""
    enough = [entry(TODAY - i * DAY, hours=0.1) for i in range(7 - free)]
    assert cautions(age, enough, today=TODAY) == ()
    one_more = [*enough, entry(TODAY - (7 - free) * DAY, hours=0.1)]
    (said,) = cautions(age, one_more, today=TODAY)
    assert said.kind is CautionKind.REST_DAYS
    assert said.message.startswith("No day" if free == 1 else "Only 1 day")


def test_games_in_one_day_and_days_in_a_row() -> None:
    """DiFiori and others 2018, Table 4: 1 game a day at 7-8, else 2 and with care."""
    assert kinds(cautions(8, [entry(TODAY, games=2)], today=TODAY)) == [CautionKind.GAMES]
    assert cautions(9, [entry(TODAY, games=2)], today=TODAY) == ()
    row = [entry(TODAY, games=2), entry(TODAY - DAY, games=2)]
    (said,) = cautions(9, row, today=TODAY)
    assert "days in a row" in said.message
    apart = [entry(TODAY, games=2), entry(TODAY - 2 * DAY, games=2)]
    assert cautions(9, apart, today=TODAY) == ()
    assert cautions(30, [entry(TODAY, games=4)], today=TODAY) == ()


def test_shots_of_a_day_are_added_up_whoever_watched() -> None:
    """Under 10: 60 to 80 a day; common practice, no source."""
    day = [entry(TODAY, coached=40), entry(TODAY, shots=20)]
    assert cautions(9, day, today=TODAY) == ()
    (said,) = cautions(9, [*day, entry(TODAY, shots=1)], today=TODAY)
    assert said.kind is CautionKind.SESSION_SHOTS
    assert "61 shots on 3 March (40 coached, 21 alone); 60 to 80 a day" in said.message
    assert said.source == "common practice, no source"


def test_an_unknown_age_is_read_as_the_youngest_and_said() -> None:
    (said,) = cautions(None, [entry(TODAY, coached=61)], today=TODAY)
    assert said.message.startswith("Age not known, so the limit of the youngest is used: 61 shots")


def year_of(rest: int) -> list[LoadEntry]:
    """A year, day by day, with one break of ``rest`` days in its middle; a rest day each week."""
    first = TODAY - 400 * DAY
    days = (first + i * DAY for i in range(401))
    middle = TODAY - 200 * DAY
    return [
        entry(day, hours=0.1)
        for day in days
        if day.weekday() != 6 and not middle <= day < middle + rest * DAY
    ]


def test_months_off_need_a_log_of_a_year() -> None:
    """Brenner 2007: 2 to 3 months a year away from one sport (second-hand)."""
    (said,) = cautions(14, year_of(30), today=TODAY)
    assert said.kind is CautionKind.MONTHS_OFF
    assert cautions(14, year_of(64), today=TODAY) == ()
    short = [one for one in year_of(30) if (TODAY - one.day).days < 300]
    assert cautions(14, short, today=TODAY) == ()
    assert cautions(30, year_of(0), today=TODAY) == ()


def test_stops_come_first_and_what_lies_ahead_is_left_out() -> None:
    days = [entry(TODAY, coached=500), entry(TODAY + DAY, hours=12)]
    said = cautions(30, days, flags=[flag(FlagKind.PAIN, TODAY)], today=TODAY)
    assert [one.severity for one in said] == [Severity.STOP, Severity.CAUTION]
    assert kinds(said) == [CautionKind.PAIN, CautionKind.SESSION_SHOTS]
    assert all(one.source for one in said)


def test_nothing_logged_says_nothing() -> None:
    assert cautions(None, [], today=TODAY) == ()


@pytest.mark.parametrize("minutes", [-1.0, 1441.0, float("nan")])
def test_a_day_has_so_many_minutes(minutes: float) -> None:
    with pytest.raises(BadInput, match="0 to 1440"):
        LoadEntry(id=PLAYER, player_id=PLAYER, day=TODAY, organised_minutes=minutes)


@pytest.mark.parametrize("field", ["coached_shots", "self_led_shots", "games"])
def test_counts_are_not_below_zero(field: str) -> None:
    count: dict[str, int] = {field: -1}
    with pytest.raises(BadInput, match="below 0"):
        LoadEntry(id=PLAYER, player_id=PLAYER, day=TODAY, **count)  # type: ignore[arg-type]
