"""Shots around the ring, and the sizes they are played with."""

import numpy as np
from numpy.typing import NDArray

from hoopwright.court.standards import ball, rule_book

Floats = NDArray[np.float64]

BALL = ball(7)
RING = rule_book("fiba").ring
BOARD = rule_book("fiba").board


def around_the_ring(count: int, *, seed: int) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """(along, across, entry angle, entry speed, bearing) of shots that mostly touch something."""
    rng = np.random.default_rng(seed)
    return (
        rng.uniform(-0.3, 0.65, count),
        rng.uniform(-0.28, 0.28, count),
        np.radians(rng.uniform(36.0, 54.0, count)),
        rng.uniform(5.3, 7.0, count),
        rng.uniform(-1.2, 1.2, count),
    )
