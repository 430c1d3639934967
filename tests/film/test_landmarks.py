"""Markable points against the rule books' own figures."""

import math

import pytest

from hoopwright.court.standards import rule_books, youth
from hoopwright.errors import BadInput, UnknownName
from hoopwright.film.landmarks import landmarks

FOOT, INCH = 0.3048, 0.0254


def test_fiba_points_are_where_the_rule_book_puts_them() -> None:
    """FIBA Official Basketball Rules, Art. 2 and Basketball Equipment.

    Ring 3050 mm, board 1800 × 1050 mm with its lower edge at 2900 mm, end line to board 1.20 m,
    free-throw line 5.80 m from the end line and 3.60 m long: seen. Lane 4.90 m: memory.
    """
    at = {name: mark.position for name, mark in landmarks("fiba").items()}
    face = 0.37825
    assert at["board top right"] == pytest.approx((0.90, face, 3.95))
    assert at["board bottom left"] == pytest.approx((-0.90, face, 2.90))
    # 590 × 450 mm outside, the top of its lower line level with the ring
    assert at["inner rectangle top left"] == pytest.approx((-0.295, face, 3.45))
    assert at["inner rectangle bottom right"] == pytest.approx((0.295, face, 3.00))
    end_line = at["lane left corner at the end line"][1]
    assert end_line - face == pytest.approx(1.20, abs=0.005)
    corner = at["lane right corner at the free-throw line"]
    assert corner == pytest.approx((2.45, end_line - 5.80, 0.0))
    # the end's middle, half of a 50 mm line nearer the board
    assert at["free-throw line right end"] == pytest.approx((1.80, end_line - 5.775, 0.0))
    # arc meets straight line 2.990 m from the end line: derived, sqrt(6.75² − 6.60²)
    assert at["three-point line left joint"] == pytest.approx((-6.6, end_line - 2.990, 0), abs=1e-3)
    assert at["court right corner"] == pytest.approx((7.5, end_line, 0.0))


def test_nba_points_are_where_the_rule_book_puts_them() -> None:
    """NBA Official Rules, Rule 1 Section I: board 6 × 3.5 ft, top at 13 ft, rectangle 24 × 18 in,
    board 4 ft inside the end line, free-throw line 15 ft from the board, lane 16 ft: seen."""
    at = {name: mark.position for name, mark in landmarks("nba").items()}
    face = 15 * INCH
    assert at["board top left"] == pytest.approx((-3 * FOOT, face, 13 * FOOT))
    assert at["inner rectangle top right"][0] == pytest.approx(12 * INCH)
    assert at["lane right corner at the end line"] == pytest.approx((8 * FOOT, face + 4 * FOOT, 0))
    line = at["free-throw line left end"]
    assert face - line[1] == pytest.approx(15 * FOOT, abs=0.026)
    # the lane is as wide as the line is long: one corner, not two
    assert line[0] == pytest.approx(-8 * FOOT)
    assert "lane left corner at the free-throw line" not in at


def test_ring_edges_are_outside_the_rod_and_at_its_middle() -> None:
    """Ring 18 in inside, rod 5/8 in, top at 10 ft (United States books: seen)."""
    right = landmarks("nfhs")["ring right edge"]
    assert right.position == pytest.approx((9.625 * INCH, 0.0, 10 * FOOT - 0.3125 * INCH))
    assert right.ring_edge == 1


def test_board_and_ring_move_with_the_ring_height_and_the_floor_stays() -> None:
    usual, low = landmarks("fiba"), landmarks("fiba", 2.6)
    assert usual.keys() == low.keys()
    for name, mark in usual.items():
        drop = mark.position[2] - low[name].position[2]
        assert drop == pytest.approx(0.0 if mark.position[2] == 0.0 else 0.45)
        assert low[name].position[:2] == mark.position[:2]


@pytest.mark.parametrize("book", rule_books(), ids=lambda b: b.key)
def test_every_rule_book_has_pairs_with_honest_errors(book: object) -> None:
    known = landmarks(book.key)  # type: ignore[attr-defined]
    assert len(known) >= 10
    for name, mark in known.items():
        assert mark.name == name
        assert mark.where
        assert all(0.001 <= sd <= 0.1 for sd in mark.sd)
        twin = " ".join({"left": "right", "right": "left"}.get(w, w) for w in name.split())
        assert known[twin].position == pytest.approx((-mark.position[0], *mark.position[1:]))


def test_a_figure_the_book_leaves_open_is_known_less_well() -> None:
    """WNBA corner: 21 ft 8 in on one page, 22 ft from memory (standards table: unsure)."""
    sure, unsure = landmarks("nba"), landmarks("wnba")
    name = "three-point line left end"
    assert sure[name].sd[0] == pytest.approx(0.010)
    # an even spread over a foot has a standard deviation of a foot over sqrt(12)
    assert unsure[name].sd[0] == pytest.approx(math.hypot(0.010, FOOT / math.sqrt(12)))


def test_a_smooth_joint_and_a_missing_rectangle_can_t_be_marked() -> None:
    assert "three-point line left joint" not in landmarks("nfhs")
    assert "inner rectangle top left" not in landmarks("fiba-mini")
    lowered = youth(ring_height=2.6, ball_size=5, free_throw=3.6)
    assert "three-point line left end" not in landmarks(lowered)


def test_what_is_not_known_is_refused() -> None:
    with pytest.raises(UnknownName):
        landmarks("street")
    with pytest.raises(BadInput):
        landmarks("fiba", 0.2)
