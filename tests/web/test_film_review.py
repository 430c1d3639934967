"""One filmed shot: what is shown of it, what is set by hand, what is made of it."""

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from uuid import UUID, uuid4

import pytest
from tests.web.filmed import (
    CLIP,
    Filmed,
    measured,
    not_decoded,
    nothing_seen,
    reading_unmarked,
    shot,
)
from tests.web.site import OWN, Pages

from hoopwright.actions import films
from hoopwright.actions.films import reading as read_films
from hoopwright.errors import BadFilm
from hoopwright.film.results import FilmRead
from hoopwright.film.told import Material
from hoopwright.records import FilmState, Job, MarkKind
from hoopwright.settings import Settings
from hoopwright.store import jobs
from hoopwright.store.engine import Database, open_database
from hoopwright.store.films import made_key
from hoopwright.store.media import Media, open_media
from hoopwright.web.pages import film_clips


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
def filmed(site: Pages, database: Database, media: Media) -> Filmed:
    return measured(database, media, UUID(site.player().rsplit("/", 1)[1]))


@pytest.fixture
def read_anew(monkeypatch: pytest.MonkeyPatch, filmed: Filmed) -> list[int]:
    """The reading itself has its own tests; here, one shot is left when a mark was set."""
    asked: list[int] = []

    def again(measuring: films.Measuring, material: Material, *, before: FilmRead) -> FilmRead:
        asked.append(len(measuring.marks))
        shots = (shot(filmed.film.id, 0),) if measuring.marks else filmed.read.shots
        return FilmRead(clip=filmed.read.clip, shots=shots)

    monkeypatch.setattr(read_films, "read_film_again", again)
    return asked


def test_a_shot_is_shown_with_every_number_in_its_range(site: Pages, filmed: Filmed) -> None:
    """80 % ranges: value ± 1.2816 standard deviations, in the unit shown."""
    page = site.get(filmed.shot())
    assert "Shot 1 of 2" in page.words and "Made, 97 chances in 100" in page.words
    for name, said in (
        ("release speed", "7.21 m/s (likely 7.16 to 7.26)"),
        ("entry angle", "44.7° (likely 44.1 to 45.3)"),  # 0.78 ± 0.01025 rad
        ("along", "2 cm long (likely 2 cm short to 6 cm long)"),
        ("across", "4 cm left (likely 10 cm left to 2 cm right)"),
        ("knee at dip", "115° (likely 111 to 118)"),  # 2.0 ± 0.0641 rad
        ("release to toe-off", "30 ms before the toes leave (likely 17 to 43 ms before the toes"),
    ):
        assert f"{name} {said}" in page.words
    assert "Look at the clip." in page.words
    assert "Stance turn : The feet are out of the picture." in page.words
    assert "Shot 2 of 2" in site.get(filmed.shot(1)).words
    assert site.get(f"{filmed.path}/shots/{uuid4()}").status == 404


def test_the_picture_of_the_release_comes_first_with_path_and_body(
    site: Pages, filmed: Filmed
) -> None:
    page = site.get(filmed.shot())
    assert f"{filmed.path}/pictures/60.jpg" in page.text
    # the ball's way, and the one line of the body that is seen, from shoulder to elbow
    assert 'd="M200.0 150.0L300.0 60.0L400.0 120.0"' in page.text
    assert 'd="M180.0 160.0L190.0 170.0"' in page.text
    assert f"{filmed.path}/pictures/75.jpg" in site.get(filmed.shot() + "?frame=75").text
    assert site.get(filmed.shot() + "?frame=wild").status == 200


def test_what_is_drawn_is_given_as_data(site: Pages, filmed: Filmed) -> None:
    data = site.client.get(filmed.shot() + "?format=json").json()
    assert data["trail"] == [[60, 200.0, 150.0], [75, 300.0, 60.0], [90, 400.0, 120.0]]
    assert data["body"]["60"][11] == [180.0, 160.0] and data["body"]["60"][0] is None
    assert data["events"] == [{"name": "release", "frame": 60, "by_hand": False}]
    assert data["points"][11] == "left shoulder" and [11, 13] in data["lines"]


def test_a_mark_is_kept_and_the_film_read_again(
    site: Pages, filmed: Filmed, database: Database, read_anew: list[int]
) -> None:
    page = site.post(filmed.shot(), what="event release", frame="61")
    assert page.path == filmed.shot() and read_anew == [1]
    assert "release, picture 61" in page.words and "Shot 1 of 1" in page.words
    with database.reading() as session:
        (mark,) = films.marks_of(session, filmed.film.id)
    assert (mark.kind, mark.name, mark.frame) == (MarkKind.EVENT, "release", 61)
    assert mark.time == pytest.approx(61 / 30)
    assert "1 set by hand" in site.get(filmed.path).words
    page = site.post(f"{filmed.shot()}/marks/{mark.id}/remove")
    assert "release, picture 61" not in page.words
    assert read_anew == [1, 0] and "Shot 1 of 2" in page.words


@pytest.mark.parametrize(
    ("fields", "kind", "name", "place"),
    [
        ({"what": "ball", "x": "200.5", "y": "150"}, MarkKind.BALL, "", (200.5, 150.0)),
        ({"what": "point left knee", "x": "9", "y": "8"}, MarkKind.POINT, "left knee", (9.0, 8.0)),
        ({"what": "result missed"}, MarkKind.RESULT, "missed", (None, None)),
    ],
)
def test_ball_points_and_result_are_set(
    site: Pages, filmed: Filmed, database: Database, read_anew: list[int],
    fields: dict[str, str], kind: MarkKind, name: str, place: tuple[float | None, float | None],
) -> None:  # fmt: skip
    headers = OWN | {"accept": "application/json"}
    answer = site.client.post(filmed.shot(), data={"frame": "62", **fields}, headers=headers)
    assert answer.status_code == 200 and answer.json() == {"said": ""}
    with database.reading() as session:
        (mark,) = films.marks_of(session, filmed.film.id)
    assert (mark.kind, mark.name, (mark.x, mark.y)) == (kind, name, place)


def test_a_shot_without_marks_says_what_it_can_t_tell_and_takes_a_result(
    site: Pages, filmed: Filmed, database: Database, media: Media
) -> None:
    with database.session() as session:
        read = reading_unmarked(filmed.film.id)
        material = Material(clip=CLIP, candidates=nothing_seen(), hands=nothing_seen())
        key = films.keep_seen(media, material)
        films.keep_read(session, filmed.film.id, read, seen_key=key)
    page = site.get(filmed.shot())
    assert "Made or missed can't be told without marks" in page.words
    assert "release speed 7.30 m/s (likely 6.92 to 7.68)" in page.words
    assert "nothing of short or long, left or right" in page.words
    assert "It was made" in page.words and "release height" not in page.text.split("<form")[0]
    refused = site.get(filmed.shot(1))
    assert "The ball looks 40 % larger than its fall says. This shot is not used." in refused.words
    assert "It was made" not in refused.words


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"what": "", "frame": "62"}, "Say what you mark"),
        ({"what": "handshake", "frame": "62"}, "Say what you mark"),
        ({"what": "event handshake", "frame": "62"}, "There is no event called"),
        ({"what": "ball", "frame": "62"}, "The place across is empty"),
        ({"what": "ball", "frame": "62", "x": "9999", "y": "0"}, "outside the picture"),
        ({"what": "event release", "frame": "900"}, "The film has pictures 0 to 299"),
        ({"what": "event release", "frame": "soon"}, "The picture is not a whole number"),
    ],
)
def test_a_mark_that_cannot_be_is_refused_in_one_sentence(
    site: Pages, filmed: Filmed, read_anew: list[int], fields: dict[str, str], sentence: str
) -> None:
    page = site.post(filmed.shot(), **fields)
    assert page.status == 400 and sentence in page.words
    assert "Shot 1 of 2" in page.words and read_anew == []


def test_a_film_that_can_only_be_measured_again_keeps_the_mark(
    site: Pages, filmed: Filmed, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(measuring: films.Measuring, material: Material, *, before: FilmRead) -> FilmRead:
        raise BadFilm("Measure it again.")

    monkeypatch.setattr(read_films, "read_film_again", refuse)
    page = site.post(filmed.shot(), what="event dip", frame="55")
    assert "The mark is kept; the film is being measured again" in page.words
    with database.reading() as session:
        assert len(films.marks_of(session, filmed.film.id)) == 1
        assert films.film(session, filmed.film.id).state is FilmState.MEASURING


# --- clips ---


@pytest.fixture(autouse=True)
def models_there(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(film_clips, "ready", lambda folder: True)


def job_of(database: Database, path: str) -> Job:
    with database.reading() as session:
        return films.job(session, UUID(path.rsplit("/", 1)[1]))


def work_on(database: Database, media: Media, content: bytes = b"a clip") -> Job:
    """Do the oldest job as the worker does, with bytes for a clip; making has its own tests."""
    with database.session() as session:
        lease = jobs.claim(session, worker="w")
        assert lease is not None
        jobs.begin(session, lease)
    making = media_made(media, lease.job_id, content)
    with database.session() as session:
        jobs.finish(session, lease)
    assert making
    with database.reading() as session:
        return films.job(session, lease.job_id)


def media_made(media: Media, job_id: UUID, content: bytes) -> str:
    key = media.keep_bytes(content, ending=".mp4")
    path = media.local(key)
    media.keep_as(made_key(job_id), path)
    return made_key(job_id)


def test_a_clip_is_asked_for_watched_and_taken(
    site: Pages, filmed: Filmed, database: Database, media: Media
) -> None:
    fields = {"make": "clip", "slower": "4", "number-speed": "yes", "number-entry": "yes"}
    page = site.post(filmed.shot() + "/make", **fields)
    assert page.path.startswith(filmed.path + "/made/") and "Waiting for its turn." in page.words
    asked = films.asked_of(job_of(database, page.path))
    assert asked.hide_faces and asked.slower == 4.0 and asked.shot == (
        filmed.film.id, filmed.read.shots[0].id,
    )  # fmt: skip
    assert asked.numbers == (
        "release speed 7.21 m/s (7.16 to 7.26)", "entry angle 44.7° (44.1 to 45.3)",
    )  # fmt: skip
    # a clip in the making does not make a film one that is being measured
    assert "Measured." in site.client.get(filmed.path + "/progress").json()["said"]
    assert site.get(page.path + "/file").status == 404
    work_on(database, media)
    told = site.client.get(page.path + "/progress").json()
    assert told["ended"] and told["said"] == "It is ready." and told["file"].endswith("/file")
    assert "look at all of it before you show it" in site.get(page.path).words
    shown = site.client.get(told["file"])
    assert shown.content == b"a clip" and shown.headers["content-type"] == "video/mp4"
    assert shown.headers["content-disposition"].startswith("inline")
    taken = site.client.get(told["file"] + "?keep=1")
    assert taken.headers["content-disposition"] == 'attachment; filename="shot.mp4"'
    assert taken.headers["cache-control"] == "no-store"


def test_asked_for_twice_it_is_made_once_and_anew_after_a_new_reading(
    site: Pages, filmed: Filmed, database: Database, media: Media
) -> None:
    first = site.post(filmed.shot() + "/make", make="clip").path
    assert site.post(filmed.shot() + "/make", make="clip").path == first
    done = work_on(database, media)
    assert site.post(filmed.shot() + "/make", make="clip").path == first
    # faces are shown only by a choice, and that is another clip
    shown = site.post(filmed.shot() + "/make", make="clip", faces="shown").path
    assert shown != first and not films.asked_of(job_of(database, shown)).hide_faces
    # gone from the disk, it is made again under the same address
    media.delete(made_key(done.id))
    again = site.post(filmed.shot() + "/make", make="clip")
    assert again.path == first and "Waiting for its turn." in again.words
    with database.session() as session:
        films.keep_read(session, filmed.film.id, filmed.read, seen_key=None)
    assert site.post(filmed.shot() + "/make", make="clip").path != first


def test_stopped_or_failed_it_says_so_and_may_be_asked_for_again(
    site: Pages, filmed: Filmed, database: Database
) -> None:
    path = site.post(filmed.shot() + "/make", make="release").path
    assert "It was not made: Stopped." in site.post(path + "/stop").words
    assert "Waiting for its turn." in site.post(filmed.shot() + "/make", make="release").words
    with database.session() as session:
        lease = jobs.claim(session, worker="w")
        assert lease is not None
        jobs.fail(session, lease, "That moment is not known in this shot.")
    assert "It was not made: That moment is not known in this shot." in site.get(path).words


def test_more_than_three_numbers_are_refused(site: Pages, filmed: Filmed) -> None:
    asked = {f"number-{key}": "yes" for key in ("speed", "angle", "entry", "apex")}
    page = site.post(filmed.shot() + "/make", make="clip", **asked)
    assert page.status == 400 and page.trouble("number").startswith("A clip has room for three")


def test_without_the_models_that_find_faces_nothing_is_made(
    site: Pages, filmed: Filmed, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(film_clips, "ready", lambda folder: False)
    page = site.post(filmed.shot() + "/make", make="clip")
    assert page.status == 409 and "run hoopwright film prepare" in page.words
    with database.session() as session:
        assert not jobs.any_to_claim(session)
    assert site.post(filmed.shot() + "/make", make="clip", faces="shown").status == 200


def test_stills_and_two_shots_side_by_side(
    site: Pages, filmed: Filmed, database: Database, media: Media
) -> None:
    page = site.post(filmed.shot() + "/make", make="set", slower="8")
    assert "Still: set point" in page.words
    assert films.asked_of(job_of(database, page.path)).moment == "set point"
    work_on(database, media, b"a picture")
    assert "<img src=" in site.get(page.path).text
    answer = site.client.get(page.path + "/file")
    assert (answer.content, answer.headers["content-type"]) == (b"a picture", "image/jpeg")
    assert site.post(filmed.shot() + "/make", make="dance").status == 400
    before, after = filmed.read.shots
    value = f"{filmed.film.id} {before.id}"
    assert f'value="{value}"' in site.get(filmed.shot(1)).text
    page = site.post(filmed.shot(1) + "/make", make="beside", **{"with": value})
    asked = films.asked_of(job_of(database, page.path))
    assert asked.shot[1] == after.id and asked.before == (filmed.film.id, before.id)
    page = site.post(filmed.shot(1) + "/make", make="beside")
    assert page.trouble("with") == "Choose the shot to put beside this one."


def test_another_players_shot_is_not_put_beside(
    site: Pages, filmed: Filmed, database: Database, media: Media
) -> None:
    other = measured(database, media, UUID(site.player("Invented Kim").rsplit("/", 1)[1]))
    value = f"{other.film.id} {other.read.shots[0].id}"
    page = site.post(filmed.shot() + "/make", make="beside", **{"with": value})
    assert page.status == 400 and "choose one of this player" in page.trouble("with")


def test_what_was_made_is_cleared_away_after_an_hour_and_with_its_film(
    site: Pages, filmed: Filmed, database: Database, media: Media, settings: Settings
) -> None:
    def files() -> list[str]:
        return [p.name for p in Path(settings.films_address).glob("*.made")]

    path = site.post(filmed.shot() + "/make", make="clip").path
    work_on(database, media)
    later = datetime.now(UTC) + films.KEPT_FOR
    with database.session() as session:
        assert films.clear_made(session) == 0 and not films.any_old_made(session)
        assert films.any_old_made(session, now=later) and films.clear_made(session, now=later) == 1
        films.clear_removed(session, media)
    assert files() == [] and site.get(path).status == 404
    site.post(filmed.shot() + "/make", make="clip")
    work_on(database, media)
    assert len(files()) == 1
    site.post(filmed.path + "/remove")
    assert files() == []


def test_of_another_film_or_job_nothing_is_handed_over(
    site: Pages, filmed: Filmed, database: Database
) -> None:
    with database.session() as session:
        job = films.start_measuring(session, filmed.film.id)
    for path in ("", "/progress", "/file"):
        assert site.get(f"{filmed.path}/made/{job.id}{path}").status == 404
        assert site.get(f"{filmed.path}/made/{uuid4()}{path}").status == 404
