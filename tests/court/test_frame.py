"""Named spots, spots from distance and bearing, and what counts as what."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hoopwright.court.frame import (
    ShotValue,
    board_angle,
    check_spot,
    nearest_name,
    shot_value,
    slant_distance,
    spot_at,
    spot_named,
    spot_names,
    spot_xy,
)
from hoopwright.court.standards import rule_books, youth
from hoopwright.errors import BadInput, NotAShot, UnknownName
from hoopwright.records import Spot

KEYS = [book.key for book in rule_books()]


@pytest.mark.parametrize("key", KEYS)
def test_every_named_spot_is_a_shot_and_is_nearest_to_itself(key: str) -> None:
    for name in spot_names(key):
        spot = spot_named(name, key)
        check_spot(spot.x, spot.y, key)
        assert nearest_name(spot.x, spot.y, key) == name


@pytest.mark.parametrize("key", KEYS)
def test_left_mirrors_right(key: str) -> None:
    lefts = [name for name in spot_names(key) if name.startswith("left ")]
    assert len(lefts) >= 4
    for name in lefts:
        left, right = spot_named(name, key), spot_named(name.replace("left", "right"), key)
        assert (left.x, left.y) == (-right.x, right.y)
        assert left.x < 0


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("Free Throw", "free throw"),
        ("free-throw", "free throw"),
        ("FT", "free throw"),
        ("foul line", "free throw"),
        ("Corner left", "left corner"),
        ("right_short_corner", "right short corner"),
        ("top of the key", "top"),
    ],
)
def test_a_name_may_be_typed_loosely(typed: str, name: str) -> None:
    assert spot_named(typed).name == name


@pytest.mark.parametrize("typed", ["", "   ", "moon", "left", "left top"])
def test_an_unknown_spot_lists_the_known_ones(typed: str) -> None:
    with pytest.raises(UnknownName) as caught:
        spot_named(typed)
    assert all(name in caught.value.message for name in spot_names())


def test_a_court_without_a_three_point_line_has_no_top() -> None:
    assert "top" not in spot_names("fiba-mini")
    with pytest.raises(UnknownName, match="under FIBA mini"):
        spot_named("top", "fiba-mini")


def test_named_spots_follow_a_youth_court() -> None:
    court = youth(ring_height=2.6, ball_size=5, free_throw=3.5, three_point=5.0)
    assert spot_named("free throw", court).distance == 3.5
    assert spot_named("top", court).distance == 5.0


@settings(derandomize=True)
@given(distance=st.floats(0.51, 7.0), bearing=st.floats(-math.pi / 2, math.pi / 2))
def test_distance_and_bearing_round_trip(distance: float, bearing: float) -> None:
    spot = spot_at(distance, bearing)
    assert spot.distance == pytest.approx(distance)
    assert spot.bearing == pytest.approx(bearing, abs=1e-12)


def test_bearing_is_plus_to_the_right_facing_the_board() -> None:
    assert spot_at(5.0, math.radians(30)).x == pytest.approx(2.5)
    assert spot_at(5.0, math.radians(-30)).x == pytest.approx(-2.5)


@pytest.mark.parametrize("x", [0.0, 0.5, -0.9, 1.5])
def test_a_spot_behind_the_board_is_not_a_shot(x: float) -> None:
    with pytest.raises(NotAShot, match="behind the board"):
        spot_xy(x, -1.2)


@pytest.mark.parametrize(("x", "y"), [(6.6, -0.9), (-6.6, -0.9), (5.0, -1.0), (0.6, -0.2)])
def test_a_corner_shot_that_clears_the_board_is_a_shot(x: float, y: float) -> None:
    """Straight line to ring centre passes in front of the board's edge by more than a ball."""
    assert spot_xy(x, y).y == y


@pytest.mark.parametrize(
    ("x", "y", "said"),
    [
        (6.6, -1.7, "beyond the end line"),
        (7.6, 2.0, "beyond the sideline"),
        (-7.6, 2.0, "beyond the sideline"),
        (0.0, 40.0, "40.0 m from the ring is too far"),
        (0.0, 15.01, "too far"),
        (0.0, 0.2, "under the ring"),
        (1e300, 1e300, "too far"),
    ],
)
def test_places_no_shot_is_taken_from(x: float, y: float, said: str) -> None:
    with pytest.raises(NotAShot, match=said):
        check_spot(x, y)


@pytest.mark.parametrize(("x", "y"), [(math.nan, 4.0), (0.0, math.inf), (-math.inf, math.nan)])
def test_a_spot_needs_plain_numbers(x: float, y: float) -> None:
    with pytest.raises(BadInput, match="plain numbers"):
        check_spot(x, y)


@pytest.mark.parametrize("distance", [0.0, -4.2])
def test_a_distance_must_be_above_zero(distance: float) -> None:
    with pytest.raises(BadInput, match="above zero"):
        spot_at(distance)


@pytest.mark.parametrize(("distance", "bearing"), [(math.nan, 0.0), (4.0, math.inf)])
def test_distance_and_bearing_must_be_plain_numbers(distance: float, bearing: float) -> None:
    with pytest.raises(BadInput, match="plain numbers"):
        spot_at(distance, bearing)


def test_a_place_far_from_any_named_spot_is_said_in_words() -> None:
    assert nearest_name(1.5, 2.6) == "3.0 m 30° right"
    assert nearest_name(-1.5, 2.6) == "3.0 m 30° left"
    assert nearest_name(0.0, 2.7) == "2.7 m straight"


def test_the_coachs_own_name_is_kept() -> None:
    assert spot_xy(0.0, 4.2, name=" by the red tape ").name == "by the red tape"


@pytest.mark.parametrize(
    ("x", "y", "angle"), [(0.0, 4.0, 90.0), (4.0, 4.0, 45.0), (-4.0, 4.0, 45.0), (5.0, 0.0, 0.0)]
)
def test_board_angle_known_values(x: float, y: float, angle: float) -> None:
    spot = Spot(name="", x=x, y=y)
    assert math.degrees(board_angle(spot)) == pytest.approx(angle, abs=1e-12)


def test_slant_distance_is_pythagoras() -> None:
    assert slant_distance(Spot(name="", x=0.0, y=4.0), 3.0) == 5.0
    assert slant_distance(Spot(name="", x=3.0, y=4.0), 0.0) == 5.0


@pytest.mark.parametrize("key", KEYS)
def test_named_spots_count_what_a_player_would_say(key: str) -> None:
    assert shot_value(spot_named("free throw", key), key) is ShotValue.FREE_THROW
    assert shot_value(spot_named("left elbow", key), key) is ShotValue.TWO
    assert shot_value(spot_named("right block", key), key) is ShotValue.TWO
    three = ShotValue.TWO if key == "fiba-mini" else ShotValue.THREE
    assert shot_value(spot_named("left corner", key), key) is three
    assert shot_value(spot_named("right wing", key), key) is three


@pytest.mark.parametrize(
    ("x", "y", "value"),
    [
        (0.0, 6.74, ShotValue.TWO),
        (0.0, 6.75, ShotValue.THREE),
        (6.59, 0.0, ShotValue.TWO),
        (6.60, 0.0, ShotValue.THREE),
        # 6.72 m out, yet outside the straight line: a three although inside the arc's radius
        (6.62, 1.2, ShotValue.THREE),
        # 6.78 m out, behind the ring, yet inside the straight line: a two
        (6.59, -1.57, ShotValue.TWO),
    ],
)
def test_straight_line_and_arc_meet_where_the_rules_say(
    x: float, y: float, value: ShotValue
) -> None:
    """FIBA: arc 6.75 m, straight lines 6.60 m from the axis."""
    assert shot_value(Spot(name="", x=x, y=y)) is value


def test_high_school_three_point_line_runs_straight_from_the_ring_back() -> None:
    """NFHS R1-4 (seen): straight for 63 in from the end line, 19 ft 9 in from the ring."""
    assert shot_value(Spot(name="", x=6.03, y=-0.9), "nfhs") is ShotValue.THREE
    assert shot_value(Spot(name="", x=6.0, y=-0.9), "nfhs") is ShotValue.TWO
