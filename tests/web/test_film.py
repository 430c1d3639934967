"""The Film pages: taking films in, their state, and their way into the workouts."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID, uuid4

import pytest
from starlette.testclient import TestClient
from tests.web.filmed import Filmed, measured, not_decoded, reading_unmarked
from tests.web.site import OWN, Answer, Pages

from hoopwright.actions import films
from hoopwright.actions.films import kept, watching
from hoopwright.errors import BadFilm
from hoopwright.settings import Settings
from hoopwright.store import jobs
from hoopwright.store.engine import Database, open_database
from hoopwright.store.media import Media, open_media
from hoopwright.web.app import create_app

pytestmark = pytest.mark.usefixtures("sample_reading")


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    not_decoded(monkeypatch)


@pytest.fixture
def media(settings: Settings) -> Media:
    return open_media(settings.films_address, copies=settings.film_copies)


@pytest.fixture
def database(settings: Settings) -> Iterator[Database]:
    opened = open_database(settings.database)
    yield opened
    opened.close()


@pytest.fixture
def player(site: Pages) -> UUID:
    return UUID(site.player().rsplit("/", 1)[1])


@pytest.fixture
def filmed(database: Database, media: Media, player: UUID) -> Filmed:
    return measured(database, media, player)


def send(
    site: Pages, player: UUID | str, content: bytes = b"a film", name: str = "IMG 1.MOV"
) -> Answer:
    answer = site.client.post(
        "/films/new", data={"player": str(player)}, files={"file": (name, content)}, headers=OWN
    )
    return Answer(answer.status_code, answer.url.path, answer.text)


def files(settings: Settings) -> list[Path]:
    return sorted(Path(settings.films_address).glob("*"))


def test_a_film_comes_in_and_is_listed(site: Pages, player: UUID, settings: Settings) -> None:
    assert "No film yet" in site.get("/films").words
    page = send(site, player)
    assert page.status == 200 and page.path.startswith("/films/")
    assert "Film of Invented Ash" in page.words
    assert "IMG 1.MOV" in page.words and "640 × 360, 10.0 s, 30 pictures a second" in page.words
    assert "Only the ball will be measured" in page.words
    # the year of birth was not told: handled as a child's
    assert "handled as a child's" in page.words
    assert [one.read_bytes() for one in files(settings)] == [b"a film"]
    listed = site.get("/films")
    assert "Invented Ash IMG 1.MOV" in listed.words and "not measured yet" in listed.words
    assert "IMG 1.MOV" not in site.get(f"/films?player={uuid4()}").words


def test_a_film_larger_than_any_form_streams_in_whole(
    site: Pages, player: UUID, settings: Settings
) -> None:
    """Far over the limit of other forms; its bytes come through unchanged, the boundary's too."""
    content = bytes(range(256)) * 4000 + b"\r\n--\r\n" * 9000
    assert len(content) > 5 * settings.largest_upload
    assert send(site, player, content).status == 200
    assert [one.read_bytes() for one in files(settings)] == [content]


def test_a_script_is_told_where_to_go(site: Pages, player: UUID) -> None:
    answer = site.client.post(
        "/films/new", data={"player": str(player)}, files={"file": ("a.mp4", b"a film")},
        headers=OWN | {"accept": "application/json"},
    )  # fmt: skip
    assert answer.status_code == 200
    assert site.get(answer.json()["go"]).status == 200


def test_a_film_over_the_limit_is_refused_in_one_sentence(settings: Settings, player: UUID) -> None:
    small = replace(settings, largest_film=1_000)
    with TestClient(create_app(small), base_url="http://127.0.0.1") as client:
        page = send(Pages(client), player, b"x" * 2_000)
        assert page.status == 400
        assert page.trouble("file").startswith("The film is over the limit of 1e-06 GB")
        # beyond the room for the form's fields it is refused as it streams
        page = send(Pages(client), player, b"x" * 1_200_000)
        assert page.status == 413 and "over the limit" in page.trouble("file")
    assert files(settings) == []


@pytest.mark.parametrize(
    ("player", "content", "field", "sentence"),
    [
        ("", b"a film", "player", "Say whose film this is"),
        ("2d695910-6e8d-4629-9003-05ecce9115cf", b"a film", "player", "Say whose film this is"),
        ("known", b"", "file", "The file is empty"),
    ],
)
def test_what_is_missing_is_said_beside_its_field(
    site: Pages, player: str, content: bytes, field: str, sentence: str, settings: Settings
) -> None:
    known = site.player("Invented Kim").rsplit("/", 1)[1]
    page = send(site, known if player == "known" else player, content)
    assert page.status == 400 and page.trouble(field).startswith(sentence)
    assert files(settings) == []


def test_no_film_chosen_and_what_is_no_film(
    site: Pages, player: UUID, monkeypatch: pytest.MonkeyPatch, settings: Settings
) -> None:
    """A browser sends an empty name where no file was chosen."""
    boundary = "an-invented-boundary"
    parts = [
        f'--{boundary}\r\nContent-Disposition: form-data; name="player"\r\n\r\n{player}\r\n',
        f'--{boundary}\r\nContent-Disposition: form-data; name="file"; filename=""\r\n'
        f"Content-Type: application/octet-stream\r\n\r\n\r\n--{boundary}--\r\n",
    ]
    headers = OWN | {"content-type": f"multipart/form-data; boundary={boundary}"}
    answer = site.client.post("/films/new", content="".join(parts), headers=headers)
    assert answer.status_code == 400 and "No film was chosen" in answer.text
    broken = site.client.post("/films/new", content="".join(parts)[:-60], headers=headers)
    assert broken.status_code == 400
    assert site.post("/films/new", player=str(player)).status == 400

    def refuse(path: Path) -> None:
        raise BadFilm("That is no film.")

    monkeypatch.setattr(kept, "look_at", refuse)
    page = send(site, player)
    assert page.status == 400 and "That is no film." in page.words
    assert files(settings) == []


def test_a_name_is_shown_and_never_run(site: Pages, player: UUID) -> None:
    page = send(site, player, name='<b onload="x">$(reboot).mp4')
    assert page.status == 200
    assert "<b onload" not in page.text and "$(reboot).mp4" in page.words


def test_measuring_needs_a_place_then_waits_for_a_worker(
    site: Pages, database: Database, player: UUID, monkeypatch: pytest.MonkeyPatch
) -> None:
    film = send(site, player).path
    page = site.post(film + "/measure")
    assert page.status == 400 and page.trouble("measure").startswith("Mark the camera place first")
    film_id = UUID(film.rsplit("/", 1)[1])
    with database.session() as session:
        films.start_measuring(session, film_id)
    assert "Waiting for its turn." in site.get(film).words
    told = site.client.get(film + "/progress").json()
    assert told == {
        "share": 0.0, "said": "Waiting for its turn.", "ended": False, "state": "measuring",
        "out_of_date": "",
    }  # fmt: skip
    monkeypatch.setattr(watching, "datetime", _Later)
    assert "No worker is running" in site.get(film).words
    with database.session() as session:
        lease = jobs.claim(session, worker="w")
        assert lease is not None
        jobs.progress(session, lease, 0.4, "Looking for the ball")
    assert "Looking for the ball." in site.get(film).words
    assert "measuring, 40 %" in site.get("/films").words
    page = site.post(film + "/stop")
    assert "Looking for the ball" not in page.words and "Measure" in page.words
    assert site.client.get(film + "/progress").json()["ended"] is True


class _Later(datetime):
    @classmethod
    def now(cls, tz: object = None) -> datetime:  # type: ignore[override]
        return datetime.now(UTC) + timedelta(seconds=60)


def test_a_clip_that_can_t_be_marked_is_read_by_the_balls_size(
    site: Pages, database: Database, player: UUID
) -> None:
    film = send(site, player).path
    offered = site.get(film + "/place").words
    assert "can't tell: made or missed, short or long, left or right" in offered
    assert "Invented Ash's, size 7" in offered
    page = site.post(film + "/measure", unmarked="yes")
    assert page.path == film and "Waiting for its turn." in page.words
    film_id = UUID(film.rsplit("/", 1)[1])
    with database.session() as session:
        (job,) = films.jobs_of(session, film_id)
        assert job.argument == {"film": str(film_id), "unmarked": True}
        films.cancel(session, job.id)
        films.keep_read(session, film_id, reading_unmarked(film_id), seen_key=None)
    page = site.get(film)
    assert "none, read by the ball's size" in page.words
    assert "release speed 7.30 m/s (likely 6.92 to 7.68)" in page.words
    assert "not used: The ball looks 40 % larger than its fall says." in page.words
    # measured again in the same way, without asking for marks
    assert "Waiting for its turn." in site.post(film + "/measure").words


def test_a_film_measured_with_older_marks_says_so(
    site: Pages, filmed: Filmed, database: Database
) -> None:
    with database.session() as session:
        read = replace(filmed.read, scene_sum="0" * 64)
        films.keep_read(session, filmed.film.id, read, seen_key=None)
    said = "It was measured from a camera place that is not chosen any more"
    assert said in site.get(filmed.path).words and said in site.get(filmed.shot()).words
    assert site.client.get(filmed.path + "/progress").json()["out_of_date"].startswith(said)
    data = site.client.get(filmed.shot() + "?format=json").json()
    assert data["out_of_date"].startswith(said)


def test_a_failed_film_says_why(site: Pages, database: Database, player: UUID) -> None:
    film = send(site, player).path
    with database.session() as session:
        films.start_measuring(session, UUID(film.rsplit("/", 1)[1]))
        lease = jobs.claim(session, worker="w")
        assert lease is not None
        jobs.fail(session, lease, "The ring is never in the picture.")
    assert "Measuring failed: The ring is never in the picture." in site.get(film).words
    assert "failed: The ring is never in the picture." in site.get("/films").words


def test_slow_motion_is_told_and_refused_beside_its_field(site: Pages, player: UUID) -> None:
    film = send(site, player).path
    page = site.post(film + "/speed", filmed="240")
    assert "240 pictures a second, plays 8 times slower" in page.words
    page = site.post(film + "/speed", slowed="4")
    assert "120 pictures a second" in page.words
    assert "30 pictures a second" in site.post(film + "/speed").words
    page = site.post(film + "/speed", slowed="500")
    assert page.status == 400 and page.trouble("slowed").startswith("A film plays 1 to 64 times")
    page = site.post(film + "/speed", filmed="quick")
    assert page.trouble("filmed") == ("The rate is not a number: “quick”; write it like 4.5.")


def test_measured_shots_are_listed_with_ranges(site: Pages, filmed: Filmed) -> None:
    """80 % ranges: value ± 1.2816 standard deviations; 0.04 m/s gives 7.16 to 7.26."""
    page = site.get(filmed.path)
    assert "2 shots" in page.words and "A note." in page.words
    assert "Shot 1 made, 97 chances in 100" in page.words
    assert "release speed 7.21 m/s (likely 7.16 to 7.26)" in page.words
    site.post(filmed.path + "/speed", filmed="240")
    assert "these numbers are not right any more" in site.get(filmed.path).words


def test_shots_are_entered_and_never_doubled(site: Pages, filmed: Filmed) -> None:
    page = site.post(filmed.path + "/enter")
    assert "2 shots added." in page.words and "1 of 2 made" in page.words
    assert 'href="/sets/' in page.text and "/findings" in page.text
    assert "2 shots brought up to date." in site.post(filmed.path + "/enter").words


def test_a_film_shows_a_set_of_its_own_player_only(site: Pages, player: UUID) -> None:
    film = send(site, player).path
    own = site.set(f"/players/{player}").rsplit("/", 1)[1]
    other = site.set(site.player("Invented Kim")).rsplit("/", 1)[1]
    page = site.post(film + "/set", set=own)
    assert page.status == 200 and f'value="{own}" selected' in page.text
    page = site.post(film + "/set", set=other)
    assert page.status == 400 and "another player's" in page.trouble("set")
    assert f'value="{own}"' in site.get(f"/films/new?player={player}").text


def test_a_removed_film_takes_its_file_along(
    site: Pages, filmed: Filmed, settings: Settings
) -> None:
    assert len(files(settings)) == 2
    page = site.post(filmed.path + "/remove")
    assert page.path == "/films" and files(settings) == []
    assert site.get(filmed.path).status == 404


def test_pictures_are_given_by_their_number(site: Pages, filmed: Filmed) -> None:
    answer = site.client.get(filmed.path + "/pictures/31.jpg")
    assert answer.headers["content-type"] == "image/jpeg"
    assert float(answer.headers["x-picture-time"]) == pytest.approx(31 / 30, abs=1e-6)
    assert answer.headers["cache-control"] == "no-store"
    assert site.get(filmed.path + "/pictures/300.jpg").status == 404


def test_a_person_says_which_charted_shot_a_filmed_one_is(
    site: Pages, filmed: Filmed, player: UUID
) -> None:
    """Two charted makes for one filmed make and one filmed miss: nobody can tell which is which."""
    charted = site.set(f"/players/{player}")
    for _ in range(3):
        site.post(charted + "/shots", id=str(uuid4()), result="made")
    site.post(filmed.path + "/set", set=charted.rsplit("/", 1)[1])
    page = site.post(filmed.path + "/enter")
    assert "Which charted shots are they?" in page.words
    name = re.search(r'name="(pair-[0-9a-f-]+)"', page.text)
    shot = re.search(r'<option value="([0-9a-f-]{36})">free throw, shot 2', page.text)
    assert name is not None and shot is not None
    page = site.post(filmed.path + "/enter", **{name[1]: shot[1]})
    assert "1 shot joined to the charted ones." in page.words
    page = site.post(filmed.path + "/enter", **{name[1]: "the second"})
    assert page.status == 400 and "Choose the charted shots from the lists" in page.words
