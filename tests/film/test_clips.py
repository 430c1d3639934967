"""Clips that were written are read back: their times, what is drawn, and what must not be in them.

The films are made by the test, so every time and place is known motion.
"""

from dataclasses import replace
from pathlib import Path
from uuid import UUID

import av
import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from pytest import approx
from tests.film.made_clips import HEIGHT, WIDTH, Pixels, disc_at, disc_picture, make_clip

from hoopwright.errors import BadFilm, BadInput
from hoopwright.film import _mp4
from hoopwright.film.caption import PHONE, band_height
from hoopwright.film.clips import Shown, release_of, side_by_side, write_clip
from hoopwright.film.results import (
    BallPath,
    Event,
    FilmedShot,
    Flight,
    Measured,
    Moment,
    Poses,
)
from hoopwright.film.stills import moments_of, write_stills
from hoopwright.film.video import look, picture_times, read, still
from hoopwright.records import MeasuredRelease

#: where the disc of a made clip is, as a trail at 30 a second
TRAIL = tuple((i / 30, float(disc_at(i)[0]), float(disc_at(i)[1])) for i in range(45))
#: a face that looks out at the right
FACE = (200.0, 90.0, 260.0, 150.0)


def event(moment: Moment, time: float) -> Event:
    return Event(moment=moment, time=time, sd=0.01)


def ball(release: float, landing: float) -> BallPath:
    one = Measured(value=1.0, sd=0.1)
    return BallPath(
        flight=Flight(
            time=1.0, position=(0.0, -2.0, 3.5), velocity=(0.0, 4.0, 0.1), spin=12.6, drag=1.0,
            covariance=(0.0,) * 64, first=0.5, last=1.2, rows=(1,), misfit=1.0,
        ),
        release_time=Measured(value=release, sd=0.01), ring_time=Measured(value=landing, sd=0.01),
        release=MeasuredRelease(
            speed=7.3, angle=0.9, direction=0.0, height=2.1, along=0.0, across=0.0,
            covariance=tuple(np.eye(5).ravel().tolist()),
        ),
        release_point=(0.0, -4.0, 2.1), entry_angle=one, apex=one, release_height=one,
        made=True, made_chance=0.9,
    )  # fmt: skip


def shot(release: float = 0.5, **other: object) -> FilmedShot:
    plain = FilmedShot(
        id=UUID(int=1), position=0, start=0.2, end=1.2, ball=None, trail=TRAIL,
        events=(event(Moment.RELEASE, release),),
    )  # fmt: skip
    return replace(plain, **other)  # type: ignore[arg-type]


def with_face(number: int) -> Pixels:
    """The disc, and a chequered square for a face."""
    image = disc_picture(number)
    left, top, right, bottom = (int(v) for v in FACE)
    checks = np.indices((bottom - top, right - left)).sum(axis=0) // 3 % 2 * 200 + 20
    image[top:bottom, left:right] = checks[..., None]
    return image


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One and a half seconds at 30 a second, with a hum, a place and an owner."""
    said = {"location": "+12.3456-012.3456/", "artist": "An Owner"}
    path = tmp_path_factory.mktemp("films") / "film.mp4"
    return make_clip(path, draw=with_face, metadata=said, sound=True)


def under(lines: int, *, width: int = WIDTH) -> int:
    """How high the band of words under a clip is [px]."""
    return band_height(lines, unit=width / PHONE)


def detail(image: NDArray[np.uint8], box: tuple[float, ...] = FACE) -> float:
    """Variance of the Laplacian inside a box, the usual measure of sharpness."""
    left, top, right, bottom = (int(v) for v in box)
    gray = cv2.cvtColor(np.ascontiguousarray(image[top:bottom, left:right]), cv2.COLOR_BGR2GRAY)
    return float(cv2.Laplacian(gray, cv2.CV_64F).var())


def test_a_clip_has_the_pictures_and_times_of_the_shot(film: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.mp4"
    assert write_clip(Shown(source=film, shot=shot()), out) == 31
    facts = look(out)
    assert (facts.width, facts.height, facts.frames) == (WIDTH, HEIGHT + under(1), 31)
    assert (facts.codec, facts.notes) == ("h264", ())
    assert picture_times(out) == approx(np.arange(31) / 30, abs=1e-3)
    assert [path.name for path in tmp_path.iterdir()] == ["out.mp4"]


def test_every_picture_keeps_its_own_time_also_when_slowed(tmp_path: Path) -> None:
    rng = np.random.default_rng(2)
    times = np.cumsum(np.r_[0.0, rng.uniform(0.004, 0.05, 39)])
    film = make_clip(tmp_path / "film.mp4", times=times.tolist())
    out = tmp_path / "out.mp4"
    for slower in (1.0, 4.0, 0.5):
        write_clip(Shown(source=film, shot=shot(), first=0.0, last=9.0), out, slower=slower)
        assert picture_times(out) == approx(times * slower, abs=1e-3)


def test_slow_motion_is_shown_at_the_speed_of_life(film: Path, tmp_path: Path) -> None:
    shown = Shown(source=film, shot=shot(), first=0.0, last=0.1, slowed=8.0)
    assert write_clip(shown, tmp_path / "out.mp4") == 25
    assert picture_times(tmp_path / "out.mp4") == approx(np.arange(25) / 240, abs=1e-3)


def test_the_way_of_the_ball_is_in_the_pictures(film: Path, tmp_path: Path) -> None:
    write_clip(Shown(source=film, shot=shot()), tmp_path / "with.mp4")
    write_clip(Shown(source=film, shot=shot(trail=(), events=())), tmp_path / "without.mp4")
    both = zip(read(tmp_path / "with.mp4"), read(tmp_path / "without.mp4"), strict=True)
    for number, (drawn, bare) in enumerate(both):
        change = np.abs(drawn.image[:HEIGHT].astype(int) - bare.image).max(axis=-1)
        x, y = disc_at(number + 6)
        assert change[y - 1 : y + 2, x - 15].max() > 80  # five pictures back, the way is white
        assert drawn.image[y, x - 15].min() > 160
        assert change[150:, :180].max() < 40  # and far away from it nothing was drawn


def test_the_body_and_the_numbers_are_in_the_pictures(film: Path, tmp_path: Path) -> None:
    points = np.full((45, 33, 2), np.nan)
    points[:, [23, 25, 27]] = [[60, 100], [70, 125], [60, 150]]
    poses = Poses(
        frame=np.arange(45), time=np.arange(45) / 30, points=points, sd=np.ones((45, 33)),
        presence=np.ones((45, 33)), shape=np.zeros((45, 33, 3)), box=np.full((45, 4), np.nan),
    )  # fmt: skip
    out = tmp_path / "out.mp4"
    write_clip(Shown(source=film, shot=shot(), poses=poses, numbers=("7.3 ± 0.1 m/s",)), out)
    image = still(out, 0.5)
    assert image[112, 65].min() > 160 and image[137, 65].min() > 160
    # the event and the number are in a band below the picture
    assert image.shape[0] == HEIGHT + under(2)
    for row in (slice(HEIGHT, HEIGHT + under(2) // 2), slice(HEIGHT + under(2) // 2, None)):
        assert (image[row].min(axis=-1) > 180).any() and np.median(image[row]) < 80


def test_hidden_faces_stay_hidden_in_every_picture(film: Path, tmp_path: Path) -> None:
    asked: list[int] = []

    def faces(number: int) -> list[tuple[float, ...]]:
        asked.append(number)
        return [FACE]

    out = tmp_path / "out.mp4"
    write_clip(Shown(source=film, shot=shot(), faces=faces), out)
    assert asked == list(range(6, 37))
    sharp = detail(with_face(0))
    assert all(detail(picture.image) < 1e-3 * sharp for picture in read(out))
    write_clip(Shown(source=film, shot=shot()), out)
    assert detail(still(out, 0.5)) > 0.3 * sharp


def test_faces_are_hidden_where_they_are_in_a_smaller_or_turned_picture(tmp_path: Path) -> None:
    """Boxes are in pixels of the upright film; the clip is three quarters as large."""
    film = make_clip(
        tmp_path / "large.mp4", frames=4, turned=90, options={"preset": "ultrafast"},
        draw=lambda i: np.kron(with_face(i), np.ones((8, 8, 1), np.uint8)),
    )  # fmt: skip
    rows, columns = np.nonzero(np.rot90(np.all(with_face(0) == 220, axis=-1)))
    box = np.array([columns.min(), rows.min(), columns.max() + 1, rows.max() + 1]) * 8.0
    shown = Shown(source=film, shot=shot(events=()), first=0.0, last=1.0)
    out = tmp_path / "out.mp4"
    write_clip(replace(shown, faces=lambda number: [box]), out)
    image = still(out, 0.0)
    assert image.shape[:2] == (1920, 1080)
    small = tuple(box * 0.75)
    clear = tmp_path / "clear.mp4"
    write_clip(shown, clear)
    assert detail(image, small) < 0.02 * detail(still(clear, 0.0), small)


def test_nothing_but_pictures_is_carried_over(film: Path, tmp_path: Path) -> None:
    """No voices, and none of what a phone writes about place and owner."""
    out = tmp_path / "out.mp4"
    write_clip(Shown(source=film, shot=shot()), out)
    with av.open(str(film)) as source:
        assert source.streams.audio and "location" in source.metadata
    with av.open(str(out)) as clip:
        assert [stream.type for stream in clip.streams] == ["video"]
        said = {**clip.metadata, **clip.streams[0].metadata}
    assert set(said) <= {
        "major_brand", "minor_version", "compatible_brands", "encoder", "language",
        "handler_name", "vendor_id",
    }  # fmt: skip
    content = out.read_bytes()
    assert b"12.3456" not in content and b"An Owner" not in content


def test_a_clip_plays_in_browsers(film: Path, tmp_path: Path) -> None:
    """4:2:0 colours of 8 bits, and the index before the pictures (ISO/IEC 14496-12 boxes)."""
    out = tmp_path / "out.mp4"
    write_clip(Shown(source=film, shot=shot()), out)
    content = out.read_bytes()
    assert 0 < content.index(b"moov") < content.index(b"mdat")
    with av.open(str(out)) as clip:
        context = clip.streams.video[0].codec_context
        assert (context.pix_fmt, context.has_b_frames) == ("yuv420p", 0)
        assert (context.colorspace, context.color_range) == (1, 1)  # BT.709, 16 to 235


def test_colours_come_through(tmp_path: Path) -> None:
    """Plain colours, within the rounding of H.264 at this quality."""
    colours = [(40, 40, 200), (40, 180, 40), (200, 60, 40), (200, 200, 200)]

    def bars(number: int) -> Pixels:
        image = np.zeros((HEIGHT, WIDTH, 3), np.uint8)
        for k, colour in enumerate(colours):
            image[:, 80 * k : 80 * k + 80] = colour
        return image

    writer = _mp4.Writer(tmp_path / "bars.mp4", size=(WIDTH, HEIGHT))
    with writer:
        for number in range(3):
            writer.add(bars(number), number / 30)
    image = still(tmp_path / "bars.mp4", 0.0)
    for k, colour in enumerate(colours):
        assert image[90, 80 * k + 40] == approx(np.array(colour), abs=8)


def test_an_odd_size_is_made_even(tmp_path: Path) -> None:
    film = make_clip(
        tmp_path / "odd.avi", codec="mjpeg", frames=9, draw=lambda i: disc_picture(i, 321, 181)
    )
    write_clip(Shown(source=film, shot=shot(), first=0.0, last=9.0), tmp_path / "out.mp4")
    facts = look(tmp_path / "out.mp4")
    assert (facts.width % 2, facts.height % 2) == (0, 0)
    assert abs(facts.width - 321) <= 1 and abs(facts.height - 181 - under(1)) <= 1


def test_what_fails_leaves_what_was_there(film: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.mp4"
    out.write_bytes(b"the clip of yesterday")
    broken = tmp_path / "broken.mp4"
    broken.write_bytes(b"")

    def no_faces(number: int) -> NDArray[np.float64]:
        if number > 10:
            raise RuntimeError("in the middle")
        return np.empty((0, 4))

    for shown, error, said in [
        (Shown(source=broken, shot=shot()), BadFilm, "empty"),
        (Shown(source=film, shot=shot(), first=50.0, last=60.0), BadFilm, "no picture at that"),
        (Shown(source=film, shot=shot(), first=1.0, last=0.5), BadInput, "before it ends"),
        (Shown(source=film, shot=shot(), numbers=("1",) * 4), BadInput, "three numbers"),
        (Shown(source=film, shot=shot(), faces=no_faces), RuntimeError, "in the middle"),
    ]:
        with pytest.raises(error, match=said):
            write_clip(shown, out)
        assert out.read_bytes() == b"the clip of yesterday"
    assert {path.name for path in tmp_path.iterdir()} == {"out.mp4", "broken.mp4"}


def test_a_place_that_cannot_be_written_is_said(film: Path, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="can't be written there"):
        write_clip(Shown(source=film, shot=shot()), tmp_path / "none" / "out.mp4")
    (tmp_path / "folder.mp4").mkdir()
    with pytest.raises(BadInput, match="can't be written there"):
        write_clip(Shown(source=film, shot=shot()), tmp_path / "folder.mp4")
    assert [path.name for path in tmp_path.iterdir()] == ["folder.mp4"]


@pytest.mark.parametrize("slower", [0.0, -1.0, float("nan"), 1e9])
def test_a_slowing_that_cannot_be_is_refused(film: Path, tmp_path: Path, slower: float) -> None:
    with pytest.raises(BadInput, match="32 times"):
        write_clip(Shown(source=film, shot=shot()), tmp_path / "out.mp4", slower=slower)


def test_release_is_the_event_or_else_the_balls() -> None:
    assert release_of(shot(0.4, ball=ball(0.45, 1.1))) == 0.4
    assert release_of(shot(events=(), ball=ball(0.45, 1.1))) == 0.45
    with pytest.raises(BadInput, match="mark it by hand"):
        release_of(shot(events=()))


def flash(release: int) -> object:
    """A picture that is dark up to release and bright from then on."""

    def picture(number: int) -> Pixels:
        return np.full((HEIGHT, WIDTH, 3), 210 if number >= release else 30, np.uint8)

    return picture


@pytest.mark.parametrize(("rate", "slower"), [(30, 1.0), (60, 1.0), (24, 1.0), (60, 4.0)])
def test_two_clips_side_by_side_meet_at_release(tmp_path: Path, rate: int, slower: float) -> None:
    """Both sides turn bright in the same picture, though led by 12 and 20 pictures."""
    one = make_clip(tmp_path / "one.mp4", draw=flash(12), frames=36)  # type: ignore[arg-type]
    times = [i / rate for i in range(50)]
    other = make_clip(tmp_path / "other.mp4", draw=flash(20), times=times)  # type: ignore[arg-type]
    plain = {"trail": (), "start": 0.0, "end": 9.0}
    # releases are known to a part of a gap, so they lie beside the picture that shows them
    before = Shown(source=one, shot=shot(12 / 30 + 0.008, **plain))
    after = Shown(source=other, shot=shot(20 / rate - 0.005, **plain))
    out = tmp_path / "both.mp4"
    count = side_by_side(before, after, out, slower=slower)
    pictures = list(read(out))
    assert len(pictures) == count
    bright = [(p.image[60, 250] > 120, p.image[60, WIDTH + 250] > 120) for p in pictures]
    left = [i for i, (a, _) in enumerate(bright) if a.all()]
    right = [i for i, (_, b) in enumerate(bright) if b.all()]
    assert left[0] == right[0]
    # the longer lead is whole, and so is the longer rest
    lead, rest = max(12 / 30, 20 / rate), max(23 / 30, 29 / rate)
    faster = max(rate, 30)
    assert pictures[left[0]].time == approx(lead * slower, abs=1.01 * slower / faster)
    assert pictures[-1].time == approx((lead + rest) * slower, abs=1.5 * slower / faster)


def test_two_clips_side_by_side_are_equally_high_and_named(film: Path, tmp_path: Path) -> None:
    small = make_clip(tmp_path / "s.mp4", turned=90, draw=lambda i: disc_picture(i, 160, 120))
    out = tmp_path / "both.mp4"
    before, after = Shown(source=film, shot=shot()), Shown(source=small, shot=shot(trail=()))
    side_by_side(before, after, out)
    facts = look(out)
    # 120 × 160 becomes 135 × 180, made even
    assert (facts.width, facts.height) == (WIDTH + 136, HEIGHT + under(1, width=WIDTH + 136))
    # each says which it is, below it
    words = still(out, 0.0)[HEIGHT + 2 :].min(axis=-1) > 170
    assert words[:, :WIDTH].any() and words[:, WIDTH:].any()
    assert detail(still(out, 0.1)) > 100.0  # the face is clear, as nobody asked to hide it
    side_by_side(replace(before, faces=lambda number: [FACE]), after, out)
    assert all(detail(p.image) < 0.05 * detail(with_face(0)) for p in read(out))


def test_large_films_side_by_side_stay_within_what_phones_play(tmp_path: Path) -> None:
    film = make_clip(
        tmp_path / "wide.mp4", frames=6, options={"preset": "ultrafast"},
        draw=lambda i: np.full((1080, 1920, 3), 90, np.uint8),
    )  # fmt: skip
    shown = Shown(source=film, shot=shot(0.1, trail=()), first=0.0, last=1.0)
    side_by_side(shown, shown, tmp_path / "both.mp4")
    facts = look(tmp_path / "both.mp4")
    assert (facts.width, facts.height) == (1920, 540 + under(1, width=1920))


def test_an_upright_film_with_its_words_stays_within_what_phones_play(tmp_path: Path) -> None:
    film = make_clip(
        tmp_path / "high.mp4", frames=4, options={"preset": "ultrafast"},
        draw=lambda i: np.full((1920, 1080, 3), 90, np.uint8),
    )  # fmt: skip
    shown = Shown(source=film, shot=shot(), first=0.0, last=1.0, numbers=("1", "2", "3"))
    write_clip(shown, tmp_path / "out.mp4")
    facts = look(tmp_path / "out.mp4")
    assert 1900 <= facts.height <= 1920
    assert (facts.height - under(4, width=facts.width)) / facts.width == approx(16 / 9, abs=0.01)


def test_side_by_side_needs_a_release_and_pictures(film: Path, tmp_path: Path) -> None:
    good, out = Shown(source=film, shot=shot()), tmp_path / "out.mp4"
    with pytest.raises(BadInput, match="release of this shot is not known"):
        side_by_side(good, Shown(source=film, shot=shot(events=())), out)
    with pytest.raises(BadFilm, match="no picture at that moment"):
        side_by_side(good, replace(good, first=50.0, last=60.0), out)
    assert list(tmp_path.iterdir()) == []


def test_stills_are_made_of_the_moments_that_are_known(film: Path) -> None:
    events = (event(Moment.SET, 0.41), event(Moment.DIP, 0.2), event(Moment.APEX, 0.6))
    known = shot(events=events, ball=ball(0.5, 1.2))
    assert moments_of(known) == {"dip": 0.2, "set point": 0.41, "release": 0.5, "landing": 1.2}
    stills = write_stills(Shown(source=film, shot=known, faces=lambda number: [FACE]))
    assert list(stills) == ["dip", "set point", "release", "landing"]
    for name, frame in [("dip", 6), ("set point", 12), ("release", 15), ("landing", 36)]:
        image = cv2.imdecode(np.frombuffer(stills[name], np.uint8), cv2.IMREAD_COLOR)
        assert image is not None and image.shape == (HEIGHT + under(1), WIDTH, 3)
        x, y = disc_at(frame)
        red = image[..., 2].astype(int) - image[..., 0]
        assert red[y + 7, x] > 50 and red[y + 7, x + 25] < 20  # the disc is there and then
        assert detail(np.asarray(image, np.uint8)) < 1e-3 * detail(with_face(0))
    assert list(write_stills(Shown(source=film, shot=shot()))) == ["release"]
