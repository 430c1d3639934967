"""Bosco, Luhtanen and Komi 1983, Eur J Appl Physiol 50:273: jump height from time in the air.

h = g·t²/8 for the flight time t, landing as one took off. From memory; also follows from a free
fall from the top, so it is derived as well.
"""

from dataclasses import replace

import pytest
from tests.film.stick import FLAT, act, camera_at, watch

from hoopwright.film.body import measure_body
from hoopwright.film.events import find_events, time_of
from hoopwright.film.results import Body, Moment
from hoopwright.flight.air import STANDARD_GRAVITY


@pytest.mark.parametrize("jump", [0.10, 0.20, 0.35])
def test_jump_rise_from_flight_time(jump: float) -> None:
    shooter = replace(FLAT, jump=jump, end=2.3)
    seen = watch(act(shooter, rate=120.0), camera_at(shooter, yaw=10.0), rate=120.0)
    events = find_events(seen)
    off, top = time_of(events, Moment.TOE_OFF), time_of(events, Moment.APEX)
    assert off is not None
    assert top is not None
    in_the_air = 2.0 * (top.time - off.time)
    rise = next(m for m in measure_body(seen, events)[0] if m.name is Body.JUMP_RISE)
    assert rise.value == pytest.approx(STANDARD_GRAVITY * in_the_air**2 / 8.0, abs=1e-4)
    assert rise.value == pytest.approx(jump, abs=0.005)
