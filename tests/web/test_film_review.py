"""One filmed shot: what is shown of it, what is set by hand, what is made of it."""

from collections.abc import Iterator
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
from hoopwright.errors import BadFilm, ModelsMissing
from hoopwright.film.results import FilmRead
from hoopwright.film.told import Material
from hoopwright.records import FilmState, MarkKind
from hoopwright.settings import Settings
from hoopwright.store.engine import Database, open_database
from hoopwright.store.media import Media, open_media


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


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, object]]:
    """What clips were asked for; making them has its own tests."""
    asked: list[dict[str, object]] = []

    def clip_out(seen: films.ShotSeen, source: Path, out: Path, **how: object) -> None:
        asked.append({"shots": (seen.shot.id,), **how})
        out.write_bytes(b"a clip")

    def both(before: tuple[films.ShotSeen, Path], after: tuple[films.ShotSeen, Path], out: Path,
             **how: object) -> None:  # fmt: skip
        asked.append({"shots": (before[0].shot.id, after[0].shot.id), **how})
        out.write_bytes(b"two clips")

    def still_out(seen: films.ShotSeen, source: Path, moment: str, **how: object) -> bytes:
        asked.append({"moment": moment, **how})
        return b"a still"

    monkeypatch.setattr(films, "clip_out", clip_out)
    monkeypatch.setattr(films, "side_by_side_out", both)
    monkeypatch.setattr(films, "still_out", still_out)
    return asked


def test_a_clip_goes_out_with_faces_hidden_unless_they_are_asked_for(
    site: Pages, filmed: Filmed, settings: Settings, made: list[dict[str, object]]
) -> None:
    answer = site.client.get(f"{filmed.shot()}/clip.mp4?number=speed&number=entry&slower=4")
    assert answer.content == b"a clip" and answer.headers["content-type"] == "video/mp4"
    assert answer.headers["content-disposition"] == 'attachment; filename="shot-1.mp4"'
    assert made[0]["hide_with"] == settings.models and made[0]["slower"] == 4.0
    assert made[0]["numbers"] == (
        "release speed 7.21 m/s (7.16 to 7.26)", "entry angle 44.7° (44.1 to 45.3)",
    )  # fmt: skip
    site.client.get(f"{filmed.shot()}/clip.mp4?faces=shown")
    assert made[1]["hide_with"] is None
    assert list(settings.data.glob("clip-*")) == []


def test_more_than_three_numbers_are_refused(
    site: Pages, filmed: Filmed, made: list[dict[str, object]]
) -> None:
    asked = "&".join(f"number={key}" for key in ("speed", "angle", "entry", "apex"))
    page = site.get(f"{filmed.shot()}/clip.mp4?{asked}")
    assert page.status == 400 and "A clip has room for three numbers" in page.words
    assert made == []


def test_without_the_models_that_find_faces_nothing_is_made(
    site: Pages, filmed: Filmed, monkeypatch: pytest.MonkeyPatch
) -> None:
    def missing(*_: object, **__: object) -> None:
        raise ModelsMissing

    monkeypatch.setattr(films, "clip_out", missing)
    page = site.get(f"{filmed.shot()}/clip.mp4")
    assert page.status == 409 and "run hoopwright film prepare" in page.words


def test_stills_and_two_shots_side_by_side(
    site: Pages, filmed: Filmed, made: list[dict[str, object]]
) -> None:
    answer = site.client.get(f"{filmed.shot()}/stills/set.jpg")
    assert answer.content == b"a still" and made[0]["moment"] == "set point"
    assert site.get(f"{filmed.shot()}/stills/dance.jpg").status == 404
    before, after = filmed.read.shots
    page = site.get(filmed.shot(1))
    assert f'value="{filmed.film.id} {before.id}"' in page.text
    answer = site.client.get(
        f"{filmed.shot(1)}/beside.mp4", params={"with": f"{filmed.film.id} {before.id}"}
    )
    assert answer.content == b"two clips" and made[1]["shots"] == (before.id, after.id)
    assert "Choose the shot to put beside" in site.get(f"{filmed.shot(1)}/beside.mp4").words


def test_another_players_shot_is_not_put_beside(
    site: Pages, filmed: Filmed, database: Database, media: Media, made: list[dict[str, object]]
) -> None:
    other = measured(database, media, UUID(site.player("Invented Kim").rsplit("/", 1)[1]))
    answer = site.client.get(
        f"{filmed.shot()}/beside.mp4",
        params={"with": f"{other.film.id} {other.read.shots[0].id}"},
    )
    assert answer.status_code == 400 and "choose one of this player" in answer.text and made == []
