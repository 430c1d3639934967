"""Dates are taken where the column leaves no doubt, and never guessed."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoopwright.actions.tables_in.dates import read_dates

DAYS = st.dates(date(2000, 1, 1), date(2026, 12, 31))
WAYS = {
    "%Y-%m-%d": True,
    "%Y-%m-%d 00:00:00": True,
    "%Y-%m-%dT10:30:00Z": True,
    "%Y/%m/%d": True,
    "%d %b %Y": True,
    "%d-%B-%Y": True,
    "%b %d, %Y": True,
    "%d/%m/%Y": False,
    "%m/%d/%Y": False,
    "%d.%m.%Y": False,
    "%m-%d-%Y": False,
}


@given(st.lists(DAYS, min_size=1, max_size=12), st.sampled_from(list(WAYS)))
def test_a_column_in_one_way_is_read_right_or_not_at_all(days: list[date], way: str) -> None:
    cells = [(row, day.strftime(way)) for row, day in enumerate(days, start=2)]
    column = read_dates(cells, latest=2027)
    if column.troubles:
        assert not WAYS[way]
        assert all(day.day <= 12 for day in days)
        assert {t.row for t in column.troubles} == {row for row, _ in cells}
    else:
        assert [column.days[text] for _, text in cells] == days


def test_three_ways_in_one_column_are_listed_with_what_each_could_mean() -> None:
    cells = [(2, "2026-11-02"), (3, "02/11/2026"), (4, "2 Nov 2026"), (5, "25/12/2026")]
    column = read_dates(cells, latest=2027)
    assert column.days == {}
    said = {t.row: t.message for t in column.troubles}
    assert set(said) == {3, 4, 5}
    assert "3 ways" in said[3]
    assert "2026-02-11 or 2026-11-02" in said[3]
    assert "write '2 Nov 2026' as 2026-11-02" in said[4]
    assert "write '25/12/2026' as 2026-12-25" in said[5]


def test_one_way_in_two_orders() -> None:
    column = read_dates([(2, "25/12/2026"), (3, "12/25/2026"), (4, "01/02/2026")], latest=2027)
    said = {t.row: t.message for t in column.troubles}
    assert "2026-12-25" in said[2]
    assert "2026-12-25" in said[3]
    assert "2026-01-02 or 2026-02-01" in said[4]


def test_one_cell_above_12_settles_the_column() -> None:
    column = read_dates([(2, "01/02/2026"), (3, "25/12/2026")], latest=2027)
    assert column.days == {"01/02/2026": date(2026, 2, 1), "25/12/2026": date(2026, 12, 25)}
    assert column.notes == ("Dates were read as day/month/year.",)


@pytest.mark.parametrize(
    "text",
    ["2026-02-30", "yesterday", "46000", "2.11.26", "02/11/26", "1926-11-02", "3 Foo 2026"],
)
def test_no_date_is_said_to_be_none_and_how_to_write_one(text: str) -> None:
    column = read_dates([(2, "2026-11-02"), (3, text)], latest=2027)
    (trouble,) = column.troubles
    assert (trouble.row, trouble.column) == (3, "date")
    assert "2026-11-02" in trouble.message
