"""Reading film: the disc of a made clip is where and when it was put.

Times and places are known motion: each clip is made by the test. OpenCV's own reader, a second
build of the decoders, is the check from outside.
"""

import os
from fractions import Fraction
from pathlib import Path

import av
import cv2
import numpy as np
import pytest
from pytest import approx
from tests.film.made_clips import (
    HEIGHT,
    KINDS,
    WIDTH,
    Pixels,
    disc_at,
    disc_picture,
    disc_seen,
    has_encoder,
    make_clip,
)

from hoopwright.errors import BadInput
from hoopwright.film.video import Pictures, look, may_be_slowed, read, still


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One and a half seconds at 30 a second, H.264 with pictures stored out of order."""
    return make_clip(tmp_path_factory.mktemp("clips") / "plain.mp4", options={"g": "15", "bf": "3"})


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_file_gives_the_disc_where_and_when_it_was(tmp_path: Path, kind: str) -> None:
    codec, options = KINDS[kind]
    if not has_encoder(codec):
        pytest.skip(f"no encoder {codec} here to make the clip with")
    clip = make_clip(tmp_path / kind, codec=codec, options=options, frames=20)
    facts = look(clip)
    assert (facts.width, facts.height, facts.frames) == (WIDTH, HEIGHT, 20)
    assert facts.codec == kind.split(".")[0]
    assert facts.rate == approx(30.0, abs=0.05)  # one container keeps whole milliseconds
    assert facts.duration == approx(19 / 30, abs=1e-3)
    assert facts.notes == ()
    pictures = list(read(clip))
    assert [p.frame for p in pictures] == list(range(20))
    for number, picture in enumerate(pictures):
        assert picture.time == approx(number / 30, abs=6e-4)
        assert picture.image.shape == (HEIGHT, WIDTH, 3)
        assert disc_seen(picture.image) == approx(disc_at(number), abs=0.6)


def test_pictures_agree_with_another_reader(plain: Path) -> None:
    """OpenCV's reader, with its own build of the decoder."""
    other = cv2.VideoCapture(str(plain), cv2.CAP_FFMPEG)
    ours = list(read(plain))
    for picture in ours:
        told, image = other.read()
        assert told
        assert other.get(cv2.CAP_PROP_POS_MSEC) == approx(1000 * picture.time, abs=0.1)
        assert np.abs(image.astype(int) - picture.image).mean() < 1.0
    assert not other.read()[0]
    assert len(ours) == 45


def test_times_are_the_files_own_where_the_rate_varies(tmp_path: Path) -> None:
    rng = np.random.default_rng(5)
    times = np.cumsum(np.r_[0.0, rng.choice([1 / 60, 1 / 30, 1 / 24], size=59)])
    clip = make_clip(tmp_path / "varying.mp4", times=times.tolist())
    read_back = [p.time for p in read(clip)]
    np.testing.assert_allclose(read_back, times, atol=2e-5)
    assert "changed its rate" in look(clip).notes[0]


def test_lost_pictures_are_told(tmp_path: Path) -> None:
    times = [i / 30 for i in range(50) if i not in (20, 21, 35)]
    facts = look(make_clip(tmp_path / "lost.mp4", times=times))
    assert facts.rate == approx(30.0, abs=1e-3)
    assert facts.notes == (
        "About 3 pictures were never stored; shots at those moments are less sure.",
    )


def test_repeated_pictures_are_told_and_a_still_scene_is_not_blamed(tmp_path: Path) -> None:
    """Every fifth picture repeats the one before: film of 24 a second converted to 30."""
    repeating = make_clip(tmp_path / "r.mp4", frames=60, draw=lambda i: disc_picture(i - i // 5))
    told = look(repeating).notes
    assert len(told) == 1 and "repeat the one before" in told[0]
    assert 15 <= int(told[0].split()[1]) <= 21

    def still_scene(number: int) -> Pixels:
        return disc_picture(max(number - 40, 0))

    assert look(make_clip(tmp_path / "s.mp4", frames=60, draw=still_scene)).notes == ()


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("turned", [0, 90, 180, 270])
def test_a_turned_picture_is_set_upright(tmp_path: Path, turned: int, mirrored: bool) -> None:
    """The flag says how to turn what is stored; NumPy does it to the picture that was stored."""
    clip = make_clip(tmp_path / "t.mp4", frames=3, turned=turned, mirrored=mirrored)
    # the writer turns counter-clockwise, then mirrors left to right, as its documentation says
    shown = np.rot90(disc_picture(0), turned // 90)
    shown = shown[:, ::-1] if mirrored else shown
    facts = look(clip)
    first = next(iter(read(clip)))
    assert (facts.height, facts.width) == first.image.shape[:2] == shown.shape[:2]
    assert facts.turns == (-turned // 90) % 4 or mirrored
    assert disc_seen(first.image) == approx(disc_seen(shown), abs=0.6)


@pytest.mark.parametrize("shift", [-0.5, 2.0])
def test_time_begins_at_the_first_picture_shown(tmp_path: Path, plain: Path, shift: float) -> None:
    """An edit list cuts the first half second away, or starts late."""
    moved = tmp_path / "moved.mp4"
    options = {"avoid_negative_ts": "disabled"}
    with av.open(str(plain)) as source, av.open(str(moved), "w", options=options) as out:
        stream = out.add_stream_from_template(source.streams.video[0])
        for packet in source.demux(video=0):
            if packet.dts is not None and packet.pts is not None:
                ticks = round(shift / float(packet.time_base))
                packet.pts, packet.dts = packet.pts + ticks, packet.dts + ticks
                packet.stream = stream
                out.mux(packet)
    skipped = 15 if shift < 0 else 0
    pictures = list(read(moved))
    assert look(moved).frames == len(pictures) == 45 - skipped
    for number, picture in enumerate(pictures):
        assert picture.frame == number
        assert picture.time == approx(number / 30, abs=1e-4)
        assert disc_seen(picture.image) == approx(disc_at(number + skipped), abs=0.6)


def test_pixels_that_are_not_square_are_made_so_and_interlacing_is_told(tmp_path: Path) -> None:
    """Each stored pixel is 4 wide to 3 high."""
    clip = tmp_path / "wide.mp4"
    with av.open(str(clip), "w") as out:
        stream = out.add_stream("libx264", rate=30, options={"x264-params": "interlaced=1"})
        stream.width, stream.height, stream.pix_fmt = 320, 192, "yuv420p"
        stream.codec_context.sample_aspect_ratio = Fraction(4, 3)
        for number in range(6):
            frame = av.VideoFrame.from_ndarray(disc_picture(number, 320, 192), format="bgr24")
            frame.pts, frame.time_base = number, Fraction(1, 30)
            out.mux(stream.encode(frame))
        out.mux(stream.encode())
    facts = look(clip)
    assert (facts.width, facts.height) == (427, 192)
    assert len(facts.notes) == 1 and "interlaced" in facts.notes[0]
    x, y = disc_at(3)
    # the middle of the first pixel is at 0, so widths stretch about −½
    assert disc_seen(list(read(clip))[3].image) == approx((x * 4 / 3 + 1 / 6, y), abs=0.6)


def test_pictures_of_ten_bits_are_read_as_eight(tmp_path: Path) -> None:
    """As phones film with a high dynamic range."""
    if not has_encoder("libx265"):
        pytest.skip("no HEVC encoder here to make the clip with")
    clip = make_clip(
        tmp_path / "ten.mp4", frames=6, codec="libx265", colours="yuv420p10le",
        options={"x265-params": "log-level=none"},
    )  # fmt: skip
    for gray in (False, True):
        for picture in read(clip, gray=gray):
            assert picture.image.dtype == np.uint8
            assert disc_seen(picture.image) == approx(disc_at(picture.frame), abs=0.6)


def test_a_stretch_is_the_same_pictures_as_in_the_whole(plain: Path) -> None:
    whole = list(read(plain))
    for first, last in [(0.0, 0.2), (0.5, 0.9), (1.2, None), (whole[40].time, whole[40].time)]:
        part = list(read(plain, first=first, last=last))
        end = np.inf if last is None else last
        wanted = [p for p in whole if first - 1e-6 <= p.time <= end + 1e-6]
        assert [(p.frame, p.time) for p in part] == [(p.frame, p.time) for p in wanted]
        assert all(np.array_equal(a.image, b.image) for a, b in zip(part, wanted, strict=True))


def test_a_stretch_far_into_a_clip_is_reached_by_key_pictures(tmp_path: Path) -> None:
    clip = make_clip(tmp_path / "long.mp4", frames=240, options={"g": "30", "bf": "3"})
    part = list(read(clip, first=5.0, last=5.5))
    assert [p.frame for p in part] == list(range(150, 166))
    assert disc_seen(part[0].image) == approx(disc_at(150), abs=0.6)


def test_pictures_are_given_gray_and_smaller_on_request(plain: Path) -> None:
    small = next(iter(read(plain, size=(160, 90), gray=True)))
    assert small.image.shape == (90, 160)
    x, y = disc_seen(small.image)
    assert (2 * x + 0.5, 2 * y + 0.5) == approx(disc_at(0), abs=1.0)
    # gray is brightness by BT.601, within the rounding of the stored colours
    full = next(iter(read(plain, gray=True))).image.astype(float)
    colour = next(iter(read(plain))).image.astype(float)
    assert full == approx(colour @ np.array([0.114, 0.587, 0.299]), abs=6.0)


def test_a_turned_clip_takes_the_size_of_the_upright_picture(tmp_path: Path) -> None:
    clip = make_clip(tmp_path / "t.mp4", frames=3, turned=90)
    assert next(iter(read(clip, size=(90, 160)))).image.shape == (160, 90, 3)


def test_a_still_is_the_nearest_picture(plain: Path) -> None:
    for time, frame in [(0.49, 15), (0.52, 16), (-3.0, 0), (99.0, 44)]:
        assert disc_seen(still(plain, time)) == approx(disc_at(frame), abs=0.6)


def test_slow_motion_is_stretched_back(tmp_path: Path) -> None:
    """Filmed at 240 a second, stored to play at 30: eight times slower."""
    said = make_clip(tmp_path / "said.mp4", metadata={"org.example.capture.fps": "240.000000"})
    facts = look(said)
    assert (facts.slowed, facts.rate_known, may_be_slowed(facts)) == (8.0, True, None)
    assert facts.rate == approx(240.0)
    assert [p.time for p in read(said)] == approx([i / 240 for i in range(45)])
    assert facts.duration == approx(44 / 240)
    # what the person says counts more
    assert look(said, slowed=4.0).rate == approx(120.0)
    assert [p.frame for p in read(said, slowed=4.0, first=0.2, last=0.3)] == list(range(24, 37))


def test_slow_motion_that_the_file_hides_is_asked_for(tmp_path: Path, plain: Path) -> None:
    facts = look(plain)
    question = may_be_slowed(facts)
    assert facts.slowed == 1.0 and question is not None
    assert "plays at 30 pictures a second" in question and question.endswith(".")
    assert may_be_slowed(look(plain, slowed=1.0)) is None
    fast = make_clip(tmp_path / "fast.mp4", times=[i / 120 for i in range(30)])
    assert may_be_slowed(look(fast)) is None


def test_a_time_lapse_is_told(tmp_path: Path) -> None:
    clip = make_clip(tmp_path / "lapse.mp4", metadata={"org.example.capture.fps": "2"})
    assert "speeded up" in look(clip).notes[0]


@pytest.mark.parametrize("text", ["many", "nan", "0", "-240", "1e99"])
def test_a_stated_rate_that_cannot_be_is_passed_over(tmp_path: Path, text: str) -> None:
    clip = make_clip(tmp_path / "odd.mp4", frames=5, metadata={"org.example.capture.fps": text})
    assert (look(clip).slowed, look(clip).rate_known) == (1.0, False)


def test_the_file_is_let_go_at_the_end_and_on_leaving(plain: Path) -> None:
    def open_files() -> int:
        return len(os.listdir("/proc/self/fd"))

    before = open_files()
    reading = read(plain)
    assert isinstance(reading, Pictures) and open_files() > before
    assert len(list(reading)) == reading.total == 45
    with read(plain) as part:
        next(part)
    assert open_files() == before


@pytest.mark.parametrize("slowed", [0.0, -8.0, float("nan"), 1e6])
def test_a_slowing_that_cannot_be_is_refused(plain: Path, slowed: float) -> None:
    with pytest.raises(BadInput, match="give a factor"):
        look(plain, slowed=slowed)


def test_a_stretch_or_size_that_cannot_be_is_refused(plain: Path) -> None:
    with pytest.raises(BadInput, match="before it ends"):
        read(plain, first=1.0, last=0.5)
    with pytest.raises(BadInput, match="before it ends"):
        read(plain, first=float("nan"))
    with pytest.raises(BadInput, match="2 pixels"):
        read(plain, size=(0, 10))
