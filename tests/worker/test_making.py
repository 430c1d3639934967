"""A clip made as a job: once, the same file whatever died meanwhile, nothing left lying about."""

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from uuid import UUID, uuid5

import pytest
from tests.film.made_clips import disc_at, make_clip

from hoopwright.actions import films
from hoopwright.actions.films import clips, stages
from hoopwright.actions.films.stages import look_at
from hoopwright.actions.people import add_player
from hoopwright.errors import BadFilm, LateWord
from hoopwright.film.results import Event, FilmedShot, FilmRead, Moment
from hoopwright.records import Job, JobState, Player
from hoopwright.settings import Settings
from hoopwright.store import jobs
from hoopwright.store.engine import Database, open_database
from hoopwright.store.jobs import Lease
from hoopwright.store.media import Media, open_media
from hoopwright.worker.kinds import KINDS, WORKBENCH, Made
from hoopwright.worker.kinds import make_clip as do_job
from hoopwright.worker.loop import _clear_workbench

PLAYER = Player(id=UUID(int=1), name="Invented A", ring_height=3.05)


@dataclass
class Gym:
    settings: Settings
    database: Database
    media: Media
    film: UUID
    shot: UUID

    def put(self, **asked: object) -> Job:
        with self.database.session() as session:
            wanted = films.Asked(shot=(self.film, self.shot), hide_faces=False, **asked)  # type: ignore[arg-type]
            return films.start_making(session, self.media, wanted)

    def begin(self) -> Lease:
        with self.database.session() as session:
            lease = jobs.claim(session, worker="w", seconds=-1.0)
            assert lease is not None and lease.kind == films.MAKE
            jobs.begin(session, lease)
            return lease

    def run(self, lease: Lease, told: list[float] | None = None) -> Made:
        return do_job(
            self.settings,
            lease.argument,
            lambda share, _: told.append(share) if told is not None else None,
        )

    def finish(self, lease: Lease, made: Made) -> None:
        with self.database.session() as session:
            jobs.finish(session, lease)
            made.keep(session)

    def files(self) -> list[str]:
        folder = Path(self.settings.films_address)
        return sorted(p.name for p in folder.glob("*") if not p.name.endswith(".mp4"))

    def bench(self) -> list[Path]:
        return list((self.settings.data / WORKBENCH).glob("*"))


@pytest.fixture
def gym(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Gym]:
    """A film of half a second with a shot in it; the fence of processes has its own tests."""

    def at_once(function: Callable[..., Any], *args: object, **how: Any) -> Any:
        told = {"progress": how["progress"]} if "progress" in how else {}
        return function(*args, **told)

    monkeypatch.setattr(clips, "run_confined", at_once)
    monkeypatch.setattr(stages, "run_confined", at_once)
    settings = Settings(data=tmp_path / "data", database=f"sqlite:///{tmp_path}/test.db")
    settings.data.mkdir()
    media = open_media(settings.films_address, copies=settings.film_copies)
    database = open_database(settings.database)
    source = make_clip(tmp_path / "film.mp4", frames=18)
    with database.session() as session:
        add_player(session, PLAYER, who="coach")
        with source.open("rb") as stream:
            film = films.add_film(
                session, media, stream, player_id=PLAYER.id, file_name="a.mp4", who="coach"
            )
        shot = FilmedShot(
            id=uuid5(film.id, "0"), position=0, start=0.0, end=0.5, ball=None,
            events=(Event(moment=Moment.RELEASE, time=0.3, sd=0.01),),
            trail=tuple((n / 30, float(disc_at(n)[0]), float(disc_at(n)[1])) for n in range(12)),
        )  # fmt: skip
        read = FilmRead(clip=films.clip_of(session, film.id), shots=(shot,))
        films.keep_read(session, film.id, read, seen_key=None)
    yield Gym(settings, database, media, film.id, shot.id)
    database.close()


def test_the_worker_knows_how_to_make_clips() -> None:
    assert KINDS[films.MAKE] is do_job


def test_run_again_after_a_death_it_is_the_same_one_file(gym: Gym) -> None:
    job = gym.put(slower=4.0)
    first = gym.begin()
    gym.run(first)  # and then the worker dies: nothing is finished
    assert gym.files() == [f"{job.id.hex}.made"]
    second, told = gym.begin(), list[float]()
    made = gym.run(second, told)
    gym.finish(second, made)
    assert told == sorted(told) and told
    assert gym.files() == [f"{job.id.hex}.made"] and gym.bench() == []
    with gym.database.reading() as session:
        done = films.job(session, job.id)
    assert done.state is JobState.DONE
    facts = look_at(films.made_file(gym.media, done))
    assert facts.frames == 16 and facts.duration == pytest.approx(4.0 * 0.5, abs=0.01)
    # the first one comes back late: it may not speak, and takes nothing away
    late = gym.run(first)
    with pytest.raises(LateWord):
        gym.finish(first, late)
    late.drop()
    assert films.made_file(gym.media, done).exists()


def test_cancelled_or_with_its_film_gone_it_leaves_no_file(gym: Gym) -> None:
    job, lease = gym.put(moment="release"), gym.begin()
    made = gym.run(lease)
    with gym.database.session() as session:
        films.cancel(session, job.id)
    with pytest.raises(LateWord):
        gym.finish(lease, made)
    made.drop()
    assert gym.files() == []
    gym.put()
    made = gym.run(gym.begin())
    with gym.database.session() as session:
        films.remove_film(session, gym.media, gym.film, who="coach")
    made.drop()
    assert gym.files() == [] and gym.bench() == []


def test_what_is_broken_off_in_the_middle_leaves_nothing(gym: Gym) -> None:
    """A job that was cancelled is told so by its next word."""

    def refuse(share: float, what: str) -> None:
        raise LateWord

    gym.put()
    lease = gym.begin()
    with pytest.raises(LateWord):
        do_job(gym.settings, lease.argument, refuse)
    gym.media.local(_film_key(gym)).write_bytes(b"no film any more")
    with pytest.raises(BadFilm):
        gym.run(lease)
    assert gym.files() == [] and gym.bench() == []


def _film_key(gym: Gym) -> str:
    with gym.database.reading() as session:
        return films.film(session, gym.film).media_key


def test_old_work_of_a_killed_process_is_cleared_away(gym: Gym) -> None:
    folder = gym.settings.data / WORKBENCH
    folder.mkdir()
    for name, age in (("old.mp4", 90_000.0), ("new.mp4", 10.0)):
        (folder / name).write_bytes(b"half a clip")
        then = datetime.now(UTC).timestamp() - age
        os.utime(folder / name, (then, then))
    _clear_workbench(folder)
    assert [p.name for p in gym.bench()] == ["new.mp4"]
