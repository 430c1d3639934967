"""A reading goes to text and back unchanged, and damaged text is refused in one sentence."""

from uuid import UUID

import numpy as np
import pytest

from hoopwright.errors import BadFilm
from hoopwright.film.results import (
    BallPath,
    Body,
    BodyMeasure,
    ClipFacts,
    Doubt,
    Event,
    FilmedShot,
    FilmRead,
    Flag,
    Flight,
    Left,
    Measured,
    Moment,
    Poses,
)
from hoopwright.film.written import VERSION, from_json, load_poses, save_poses, to_json
from hoopwright.records import MeasuredRelease

CLIP = ClipFacts(
    width=1280, height=720, frames=600, duration=10.0, rate=60.0, slowed=1.0, codec="h264", turns=0
)
BALL = BallPath(
    flight=Flight(
        time=1.5, position=(0.0, -2.0, 3.5), velocity=(0.0, 4.0, 0.1), spin=12.6, drag=1.0,
        covariance=tuple(np.eye(8).ravel().tolist()), first=1.0, last=2.0,
        rows=(3, 4, 5), misfit=0.9,
    ),
    release_time=Measured(value=1.0, sd=0.01), ring_time=Measured(value=2.0, sd=0.002),
    release=MeasuredRelease(
        speed=7.3, angle=0.9, direction=0.01, height=2.1, along=0.05, across=-0.02,
        covariance=tuple(np.eye(5).ravel().tolist()),
    ),
    release_point=(0.0, -4.0, 2.1), entry_angle=Measured(value=0.8, sd=0.01),
    apex=Measured(value=4.0, sd=0.02), release_height=Measured(value=2.1, sd=0.02),
    made=True, made_chance=0.98,
)  # fmt: skip
SHOT = FilmedShot(
    id=UUID(int=7), position=0, start=0.0, end=3.0, ball=BALL,
    events=(Event(moment=Moment.SET, time=0.8, sd=0.01, by_hand=True),),
    body=(BodyMeasure(name=Body.KNEE_DIP, value=1.9, sd=0.1),),
    left_out=(Left(name=Body.HOLD, reason="The hand leaves the picture."),),
    doubts=(Doubt(flag=Flag.MISFIT, message="Look at it again.", refused=False),),
    trail=((1.0, 300.0, 200.5),), poses=0,
)  # fmt: skip


def test_a_reading_comes_back_unchanged() -> None:
    reading = FilmRead(clip=CLIP, shots=(SHOT,), notes=("One thing.",))
    assert from_json(to_json(reading)) == reading


@pytest.mark.parametrize(
    "text", ["", "{}", "[1]", '{"version": 1, "reading": {"clip": 3}}', "\x00"]
)
def test_damaged_text_is_refused(text: str) -> None:
    with pytest.raises(BadFilm, match="measure the film again"):
        from_json(text)


def test_another_version_is_refused() -> None:
    text = to_json(FilmRead(clip=CLIP, shots=())).replace(f'"version":{VERSION}', '"version":99')
    with pytest.raises(BadFilm, match="another version"):
        from_json(text)


def test_body_points_come_back() -> None:
    rng = np.random.default_rng(3)
    one = Poses(
        frame=np.arange(4), time=np.arange(4) / 60, points=rng.normal(500, 99, (4, 33, 2)),
        sd=rng.random((4, 33)), presence=rng.random((4, 33)), shape=rng.normal(0, 1, (4, 33, 3)),
        box=np.full((4, 4), np.nan), others=np.array([0, -1, 2, -1]),
    )  # fmt: skip
    back = load_poses(save_poses((one, one)))
    assert len(back) == 2
    np.testing.assert_array_equal(back[1].frame, one.frame)
    np.testing.assert_array_equal(back[1].others, one.others)
    np.testing.assert_array_equal(back[1].time, one.time)
    np.testing.assert_allclose(back[1].points, one.points, atol=1e-3)
    assert np.isnan(back[1].box).all()


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04", b"nonsense"])
def test_damaged_body_points_are_refused(content: bytes) -> None:
    with pytest.raises(BadFilm, match="measure the film again"):
        load_poses(content)
