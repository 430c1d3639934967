"""What a low frame rate does to events and angles: a study at 30 and 100 Hz, and the GUM.

Seen (a page that quotes the study, without its title): events differ by 30 to 36 ms, one frame at
30 Hz, while peak angles differ by about 1°. JCGM 100:2008 4.3.7 (memory): a value anywhere within
±a with equal chance has a standard uncertainty of a/√3.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.film.stick import FLAT, act, camera_at, knee_angle, watch

from hoopwright.film.body import measure_body
from hoopwright.film.events import find_events, time_of
from hoopwright.film.results import Body, Moment
from hoopwright.film.shooter.moments import sampling_sd


def test_lowest_knee_angle_at_30_pictures_a_second() -> None:
    for late in (0.0, 0.011, 0.022):
        # the dip falls between frames in three ways
        shooter = replace(
            FLAT, dip=1.0 + late, set=1.15 + late, toe_off=1.25 + late, release=1.29 + late
        )
        seen = watch(act(shooter, rate=30.0), camera_at(shooter), rate=30.0)
        events = find_events(seen)
        dip = time_of(events, Moment.DIP)
        assert dip is not None
        # our dip is found between frames: within the third of a frame that sampling leaves
        assert abs(dip.time - shooter.dip) < 0.036 / 3.0
        found = {m.name: m.value for m in measure_body(seen, events)[0]}
        lowest = float(knee_angle(shooter, np.array([shooter.dip]))[0])
        assert math.degrees(found[Body.KNEE_DIP]) == pytest.approx(lowest, abs=1.5)


@pytest.mark.parametrize("rate", [30.0, 100.0])
def test_sampling_is_a_rectangular_error(rate: float) -> None:
    half_a_frame = 0.5 / rate
    assert sampling_sd(rate) == pytest.approx(half_a_frame / math.sqrt(3.0))
