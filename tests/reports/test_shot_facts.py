"""A filmed shot in words: the ranges hold the whole error, each shot's own and the camera's."""

import math
from dataclasses import replace
from uuid import uuid4

import numpy as np

from hoopwright.film.results import BallPath, Body, BodyMeasure, FilmedShot, Flight, Measured
from hoopwright.records import MeasuredRelease
from hoopwright.reports.film_words import ball_numbers
from hoopwright.reports.shot_facts import shot_facts


def filmed(own: list[float], shared: list[float]) -> FilmedShot:
    """Return an invented shot with some errors of its release."""
    flight = Flight(
        time=0.5, position=(0.0, -2.0, 3.6), velocity=(0.0, 4.2, 0.0), spin=12.0, drag=1.0,
        covariance=tuple(np.eye(8).ravel().tolist()), first=0.0, last=1.0, rows=(0, 1), misfit=1.0,
    )  # fmt: skip
    release = MeasuredRelease(
        speed=7.0, angle=math.radians(52.0), direction=0.0, height=2.2, along=0.10, across=-0.05,
        covariance=tuple(np.diag(np.square(own)).ravel().tolist()),
        shared=tuple(np.diag(np.square(shared)).ravel().tolist()),
    )  # fmt: skip
    ball = BallPath(
        flight=flight, release_time=Measured(value=0.0, sd=0.01),
        ring_time=Measured(value=1.0, sd=0.01), release=release, release_point=(0.0, -4.0, 2.2),
        entry_angle=Measured(value=0.75, sd=0.01), apex=Measured(value=3.9, sd=0.02),
        release_height=Measured(value=2.2, sd=0.02), made=True, made_chance=0.97,
    )  # fmt: skip
    return FilmedShot(id=uuid4(), position=2, start=14.2, end=16.0, ball=ball)


def test_ranges_hold_own_and_shared_errors() -> None:
    """By hand: 3 and 4 make 5; 80 % of a normal lie within 1.2816 standard deviations."""
    degree = math.radians(1.0)
    shot = filmed([0.03, 0.3 * degree, 0.01, 0.03, 0.03], [0.04, 0.4 * degree, 0.01, 0.04, 0.04])
    said, shot_ball = shot_facts(shot), shot.ball
    assert shot_ball is not None
    lines = {line.name: line.said for line in said.ball}
    assert lines["release speed"] == "7.00 m/s (likely 6.94 to 7.06)"
    assert lines["release angle"] == "52.0° (likely 51.4 to 52.6)"
    on_pages = {one.key: one.said for one in ball_numbers(shot_ball)}
    assert on_pages["speed"] == "7.00 m/s (likely 6.94 to 7.06)"
    assert on_pages["along"].startswith("10 cm long (likely 4 to 16 cm long")
    alone = shot_facts(filmed([0.03, 0.3 * degree, 0.01, 0.03, 0.03], [0.0] * 5))
    assert {line.name: line.said for line in alone.ball}["release speed"] == (
        "7.00 m/s (likely 6.96 to 7.04)"
    )
    assert (said.title, said.result) == ("Shot 3, 14.2 s", "made, 97 chances in 100")


def test_body_measures_are_said_in_a_coachs_units() -> None:
    body = (
        BodyMeasure(name=Body.DIP_DEPTH, value=0.30, sd=0.02),
        BodyMeasure(name=Body.DIP_TO_RELEASE, value=0.412, sd=0.01),
    )
    told = shot_facts(replace(filmed([0.1] * 5, [0.0] * 5), body=body)).body
    assert [one.said for one in told] == ["30 cm (likely 27 to 33)", "412 ms (likely 399 to 425)"]
