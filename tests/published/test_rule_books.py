"""Rule-book numbers as printed, beside what the table gives.

Origin of every expected value: the rule books named in ``docs/references.md`` (FIBA2020, FIBA2024,
FIBAMini, FIBABall, NBA, WNBA, NCAA, NFHS2019, ASEP), most read in second-hand copies in November
2026; ``memory`` marks a value that was not read again. Written here in the units of the book, with
conversions done in this file, so that a slip in the table's units can't hide.
"""

import math

import pytest

from hoopwright.court.standards import Status, ball, rule_book, rule_books, sourced, youth

FT, IN, OZ = 0.3048, 0.0254, 0.028349523125
US = ["nba", "wnba", "ncaa-men", "ncaa-women", "nfhs"]


@pytest.mark.parametrize("key", US)
def test_us_ring_is_ten_feet_and_eighteen_inches(key: str) -> None:
    """NBA, NFHS seen; WNBA, NCAA memory."""
    ring = rule_book(key).ring
    assert ring.height == pytest.approx(10 * FT)
    assert ring.inside_diameter == pytest.approx(18 * IN)
    assert ring.rod_diameter == pytest.approx(5 / 8 * IN)


def test_fiba_ring() -> None:
    """FIBA 2024 and 2020 text 3.1 (seen): 450-459 mm inside, 16-20 mm rod, 3050 mm ± 6 mm."""
    inside, rod = sourced("fiba", "ring.inside_diameter"), sourced("fiba", "ring.rod_diameter")
    height = sourced("fiba", "ring.height")
    assert (inside.low, inside.high) == (0.450, 0.459)
    assert (rod.low, rod.high) == (0.016, 0.020)
    assert (height.low, height.value, height.high) == (3.044, 3.050, 3.056)
    assert {inside.status, rod.status, height.status} == {Status.SEEN}


def test_fiba_ring_centre_to_board() -> None:
    """Derived: 151 mm to the nearest inside edge plus 225 to 229.5 mm."""
    row = sourced("fiba", "board.setback")
    assert row.low == pytest.approx(0.151 + 0.225)
    assert row.high == pytest.approx(0.151 + 0.2295)
    assert row.value == pytest.approx(0.151 + rule_book("fiba").ring.radius)


@pytest.mark.parametrize("key", US)
def test_us_ring_centre_to_board(key: str) -> None:
    """Derived: 6 in plus 9 in."""
    assert rule_book(key).board.setback == pytest.approx(15 * IN)


@pytest.mark.parametrize("key", US)
def test_us_board_is_six_by_three_and_a_half_feet(key: str) -> None:
    """NBA, NFHS seen; others memory. Lower edge derived: 6 in below the ring."""
    board = rule_book(key).board
    assert (board.width, board.height) == pytest.approx((6 * FT, 3.5 * FT))
    assert board.lower_edge == pytest.approx(9.5 * FT)
    assert board.lower_edge + board.height == pytest.approx(13 * FT)


def test_fiba_board() -> None:
    """FIBA 2020 (seen): 1800 x 1050 mm, lower edge 2900 mm; top 3.95 m derived."""
    board = rule_book("fiba").board
    assert (board.width, board.height, board.lower_edge) == (1.8, 1.05, 2.9)
    assert board.lower_edge + board.height == pytest.approx(3.95)


@pytest.mark.parametrize("key", US)
def test_us_free_throw_is_thirteen_nine_from_ring_centre(key: str) -> None:
    """13 ft 9 in seen; derived 15 ft less 15 in. Not 14 ft 9 in, as one page has it."""
    assert rule_book(key).lines.free_throw == pytest.approx(13.75 * FT)
    assert rule_book(key).lines.free_throw == pytest.approx(15 * FT - rule_book(key).board.setback)


def test_fiba_free_throw() -> None:
    """5.80 m to the end line (seen) less 1.575 m; 4.60 m to the board within the ring's range."""
    book = rule_book("fiba")
    assert book.lines.free_throw == pytest.approx(5.80 - 1.575)
    assert book.lines.free_throw + book.board.setback == pytest.approx(4.60, abs=0.006)


@pytest.mark.parametrize(
    ("key", "arc", "corner", "status"),
    [
        ("fiba", 6.75, 6.60, Status.SEEN),
        ("nba", 23.75 * FT, 22 * FT, Status.SEEN),
        ("wnba", (22 * 12 + 1.75) * IN, (21 * 12 + 8) * IN, Status.SEEN),
        ("ncaa-men", (22 * 12 + 1.75) * IN, (21 * 12 + 7.875) * IN, Status.MEMORY),
        ("ncaa-women", (22 * 12 + 1.75) * IN, (21 * 12 + 7.875) * IN, Status.MEMORY),
        ("nfhs", 19.75 * FT, 19.75 * FT, Status.SEEN),
    ],
)
def test_three_point_line(key: str, arc: float, corner: float, status: Status) -> None:
    """Arc radii all seen; the status is the corner's."""
    lines = rule_book(key).lines
    assert lines.three_point == pytest.approx(arc, abs=1e-9)
    assert lines.corner == pytest.approx(corner, abs=1e-9)
    assert sourced(key, "lines.three_point").status is Status.SEEN
    assert sourced(key, "lines.corner").status is status


def test_the_unsure_corner_keeps_both_figures() -> None:
    """WNBA: 21 ft 8 in seen, 22 ft from memory."""
    row = sourced("wnba", "lines.corner")
    assert row.low <= (21 * 12 + 8) * IN <= row.high == pytest.approx(22 * FT)
    assert "unsure" in row.note


@pytest.mark.parametrize(
    ("key", "from_end_line", "within"),
    [
        ("fiba", 2.990, 0.0005),
        ("nba", 14.198 * FT, 0.0005),
        ("ncaa-men", 9.88 * FT, 0.002),
        ("ncaa-women", 9.88 * FT, 0.002),
        ("nfhs", 5.25 * FT, 0.0005),
    ],
)
def test_where_arc_meets_straight_line(key: str, from_end_line: float, within: float) -> None:
    """Derived; NBA texts print 14 ft (seen). NCAA tolerance: last printed digit, 0.005 ft."""
    lines = rule_book(key).lines
    assert lines.end_line_to_ring + lines.arc_meets == pytest.approx(from_end_line, abs=within)


@pytest.mark.parametrize(
    ("key", "width"),
    [
        ("nba", 16 * FT),
        ("wnba", 16 * FT),
        ("ncaa-men", 12 * FT),
        ("ncaa-women", 12 * FT),
        ("nfhs", 12 * FT),
        ("fiba", 4.90),
    ],
)
def test_lane_width(key: str, width: float) -> None:
    """NBA, NCAA, NFHS seen; WNBA and FIBA memory."""
    assert rule_book(key).lines.lane_width == pytest.approx(width)


@pytest.mark.parametrize("key", US)
def test_us_end_line_is_sixty_three_inches_behind_ring_centre(key: str) -> None:
    """NBA 5 ft 3 in, NFHS 63 in seen; board face to end line 4 ft follows."""
    book = rule_book(key)
    assert book.lines.end_line_to_ring == pytest.approx(63 * IN)
    assert book.lines.end_line_to_ring - book.board.setback == pytest.approx(4 * FT)


@pytest.mark.parametrize(
    ("key", "length", "width"),
    [
        ("fiba", 28.0, 15.0),
        ("nba", 94 * FT, 50 * FT),
        ("wnba", 94 * FT, 50 * FT),
        ("ncaa-men", 94 * FT, 50 * FT),
        ("ncaa-women", 94 * FT, 50 * FT),
        ("nfhs", 84 * FT, 50 * FT),
    ],
)
def test_court_size(key: str, length: float, width: float) -> None:
    """FIBA, NBA, NFHS seen; others memory."""
    lines = rule_book(key).lines
    assert (lines.court_length, lines.court_width) == pytest.approx((length, width))


@pytest.mark.parametrize(
    ("key", "size", "around", "mass"),
    [
        ("fiba", 7, (0.750, 0.770), (0.580, 0.620)),
        ("fiba", 6, (0.715, 0.730), (0.510, 0.550)),
        ("fiba", 5, (0.685, 0.700), (0.465, 0.495)),
        ("fiba-mini", 5, (0.660, 0.730), (0.450, 0.500)),
        ("fiba", 3, (22 * IN, 22.5 * IN), (10.5 * OZ, 11.25 * OZ)),
        ("nba", 7, (29.5 * IN, 29.5 * IN), (22 * OZ, 22 * OZ)),
        ("wnba", 6, (28.5 * IN, 29 * IN), (18 * OZ, 20 * OZ)),
        ("ncaa-men", 7, (29.5 * IN, 30 * IN), (20 * OZ, 22 * OZ)),
        ("ncaa-women", 6, (28.5 * IN, 29 * IN), (18 * OZ, 20 * OZ)),
        ("nfhs", 7, (29.5 * IN, 30 * IN), (20 * OZ, 22 * OZ)),
        ("nfhs", 6, (28.5 * IN, 29 * IN), (18 * OZ, 20 * OZ)),
    ],
)
def test_ball_limits(
    key: str, size: int, around: tuple[float, float], mass: tuple[float, float]
) -> None:
    """All seen but NFHS (memory)."""
    rows = sourced(key, f"ball{size}.circumference"), sourced(key, f"ball{size}.mass")
    assert (rows[0].low, rows[0].high) == pytest.approx(around, abs=1e-8)
    assert (rows[1].low, rows[1].high) == pytest.approx(mass, abs=1e-8)
    seen = Status.MEMORY if key == "nfhs" else Status.SEEN
    assert {row.status for row in rows} == {seen}
    assert around[0] - 1e-8 <= ball(size, rules=key).circumference <= around[1] + 1e-8


@pytest.mark.parametrize(
    ("size", "low_mm", "high_mm"),
    [(7, 238.7, 245.1), (6, 227.6, 232.4), (5, 218.0, 222.8), (3, 177.9, 181.9)],
)
def test_ball_diameters(size: int, low_mm: float, high_mm: float) -> None:
    """Derived: circumference over pi, to the last printed digit."""
    row = sourced("fiba", f"ball{size}.circumference")
    assert 1000 * row.low / math.pi == pytest.approx(low_mm, abs=0.051)
    assert 1000 * row.high / math.pi == pytest.approx(high_mm, abs=0.051)
    assert low_mm < 2000 * ball(size).radius < high_mm


@pytest.mark.parametrize(
    ("size", "ring_m", "floor_deg"), [(5, 0.4572, 29.10), (6, 0.4572, 30.26), (7, 0.4572, 31.45)]
)
def test_lowest_entry_angle_of_us_balls(size: int, ring_m: float, floor_deg: float) -> None:
    """Derived asin(ball/ring) for 27.5, 28.5 and 29.5 in balls; ours lie within a ball's range."""
    around = {5: 27.5, 6: 28.5, 7: 29.5}[size] * IN
    assert math.degrees(math.asin(around / math.pi / ring_m)) == pytest.approx(floor_deg, abs=0.01)
    ours = math.degrees(math.asin(2 * ball(size).radius / ring_m))
    assert ours == pytest.approx(floor_deg, abs=0.75)


def test_fiba_mini() -> None:
    """FIBA mini rules (seen): 2.60 m under 11, 3.05 m for 11-12, line 4.00 m to board, no three."""
    book, height = rule_book("fiba-mini"), sourced("fiba-mini", "ring.height")
    assert (height.low, height.high, book.ring.height) == (2.60, 3.05, 2.60)
    assert book.lines.free_throw + book.board.setback == pytest.approx(4.00)
    assert book.lines.three_point is None
    assert (book.board.width, book.board.height) == (1.20, 0.90)  # memory


@pytest.mark.parametrize(
    ("ring_m", "ball_size"),
    [
        (8 * FT, 5),  # USA Basketball and NBA guide, 7-8 years (seen)
        (9 * FT, 6),  # the same guide, 9-11 years (seen)
        (6 * FT, 3),  # WABC U6 and ASEP K-2 (seen)
        (2.43, 5),  # WABC U10 (seen)
        (2.60, 5),  # FIBA mini under 11 (seen)
    ],
)
def test_youth_guides_can_be_set(ring_m: float, ball_size: int) -> None:
    """The guides differ for one age, so ring and ball are the coach's to set."""
    book = youth(ring_height=ring_m, ball_size=ball_size, free_throw=14 * FT - 15 * IN)
    assert book.ring.height == ring_m
    assert book.ball_sizes == (ball_size,)


def test_ring_energy_absorption() -> None:
    """FIBA and NCAA (seen): 35-50 %."""
    for key in ("fiba", "ncaa-men", "ncaa-women"):
        row = sourced(key, "ring.energy_absorption")
        assert (row.low, row.high) == (0.35, 0.50)


def test_metric_and_foot_rings_differ_by_two_millimetres() -> None:
    """3050 mm against 10 ft: never to be mixed below that tolerance."""
    heights = {book.key: book.ring.height for book in rule_books()}
    assert heights["fiba"] - heights["nba"] == pytest.approx(0.002)
