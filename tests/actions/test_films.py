"""Films: kept with care, marked, measured as jobs, and entered into the workouts once."""

import io
from collections.abc import Callable, Iterator
from dataclasses import fields, replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import numpy as np
import pytest
from sqlalchemy.orm import Session
from tests.actions.film_material import CLIP, candidates, material, poses

from hoopwright.actions import films
from hoopwright.actions.films import kept, places, reading
from hoopwright.actions.people import add_player, forget_player, remove_player
from hoopwright.actions.shots import add_set, edits_of, start_workout
from hoopwright.errors import BadFilm, BadInput, Conflict, NotFound
from hoopwright.film.results import Candidates, ClipFacts, FilmRead, Moment
from hoopwright.records import (
    Film,
    FilmMark,
    FilmState,
    JobState,
    MarkKind,
    Player,
    ShotSet,
    Spot,
    StoredScene,
    Workout,
)
from hoopwright.store import jobs
from hoopwright.store.engine import Database, open_database
from hoopwright.store.media import Media, open_media

CHILD = Player(id=UUID(int=1), name="Invented A", birth_year=2014)
ADULT = Player(id=UUID(int=2), name="Invented B", birth_year=1990)
UNTOLD = Player(id=UUID(int=3), name="Invented C")
SCENE = StoredScene(
    id=UUID(int=9), gym="Old gym", place="left of the bench", content="a scene",
    made_at=datetime(2026, 11, 1, tzinfo=UTC),
)  # fmt: skip


@pytest.fixture
def database(tmp_path: Path) -> Iterator[Database]:
    opened = open_database(f"sqlite:///{tmp_path}/hoopwright.db")
    with opened.session() as session:
        for player in (CHILD, ADULT, UNTOLD):
            add_player(session, player, who="coach")
    yield opened
    opened.close()


@pytest.fixture
def media(tmp_path: Path) -> Media:
    return open_media(str(tmp_path / "films"), copies=tmp_path / "copies", largest=1_000_000)


@pytest.fixture(autouse=True)
def not_decoded(monkeypatch: pytest.MonkeyPatch) -> None:
    """Bytes stand for a film, unless they start with "no film"."""

    def look_at(path: Path) -> ClipFacts:
        if path.read_bytes().startswith(b"no film"):
            raise BadFilm
        return CLIP

    monkeypatch.setattr(kept, "look_at", look_at)
    monkeypatch.setattr(places, "check_scene", lambda content: None)


def add(
    session: Session,
    media: Media,
    content: bytes = b"a film",
    *,
    player: Player = CHILD,
    set_id: UUID | None = None,
) -> Film:
    return films.add_film(
        session, media, io.BytesIO(content), player_id=player.id, file_name="IMG 1.MOV",
        who="coach", set_id=set_id,
    )  # fmt: skip


def media_files(media: Media, tmp_path: Path) -> list[Path]:
    return sorted((tmp_path / "films").glob("*"))


def chart(session: Session, player: Player = CHILD) -> ShotSet:
    workout = Workout(id=uuid4(), player_id=player.id, day=date(2026, 11, 2))
    start_workout(session, workout, who="coach")
    spot = Spot(name="free throw", x=0.0, y=4.225)
    shot_set = ShotSet(id=uuid4(), workout_id=workout.id, position=0, spot=spot)
    return add_set(session, shot_set, who="coach")


# --- kept ---


def test_a_film_is_kept_and_comes_back(database: Database, media: Media) -> None:
    with database.session() as session:
        shot_set = chart(session)
    with database.session() as session:
        film = add(session, media, set_id=shot_set.id)
    with database.reading() as session:
        assert films.film(session, film.id) == film
        assert films.films_of(session, CHILD.id) == [film]
        assert films.path_of(session, media, film.id).read_bytes() == b"a film"
        assert films.clip_of(session, film.id) == CLIP
        assert [e.what for e in edits_of(session, film.id)] == ["add"]
    assert (film.file_name, film.size, film.state) == ("IMG 1.MOV", 6, FilmState.NEW)
    assert (film.set_id, film.workout_id) == (shot_set.id, shot_set.workout_id)


def test_the_same_film_sent_twice_is_there_once(
    database: Database, media: Media, tmp_path: Path
) -> None:
    with database.session() as session:
        first = add(session, media)
    with database.session() as session:
        assert add(session, media) == first
        other = add(session, media, player=ADULT)
    with database.reading() as session:
        assert films.films_of(session, CHILD.id) == [first]
        assert films.path_of(session, media, first.id).exists()
    assert other.id != first.id
    assert len(media_files(media, tmp_path)) == 2


def test_whatever_goes_wrong_leaves_no_file(
    database: Database, media: Media, tmp_path: Path
) -> None:
    with pytest.raises(BadFilm), database.session() as session:
        add(session, media, b"no film")
    with pytest.raises(NotFound), database.session() as session:
        add(session, media, player=Player(id=uuid4(), name="Nobody"))
    with database.session() as session:
        theirs = chart(session, ADULT)
    with pytest.raises(BadInput, match="another player's"), database.session() as session:
        add(session, media, set_id=theirs.id)
    with pytest.raises(ZeroDivisionError), database.session() as session:
        add(session, media)
        raise ZeroDivisionError
    assert media_files(media, tmp_path) == []
    with database.reading() as session:
        assert films.films_of(session, CHILD.id) == []


def test_a_kept_film_survives_a_later_failure_in_the_same_session(
    database: Database, media: Media
) -> None:
    """One session, two transactions: undoing the second must not touch the first's file."""
    with database.reading() as session:
        film = add(session, media)
        session.commit()
        films.films_of(session, CHILD.id)
        session.rollback()
        assert films.path_of(session, media, film.id).exists()


@pytest.mark.parametrize("name", ["../../x.mp4", "a\nb\x1b[2J.mp4", "$(reboot).mp4", "", "n" * 999])
def test_a_file_name_is_only_shown(database: Database, media: Media, name: str) -> None:
    with database.session() as session:
        film = films.add_film(
            session, media, io.BytesIO(b"a film"), player_id=CHILD.id, file_name=name, who="coach"
        )
    assert film.file_name.isprintable()
    assert 0 < len(film.file_name) <= kept.LONGEST_NAME


def test_removed_its_file_goes_and_not_before_that_is_certain(
    database: Database, media: Media, tmp_path: Path
) -> None:
    with database.session() as session:
        film = add(session, media)
    with pytest.raises(ZeroDivisionError), database.session() as session:
        films.remove_film(session, media, film.id, who="coach")
        raise ZeroDivisionError
    assert len(media_files(media, tmp_path)) == 1
    with database.session() as session:
        assert films.remove_film(session, media, film.id, who="coach") == film
    assert media_files(media, tmp_path) == []
    with database.reading() as session, pytest.raises(NotFound):
        films.film(session, film.id)
    with database.reading() as session:
        assert [e.what for e in edits_of(session, film.id)] == ["add", "remove"]


@pytest.mark.parametrize("remove", [remove_player, forget_player])
def test_with_a_player_the_files_go(
    database: Database, media: Media, tmp_path: Path, remove: Callable[..., object]
) -> None:
    with database.session() as session:
        film = add(session, media)
        other = add(session, media, player=ADULT)
        films.mark_by_hand(session, FilmMark(film_id=film.id, kind=MarkKind.BALL, frame=1,
                                             time=0.03, x=1.0, y=2.0), who="coach")  # fmt: skip
        films.start_measuring(session, film.id)
    with database.session() as session:
        remove(session, CHILD.id, who="coach")
    with database.session() as session:
        assert films.clear_removed(session, media) == 1
        assert films.clear_removed(session, media) == 0
    assert [p.name for p in media_files(media, tmp_path)] == [other.media_key]
    with database.reading() as session:
        said = [e.before for e in edits_of(session, film.id)]
        assert all(text == "" for text in said) or remove is remove_player


def test_slowed_as_told_changes_the_clock_and_the_marks_with_it(
    database: Database, media: Media
) -> None:
    """A clip of 240 pictures a second played at 30 is 8 times as quick as it looks."""
    with database.session() as session:
        film = add(session, media)
        mark = FilmMark(film_id=film.id, kind=MarkKind.BALL, frame=30, time=1.0, x=1.0, y=2.0)
        films.mark_by_hand(session, mark, who="coach")
        films.say_slowed(session, film.id, 8.0, who="coach")
        clip = films.clip_of(session, film.id)
        assert (clip.rate, clip.duration, clip.slowed) == (240.0, 1.25, 8.0)
        assert films.marks_of(session, film.id)[0].time == pytest.approx(0.125)
        films.say_slowed(session, film.id, None, who="coach")
        assert films.clip_of(session, film.id) == CLIP
        assert films.marks_of(session, film.id)[0].time == pytest.approx(1.0)


@pytest.mark.parametrize("factor", [0.5, 0.0, -1.0, 65.0, float("nan"), float("inf")])
def test_a_factor_that_cannot_be_is_refused(
    database: Database, media: Media, factor: float
) -> None:
    with database.session() as session:
        film = add(session, media)
        with pytest.raises(BadInput, match="1 to 64"):
            films.say_slowed(session, film.id, factor, who="coach")


def test_children_and_those_of_no_known_age_are_filmed_with_care(
    database: Database, media: Media
) -> None:
    with database.session() as session:
        child = films.care_of(session, add(session, media).id)
        untold = films.care_of(session, add(session, media, player=UNTOLD).id)
        adult = films.care_of(session, add(session, media, player=ADULT).id)
    assert (child.blur_faces, untold.blur_faces, adult.blur_faces) == (True, True, False)
    assert "minor" in child.caution
    assert "year of birth" in untold.caution
    assert "local rules" in child.caution
    assert adult.caution == ""


# --- places ---


def test_a_scene_is_kept_chosen_changed_and_removed(database: Database, media: Media) -> None:
    with database.session() as session:
        assert films.add_scene(session, SCENE, who="coach") == SCENE
        later = replace(SCENE, made_at=datetime.now(UTC))
        assert films.add_scene(session, later, who="coach") == SCENE
        with pytest.raises(Conflict):
            films.add_scene(session, replace(SCENE, content="other"), who="coach")
        film = add(session, media)
        assert films.choose_scene(session, film.id, SCENE.id, who="coach").scene_id == SCENE.id
        with pytest.raises(BadInput, match="names this scene"):
            films.remove_scene(session, SCENE.id, who="coach")
        changed = films.save_scene(session, replace(SCENE, gym="  New   gym "), who="coach")
        assert changed.gym == "New gym"
        assert films.scenes(session) == [changed]
        films.choose_scene(session, film.id, None, who="coach")
        films.remove_scene(session, SCENE.id, who="coach")
        assert films.scenes(session) == []
        assert [e.what for e in edits_of(session, SCENE.id)] == ["add", "change", "remove"]
        with pytest.raises(NotFound):
            films.choose_scene(session, film.id, SCENE.id, who="coach")


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"gym": " "}, "gym"),
        ({"place": ""}, "place"),
        ({"rules": "none such"}, "rules"),
        ({"ring_height": 30.5}, "ring_height"),
    ],
)
def test_a_scene_that_cannot_be_is_refused(
    database: Database, wrong: dict[str, object], field: str
) -> None:
    with database.session() as session, pytest.raises(BadInput) as caught:
        films.add_scene(session, replace(SCENE, **wrong), who="coach")  # type: ignore[arg-type]
    assert caught.value.field == field


# --- marks ---


def ball(film: Film, **changes: object) -> FilmMark:
    mark = FilmMark(film_id=film.id, kind=MarkKind.BALL, frame=10, time=1 / 3, x=320.0, y=100.0)
    return replace(mark, **changes)  # type: ignore[arg-type]


def test_a_second_mark_of_the_same_thing_moves_the_first(database: Database, media: Media) -> None:
    with database.session() as session:
        film, shot_id = add(session, media), uuid4()
        first = films.mark_by_hand(session, ball(film), who="coach")
        moved = films.mark_by_hand(session, ball(film, x=325.0), who="second coach")
        elsewhere = films.mark_by_hand(session, ball(film, frame=11, time=0.37), who="coach")
        release = ball(film, kind=MarkKind.EVENT, name=Moment.RELEASE.value, shot_id=shot_id)
        event = films.mark_by_hand(session, release, who="coach")
        later = films.mark_by_hand(session, replace(release, frame=12, time=0.4), who="coach")
        went_in = ball(film, kind=MarkKind.RESULT, name="made", shot_id=shot_id)
        made = films.mark_by_hand(session, went_in, who="coach")
        missed = films.mark_by_hand(session, replace(went_in, name="missed"), who="coach")
        assert films.marks_of(session, film.id) == [moved, missed, elsewhere, later]
        assert [e.what for e in edits_of(session, first.id)] == ["add", "change"]
    assert first.id == moved.id != elsewhere.id
    assert (event.id, made.id) == (later.id, missed.id)
    assert (moved.x, moved.who) == (325.0, "second coach")
    assert (event.x, event.y) == (None, None)


def test_marks_are_taken_away(database: Database, media: Media) -> None:
    with database.session() as session:
        mark = films.mark_by_hand(session, ball(add(session, media)), who="coach")
        assert films.unmark(session, mark.id, who="coach") == mark
        assert films.marks_of(session, mark.film_id) == []
        with pytest.raises(NotFound):
            films.unmark(session, mark.id, who="coach")


@pytest.mark.parametrize(
    "wrong",
    [
        {"frame": 300},
        {"frame": -1},
        {"x": None},
        {"x": float("nan")},
        {"x": 5000.0},
        {"kind": MarkKind.EVENT, "name": "release"},
        {"kind": MarkKind.EVENT, "name": "handshake", "shot_id": UUID(int=5)},
        {"kind": MarkKind.RESULT, "name": "perhaps", "shot_id": UUID(int=5)},
    ],
)
def test_a_mark_that_cannot_be_is_refused_in_one_sentence(
    database: Database, media: Media, wrong: dict[str, object]
) -> None:
    with database.session() as session:
        film = add(session, media)
        with pytest.raises(BadInput) as caught:
            films.mark_by_hand(session, ball(film, **wrong), who="coach")
        assert films.marks_of(session, film.id) == []
    assert "\n" not in caught.value.message


# --- measuring ---


def test_a_film_is_measured_as_one_job_at_a_time(database: Database, media: Media) -> None:
    with database.session() as session:
        film = add(session, media)
        job = films.start_measuring(session, film.id)
        assert films.start_measuring(session, film.id) == job
        assert films.film(session, film.id).state is FilmState.MEASURING
        assert films.cancel(session, job.id).state is JobState.CANCELLED
        assert films.film(session, film.id).state is FilmState.NEW
        again = films.start_measuring(session, film.id)
        assert again.id != job.id
        assert [one.id for one in films.jobs_of(session, film.id)] == [again.id, job.id]
        lease = jobs.claim(session, worker="w")
        assert lease is not None
        jobs.fail(session, lease, "Too dark.")
        assert films.film(session, film.id).state is FilmState.FAILED
        assert films.job(session, again.id).error == "Too dark."
        with pytest.raises(NotFound):
            films.start_measuring(session, uuid4())


def test_a_reading_comes_back_and_is_replaced_with_what_was_seen(
    database: Database, media: Media, tmp_path: Path
) -> None:
    read = FilmRead(clip=CLIP, shots=(), notes=("No shot was seen.",))
    with database.session() as session:
        film = add(session, media)
        assert films.read_of(session, film.id) is None
        assert films.seen_of(session, media, film.id) is None
    for _ in range(2):
        key = films.keep_seen(media, material())
        with database.session() as session:
            films.keep_read(session, film.id, read, seen_key=key)
    with database.session() as session:
        assert films.read_of(session, film.id) == read
        seen = films.seen_of(session, media, film.id)
        assert seen is not None
        assert (seen.clip, seen.notes) == (CLIP, ("A note.",))
        np.testing.assert_array_equal(seen.poses[0].points, poses().points)
        for one in fields(Candidates):
            there, put = getattr(seen.hands, one.name), getattr(candidates(), one.name)
            np.testing.assert_array_equal(there, put)
            assert there.dtype == put.dtype
        assert films.film(session, film.id).state is FilmState.MEASURED
        # what the first reading saw
        assert films.clear_removed(session, media) == 1
    with database.session() as session:
        films.remove_film(session, media, film.id, who="coach")
    assert media_files(media, tmp_path) == []


def test_read_again_with_marks_nothing_is_measured_anew(
    database: Database, media: Media, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[tuple[FilmMark, ...]] = []

    def again(measuring: films.Measuring, seen: Any, *, before: FilmRead) -> FilmRead:
        asked.append(measuring.marks)
        return FilmRead(clip=seen.clip, shots=(), notes=("Read again.",))

    monkeypatch.setattr(reading, "read_film_again", again)
    with database.session() as session:
        film = add(session, media)
        with pytest.raises(NotFound, match="measure it first"):
            films.read_again(session, media, film.id)
        key = films.keep_seen(media, material())
        films.keep_read(session, film.id, FilmRead(clip=CLIP, shots=()), seen_key=key)
        mark = films.mark_by_hand(session, ball(film), who="coach")
        read = films.read_again(session, media, film.id)
        assert films.read_of(session, film.id) == read
        assert (read.notes, asked) == (("Read again.",), [(mark,)])
        # what was seen is kept for the next mark
        assert films.clear_removed(session, media) == 0
        assert films.seen_of(session, media, film.id) is not None


def test_with_another_clock_a_film_must_be_measured_again(database: Database, media: Media) -> None:
    with database.session() as session:
        film = add(session, media)
        key = films.keep_seen(media, material())
        films.keep_read(session, film.id, FilmRead(clip=CLIP, shots=()), seen_key=key)
        films.say_slowed(session, film.id, 8.0, who="coach")
        with pytest.raises(BadFilm, match="measure it again"):
            films.read_again(session, media, film.id)


def test_a_film_is_read_without_marks_where_that_is_asked_and_so_again(
    database: Database, media: Media
) -> None:
    with database.session() as session:
        film = add(session, media)
        first = films.start_measuring(session, film.id, unmarked=True)
        assert first.argument == {"film": str(film.id), "unmarked": True}
        assert films.ready_to_measure(session, film.id, unmarked=True).unmarked
        films.cancel(session, first.id)
        assert not films.read_unmarked(session, film.id)
        read = FilmRead(clip=CLIP, shots=(), scene_sum="")
        films.keep_read(session, film.id, read, seen_key=None)
        assert films.read_unmarked(session, film.id)
        assert films.start_measuring(session, film.id).argument["unmarked"] is True
        films.add_scene(session, SCENE, who="coach")
        films.choose_scene(session, film.id, SCENE.id, who="coach")
        assert not films.read_unmarked(session, film.id)


def test_a_reading_is_out_of_date_once_place_or_clock_changed(
    database: Database, media: Media, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reading, "sum_of", lambda scene: f"sum of {scene.content}")
    with database.session() as session:
        film = add(session, media)

        def said(scene_sum: str | None) -> str:
            read = FilmRead(clip=CLIP, shots=(), scene_sum=scene_sum)
            return films.out_of_date(session, film.id, read)

        assert (said(None), said("")) == ("", "")
        assert said("sum of a scene") == reading.NO_PLACE_ANY_MORE
        films.add_scene(session, SCENE, who="coach")
        films.choose_scene(session, film.id, SCENE.id, who="coach")
        assert (said(None), said("sum of a scene")) == ("", "")
        assert said("") == reading.MARKED_SINCE
        films.save_scene(session, replace(SCENE, content="moved marks"), who="coach")
        assert said("sum of a scene") == reading.OLDER_MARKS
        assert "older marks" in reading.OLDER_MARKS
        films.say_slowed(session, film.id, 8.0, who="coach")
        assert said("sum of moved marks") == reading.OTHER_CLOCK


def test_without_a_scene_measuring_is_refused_before_it_starts(
    database: Database, media: Media
) -> None:
    with database.session() as session:
        measuring = films.ready_to_measure(session, add(session, media).id)
    with pytest.raises(BadInput, match="camera place"):
        films.measure_film(measuring, Path("none"), models=Path("none"), progress=lambda *_: None)


def test_what_measuring_needs_is_read_in_one_go(database: Database, media: Media) -> None:
    with database.session() as session:
        film = add(session, media)
        films.add_scene(session, SCENE, who="coach")
        film = films.choose_scene(session, film.id, SCENE.id, who="coach")
        mark = films.mark_by_hand(session, ball(film), who="coach")
        assert films.ready_to_measure(session, film.id) == films.Measuring(
            film=film, clip=CLIP, player=CHILD, scene=SCENE, marks=(mark,)
        )
