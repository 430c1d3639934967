"""What is made of a film for looking at: pictures, a marked place, clips; from real small films."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from uuid import UUID, uuid4

import cv2
import numpy as np
import pytest
from tests.film.bodies import models_folder
from tests.film.drawn_gym import draw_gym, noisy
from tests.film.made_clips import HEIGHT, WIDTH, disc_at, disc_seen, make_clip
from tests.film.marked import MANY, click, side_camera
from tests.web.filmed import CLIP, poses, shot

from hoopwright.actions import films
from hoopwright.actions.films import pictures
from hoopwright.actions.films.clips import clip_out, side_by_side_out, still_out
from hoopwright.actions.films.shown import _pictures
from hoopwright.actions.films.stages import look_at
from hoopwright.errors import BadFilm, BadInput, ModelsMissing, NotFound
from hoopwright.film.caption import PHONE, band_height
from hoopwright.film.landmarks import Mark
from hoopwright.film.results import ClipFacts
from hoopwright.film.scene_file import read_scene
from hoopwright.records import Film

FILM = Film(
    id=UUID(int=5), player_id=UUID(int=1), file_name="a.mp4", media_key="0" * 32 + ".mp4", size=1,
    sha256="0" * 64, added_at=datetime(2026, 11, 2, tzinfo=UTC),
)  # fmt: skip


@pytest.fixture(scope="module")
def disc_film(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_clip(tmp_path_factory.mktemp("film") / "disc.mp4", frames=110)


def test_pictures_come_in_blocks_with_their_numbers_and_times(disc_film: Path) -> None:
    """The disc's place in each picture is known from how it was drawn."""
    block = films.stills_from(disc_film, films.block_of(30), slowed=None)
    assert [still.frame for still in block] == list(range(24, 24 + pictures.BLOCK))
    still = films.nearest(block, 31)
    assert still.time == pytest.approx(31 / 30, abs=1e-3)
    image = cv2.imdecode(np.frombuffer(still.content, np.uint8), cv2.IMREAD_COLOR)
    assert image is not None and image.shape == (HEIGHT, WIDTH, 3)
    assert disc_seen(np.asarray(image, np.uint8)) == pytest.approx(disc_at(31), abs=1.0)
    with pytest.raises(BadFilm, match="no picture there"):
        films.stills_from(disc_film, 240, slowed=None)


def test_a_slowed_film_gives_real_times(disc_film: Path) -> None:
    block = films.stills_from(disc_film, 24, slowed=8.0)
    assert films.nearest(block, 32).time == pytest.approx(32 / 240, abs=1e-3)


def seen() -> films.ShotSeen:
    facts = replace(look_facts(), duration=109 / 30)
    one = replace(shot(FILM.id, 0), start=0.5, end=3.4)
    return films.ShotSeen(
        film=FILM, clip=facts, shot=one, of=1, poses=poses(0), marks=(),
        pictures=_pictures(None, facts),
    )  # fmt: skip


def look_facts() -> ClipFacts:
    return replace(CLIP, width=WIDTH, height=HEIGHT, frames=110)


def test_a_clip_with_lines_and_numbers_is_written(disc_film: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.mp4"
    clip_out(
        seen(), disc_film, out, numbers=("entry angle 44° (43 to 45°)",), hide_with=None, slower=2.0
    )
    facts = look_at(out)
    # pictures 15 to 102 of 30 a second, at half their speed
    assert facts.frames == 88
    assert facts.duration == pytest.approx(2 * 87 / 30, abs=0.01)


def test_two_shots_are_put_side_by_side(disc_film: Path, tmp_path: Path) -> None:
    out = tmp_path / "both.mp4"
    side_by_side_out((seen(), disc_film), (seen(), disc_film), out, hide_with=None)
    facts = look_at(out)
    below = band_height(1, unit=2 * WIDTH / PHONE)
    assert (facts.width, facts.height) == (2 * WIDTH, HEIGHT + below)


def test_a_still_is_of_its_moment(disc_film: Path) -> None:
    made = still_out(seen(), disc_film, "release", hide_with=None)
    image = cv2.imdecode(np.frombuffer(made, np.uint8), cv2.IMREAD_COLOR)
    below = band_height(1, unit=WIDTH / PHONE)
    assert image is not None and image.shape == (HEIGHT + below, WIDTH, 3)
    with pytest.raises(NotFound, match="not known in this shot"):
        still_out(seen(), disc_film, "dip", hide_with=None)


def test_without_the_models_no_face_is_shown_by_mistake(disc_film: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.mp4"
    with pytest.raises(ModelsMissing):
        clip_out(seen(), disc_film, out, hide_with=tmp_path / "no models")
    assert not out.exists()


def test_a_clip_is_written_with_faces_looked_for(disc_film: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.mp4"
    short = replace(seen(), shot=replace(seen().shot, start=1.0, end=1.5))
    clip_out(short, disc_film, out, hide_with=models_folder())
    assert look_at(out).frames == 16


def test_pictures_keep_their_numbers_where_the_rate_varies() -> None:
    """Body points say when their pictures were taken; between them, in proportion."""
    late = replace(poses(0), time=poses(0).time + 0.5)
    material = type("Seen", (), {"candidates": late, "hands": late, "poses": ()})()
    one = replace(seen(), pictures=_pictures(material, look_facts()))
    assert one.frame_at(float(late.time[3])) == late.frame[3]
    assert one.frame_at(-5.0) == 0 and one.frame_at(99.0) == 109


# --- a camera place ---

CAMERA = side_camera()


def marks() -> tuple[Mark, ...]:
    return tuple(click(CAMERA, MANY))


def test_a_marked_place_is_worked_out_kept_as_text_and_recognised(tmp_path: Path) -> None:
    """Against the camera that the gym was drawn with."""
    gym = draw_gym(CAMERA)
    clip = make_clip(tmp_path / "gym.mp4", frames=12, draw=lambda n: noisy(gym, sd=1.0, seed=n))
    facts = look_at(clip)
    about = films.About(gym="Old hall", place="first bench")
    scene = films.work_out_place(
        clip, facts, scene_id=uuid4(), time=0.0, about=about, marks=marks()
    )
    camera = read_scene(scene.content).camera
    assert camera.position == pytest.approx(CAMERA.position, abs=0.05)
    assert films.still_there(clip, scene, slowed=None)[0] is True
    drawn = films.place_drawn(scene, size=(facts.width, facts.height))
    assert drawn.good and drawn.rms < 0.5
    aside = np.roll(gym, 25, axis=1)
    other = make_clip(tmp_path / "aside.mp4", frames=12, draw=lambda n: noisy(aside, seed=n))
    there, sentence = films.still_there(other, scene, slowed=None)
    assert there is False and sentence.startswith("The camera moved")


def test_a_place_without_a_name_or_marks_is_refused_before_the_film_is_opened() -> None:
    facts = look_facts()
    nowhere = Path("/nowhere.mp4")
    about = films.About(gym="Old hall", place="first bench")
    with pytest.raises(BadInput, match="at least 4"):
        films.work_out_place(
            nowhere, facts, scene_id=uuid4(), time=0.0, about=about, marks=marks()[:2]
        )
    full = replace(look_facts(), width=CAMERA.width, height=CAMERA.height)
    with pytest.raises(BadInput, match="This name is empty") as caught:
        films.work_out_place(
            nowhere, full, scene_id=uuid4(), time=0.0, about=replace(about, gym=""), marks=marks()
        )
    assert caught.value.field == "gym"
