"""Camera places: marks in, lines drawn back, kept and used again.

The marks are those of a camera that is known: what comes back is compared with it.
"""

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from uuid import UUID, uuid4

import pytest
from tests.web.filmed import CLIP, Filmed, measured, not_decoded
from tests.web.site import OWN, Answer, Pages

from hoopwright.actions import films
from hoopwright.actions.films import marking
from hoopwright.errors import BadInput
from hoopwright.film.calibrate import calibrate
from hoopwright.film.camera import at_place, project
from hoopwright.film.landmarks import Mark, landmarks
from hoopwright.film.scene import Scene
from hoopwright.film.scene_file import write_scene
from hoopwright.records import StoredScene
from hoopwright.settings import Settings
from hoopwright.store.engine import Database, open_database
from hoopwright.store.media import open_media

#: beside the lane, looking at the hoop
CAMERA = at_place((8.5, -5.0, 1.6), (0.0, -1.8, 1.9), width=640, height=360, focal=440.0)
NAMES = (
    "board top left", "board top right", "board bottom left", "board bottom right",
    "inner rectangle top left", "free-throw line left end", "free-throw line right end",
)  # fmt: skip


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    not_decoded(monkeypatch)


@pytest.fixture
def database(settings: Settings) -> Iterator[Database]:
    opened = open_database(settings.database)
    yield opened
    opened.close()


@pytest.fixture
def filmed(site: Pages, database: Database, settings: Settings) -> Filmed:
    media = open_media(settings.films_address, copies=settings.film_copies)
    return measured(database, media, UUID(site.player().rsplit("/", 1)[1]))


def marks(**moved: float) -> list[tuple[str, float, float]]:
    """Return marks without error; one may be moved down by some pixels."""
    known = landmarks("fiba")
    places = {name: project(CAMERA, [known[name].position])[0] for name in NAMES}
    return [
        (name, float(x), float(y) + moved.get(name.replace(" ", "_"), 0.0))
        for name, (x, y) in places.items()
    ]


def scene(width: int = 640, height: int = 360) -> StoredScene:
    given = [Mark(name=name, x=x, y=y) for name, x, y in marks()]
    found = calibrate(given, width=width, height=height)
    made = Scene(
        gym="Old hall", place="first bench", rules="fiba", ring_height=3.05, ball_size=7,
        marks=tuple(given), mark_sd=1.5, camera=found.camera, rms=found.rms,
    )  # fmt: skip
    return StoredScene(
        id=uuid4(), gym="Old hall", place="first bench", content=write_scene(made),
        made_at=datetime(2026, 11, 2, tzinfo=UTC),
    )  # fmt: skip


def keep(site: Pages, filmed: Filmed, **fields: str) -> Answer:
    given = {
        "id": str(uuid4()), "frame": "0", "rules": "fiba", "ring_height": "3.05 m",
        "ball_size": "7", "gym": "Old hall", "place": "first bench", "marks": json.dumps(marks()),
    }  # fmt: skip
    return site.post(filmed.path + "/place/marks", **(given | fields))


def check(site: Pages, filmed: Filmed, **sent: object) -> dict[str, object]:
    given = {"marks": marks(), "rules": "fiba", "ring_height": "3.05 m"} | sent
    answer = site.client.post(filmed.path + "/place/check", json=given, headers=OWN)
    assert answer.status_code == 200
    found: dict[str, object] = answer.json()
    return found


def test_marks_are_drawn_back_while_they_are_set(site: Pages, filmed: Filmed) -> None:
    """Marks without error fit to a tenth of a pixel; board corners lie on the drawn board."""
    found = check(site, filmed)
    assert found["rms"] == pytest.approx(0.0, abs=0.3) and found["good"] is True
    lines = found["lines"]
    assert isinstance(lines, list)
    board = next(points for name, points in lines if name == "board")
    for name, x, y in marks()[:4]:
        near = min(((x - px) ** 2 + (y - py) ** 2) ** 0.5 for px, py in board)
        assert near < 1.0, name
    assert {"board", "ring", "lane"} <= {name for name, _ in lines}


def test_a_wrong_mark_is_named_and_too_few_are_refused(site: Pages, filmed: Filmed) -> None:
    found = check(site, filmed, marks=marks(board_top_left=14.0))
    off = found["marks"]
    assert isinstance(off, list)
    assert [one["name"] for one in off if one["bad"]] == ["board top left"]
    assert found["good"] is False
    found = check(site, filmed, marks=marks()[:3])
    assert found["field"] == "marks" and "at least 4 points" in str(found["error"])
    for sent in ({"marks": "none"}, {"marks": [["a", 1]]}, {"marks": [["a", 1, 2]] * 90}):
        assert check(site, filmed, **sent)["field"] == "marks"
    assert "not a length" in str(check(site, filmed, ring_height="high")["error"])


def test_a_place_is_kept_and_the_film_measured_from_there(
    site: Pages, filmed: Filmed, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = scene()
    monkeypatch.setattr(marking, "run_confined", lambda *_, **__: made.content)
    monkeypatch.setattr(films, "still_there", lambda *_, **__: (True, "It stands still."))
    page = keep(site, filmed)
    assert page.path == filmed.path + "/place"
    assert "Old hall, first bench" in page.words and "The marks fit to 0.0 px" in page.words
    assert 'class="line "' in page.text
    assert "free-throw line left end 0.0 px" in page.words
    assert "Camera place : Old hall, first bench" in site.get(filmed.path).words
    assert "It stands still." in site.get(filmed.path + "/place?compare=1").words
    # marking again starts from these marks
    assert "board top left" in site.get(filmed.path + "/place/marks").value("marks")


@pytest.mark.parametrize(
    ("fields", "field", "sentence"),
    [
        ({"gym": ""}, "gym", "This name is empty"),
        ({"place": " "}, "place", "This name is empty"),
        ({"ring_height": ""}, "ring_height", "The ring height is empty"),
        ({"marks": "[]"}, "marks", "Mark at least 4 points"),
        ({"marks": "{"}, "marks", "The marks can't be read"),
    ],
)
def test_what_is_missing_is_said_and_no_mark_is_lost(
    site: Pages, filmed: Filmed, fields: dict[str, str], field: str, sentence: str
) -> None:
    page = keep(site, filmed, **fields)
    assert page.status == 400 and page.trouble(field).startswith(sentence)
    if "marks" not in fields:
        assert page.value("marks") == json.dumps(marks())


def test_a_kept_place_is_used_again_and_compared(
    site: Pages, filmed: Filmed, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    with database.session() as session:
        one = films.add_scene(session, scene(), who="coach")

    def moved(*_: object, **__: object) -> tuple[bool, str]:
        return False, "The camera moved: mark the picture again."

    monkeypatch.setattr(films, "still_there", moved)
    assert "Old hall, first bench" in site.get(filmed.path + "/place").words
    page = site.post(filmed.path + "/place", scene=str(one.id))
    assert "The camera moved: mark the picture again." in page.words
    page = site.post(filmed.path + "/place/remove", scene=str(one.id))
    assert page.status == 400 and "A film names this scene" in page.words
    site.post(filmed.path + "/place")
    page = site.post(filmed.path + "/place/remove", scene=str(one.id))
    assert page.status == 200 and "Old hall" not in page.words


def test_a_place_marked_on_a_picture_of_another_shape_says_so(
    site: Pages, filmed: Filmed, database: Database
) -> None:
    with database.session() as session:
        one = films.add_scene(session, scene(), who="coach")
        films.choose_scene(session, filmed.film.id, one.id, who="coach")
    assert films.place_drawn(one, size=(1280, 720)).rms < 1.0
    upright = replace(CLIP, width=360, height=640)
    with pytest.raises(BadInput, match="another shape"):
        films.place_drawn(one, size=(upright.width, upright.height))


def test_landmarks_are_those_of_the_rules(site: Pages, filmed: Filmed) -> None:
    page = site.get(filmed.path + "/place/marks?rules=nba&frame=299")
    names = set(landmarks("nba"))
    assert all(f'data-landmark="{name}"' in page.text for name in names)
    assert "/pictures/299.jpg" in page.text
    assert site.get(filmed.path + "/place/marks?rules=moon&frame=-4").status == 200
