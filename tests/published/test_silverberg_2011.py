"""Silverberg, Tran and Adams 2011, JQAS 7(1):3: bank shots, from the abstract (seen)."""

import math

import pytest

from hoopwright.court.standards import ball, rule_book
from hoopwright.errors import NotAShot
from hoopwright.flight.bank import bank_aim, image_depth
from hoopwright.flight.contact import Contact
from hoopwright.units import INCH

NBA, BALL = rule_book("nba"), ball(7, rules="nba")
#: seen: the aim axis stands this far behind the board's face [in]
PUBLISHED = 3.326
CONTACT = Contact(spin=6.0 * math.pi)


# derived: restitution, sideways speed kept, axis behind the face [in]
@pytest.mark.parametrize(
    ("restitution", "grip", "depth"),
    [(0.75, 0.6, 3.55), (0.77, 0.6, 3.34), (0.80, 0.6, 3.03), (1.0, 1.0, 5.61)],
)
def test_image_axis_of_a_gripping_ball(restitution: float, grip: float, depth: float) -> None:
    found = image_depth(BALL, NBA.board, restitution=restitution, grip=grip) / INCH
    assert found == pytest.approx(depth, abs=0.01)


@pytest.mark.parametrize("bearing", [10.0, 20.0, 30.0, 40.0, 50.0, -35.0])
@pytest.mark.parametrize(("entry", "speed"), [(45.0, 5.8), (50.0, 5.5)])
def test_played_bank_shots_aim_at_one_axis_near_the_published_one(
    bearing: float, entry: float, speed: float
) -> None:
    aim = bank_aim(
        math.radians(bearing), math.radians(entry), speed,
        ball=BALL, ring=NBA.ring, board=NBA.board, contact=CONTACT,
    )  # fmt: skip
    assert aim.depth / INCH == pytest.approx(PUBLISHED, abs=0.6)
    # air and spin move it by less than a quarter of an inch from the closed form
    closed = image_depth(BALL, NBA.board, restitution=0.77) / INCH
    assert aim.depth / INCH == pytest.approx(closed, abs=0.25)


def test_over_the_stated_range_of_restitution_the_axis_moves_with_it() -> None:
    depths = [
        image_depth(BALL, NBA.board, restitution=e) / INCH for e in (0.70, 0.77, 0.80)
    ]  # fmt: skip
    assert depths == sorted(depths, reverse=True)
    assert depths[2] < PUBLISHED < depths[0]


def test_difference_from_the_baseline_side_the_axis_is_a_little_further_back() -> None:
    # at 65° the drawn-on path passes 3.9 in behind the face, 0.6 in beyond the published axis
    aim = bank_aim(
        math.radians(65.0), math.radians(50.0), 5.5,
        ball=BALL, ring=NBA.ring, board=NBA.board, contact=CONTACT,
    )  # fmt: skip
    assert aim.depth / INCH - PUBLISHED == pytest.approx(0.63, abs=0.1)


def test_left_and_right_mirror() -> None:
    left, right = (
        bank_aim(b, 0.8, 5.8, ball=BALL, ring=NBA.ring, board=NBA.board) for b in (-0.6, 0.6)
    )
    assert left.along == pytest.approx(right.along, abs=1e-9)
    assert left.across == pytest.approx(-right.across, abs=1e-9)
    assert left.touch_height == pytest.approx(right.touch_height, abs=1e-9)


def test_no_bank_shot_from_behind_the_board_or_below_the_ring() -> None:
    with pytest.raises(NotAShot, match="bearing"):
        bank_aim(1.6, 0.8, 5.8, ball=BALL, ring=NBA.ring, board=NBA.board)
    with pytest.raises(NotAShot):
        bank_aim(0.3, math.radians(75.0), 3.0, ball=BALL, ring=NBA.ring, board=NBA.board)
