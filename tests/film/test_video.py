"""Reading film: the disc of a made clip is where and when it was put.

Times and places are known motion: each clip is made by the test. OpenCV's own reader, a second
build of the decoders, is the check from outside.
"""

import os
import resource
from pathlib import Path

import av
import cv2
import numpy as np
import pytest
from pytest import approx
from tests.film.made_clips import (
    HEIGHT,
    WIDTH,
    Pixels,
    disc_at,
    disc_picture,
    disc_seen,
    make_clip,
    make_mixed,
    make_sound,
)

from hoopwright.errors import BadFilm, BadInput
from hoopwright.film import _opened
from hoopwright.film.video import Pictures, look, may_be_slowed, read, still

KINDS = {
    "h264.mp4": ("libx264", {"bf": "3"}),
    "h264.mov": ("libx264", {"bf": "0"}),
    "hevc.mp4": ("libx265", {"x265-params": "log-level=none"}),
    "vp8.webm": ("libvpx", {"deadline": "realtime"}),
    "vp9.webm": ("libvpx-vp9", {"deadline": "realtime", "cpu-used": "8"}),
    "mjpeg.avi": ("mjpeg", {"q:v": "3"}),
    "mpeg4.avi": ("mpeg4", {"bf": "0"}),
    "mpeg4.mp4": ("mpeg4", {"bf": "2"}),
}


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One and a half seconds at 30 a second, H.264 with pictures stored out of order."""
    return make_clip(tmp_path_factory.mktemp("clips") / "plain.mp4", options={"g": "15", "bf": "3"})


def has_encoder(name: str) -> bool:
    try:
        av.codec.Codec(name, "w")
    except av.FFmpegError:
        return False
    return True


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


def refusal(path: Path | str) -> str:
    """The sentence that refuses a film, checked to be one; all three doors say the same."""
    said = set()
    for door in (look, read, lambda p: still(p, 0.0)):
        with pytest.raises(BadFilm) as caught:
            door(path)
        said.add(caught.value.message)
    assert len(said) == 1
    sentence = said.pop()
    assert sentence.endswith(".") and "\n" not in sentence and sentence[:-1].count(". ") == 0
    return sentence


def test_what_is_no_film_is_refused_in_one_sentence(tmp_path: Path) -> None:
    assert "no film at that place" in refusal(tmp_path / "none.mp4")
    assert "no film at that place" in refusal("a\0b.mp4")
    assert "a folder" in refusal(tmp_path)
    for name, content, said in [
        ("empty.mp4", b"", "empty"),
        ("text.mp4", b"make, miss\n" * 99, "not a film"),
        ("zip.mp4", b"PK\x03\x04" + bytes(range(256)) * 9, "not a film"),
        ("head.mp4", b"\0\0\0\x20ftypisom" + bytes(64), "breaks off"),
    ]:
        (tmp_path / name).write_bytes(content)
        assert said in refusal(tmp_path / name)
    assert "no moving picture" in refusal(make_sound(tmp_path / "voice.mp4"))
    assert "fewer than two" in refusal(make_clip(tmp_path / "one.mp4", frames=1))


def test_a_device_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.mp4")
    assert "not a film" in refusal(tmp_path / "pipe.mp4")


@pytest.mark.parametrize("ending", [".png", ".jpg", ".tiff", ".bmp", ".webp"])
def test_a_still_picture_under_a_films_name_is_refused(tmp_path: Path, ending: str) -> None:
    cv2.imwrite(str(tmp_path / f"still{ending}"), disc_picture(0))
    (tmp_path / f"still{ending}").rename(tmp_path / "still.mp4")
    assert "still picture" in refusal(tmp_path / "still.mp4")


def test_too_large_a_picture_is_refused_before_it_is_decoded(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    big = make_clip(
        tmp_path / "8k.mp4", frames=2, options={"preset": "ultrafast"},
        draw=lambda i: np.zeros((4320, 7680, 3), np.uint8),
    )  # fmt: skip

    def decoded(*args: object) -> None:
        raise AssertionError("decoded")

    monkeypatch.setattr(_opened.Opened, "decoded", decoded)
    assert "7680 × 4320 pixels" in refusal(big) and "1080p" in refusal(big)


def test_a_header_that_hides_the_true_size_does_not_get_past_the_decoder(tmp_path: Path) -> None:
    """A tiny file that unfolds: the header says 320 × 180, the pictures are 8K."""
    big = make_clip(
        tmp_path / "8k.avi", codec="mjpeg", frames=2,
        draw=lambda i: np.zeros((4320, 7680, 3), np.uint8),
    )  # fmt: skip
    content = big.read_bytes()
    true = np.array([7680, 4320], "<u4").tobytes()
    assert content.count(true) >= 1
    big.write_bytes(content.replace(true, np.array([320, 180], "<u4").tobytes()))
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    refusal(big)
    grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
    assert grown < 60_000  # kB; one such picture alone has 99 MB in colour


def test_a_film_whose_pictures_change_size_is_read_at_its_first_size(tmp_path: Path) -> None:
    """As browsers record when a network slows."""
    small = [cv2.resize(disc_picture(i), (160, 90)).astype(np.uint8) for i in range(10, 20)]
    clip = make_mixed(tmp_path / "mixed.avi", [*map(disc_picture, range(10)), *small])
    pictures = list(read(clip))
    assert {p.image.shape for p in pictures} == {(HEIGHT, WIDTH, 3)}
    for picture in pictures:
        assert disc_seen(picture.image) == approx(disc_at(picture.frame), abs=1.5)


def test_a_huge_picture_among_small_ones_is_left_out(tmp_path: Path) -> None:
    images = [disc_picture(i) for i in range(45)]
    images[20] = np.zeros((6000, 9000, 3), np.uint8)
    clip = make_mixed(tmp_path / "bomb.avi", images)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with read(clip) as reading:
        assert 20 not in [p.frame for p in reading]
    assert reading.skipped >= 1
    assert (
        resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 60_000
    )  # kB; 81 MB in Y, Cb, Cr


def test_endless_and_hours_long_films_are_refused(
    tmp_path: Path, plain: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    hour = make_clip(tmp_path / "hour.mp4", times=[0.0, 900.0, 1900.0])
    assert "half an hour" in refusal(hour)
    monkeypatch.setattr(_opened, "MOST_PICTURES", 20)
    assert "half an hour" in refusal(plain)


def test_a_film_that_breaks_off_is_read_as_far_as_it_goes(tmp_path: Path) -> None:
    """Index first, as phones that stream store it; three quarters of the pictures are there."""
    whole = make_clip(tmp_path / "whole.mp4", frames=80, movflags="faststart", options={"g": "15"})
    content = whole.read_bytes()
    cut = tmp_path / "cut.mp4"
    cut.write_bytes(content[: int(len(content) * 0.75)])
    facts = look(cut)
    assert "The end of the file is missing" in facts.notes[0]
    pictures = list(read(cut))
    assert 45 <= len(pictures) <= 65
    for picture in pictures:
        assert disc_seen(picture.image) == approx(disc_at(picture.frame), abs=0.6)
    assert still(cut, 60.0).shape == (HEIGHT, WIDTH, 3)
    cut.write_bytes(content[: int(len(content) * 0.25)])
    assert "breaks off" in refusal(cut)


def test_a_film_whose_index_was_never_written_is_refused(tmp_path: Path, plain: Path) -> None:
    cut = tmp_path / "cut.mp4"
    cut.write_bytes(plain.read_bytes()[:-2000])
    assert "breaks off" in refusal(cut)


def test_broken_pictures_in_the_middle_are_left_out_and_counted(tmp_path: Path) -> None:
    whole = make_clip(tmp_path / "whole.mp4", frames=90, options={"g": "15"})
    content = bytearray(whole.read_bytes())
    with av.open(str(whole)) as source:
        places = [(p.pos, p.size) for p in source.demux(video=0) if p.size and p.pos]
    for place, size in places[32:36]:
        content[place + 6 : place + size] = np.random.default_rng(place).bytes(size - 6)
    broken = tmp_path / "broken.mp4"
    broken.write_bytes(content)
    reading = read(broken)
    pictures = list(reading)
    assert 1 <= reading.skipped <= 20
    assert "broken pictures were left out" in reading.notes[0]
    assert any("broken" in note for note in look(broken).notes)
    assert len(pictures) >= 70 and pictures[-1].frame == 89
    for picture in pictures:
        assert picture.time == approx(picture.frame / 30, abs=1e-4)
        assert disc_seen(picture.image) == approx(disc_at(picture.frame), abs=0.6)


@pytest.mark.parametrize("kind", ["h264.mp4", "hevc.mp4", "vp8.webm", "mjpeg.avi", "mpeg4.mp4"])
def test_any_damage_is_read_or_refused_in_a_sentence(tmp_path: Path, kind: str) -> None:
    codec, options = KINDS[kind]
    if not has_encoder(codec):
        pytest.skip(f"no encoder {codec} here to make the clip with")
    whole = make_clip(tmp_path / kind, codec=codec, options=options, frames=12).read_bytes()
    damaged = tmp_path / f"damaged{kind}"
    outcomes = set()
    for seed in range(12):
        rng = np.random.default_rng(seed)
        content = np.frombuffer(whole, np.uint8).copy()
        # half of them only where headers are
        reach = len(content) if seed % 2 else 1200
        content[rng.integers(0, reach, size=2 + 8 * seed)] = rng.integers(0, 256)
        damaged.write_bytes(content.tobytes())
        try:
            look(damaged)
            times = [p.time for p in read(damaged)]
        except BadFilm as refused:
            assert refused.message.endswith(".")
            outcomes.add("refused")
        else:
            assert times == sorted(set(times))
            outcomes.add("read")
    assert outcomes == {"read", "refused"}


NAMES = ["-rf.mp4", "a;b $(touch x) `id`.mp4", "line\nbreak.mp4", "concat:a|b.mp4", "é ü 球.mp4"]


@pytest.mark.parametrize("name", [*NAMES, "http:127.0.0.1:9,x.mp4", "file:x.mp4", "%03d.mp4"])
def test_a_file_name_is_only_a_path(
    tmp_path: Path, plain: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path(name).write_bytes(plain.read_bytes())
    assert look(name).frames == len(list(read(name))) == 45
    assert sorted(os.listdir(tmp_path)) == [name]


def test_a_name_that_is_an_address_reaches_for_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    def reached(*args: object, **kwargs: object) -> None:
        raise AssertionError("handed to the demuxer")

    monkeypatch.setattr(av, "open", reached)
    for name in ("http://127.0.0.1:9/x.mp4", "concat:a.mp4|b.mp4", "pipe:0", "data:,x"):
        assert "no film at that place" in refusal(name)


@pytest.mark.parametrize(
    "text",
    [
        "#EXTM3U\n#EXT-X-TARGETDURATION:5\n#EXTINF:5,\n{}\n#EXT-X-ENDLIST\n",
        "ffconcat version 1.0\nfile '{}'\n",
        '<?xml version="1.0"?><MPD><BaseURL>{}</BaseURL></MPD>',
        "v=0\no=- 0 0 IN IP4 127.0.0.1\nm=video 9 RTP/AVP 96\n{}",
    ],
)
def test_a_list_of_other_files_leads_nowhere(tmp_path: Path, plain: Path, text: str) -> None:
    for name in ("list.mp4", "list.m3u8", "list.sdp"):
        (tmp_path / name).write_text(text.format(plain))
        assert "not a film" in refusal(tmp_path / name)


def test_memory_stays_flat_with_length(tmp_path: Path) -> None:
    """Ten times as many pictures take no more memory: 400 of them in colour would take 69 MB."""
    clip = make_clip(
        tmp_path / "long.mp4", frames=440, options={"preset": "ultrafast"},
        draw=lambda i: disc_picture(i % 16),
    )  # fmt: skip
    for _ in read(clip, last=1.0):
        pass
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    assert sum(1 for _ in read(clip)) == 440
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 20_000  # kB


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
