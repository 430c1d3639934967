"""How ball, ring and board give: defaults with their sources, ranges, and draws over them."""

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike
from scipy.stats import qmc

from hoopwright.errors import BadInput
from hoopwright.flight._compiled import Floats


def restitution_at_ring(ball_restitution: ArrayLike, ring_absorption: ArrayLike) -> Floats:
    """Return the speed ratio of a bounce off the ring.

    Parameters
    ----------
    ball_restitution
        Speed ratio of the ball on a hard floor.
    ring_absorption
        Share of the impact energy that ring and mount keep, 0 to 1.

    Notes
    -----
    Derived: the ball loses its own share of the energy, and the ring takes its share of what is
    left, so e = e_ball · √(1 − absorption). The rule books' test drops a weight on the front of
    the ring; that a ball anywhere on it loses the same share is an assumption.
    """
    left = 1.0 - np.asarray(ring_absorption, dtype=np.float64)
    return np.asarray(ball_restitution, dtype=np.float64) * np.sqrt(left)


def restitution_from_drop(
    drop: float, rebound: float, *, diameter: float = 0.0, rebound_to_top: bool = False
) -> float:
    """Return the restitution that a rule book's drop test implies.

    Parameters
    ----------
    drop
        Floor to the ball's bottom when let go. [m]
    rebound
        Floor to the ball's bottom, or its top, at the top of the bounce. [m]
    diameter
        Of the ball; only needed where the rebound is to the top. [m]
    rebound_to_top
        True where the book measures the rebound to the top of the ball.

    Raises
    ------
    BadInput
        The drop is not above zero, or the ball would rise above it or not leave the floor.

    Notes
    -----
    Derived: √(rebound / drop), both to the ball's bottom, without air.
    """
    height = rebound - diameter if rebound_to_top else rebound
    if not 0.0 < height <= drop:
        raise BadInput("The rebound must be above the floor and not above the drop; check both.")
    return math.sqrt(height / drop)


class ContactDraws(NamedTuple):
    """Contact values drawn over their ranges, as ``ring.play`` takes them; float64 [draw]."""

    ring_restitution: Floats
    board_restitution: Floats
    friction: Floats
    #: backspin [rad/s]
    spin: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """How a ball bounces off ring and board, and the backspin it comes with.

    Raises
    ------
    BadInput
        A restitution or share is not within 0 to 1, or friction or spin is out of sense.
    """

    #: speed ratio on a hard floor: rule books' drop tests, 0.74 to 0.80 (derived from limits seen)
    ball_restitution: float = 0.77
    #: share of impact energy the ring keeps: NCAA and FIBA wording, 0.35 to 0.50 (seen)
    ring_absorption: float = 0.425
    #: speed ratio at the board: the ball's own, as on a hard floor; 0.70 to 0.80, the lower end
    #: for a board that gives (no source found)
    board_restitution: float = 0.77
    #: ball on ring and on board: about 0.5 (from memory, weak), 0.3 to 0.7
    friction: float = 0.5
    #: backspin of good free throws: 2 to 3 rev/s ([TranSilverberg2008]_, seen);
    #: their middle [rad/s]
    spin: float = 5.0 * math.pi

    def __post_init__(self) -> None:
        shares = (self.ball_restitution, self.ring_absorption, self.board_restitution)
        if not all(0.0 <= v <= 1.0 for v in shares):
            raise BadInput("Restitutions and the ring's energy share must be from 0 to 1.")
        if not 0.0 <= self.friction <= 2.0 or not abs(self.spin) <= 200.0:
            raise BadInput("Friction must be 0 to 2, and backspin at most 200 rad/s (32 rev/s).")

    @property
    def ring_restitution(self) -> float:
        """Speed ratio at the ring, the ring's own energy share included."""
        return float(restitution_at_ring(self.ball_restitution, self.ring_absorption))

    @staticmethod
    def sample(rng: np.random.Generator, n: int) -> ContactDraws:
        """Draw contact values, evenly over ``RANGES``, by a scrambled Sobol sequence.

        Parameters
        ----------
        rng
            Scrambles the sequence.
        n
            How many; a power of two spreads best.
        """
        power = max(int(n - 1).bit_length(), 0)
        unit = qmc.Sobol(len(RANGES), rng=rng).random_base2(power)[:n]
        low, high = np.array(list(RANGES.values())).T
        ball, absorbed, board, friction, spin = (low + unit * (high - low)).T
        return ContactDraws(restitution_at_ring(ball, absorbed), board, friction, spin)


#: lowest and highest value of each field of ``Contact``; sources beside the fields
RANGES = {
    "ball_restitution": (0.74, 0.80),
    "ring_absorption": (0.35, 0.50),
    "board_restitution": (0.70, 0.80),
    "friction": (0.3, 0.7),
    "spin": (4.0 * math.pi, 6.0 * math.pi),
}
