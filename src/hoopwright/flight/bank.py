"""Bank shots: where to aim so that the board turns the ball into the ring."""

import math
from typing import NamedTuple

import numpy as np
from scipy.optimize import root

from hoopwright.court.equipment import Ball, Board, Ring
from hoopwright.errors import NotAShot
from hoopwright.flight import _kernel
from hoopwright.flight._compiled import Floats
from hoopwright.flight.air import STANDARD_AIR, Air, force_constants
from hoopwright.flight.arc import PIECE
from hoopwright.flight.contact import Contact
from hoopwright.flight.ring import Surface, Touch, play_one

#: share of its sideways speed a thin shell keeps when it grips: 1 − m r² / (m r² + I), I = ⅔ m r²
GRIP = 0.6


def image_depth(ball: Ball, board: Board, *, restitution: float, grip: float = GRIP) -> float:
    """Return how far behind the board's face the aim axis stands [m].

    Parameters
    ----------
    ball, board
        Their sizes.
    restitution
        At the board.
    grip
        Share of sideways speed kept; 1 for a slippery board.

    Notes
    -----
    Derived: the ball turns when its centre is a radius in front of the face. Sideways over normal
    speed then changes by grip / restitution, so paths that end at ring centre come, drawn on
    through the board, from one upright line. [Silverberg2011]_ found 3.326 in by simulation.
    """
    return grip / restitution * (board.setback - ball.radius) - ball.radius


class BankAim(NamedTuple):
    """The bank shot that comes down through ring centre."""

    #: undisturbed crossing of the ring plane, + long and + right, for ``ring.play`` [m]
    along: float
    across: float
    #: behind the board's face, where the path drawn on passes straight behind ring centre [m]
    depth: float
    #: where the ball touches the board, right of its middle line as one faces it [m]
    touch_across: float
    #: where the ball touches the board, above the ring plane [m]
    touch_height: float


def _landing(touch: Touch, *, force: Floats) -> tuple[float, float]:
    """Return (along, across) where a ball comes down through the ring plane after a contact."""
    along, across, up = touch.velocity
    roll, back, side = touch.spin
    time, end, _, _, _ = _kernel.flight(
        (across, along, up), (back, roll, -side), -touch.centre[2], PIECE, force, np.empty((0, 4))
    )
    if math.isnan(time):
        raise NotAShot("This bank shot comes off the board below the ring; give it a higher arc.")
    return touch.centre[0] + end[1], touch.centre[1] + end[0]


def bank_aim(  # noqa: PLR0913 — as ring.play
    bearing: float,
    entry_angle: float,
    entry_speed: float,
    *,
    ball: Ball,
    ring: Ring,
    board: Board,
    contact: Contact | None = None,
    air: Air = STANDARD_AIR,
) -> BankAim:
    """Return where to aim a bank shot, by playing it against the board.

    Parameters
    ----------
    bearing
        Where the shooter stands, from straight in front, + right facing the board; within 75°.
        [rad]
    entry_angle, entry_speed
        At the undisturbed crossing. [rad, m/s]
    ball, ring, board, air
        As for ``ring.play``.
    contact
        Restitutions, friction and backspin; the usual ones where left out.

    Raises
    ------
    NotAShot
        No shot of that kind comes off the board into ring centre.

    Notes
    -----
    Derived. What is sought is the crossing of the ball's centre over ring centre; whether it
    touches the ring before is for ``ring.play`` to say.
    """
    if not abs(bearing) <= math.radians(75.0):
        raise NotAShot("A bank shot needs a bearing within 75° of straight in front.")
    usual, force = contact or Contact(), force_constants(ball, air)
    s, c = math.sin(bearing), math.cos(bearing)

    def first(aim: Floats) -> Touch:
        shot = (float(aim[0]), float(aim[1]), entry_angle, entry_speed)
        played = play_one(
            *shot, ball=ball, ring=ring, board=board, bearing=bearing, contact=usual, air=air
        )
        if not played.touches or played.touches[0].surface is not Surface.BOARD_FACE:
            raise NotAShot("No such shot meets the board first; give it a higher or faster arc.")
        return played.touches[0]

    reach = (board.setback - ball.radius) * (1.0 + 1.0 / usual.board_restitution)
    image = board.setback + image_depth(ball, board, restitution=usual.board_restitution)
    x, y = -math.tan(bearing) * (reach - image), reach

    def off(aim: Floats) -> Floats:
        return np.array(_landing(first(aim), force=force))

    found = root(off, np.array([c * y - s * x, c * x + s * y]))
    if not found.success:
        raise NotAShot("No shot of that kind comes off the board into ring centre.")
    touch = first(found.x)
    a, b, _ = touch.centre
    x, y = c * b - s * a, c * a + s * b
    depth = y + x * c / s - board.setback if s != 0.0 else math.nan
    return BankAim(float(found.x[0]), float(found.x[1]), depth, x, touch.point[2])
