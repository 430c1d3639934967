"""Measured shots in the workouts: joined with charted ones, brought up to date, never doubled."""

import io
import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from uuid import UUID, uuid4, uuid5

import numpy as np
import pytest
from sqlalchemy.orm import Session

from hoopwright.actions import films
from hoopwright.actions.films import entering, kept, places
from hoopwright.actions.films import filmed as filmed_shots
from hoopwright.actions.people import add_player
from hoopwright.actions.shots import (
    add_set,
    chart_of,
    correct_shot,
    edits_of,
    get_set,
    list_workouts,
    record_shots,
    remove_shot,
    start_workout,
)
from hoopwright.chart import spots
from hoopwright.court import frame
from hoopwright.errors import BadInput, NotFound
from hoopwright.film.results import (
    BallPath,
    Body,
    BodyMeasure,
    ClipFacts,
    Doubt,
    FilmedShot,
    FilmRead,
    Flag,
    Flight,
    Measured,
    SideRead,
)
from hoopwright.records import (
    Film,
    Half,
    MeasuredRelease,
    Miss,
    MissDetail,
    Player,
    Shot,
    ShotSet,
    Spot,
    StoredScene,
    Workout,
)
from hoopwright.store.engine import Database, open_database
from hoopwright.store.media import Media, open_media

PLAYER = Player(id=UUID(int=1), name="Invented A", birth_year=2010, ring_height=3.05)
CLIP = ClipFacts(
    width=1280, height=720, frames=6000, duration=100.0, rate=60.0, slowed=1.0, codec="h264",
    turns=0,
)  # fmt: skip
#: a rhythm with a story, so that it can be lined up
MADE = (True, False, False, True, True, True, False, True, False, False, True, True)
#: free throw: 4.225 m from below ring centre (FIBA 2024 Art. 2.4.3 by court.standards)
LINE = 4.225


@pytest.fixture
def database(tmp_path: Path) -> Iterator[Database]:
    opened = open_database(f"sqlite:///{tmp_path}/hoopwright.db")
    with opened.session() as session:
        add_player(session, PLAYER, who="coach")
    yield opened
    opened.close()


@pytest.fixture
def media(tmp_path: Path) -> Media:
    return open_media(str(tmp_path / "films"), copies=tmp_path / "copies", largest=1_000_000)


@pytest.fixture(autouse=True)
def not_decoded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kept, "look_at", lambda path: CLIP)


def release(along: float = 0.05, across: float = 0.02, speed: float = 7.0) -> MeasuredRelease:
    covariance = np.diag([0.03, 0.005, 0.004, 0.03, 0.03]) ** 2
    return MeasuredRelease(
        speed=speed, angle=0.9, direction=0.01, height=2.2, along=along, across=across,
        covariance=tuple(covariance.ravel().tolist()),
    )  # fmt: skip


def path_of(time: float, made: bool, at: tuple[float, float], **numbers: float) -> BallPath:
    right, ahead = at
    flight = Flight(
        time=time + 0.5, position=(right, ahead / 2, 3.6), velocity=(0.0, 4.2, 0.0), spin=12.0,
        drag=1.0, covariance=tuple(np.eye(8).ravel().tolist()), first=time, last=time + 1.0,
        rows=(0, 1, 2), misfit=1.0,
    )  # fmt: skip
    along = numbers.get("along", 0.02 if made else -0.3)
    return BallPath(
        flight=flight,
        release_time=Measured(value=time, sd=0.01),
        ring_time=Measured(value=time + 1.0, sd=0.01),
        release=release(along=along, speed=numbers.get("speed", 7.0)),
        release_point=(right, ahead, 2.2),
        entry_angle=Measured(value=0.78, sd=0.01),
        apex=Measured(value=3.9, sd=0.02),
        release_height=Measured(value=2.2, sd=0.02),
        made=made,
        made_chance=0.99,
    )


def filmed(
    film: Film, n: int, *, at: tuple[float, float] = (0.0, 0.2 - LINE), **changes: float
) -> FilmedShot:
    time = 5.0 * n + 1.0
    made = MADE[n % len(MADE)]
    return FilmedShot(
        id=uuid5(film.id, str(n)), position=n, start=time - 1.0, end=time + 2.0,
        ball=path_of(time, made, at, **changes),
        body=(BodyMeasure(name=Body.DIP_DEPTH, value=round(0.3 + 0.01 * n, 2), sd=0.02),),
    )  # fmt: skip


def tapped(n: int) -> Shot:
    made = MADE[n]
    return Shot(
        id=uuid4(), made=made, miss=() if made else (Miss.SHORT,),
        half=Half.BACK if made else None,
    )  # fmt: skip


def refused(shot: FilmedShot) -> FilmedShot:
    doubt = Doubt(flag=Flag.TOO_SLOW, message="Too slow to reach the ring.", refused=True)
    return replace(shot, doubts=(doubt,))


def with_made(shot: FilmedShot, made: bool) -> FilmedShot:
    assert shot.ball is not None
    return replace(shot, ball=replace(shot.ball, made=made))


class Gym:
    """A film of one player, read as a test says."""

    def __init__(self, session: Session, media: Media) -> None:
        self.session = session
        self.film = films.add_film(
            session, media, io.BytesIO(b"a film"), player_id=PLAYER.id, file_name="a.mp4",
            who="coach",
        )  # fmt: skip

    def read(self, shots: Sequence[FilmedShot]) -> None:
        read = FilmRead(clip=CLIP, shots=tuple(shots))
        films.keep_read(self.session, self.film.id, read, seen_key=None)

    def shots(self, *numbers: int) -> list[FilmedShot]:
        return [filmed(self.film, n) for n in numbers]

    def enter(self, **how: object) -> films.Entered:
        return films.enter_shots(self.session, self.film.id, who="coach", **how)  # type: ignore[arg-type]

    def chart(self, shots: Sequence[Shot] = (), **changes: object) -> ShotSet:
        workout = Workout(id=uuid4(), player_id=PLAYER.id, day=date(2026, 11, 2))
        start_workout(self.session, workout, who="coach")
        new = ShotSet(
            id=uuid4(), workout_id=workout.id, position=0,
            spot=Spot(name="free throw", x=0.0, y=LINE), shots=tuple(shots),
        )  # fmt: skip
        return add_set(self.session, replace(new, **changes), who="coach")  # type: ignore[arg-type]

    def sets(self) -> list[ShotSet]:
        return [one for visit in list_workouts(self.session, PLAYER.id) for one in visit.sets]


@pytest.fixture
def gym(database: Database, media: Media) -> Iterator[Gym]:
    with database.session() as session:
        yield Gym(session, media)


def test_a_film_nobody_charted_becomes_a_workout(gym: Gym) -> None:
    gym.read(gym.shots(*range(6)))
    entered = gym.enter(day=date(2026, 11, 20), condition="higher finish")
    [visit] = list_workouts(gym.session, PLAYER.id)
    [one] = visit.sets
    assert (entered.set_ids, entered.added, entered.joined) == ((one.id,), 6, 0)
    assert (visit.day, one.condition, one.spot.name) == (
        date(2026, 11, 20), "higher finish", "free throw",
    )  # fmt: skip
    assert [s.made for s in one.shots] == list(MADE[:6])
    assert [s.id for s in one.shots] == [s.id for s in gym.shots(*range(6))]
    assert one.shots[0].release == release(along=0.02)
    body = films.body_of(gym.session, [s.id for s in one.shots])
    assert body[one.shots[3].id] == {"dip depth": (0.33, 0.02)}
    assert films.film(gym.session, gym.film.id).workout_id == visit.id
    # what the findings read
    assert sum(s.release is not None for s in chart_of(gym.session, PLAYER.id).sets[0].shots) == 6


def test_entered_again_nothing_is_doubled(gym: Gym) -> None:
    gym.read(gym.shots(*range(4)))
    gym.enter()
    before = gym.sets()
    again = gym.enter()
    assert gym.sets() == before
    assert (again.added, again.joined, again.updated, again.withdrawn) == (0, 0, 4, 0)
    assert [e.what for e in edits_of(gym.session, before[0].shots[0].id)] == ["add"]


def test_measured_anew_shots_are_brought_up_to_date_in_their_places(gym: Gym) -> None:
    """Another speed, one shot more in the middle, one that is doubted now."""
    gym.read(gym.shots(0, 1, 3, 4))
    gym.enter()
    one, _, three, four = (filmed(gym.film, n, speed=7.5) for n in (0, 2, 3, 4))
    two, second = filmed(gym.film, 2), filmed(gym.film, 1)
    gym.read([one, refused(second), two, three, four])
    entered = gym.enter()
    [shot_set] = gym.sets()
    assert [s.id for s in shot_set.shots] == [one.id, two.id, three.id, four.id]
    assert [s.release.speed for s in shot_set.shots if s.release] == [7.5, 7.0, 7.5, 7.5]
    assert (entered.added, entered.updated, entered.withdrawn) == (1, 3, 1)
    assert entered.left_out == ((second.id, "Too slow to reach the ring."),)
    assert second.id not in films.body_of(gym.session, [second.id])


def test_charted_and_filmed_shots_are_one(gym: Gym) -> None:
    charted = [tapped(n) for n in range(12)]
    shot_set = gym.chart(charted)
    gym.read(gym.shots(*range(12)))
    entered = gym.enter(set_id=shot_set.id)
    after = get_set(gym.session, shot_set.id)
    assert (entered.joined, entered.added, entered.left_out) == (12, 0, ())
    assert [(s.id, s.made, s.miss, s.half) for s in after.shots] == [
        (s.id, s.made, s.miss, s.half) for s in charted
    ]
    assert all(s.release is not None for s in after.shots)
    assert films.body_of(gym.session, [charted[2].id])[charted[2].id] == {"dip depth": (0.32, 0.02)}
    again = gym.enter(set_id=shot_set.id)
    assert (again.joined, again.added, again.updated) == (0, 0, 12)
    assert get_set(gym.session, shot_set.id) == after


def test_withdrawn_a_charted_shot_stays_as_charted(gym: Gym) -> None:
    charted = [tapped(n) for n in range(12)]
    shot_set = gym.chart(charted)
    gym.read(gym.shots(*range(12)))
    gym.enter(set_id=shot_set.id)
    gym.read([refused(s) if s.position == 4 else s for s in gym.shots(*range(12))])
    assert gym.enter(set_id=shot_set.id).withdrawn == 1
    after = get_set(gym.session, shot_set.id)
    assert after.shots[4] == charted[4]
    assert sum(s.release is not None for s in after.shots) == 11
    assert charted[4].id not in films.body_of(gym.session, [s.id for s in charted])
    # and measured well again, it is joined again
    gym.read(gym.shots(*range(12)))
    assert gym.enter(set_id=shot_set.id).joined == 1
    assert all(s.release is not None for s in get_set(gym.session, shot_set.id).shots)


def test_where_film_and_chart_disagree_the_chart_is_kept_and_it_is_told(gym: Gym) -> None:
    charted = [tapped(n) for n in range(12)]
    shot_set = gym.chart(charted)
    shots = gym.shots(*range(12))
    shots[3] = with_made(shots[3], False)
    gym.read(shots)
    entered = gym.enter(set_id=shot_set.id)
    assert entered.contradicted == (charted[3].id,)
    assert get_set(gym.session, shot_set.id).shots[3].made is True


def test_what_cannot_be_told_is_left_out_until_a_person_says(gym: Gym) -> None:
    """Three makes charted, two filmed: which two?"""
    charted = [Shot(id=uuid4(), made=True) for _ in range(3)]
    shot_set = gym.chart(charted)
    seen = [with_made(s, True) for s in gym.shots(0, 1)]
    gym.read(seen)
    unsure = gym.enter(set_id=shot_set.id)
    assert (unsure.joined, unsure.added) == (0, 0)
    assert {shot_id for shot_id, _ in unsure.left_out} == {s.id for s in seen}
    assert get_set(gym.session, shot_set.id).shots == tuple(charted)
    pairs = {seen[0].id: charted[0].id, seen[1].id: charted[2].id}
    told = gym.enter(set_id=shot_set.id, pairs=pairs)
    assert (told.joined, told.left_out) == (2, ())
    after = get_set(gym.session, shot_set.id).shots
    assert [s.release is not None for s in after] == [True, False, True]


def test_a_person_may_say_that_a_shot_was_not_charted(gym: Gym) -> None:
    charted = [Shot(id=uuid4(), made=True) for _ in range(2)]
    shot_set = gym.chart(charted)
    seen = [with_made(s, True) for s in gym.shots(0, 1, 2)]
    gym.read(seen)
    pairs = {seen[0].id: charted[0].id, seen[1].id: None, seen[2].id: charted[1].id}
    told = gym.enter(set_id=shot_set.id, pairs=pairs)
    assert (told.joined, told.added) == (2, 1)
    order = [s.id for s in get_set(gym.session, shot_set.id).shots]
    assert order == [charted[0].id, seen[1].id, charted[1].id]
    with pytest.raises(BadInput, match="not in this set"):
        gym.read([*seen, *[with_made(s, True) for s in gym.shots(3)]])
        gym.enter(set_id=shot_set.id, pairs={gym.shots(3)[0].id: uuid4()})


def test_a_result_corrected_by_a_person_stays(gym: Gym) -> None:
    gym.read(gym.shots(0, 1, 2))
    gym.enter()
    [shot_set] = gym.sets()
    wrong = shot_set.shots[0]
    correct_shot(gym.session, replace(wrong, made=False), who="coach")
    gym.read([filmed(gym.film, n, speed=7.5) for n in (0, 1, 2)])
    entered = gym.enter()
    [after] = gym.sets()
    assert (after.shots[0].made, after.shots[0].release) == (False, release(0.02, speed=7.5))
    assert entered.contradicted == (wrong.id,)


def test_a_result_that_film_sees_otherwise_now_is_taken_over(gym: Gym) -> None:
    gym.read(gym.shots(0, 1))
    gym.enter()
    gym.read([with_made(s, False) for s in gym.shots(0, 1)])
    entered = gym.enter()
    [after] = gym.sets()
    assert ([s.made for s in after.shots], entered.contradicted) == ([False, False], ())
    gym.read(gym.shots(0, 1))
    gym.enter()
    assert [s.made for s in gym.sets()[0].shots] == list(MADE[:2])


def test_a_shot_taken_out_is_not_put_back(gym: Gym) -> None:
    gym.read(gym.shots(0, 1, 2))
    gym.enter()
    out = gym.shots(1)[0].id
    remove_shot(gym.session, out, who="coach")
    entered = gym.enter()
    assert [s.id for s in gym.sets()[0].shots] == [s.id for s in gym.shots(0, 2)]
    assert [shot_id for shot_id, _ in entered.left_out] == [out]


def test_shots_from_several_spots_are_sets_of_their_own(gym: Gym) -> None:
    """A free throw is 4.225 m out, the right wing 45° at the line of 6.75 m (FIBA 2024)."""
    wing = 6.55 * math.sin(math.pi / 4)
    shots = [
        *gym.shots(0, 1),
        *(filmed(gym.film, n, at=(wing, -wing)) for n in (2, 3)),
        *gym.shots(4),
    ]
    gym.read(shots)
    gym.enter()
    sets = gym.sets()
    assert [s.spot.name for s in sets] == ["free throw", "right wing", "free throw"]
    assert [len(s.shots) for s in sets] == [2, 2, 1]
    assert [s.position for s in sets] == [0, 1, 2]
    assert gym.enter().updated == 5
    assert gym.sets() == sets


def test_a_shot_from_nowhere_is_left_out_with_the_reason(gym: Gym) -> None:
    gym.read([*gym.shots(0), filmed(gym.film, 1, at=(0.0, -20.0))])
    entered = gym.enter()
    assert entered.added == 1
    assert "too far" in dict(entered.left_out)[uuid5(gym.film.id, "1")]


def test_a_film_removed_and_added_again_finds_its_shots(gym: Gym, media: Media) -> None:
    gym.read(gym.shots(0, 1, 2))
    gym.enter()
    before = gym.sets()
    films.remove_film(gym.session, media, gym.film.id, who="coach")
    assert gym.sets() == before
    back = Gym(gym.session, media)
    assert back.film.id == gym.film.id
    back.read(back.shots(0, 1, 2))
    entered = back.enter(day=date(2026, 11, 2))
    assert (entered.added, entered.updated) == (0, 3)
    assert gym.sets() == before


def test_a_film_that_is_not_read_yet_and_a_set_of_another_are_refused(gym: Gym) -> None:
    with pytest.raises(NotFound, match="measure it first"):
        gym.enter()
    other = add_player(gym.session, Player(id=uuid4(), name="Invented B"), who="coach")
    workout = Workout(id=uuid4(), player_id=other.id, day=date(2026, 11, 2))
    start_workout(gym.session, workout, who="coach")
    theirs = ShotSet(
        id=uuid4(), workout_id=workout.id, position=0,
        spot=Spot(name="free throw", x=0.0, y=LINE),
    )  # fmt: skip
    add_set(gym.session, theirs, who="coach")
    gym.read(gym.shots(0))
    with pytest.raises(BadInput, match="another player's"):
        gym.enter(set_id=theirs.id)


def test_ball_and_ring_are_those_of_the_scene(gym: Gym, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(places, "check_scene", lambda content: None)
    monkeypatch.setattr(entering, "gear_of", lambda scene: (6, scene.ring_height))
    scene = StoredScene(
        id=uuid4(), gym="Old gym", place="bench", ring_height=2.75, content="a scene",
        made_at=gym.film.added_at,
    )  # fmt: skip
    films.add_scene(gym.session, scene, who="coach")
    films.choose_scene(gym.session, gym.film.id, scene.id, who="coach")
    gym.read([with_shared(one) for one in gym.shots(0, 1)])
    gym.enter()
    [one] = gym.sets()
    assert (one.ball_size, one.ring_height) == (6, 2.75)
    # a camera place serves many films, and its error is the same in all of them
    assert {s.release.camera for s in one.shots if s.release} == {scene.id}


def unmarked(shot: FilmedShot, said: bool | None) -> FilmedShot:
    """The shot as a clip without marks shows it, with what a person said of it."""
    one = Measured(value=1.0, sd=0.1)
    side = SideRead(
        speed=one, angle=one, entry_angle=one, rise=one, yaw=one, metres_per_pixel_by_ball=one,
        metres_per_pixel_by_fall=one, notes=(),
    )  # fmt: skip
    return replace(shot, ball=None, side=side, said=said)


def test_without_marks_only_what_a_person_said_of_a_shot_is_charted(gym: Gym) -> None:
    """No part of a release is made up; nothing is said of where it was shot from."""
    shot_set = gym.chart()
    gym.read([unmarked(one, said) for one, said in zip(gym.shots(0, 1, 2), (True, None, False),
                                                       strict=True)])  # fmt: skip
    nowhere = gym.enter()
    assert (nowhere.added, nowhere.set_ids) == (0, ())
    ids = [one.id for one in gym.shots(0, 1, 2)]
    assert dict(nowhere.left_out) == {
        ids[0]: entering.NO_PLACE, ids[1]: filmed_shots.NO_RESULT, ids[2]: entering.NO_PLACE,
    }  # fmt: skip
    entered = gym.enter(set_id=shot_set.id)
    assert entered.added == 2 and dict(entered.left_out) == {ids[1]: filmed_shots.NO_RESULT}
    after = get_set(gym.session, shot_set.id).shots
    assert [(s.id, s.made, s.release) for s in after] == [
        (ids[0], True, None), (ids[2], False, None),
    ]  # fmt: skip


def test_a_charted_shot_filmed_without_marks_stays_as_charted(gym: Gym) -> None:
    charted = [tapped(n) for n in range(6)]
    shot_set = gym.chart(charted)
    gym.read([unmarked(one, MADE[n]) for n, one in enumerate(gym.shots(*range(6)))])
    entered = gym.enter(set_id=shot_set.id)
    assert (entered.joined, entered.added) == (6, 0)
    assert get_set(gym.session, shot_set.id).shots == tuple(charted)
    # measured with marks later, the same shots get their releases
    gym.read(gym.shots(*range(6)))
    assert gym.enter(set_id=shot_set.id).updated == 6
    assert all(s.release is not None for s in get_set(gym.session, shot_set.id).shots)


def with_shared(shot: FilmedShot) -> FilmedShot:
    assert shot.ball is not None
    release = replace(shot.ball.release, shared=shot.ball.release.covariance)
    return replace(shot, ball=replace(shot.ball, release=release))


def test_what_a_shot_shares_and_what_it_does_not_goes_along(gym: Gym) -> None:
    one, two = gym.shots(0, 1)
    one = with_shared(one)
    assert one.ball is not None
    turned = BodyMeasure(name=Body.STANCE_TURN, value=0.1, sd=0.09, repeat_sd=0.03)
    gym.read([replace(one, body=(turned,)), two])
    gym.enter()
    [shot_set] = gym.sets()
    first, second = (s.release for s in shot_set.shots)
    assert first == replace(one.ball.release, camera=gym.film.id)
    assert second is not None and second.camera is None
    # links compare shots with each other: what is off in all of them alike is left out
    body = films.body_of(gym.session, [shot_set.shots[0].id])
    assert body[shot_set.shots[0].id] == {"stance turn": (0.1, 0.03)}


def test_feet_and_names_are_those_of_the_chart() -> None:
    assert (filmed_shots.REACH, filmed_shots.SNAP) == (spots.REACH, frame._SAME_SPOT)


def test_shots_charted_later_are_joined_too(gym: Gym) -> None:
    """A set with filmed shots in it takes what was charted meanwhile, and film finds it."""
    shot_set = gym.chart([], miss_detail=MissDetail.TWO)
    gym.read(gym.shots(0, 1))
    gym.enter(set_id=shot_set.id)
    later = [tapped(n) for n in range(2, 12)]
    record_shots(gym.session, shot_set.id, later, who="coach")
    gym.read(gym.shots(*range(12)))
    entered = gym.enter(set_id=shot_set.id)
    assert (entered.updated, entered.joined, entered.added) == (2, 10, 0)
    assert len(get_set(gym.session, shot_set.id).shots) == 12
