"""Follow one shot: from the hand to the ring, or from the ring plane on; no database."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

import numpy as np

from hoopwright.court.standards import Ball, RuleBook, at_height, ball, check_fits, rule_book
from hoopwright.flight.air import Air
from hoopwright.flight.arc import Arc, Release, fly
from hoopwright.flight.contact import Contact
from hoopwright.flight.ring import (
    USUAL_ENTRY_SPEEDS,
    Played,
    is_make,
    make_chance,
    play,
    play_one,
)

#: drag coefficient and lift slope over their ranges, lowest, middle, highest; see ``flight.air``
_AIRS = tuple(product((0.47, 0.505, 0.54), (0.5, 0.75, 1.0)))
#: sets of contact values a flown shot is played with, per air
_DRAWS = 512


@dataclass(frozen=True, slots=True, kw_only=True)
class Equipment:
    """The ball, and the book with ring and board at the height asked for."""

    ball: Ball
    book: RuleBook


def equipment(ball_size: int, *, rules: str, ring_height: float | None) -> Equipment:
    """Return a ball, and a rule book at the ring height asked for.

    Raises
    ------
    BadInput, UnknownName
        No such ball or rule book, a ring height out of sense, a ball that does not fit.
    """
    book = rule_book(rules)
    if ring_height is not None:
        book = at_height(book, ring_height)
    one = ball(ball_size, rules=rules)
    check_fits(one, book.ring)
    return Equipment(ball=one, book=book)


@dataclass(frozen=True, slots=True, kw_only=True)
class Met:
    """One shot at the ring."""

    #: where the ball's centre would come down: + long [m]
    along: float
    #: + right [m]
    across: float
    #: below horizontal [rad]
    entry_angle: float
    #: [m/s]
    entry_speed: float
    #: with the usual contact values
    played: Played
    #: chance to go in over what is uncertain, and its sampling error
    make: float
    make_error: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Flown:
    """One shot from hand to ring."""

    arc: Arc
    #: the same shot over the ranges of drag and spin force; the one arc without air
    others: tuple[Arc, ...]
    met: Met

    def ends(self, name: str) -> tuple[float, float]:
        """Return the lowest and highest value of one number of the arc over the air's ranges."""
        values = [getattr(arc, name) for arc in (self.arc, *self.others)]
        return min(values), max(values)


def _play(arc: Arc, gear: Equipment, *, bearing: float, spin: float, air: Air) -> Played:
    return play_one(
        arc.along,
        arc.across,
        arc.entry_angle,
        arc.entry_speed,
        ball=gear.ball,
        ring=gear.book.ring,
        board=gear.book.board,
        bearing=bearing,
        heading=arc.heading,
        contact=Contact(spin=spin),
        air=air,
    )


def _share(arcs: Sequence[Arc], gear: Equipment, *, bearing: float, spin: float) -> float:
    """Return the share of makes over arcs and contact values."""
    ways = Contact.sample(np.random.default_rng(0), _DRAWS)

    def column(name: str) -> np.ndarray[Any, np.dtype[np.float64]]:
        return np.array([[getattr(arc, name)] for arc in arcs])

    outcomes = play(
        column("along"),
        column("across"),
        column("entry_angle"),
        column("entry_speed"),
        ball=gear.ball,
        ring=gear.book.ring,
        board=gear.book.board,
        bearing=bearing,
        heading=column("heading"),
        spin=spin,
        ring_restitution=ways.ring_restitution,
        board_restitution=ways.board_restitution,
        friction=ways.friction,
    )
    return float(is_make(outcomes).mean())


def follow(
    release: Release, gear: Equipment, *, distance: float, bearing: float, air: Air
) -> Flown:
    """Fly a release, over the ranges of the air's coefficients too, and play it at the ring.

    Parameters
    ----------
    release, gear, air
        What is flown, with what, in what.
    distance
        Floor distance from release to ring centre [m].
    bearing
        From straight in front of the board, + right [rad].

    Raises
    ------
    NotAShot
        The ball never comes down through the ring plane.
    """
    height = gear.book.ring.height

    def arc_in(one: Air) -> Arc:
        return fly(release, ball=gear.ball, distance=distance, air=one, ring_height=height)

    arc = arc_in(air)
    ends = (
        []
        if air.density == 0.0
        else [replace(air, drag_coefficient=d, lift_slope=s) for d, s in _AIRS]
    )
    others = tuple(arc_in(one) for one in ends)
    share = _share(others or (arc,), gear, bearing=bearing, spin=release.spin)
    count = _DRAWS * max(1, len(others))
    met = Met(
        along=arc.along,
        across=arc.across,
        entry_angle=arc.entry_angle,
        entry_speed=arc.entry_speed,
        played=_play(arc, gear, bearing=bearing, spin=release.spin, air=air),
        make=share,
        make_error=math.sqrt((share * count + 1) * ((1 - share) * count + 1) / (count + 2) ** 3),
    )
    return Flown(arc=arc, others=others, met=met)


def meet_ring(
    along: float,
    across: float,
    *,
    entry_angle: float,
    entry_speed: float | None,
    bearing: float,
    gear: Equipment,
) -> Met:
    """Play a shot known at the ring plane; metres, radians.

    Where the entry speed is not known, the chance is over all usual ones and the touches are those
    of the middle one.
    """
    ring, board = gear.book.ring, gear.book.board
    chance = make_chance(
        along, across, entry_angle, entry_speed,
        ball=gear.ball, ring=ring, board=board, bearing=bearing,
    )  # fmt: skip
    speed = sum(USUAL_ENTRY_SPEEDS) / 2 if entry_speed is None else entry_speed
    played = play_one(
        along, across, entry_angle, speed,
        ball=gear.ball, ring=ring, board=board, bearing=bearing,
    )  # fmt: skip
    return Met(
        along=along, across=across, entry_angle=entry_angle, entry_speed=speed, played=played,
        make=float(chance.make), make_error=float(chance.error),
    )  # fmt: skip
