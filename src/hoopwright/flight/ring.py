"""Ball against ring and board: whether a shot goes in, and what it touched.

``play`` takes shots known at the ring plane, ``shoot`` shots known at release, both as arrays;
``play_one`` tells one shot's story; ``make_chance`` carries what is uncertain about the contacts
into a probability. The net is not modelled. Derivation and limits: ``docs/physics.md``.
"""

import math
from dataclasses import dataclass
from enum import IntEnum, StrEnum
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hoopwright.court.equipment import Ball, Board, Ring, check_fits
from hoopwright.errors import NotAShot
from hoopwright.flight import _kernel
from hoopwright.flight._compiled import Floats, Outcomes, columns, spread
from hoopwright.flight.air import STANDARD_AIR, Air, force_constants
from hoopwright.flight.arc import PIECE
from hoopwright.flight.contact import Contact

_USUAL = Contact()
#: entry speeds from a free throw to a long three-pointer [m/s], for shots whose speed is not known
USUAL_ENTRY_SPEEDS = (5.4, 7.1)


class Outcome(IntEnum):
    """What became of a shot; front and back, left and right are the shooter's."""

    #: in, touching neither ring nor board
    CLEAN = 0
    #: in; touched the far half of the ring first
    IN_OFF_BACK_RIM = 1
    #: in; touched the near half of the ring first
    IN_OFF_FRONT_RIM = 2
    #: in; touched the board first
    IN_OFF_BOARD = 3
    #: in, after more than three touches of the ring
    ROLLS_IN = 4
    #: out, after more than three touches of the ring; also a ball that comes to rest up there
    ROLLS_OUT = 5
    MISSED_SHORT = 6
    MISSED_LONG = 7
    MISSED_LEFT = 8
    MISSED_RIGHT = 9
    #: touched neither ring nor board, or never reached the ring
    AIR_BALL = 10


class Surface(StrEnum):
    """What a ball touched."""

    RING = "ring"
    BOARD_FACE = "board face"
    BOARD_EDGE = "board edge"


_SURFACES = {
    _kernel.RING: Surface.RING,
    _kernel.BOARD_FACE: Surface.BOARD_FACE,
    _kernel.BOARD_EDGE: Surface.BOARD_EDGE,
}

Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Touch:
    """One contact; triples are (along, across, up) from ring centre, as the shooter sees it."""

    #: since the ball would have crossed the ring plane, so often negative [s]
    time: float
    surface: Surface
    #: where on the surface [m]
    point: Triple
    #: where the ball's centre was [m]
    centre: Triple
    #: of the ball's centre toward the surface before the impact [m/s]
    normal_speed: float
    #: of the ball's centre after the impact [m/s]
    velocity: Triple
    #: about the along axis, the across axis (+ backspin) and upright (+ curving right) [rad/s]
    spin: Triple


@dataclass(frozen=True, slots=True, kw_only=True)
class Played:
    """One shot at the ring."""

    outcome: Outcome
    #: in order of time; the first so many where there were more
    touches: tuple[Touch, ...]


class Shots(NamedTuple):
    """What became of many shots; NaN where the ring plane was never reached."""

    #: values of ``Outcome``
    outcome: Outcomes
    #: where the ring plane would be crossed, + long [m]
    along: Floats
    #: + right [m]
    across: Floats
    #: below horizontal [rad]
    entry_angle: Floats
    #: [m/s]
    entry_speed: Floats


class MakeChance(NamedTuple):
    """Chances of shots over what is uncertain about the contacts; float64 of the shots' shape."""

    #: chance that the shot is a make
    make: Floats
    #: standard error of that chance, from drawing a finite number of contacts
    error: Floats
    #: chance of each value of ``Outcome``, float64 [..., outcome]
    shares: Floats
    #: the likeliest value of ``Outcome``, int8
    outcome: Outcomes


def is_make(outcomes: ArrayLike) -> NDArray[np.bool_]:
    """Return True where an outcome is a make."""
    return np.asarray(outcomes) <= Outcome.ROLLS_IN


def _place(ball: Ball, ring: Ring, board: Board) -> Floats:
    """Return the sizes the kernels need, checked to fit each other."""
    check_fits(ball, ring)
    outside = ring.radius + 2.0 * ring.rod_radius
    if board.setback <= outside:
        raise NotAShot("The board stands inside the ring; check the board's setback.")
    low = board.lower_edge - ring.height
    return np.array(
        [
            ball.radius, ring.radius + ring.rod_radius, ring.rod_radius,
            board.setback, 0.5 * board.width, low, low + board.height,
        ]
    )  # fmt: skip


def play(  # noqa: PLR0913 — what a shot is and what it is played on are this many things
    along: ArrayLike,
    across: ArrayLike,
    entry_angle: ArrayLike,
    entry_speed: ArrayLike,
    *,
    ball: Ball,
    ring: Ring,
    board: Board,
    bearing: ArrayLike = 0.0,
    heading: ArrayLike = 0.0,
    spin: ArrayLike = _USUAL.spin,
    sidespin: ArrayLike = 0.0,
    ring_restitution: ArrayLike = _USUAL.ring_restitution,
    board_restitution: ArrayLike = _USUAL.board_restitution,
    friction: ArrayLike = _USUAL.friction,
    air: Air = STANDARD_AIR,
    piece: float = PIECE,
) -> Outcomes:
    """Return what becomes of shots known at the ring plane.

    Parameters
    ----------
    along, across
        Where the ball's centre would cross the ring plane if ring and board were not there, from
        ring centre, + long and + right [m]; float64 of any shapes that broadcast, as all others.
    entry_angle
        Below horizontal there. [rad]
    entry_speed
        There. [m/s]
    ball, ring, board
        Equipment; see ``court.standards``.
    bearing
        Where the shooter stands, from straight in front, + right facing the board. [rad]
    heading
        Level direction of travel, + right of the line from shooter to ring centre. [rad]
    spin, sidespin
        Backspin, and spin about the upright, + curving right. [rad/s]
    ring_restitution, board_restitution, friction
        See ``Contact`` for defaults, sources and ranges.
    air
        For drag and spin force near the ring.
    piece
        Length of the Taylor pieces. [s]

    Returns
    -------
    ndarray
        int8 of the broadcast shape: values of ``Outcome``. A shot that is not falling, or has a
        NaN, never came to the ring: an air ball.

    Raises
    ------
    BadInput
        The ball is larger than the ring.

    Notes
    -----
    Derived; see ``docs/physics.md``. All cores are used, without the interpreter lock.
    """
    flat, shape = columns(
        along, across, entry_angle, entry_speed, heading, bearing, spin, sidespin,
        ring_restitution, board_restitution, friction,
    )  # fmt: skip
    shots, law = flat[:8], flat[8:]
    place, force, none = _place(ball, ring, board), force_constants(ball, air), np.empty((0, 15))
    out = np.empty(math.prod(shape), dtype=np.int8)

    def run(first: int, last: int) -> None:
        _kernel.play_many(shots, law, place, force, piece, none, out, first, last)

    spread(run, out.size)
    return out.reshape(shape)


def play_one(  # noqa: PLR0913 — as play
    along: float,
    across: float,
    entry_angle: float,
    entry_speed: float,
    *,
    ball: Ball,
    ring: Ring,
    board: Board,
    bearing: float = 0.0,
    heading: float = 0.0,
    contact: Contact = _USUAL,
    sidespin: float = 0.0,
    air: Air = STANDARD_AIR,
    most_touches: int = 60,
) -> Played:
    """Return what becomes of one shot known at the ring plane, and all it touches.

    Parameters
    ----------
    along, across, entry_angle, entry_speed, ball, ring, board, bearing, heading, sidespin, air
        As for ``play``.
    contact
        Restitutions, friction and backspin.
    most_touches
        How many touches to write down; the outcome follows all of them.

    Raises
    ------
    BadInput
        The ball is larger than the ring.
    NotAShot
        A number is not finite, or the ball is not falling.

    Notes
    -----
    Derived; see ``docs/physics.md``.
    """
    values = (along, across, entry_angle, entry_speed, bearing, heading, sidespin)
    if not all(math.isfinite(v) for v in values):
        raise NotAShot("A shot at the ring needs plain numbers; check along, across and angle.")
    if not (0.0 < entry_angle <= 0.5 * math.pi and 0.0 < entry_speed <= 40.0):
        raise NotAShot("A shot must come down: entry angle above 0° to 90°, speed above 0 m/s.")
    shots, _ = columns(
        along, across, entry_angle, entry_speed, heading, bearing, contact.spin, sidespin
    )
    law, _ = columns(contact.ring_restitution, contact.board_restitution, contact.friction)
    place, force = _place(ball, ring, board), force_constants(ball, air)
    log, out = np.full((most_touches, 15), np.nan), np.empty(1, dtype=np.int8)
    _kernel.play_many(shots, law, place, force, PIECE, log, out, 0, 1)
    rows = log[~np.isnan(log[:, 0])]
    return Played(
        outcome=Outcome(out[0]), touches=tuple(_touch(row, bearing=bearing) for row in rows)
    )


def _touch(row: Floats, *, bearing: float) -> Touch:
    """Read one row of the kernel's log, turned from the ring's axes to the shooter's."""
    s, c = math.sin(bearing), math.cos(bearing)

    def seen(first: int) -> Triple:
        x, y, z = (float(v) for v in row[first : first + 3])
        return c * y - s * x, c * x + s * y, z

    roll, back, upright = seen(6)
    return Touch(
        time=float(row[0]), surface=_SURFACES[int(row[1])], point=seen(2), centre=seen(12),
        normal_speed=float(row[5]), velocity=seen(9), spin=(roll, back, -upright),
    )  # fmt: skip


def shoot(  # noqa: PLR0913 — as play
    speed: ArrayLike,
    angle: ArrayLike,
    direction: ArrayLike = 0.0,
    *,
    distance: ArrayLike,
    rise: ArrayLike,
    ball: Ball,
    ring: Ring,
    board: Board,
    bearing: ArrayLike = 0.0,
    spin: ArrayLike = _USUAL.spin,
    sidespin: ArrayLike = 0.0,
    ring_restitution: ArrayLike = _USUAL.ring_restitution,
    board_restitution: ArrayLike = _USUAL.board_restitution,
    friction: ArrayLike = _USUAL.friction,
    air: Air = STANDARD_AIR,
    threads: int | None = None,
) -> Shots:
    """Return what becomes of shots known at release: full flight, then ring and board.

    Parameters
    ----------
    speed, angle, direction
        At release [m/s, rad above horizontal, rad right of the line to ring centre]; float64 of
        any shapes that broadcast, as all others.
    distance
        Floor distance from release to ring centre. [m]
    rise
        Ring height less release height. [m]
    ball, ring, board, bearing, spin, sidespin, ring_restitution, board_restitution, friction, air
        As for ``play``; spins at release.
    threads
        How many threads; one per core where left out.

    Raises
    ------
    BadInput
        The ball is larger than the ring.

    Notes
    -----
    Derived; see ``docs/physics.md``. Touches on the way up, before the ball has fallen to the
    ring plane's approach, are not modelled.
    """
    flat, shape = columns(
        speed, angle, direction, distance, rise, bearing, spin, sidespin,
        ring_restitution, board_restitution, friction,
    )  # fmt: skip
    shots, law = flat[:8], flat[8:]
    place, force, count = _place(ball, ring, board), force_constants(ball, air), math.prod(shape)
    landing, out = np.empty((count, 4)), np.empty(count, dtype=np.int8)

    def run(first: int, last: int) -> None:
        _kernel.shoot_many(shots, law, place, force, PIECE, landing, out, first, last)

    spread(run, count, threads=threads)
    return Shots(out.reshape(shape), *(column.reshape(shape) for column in landing.T))


def make_chance(  # noqa: PLR0913 — as play
    along: ArrayLike,
    across: ArrayLike,
    entry_angle: ArrayLike,
    entry_speed: ArrayLike | None = None,
    *,
    ball: Ball,
    ring: Ring,
    board: Board,
    bearing: ArrayLike = 0.0,
    air: Air = STANDARD_AIR,
    draws: int = 2048,
    rng: np.random.Generator | None = None,
) -> MakeChance:
    """Return the chance that shots go in, over the stated ranges of ``contact.RANGES``.

    Parameters
    ----------
    along, across, entry_angle, ball, ring, board, bearing, air
        As for ``play``.
    entry_speed
        At the ring plane [m/s]; where left out, it is drawn evenly over ``USUAL_ENTRY_SPEEDS``.
    draws
        How many sets of contact values each shot is played with.
    rng
        Where the draws come from; the same draws each time where left out.

    Raises
    ------
    BadInput
        The ball is larger than the ring.

    Notes
    -----
    Derived. The chance speaks of restitution, friction, backspin and, where not given, speed; not
    of an error in where the shot came down.
    """
    source = np.random.default_rng(0) if rng is None else rng
    ways = Contact.sample(source, draws)
    low, high = USUAL_ENTRY_SPEEDS
    speeds: ArrayLike = low + (high - low) * (source.permutation(draws) + 0.5) / draws
    if entry_speed is not None:
        speeds = np.asarray(entry_speed, dtype=np.float64)[..., None]
    a, c, angle = (np.asarray(v, dtype=np.float64)[..., None] for v in (along, across, entry_angle))
    outcomes = play(
        a, c, angle, speeds, ball=ball, ring=ring, board=board,
        bearing=np.asarray(bearing, dtype=np.float64)[..., None], air=air,
        **ways._asdict(),
    )  # fmt: skip
    shares = np.stack([(outcomes == one).mean(axis=-1) for one in Outcome], axis=-1)
    make = shares[..., : Outcome.ROLLS_IN + 1].sum(axis=-1)
    # one make and one miss more than drawn, so that no chance claims to be exact
    near = (make * draws + 1.0) / (draws + 2.0)
    error = np.sqrt(near * (1.0 - near) / draws)
    return MakeChance(make, error, shares, shares.argmax(axis=-1).astype(np.int8))
