"""Draws over the contact ranges."""

import math

import numpy as np
import pytest

from hoopwright.flight.contact import RANGES, Contact, restitution_at_ring


def test_draws_fill_the_ranges_evenly_and_alike_for_the_same_seed() -> None:
    draws = Contact.sample(np.random.default_rng(3), 1024)
    again = Contact.sample(np.random.default_rng(3), 1024)
    for name in ("board_restitution", "friction", "spin"):
        low, high = RANGES[name]
        values = getattr(draws, name)
        assert np.array_equal(values, getattr(again, name))
        counts, _ = np.histogram(values, bins=8, range=(low, high))
        assert counts.sum() == 1024
        assert counts.min() > 120
    low = float(restitution_at_ring(RANGES["ball_restitution"][0], RANGES["ring_absorption"][1]))
    high = float(restitution_at_ring(RANGES["ball_restitution"][1], RANGES["ring_absorption"][0]))
    assert low < draws.ring_restitution.min() < low + 0.01
    assert high - 0.01 < draws.ring_restitution.max() < high


@pytest.mark.parametrize("count", [1, 3, 100])
def test_any_number_can_be_drawn(count: int) -> None:
    assert len(Contact.sample(np.random.default_rng(0), count).spin) == count


def test_every_default_lies_within_its_range() -> None:
    usual = Contact()
    for name, (low, high) in RANGES.items():
        assert low <= getattr(usual, name) <= high
    assert usual.spin == pytest.approx(2.5 * 2.0 * math.pi)
