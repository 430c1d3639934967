"""Rule books by key, youth settings, and a source for every number."""

import math
from dataclasses import fields

import pytest

from hoopwright.court.equipment import check_fits
from hoopwright.court.sourced import all_sourced
from hoopwright.court.standards import (
    BALL_SIZES,
    Lines,
    Status,
    ball,
    rule_book,
    rule_books,
    sourced,
    youth,
)
from hoopwright.errors import BadInput, UnknownName

KEYS = ["fiba", "nba", "wnba", "ncaa-men", "ncaa-women", "nfhs", "fiba-mini"]


def test_the_seven_rule_books_come_in_list_order() -> None:
    assert [book.key for book in rule_books()] == KEYS


@pytest.mark.parametrize("typed", ["NCAA men", "ncaa_men", " ncaa-men ", "Ncaa-Men"])
def test_a_key_may_be_typed_loosely(typed: str) -> None:
    assert rule_book(typed).key == "ncaa-men"


@pytest.mark.parametrize("typed", ["", "fibba", "street", "ncaa", "../fiba"])
def test_an_unknown_key_lists_the_known_ones(typed: str) -> None:
    with pytest.raises(UnknownName) as caught:
        rule_book(typed)
    assert all(key in caught.value.message for key in KEYS)


@pytest.mark.parametrize("key", KEYS)
@pytest.mark.parametrize("part", ["ring", "board", "lines"])
def test_every_number_of_a_book_has_a_source_and_lies_in_its_range(key: str, part: str) -> None:
    thing = getattr(rule_book(key), part)
    given = [f.name for f in fields(thing) if getattr(thing, f.name) is not None]
    assert len(given) >= 3
    for name in given:
        row = sourced(key, f"{part}.{name}")
        assert getattr(thing, name) == row.value
        assert row.low <= row.value <= row.high
        assert row.source
        assert row.printed
        assert isinstance(row.status, Status)


@pytest.mark.parametrize("key", KEYS)
def test_every_ball_of_a_book_has_a_source(key: str) -> None:
    book = rule_book(key)
    assert book.ball_sizes
    for size in book.ball_sizes:
        one = ball(size, rules=key)
        assert one.circumference == sourced(key, f"ball{size}.circumference").value
        assert one.mass == sourced(key, f"ball{size}.mass").value
        check_fits(one, book.ring)


def test_no_row_of_the_table_goes_unused() -> None:
    """Guards against a misspelt item, which would silently leave a field empty."""
    parts = {"ring", "board", "lines", *(f"ball{size}" for size in BALL_SIZES)}
    beside = {"ring.to_board", "ring.net_length", "ring.energy_absorption"}
    for key, item in all_sourced():
        part, name = item.split(".")
        assert part in parts
        if part.startswith("ball"):
            assert name in ("circumference", "mass")
        elif item not in beside:
            assert name in {f.name for f in fields(getattr(rule_book(key), part))}


def test_an_unknown_number_lists_what_the_book_gives() -> None:
    with pytest.raises(UnknownName, match=r"ring\.height"):
        sourced("fiba", "ring.colour")
    with pytest.raises(UnknownName, match="it gives: none"):
        sourced("street", "ring.height")


@pytest.mark.parametrize("size", [3, 5, 6, 7])
@pytest.mark.parametrize("key", KEYS)
def test_a_ball_of_any_size_can_be_had_under_any_rules(size: int, key: str) -> None:
    one = ball(size, rules=key)
    assert one.size == size
    assert 0.08 < one.radius < 0.13


def test_balls_grow_with_their_number() -> None:
    around = [ball(size).circumference for size in BALL_SIZES]
    assert around == sorted(around)


@pytest.mark.parametrize("size", [0, 4, -7, 8])
def test_an_unknown_ball_size_lists_the_known_ones(size: int) -> None:
    with pytest.raises(UnknownName, match="3, 5, 6 and 7"):
        ball(size)


def test_youth_lowers_ring_and_board_together() -> None:
    book = youth(ring_height=2.43, ball_size=5, free_throw=3.6, three_point=5.0)
    senior = rule_book("fiba")
    assert book.ring.height == 2.43
    assert book.ring.height - book.board.lower_edge == pytest.approx(
        senior.ring.height - senior.board.lower_edge
    )
    assert (book.lines.free_throw, book.lines.three_point, book.lines.corner) == (3.6, 5.0, 5.0)
    assert book.ball_sizes == (5,)


def test_youth_without_lines_keeps_the_free_throw_and_has_no_three() -> None:
    book = youth(ring_height=3.05, ball_size=6)
    assert book.lines.free_throw == rule_book("fiba").lines.free_throw
    assert book.lines.three_point is None
    assert book.lines.arc_meets == 0.0


@pytest.mark.parametrize("height", [0.5, 4.5, -1.0, math.nan, math.inf])
def test_youth_ring_out_of_sense_is_refused(height: float) -> None:
    with pytest.raises(BadInput, match="ring height"):
        youth(ring_height=height, ball_size=5)


@pytest.mark.parametrize("line", [0.0, -4.0, 40.0, math.nan, math.inf])
def test_youth_lines_out_of_sense_are_refused(line: float) -> None:
    with pytest.raises(BadInput, match="free-throw line must be 1 to 10 m"):
        youth(ring_height=2.6, ball_size=5, free_throw=line)
    with pytest.raises(BadInput, match="three-point line must be 1 to 10 m"):
        youth(ring_height=2.6, ball_size=5, three_point=line)


def test_arc_meets_closed_form() -> None:
    """A 3-4-5 triangle: arc of radius 5, straight line 4 from the axis, meets 3 out."""
    lines = Lines(
        court_length=28,
        court_width=15,
        end_line_to_ring=1.575,
        free_throw=4.225,
        lane_width=4.9,
        three_point=5.0,
        corner=4.0,
    )
    assert lines.arc_meets == pytest.approx(3.0, rel=1e-15)
