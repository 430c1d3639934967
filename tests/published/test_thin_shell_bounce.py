"""The gripping bounce of a thin shell, which Brancazio 1981 treats (no-skid, seen second-hand).

Derived, exact: v' = 0.6·v + 0.4·r·ω, topspin positive.
"""

import math

import pytest

from hoopwright.court.standards import ball, rule_book
from hoopwright.flight.air import Air
from hoopwright.flight.bank import GRIP
from hoopwright.flight.contact import Contact
from hoopwright.flight.ring import Surface, Touch, play_one

FIBA, BALL = rule_book("fiba"), ball(7)


def off_the_board(spin: float, *, friction: float = 2.0) -> Touch:
    """First touch of a straight bank shot, whose ball slides down the board's face.

    The shot's backspin is topspin for that slide: its near side goes up, as on a ball that rolls
    down the board.
    """
    played = play_one(
        0.45, 0.0, math.radians(46.0), 6.0, ball=BALL, ring=FIBA.ring, board=FIBA.board,
        contact=Contact(friction=friction, spin=spin), air=Air.none(),
    )  # fmt: skip
    touch = played.touches[0]
    assert touch.surface is Surface.BOARD_FACE
    return touch


#: along the face before the impact; without air the spin does not change it [m/s]
BEFORE = off_the_board(0.0, friction=0.0).velocity[2]


# rω over v, topspin +; v' over v
@pytest.mark.parametrize(("turning", "kept"), [(0.0, 0.60), (1.0, 1.0), (-0.5, 0.40), (-1.5, 0.0)])
def test_speed_along_the_surface_after_a_gripping_bounce(turning: float, kept: float) -> None:
    touch = off_the_board(turning * abs(BEFORE) / BALL.radius)
    assert touch.velocity[2] / BEFORE == pytest.approx(kept, abs=1e-12)
    # gripped: it leaves rolling
    assert touch.spin[1] * BALL.radius == pytest.approx(abs(touch.velocity[2]), abs=1e-12)


def test_a_ball_that_slides_loses_friction_times_the_normal_impulse() -> None:
    touch = off_the_board(0.0, friction=0.1)
    impulse = (1.0 + Contact().board_restitution) * touch.normal_speed
    assert abs(BEFORE) - abs(touch.velocity[2]) == pytest.approx(0.1 * impulse, rel=1e-12)
    assert touch.spin[1] * BALL.radius < abs(touch.velocity[2])


def test_share_of_sideways_speed_kept_follows_from_the_shell() -> None:
    inertia = 2.0 / 3.0
    assert pytest.approx(1.0 - inertia / (1.0 + inertia)) == GRIP
