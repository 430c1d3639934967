"""A drawn clip as a file: its times, size, rotation, rate of bits, and the truth beside it."""

import math
from dataclasses import replace
from pathlib import Path

import av
import numpy as np
import pytest

from hoopwright.errors import BadInput
from hoopwright.film.camera import Camera, project
from hoopwright.film.synthetic import places
from hoopwright.film.synthetic.draw import Drawn, draw_clip
from hoopwright.film.synthetic.phone import bit_rate, picture_times
from hoopwright.film.synthetic.setting import Codec, Phone, Setting
from hoopwright.film.synthetic.shots import KnownShot, Motion
from hoopwright.flight.arc import Release, fly
from hoopwright.flight.ring import is_make, shoot
from hoopwright.records import Spot

LINE = Spot(name="free throw", x=0.0, y=4.225)
RELEASE = Release(speed=7.42, angle=math.radians(52.0), height=2.15, spin=15.0)
QUICK = Motion(hold=0.05, dip=0.2, lift=0.25, push=0.16)
SMALL = (320, 180)
EMPTY = Setting(player=None, people=0, other_balls=0, after=0.0)


def side(size: tuple[int, int] = SMALL) -> Camera:
    return places.beside(LINE, size=size)


def clip(
    path: Path, phone: Phone, *, setting: Setting = EMPTY, size: tuple[int, int] = SMALL
) -> Drawn:
    shot = KnownShot(spot=LINE, start=0.0, release=RELEASE, motion=QUICK)
    return draw_clip(path, camera=side(size), shots=[shot], setting=replace(setting, phone=phone))


def decoded(path: Path) -> tuple[list[float], list[np.ndarray], int]:
    with av.open(str(path)) as file:
        stream = file.streams.video[0]
        frames = list(file.decode(stream))
        assert stream.time_base is not None
        times = [float(f.pts * stream.time_base) for f in frames if f.pts is not None]
        return times, [f.to_ndarray(format="bgr24") for f in frames], frames[0].rotation


def test_truth_of_the_ball_is_flight_seen_through_the_camera(tmp_path: Path) -> None:
    """Ours on another way: ``flight.arc.fly`` and the camera, at the times of the ball's row."""
    drawn = clip(tmp_path / "a.mp4", Phone(rate=30.0))
    arc = fly(RELEASE, ball=EMPTY.ball, distance=LINE.distance)
    released = drawn.shots[0].release_time
    touched = drawn.shots[0].first_touch or math.inf
    free = (drawn.ball_times > released) & (drawn.ball_times < min(released + arc.time, touched))
    since = drawn.ball_times[free] - released
    world = np.stack(
        [
            np.interp(since, arc.times, arc.sideways),
            np.interp(since, arc.times, arc.ahead) - LINE.distance,
            np.interp(since, arc.times, arc.heights),
        ],
        axis=-1,
    )
    assert free.sum() > 20
    # straight lines between points 0.01 s apart are within g·0.01²/8 of the arc
    np.testing.assert_allclose(drawn.ball[free], project(drawn.camera, world), atol=0.05)


def test_ball_times_are_those_of_the_row_it_is_on(tmp_path: Path) -> None:
    """Closed form: a row y of h is exposed readout · (y/(h − 1) − ½) after the middle one."""
    drawn = clip(tmp_path / "a.mp4", Phone(rate=30.0, readout=0.02))
    inside = drawn.visible
    late = drawn.ball_times - drawn.times
    np.testing.assert_allclose(
        late[inside], 0.02 * (drawn.ball[inside, 1] / (SMALL[1] - 1.0) - 0.5), atol=2e-4
    )


def test_the_ball_is_in_the_file_where_the_truth_says(tmp_path: Path) -> None:
    """Seen in the decoded file: what differs from the empty gym is centred on the truth."""
    drawn = clip(tmp_path / "a.mp4", Phone(rate=30.0, noise=0.5, flicker=0.0, drift=0.0))
    _, pictures, _ = decoded(drawn.path)
    still = np.median(np.stack(pictures), axis=0)
    seen = 0
    for n in np.flatnonzero(drawn.visible)[4:24:4]:
        change = np.abs(pictures[n].astype(float) - still).max(axis=2)
        rows, columns = np.nonzero(change > 45)
        if len(rows) < 8:
            continue
        middle = (0.5 * (columns.min() + columns.max()), 0.5 * (rows.min() + rows.max()))
        assert math.dist(middle, drawn.ball[n]) < 1.5
        seen += 1
    assert seen >= 3


@pytest.mark.parametrize("speed", [7.42, 7.1, 6.85])
def test_made_is_what_the_ring_model_says(speed: float, tmp_path: Path) -> None:
    shot = KnownShot(spot=LINE, start=0.0, release=replace(RELEASE, speed=speed), motion=QUICK)
    phone = Phone(rate=5.0, shutter=0.005)
    drawn = draw_clip(
        tmp_path / "a.mp4", camera=places.beside(LINE, size=(64, 36)), shots=[shot],
        setting=replace(EMPTY, phone=phone),
    )  # fmt: skip
    played = shoot(
        speed, RELEASE.angle, distance=LINE.distance, rise=3.05 - RELEASE.height, spin=15.0,
        ball=EMPTY.ball, ring=EMPTY.book.ring, board=EMPTY.book.board,
    )  # fmt: skip
    one = drawn.shots[0]
    assert one.made == bool(is_make(played.outcome))
    assert (one.along, one.across) == pytest.approx((float(played.along), float(played.across)))
    assert one.entry_angle == pytest.approx(float(played.entry_angle))


def test_uneven_times_and_dropped_pictures_are_kept(tmp_path: Path) -> None:
    drawn = clip(tmp_path / "a.mp4", Phone(rate=30.0, jitter=0.08, dropped=0.1))
    times, _, _ = decoded(drawn.path)
    np.testing.assert_allclose(np.array(times) - times[0], drawn.times, atol=1.5e-5)
    gaps = np.diff(times)
    assert gaps.std() > 0.02 / 30.0 and gaps.max() > 1.6 / 30.0


def test_slow_motion_plays_slower(tmp_path: Path) -> None:
    phone = Phone(rate=240.0, shutter=1 / 480, readout=0.004, slowed=8.0)
    drawn = clip(tmp_path / "a.mp4", phone, size=(64, 36))
    times, _, _ = decoded(drawn.path)
    assert np.diff(times).mean() == pytest.approx(1.0 / 30.0, rel=1e-3)
    assert np.diff(drawn.times).mean() == pytest.approx(1.0 / 240.0, rel=1e-3)


@pytest.mark.parametrize(("turns", "angle"), [(1, -90), (2, 180), (3, 90)])
def test_turned_phone_says_so(turns: int, angle: int, tmp_path: Path) -> None:
    """ISO/IEC 14496-12 track matrix, as FFmpeg reads it: counter-clockwise degrees to upright."""
    upright = clip(tmp_path / "a.mp4", Phone(rate=5.0, noise=0.5))
    turned = clip(tmp_path / "b.mp4", Phone(rate=5.0, noise=0.5, turns=turns))
    _, plain, none = decoded(upright.path)
    _, stored, rotation = decoded(turned.path)
    assert none == 0 and rotation in (angle, angle - 360, angle + 360)
    again = np.rot90(stored[0], -turns)
    assert again.shape == plain[0].shape
    assert np.abs(again.astype(int) - plain[0].astype(int)).mean() < 6.0


@pytest.mark.parametrize(
    ("size", "rate", "low", "high"),
    [((1920, 1080), 60.0, 17e6, 25e6), ((1280, 720), 30.0, 5.5e6, 8e6)],
)
def test_bit_rates_are_phones(size: tuple[int, int], rate: float, low: float, high: float) -> None:
    """Common practice, no source: 1080p60 some 17–25 Mbit/s, 720p30 some 6–8."""
    assert low <= bit_rate(Phone(rate=rate), *size) <= high


def test_file_has_about_the_bits_asked_for(tmp_path: Path) -> None:
    drawn = clip(tmp_path / "a.mp4", Phone(rate=30.0, bit_rate=1_000_000, noise=4.0))
    made = 8.0 * drawn.path.stat().st_size / (drawn.times[-1] + 1 / 30.0)
    assert 0.7e6 < made < 1.4e6


def test_hevc_is_packed_too(tmp_path: Path) -> None:
    drawn = clip(tmp_path / "a.mp4", Phone(rate=10.0, codec=Codec.HEVC))
    with av.open(str(drawn.path)) as file:
        assert file.streams.video[0].codec_context.name == "hevc"
        assert sum(1 for _ in file.decode(video=0)) == len(drawn.times)


def test_picture_times_start_at_zero_and_rise() -> None:
    times = picture_times(Phone(jitter=0.3, dropped=0.3), 3.0, np.random.default_rng(0))
    assert times[0] == 0.0
    assert (np.diff(times) > 0.0).all()


def test_same_seed_draws_the_same_clip(tmp_path: Path) -> None:
    phone, full = Phone(rate=6.0), Setting(after=0.0)
    one = clip(tmp_path / "a.mp4", phone, setting=full)
    two = clip(tmp_path / "b.mp4", phone, setting=full)
    assert one.path.read_bytes() == two.path.read_bytes()
    other = clip(tmp_path / "c.mp4", phone, setting=replace(full, seed=1))
    assert one.path.read_bytes() != other.path.read_bytes()


def test_cameras_see_shooter_shot_and_ring() -> None:
    """Closed form: projections of release, apex and ring lie in the picture from every place."""
    shots = ((LINE, 7.42, 2.15), (Spot(name="top", x=0.0, y=6.75), 8.85, 2.3))
    for spot, speed, height in shots:
        arc = fly(
            Release(speed=speed, angle=0.9, height=height), ball=EMPTY.ball, distance=spot.distance
        )
        way = np.stack([0.0 * arc.times, arc.ahead - spot.distance, arc.heights], axis=-1)
        cameras = [
            places.beside(spot, angle=math.radians(a), away=9.0 + 2 * (spot.y > 5))
            for a in (60, 90, 120, -60, -90, -120)
        ]
        for camera in (*cameras, places.behind(spot, back=3.5), places.behind(spot, back=2.5)):
            seen = project(camera, way)
            assert np.isfinite(seen).all()
            assert (seen > 0.0).all() and (seen < (camera.width, camera.height)).all()


@pytest.mark.parametrize(
    "wrong",
    [{"rate": 0.0}, {"shutter": 1.0}, {"jitter": 0.9}, {"turns": 4}, {"slowed": 0.5},
     {"flicker": 0.1}, {"readout": math.nan}],
)  # fmt: skip
def test_phone_that_is_none_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(BadInput):
        Phone(**wrong)  # type: ignore[arg-type]


def test_odd_picture_is_refused(tmp_path: Path) -> None:
    odd = replace(side(), width=321)
    with pytest.raises(BadInput, match="even"):
        draw_clip(
            tmp_path / "a.mp4", camera=odd, shots=[KnownShot(spot=LINE, start=0, release=RELEASE)]
        )


def test_progress_rises(tmp_path: Path) -> None:
    told: list[float] = []
    shot = KnownShot(spot=LINE, start=0.0, release=RELEASE, motion=QUICK)
    draw_clip(
        tmp_path / "a.mp4", camera=places.beside(LINE, size=(64, 36)), shots=[shot],
        setting=replace(EMPTY, phone=Phone(rate=20.0)), progress=told.append,
    )  # fmt: skip
    assert told[0] == 0.0 and told == sorted(told) and 0.5 < told[-1] <= 1.0
