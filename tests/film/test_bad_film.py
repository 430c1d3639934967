"""What comes as a film and is none, is broken or means harm: one sentence, and nothing reached."""

import importlib
import os
from pathlib import Path
from typing import Any

import av
import cv2
import numpy as np
import pytest
from pytest import approx
from tests.film.made_clips import (
    HEIGHT,
    KINDS,
    WIDTH,
    disc_at,
    disc_picture,
    disc_seen,
    has_encoder,
    make_clip,
    make_mixed,
    make_sound,
)

from hoopwright.errors import BadFilm
from hoopwright.film import _opened
from hoopwright.film.confined import run_confined
from hoopwright.film.video import look, read, still


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One and a half seconds at 30 a second, H.264."""
    return make_clip(tmp_path_factory.mktemp("clips") / "plain.mp4", options={"g": "15", "bf": "3"})


@pytest.fixture(autouse=True)
def _work_can_be_found(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(Path(__file__).parent))


def apart(name: str, *args: object) -> Any:
    """Run a function of ``confined_work`` in a fresh process, where memory can be told."""
    return run_confined(getattr(importlib.import_module("confined_work"), name), *args)


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
    sentence, grown = apart("growth_in_refusing", big)
    assert sentence == refusal(big)
    assert grown < 30_000  # kB; one such picture has 50 MB as stored and 99 in colour


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
    assert 20 not in [p.frame for p in read(clip)]
    count, skipped, grown = apart("growth_in_reading", clip, 0.5)
    assert count + skipped == 45 and skipped >= 1
    assert grown < 30_000  # kB; the picture has 81 MB as stored


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
