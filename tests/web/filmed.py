"""A film with a reading made by hand, stored through the actions: nothing is decoded."""

import io
from dataclasses import dataclass, replace
from pathlib import Path
from uuid import UUID, uuid5

import cv2
import numpy as np
import pytest
from sqlalchemy.orm import Session

from hoopwright.actions import films
from hoopwright.actions.films import kept, pictures
from hoopwright.film.results import (
    BallPath,
    Body,
    BodyMeasure,
    Candidates,
    ClipFacts,
    Doubt,
    Event,
    FilmedShot,
    FilmRead,
    Flag,
    Flight,
    Left,
    Measured,
    Moment,
    Poses,
    SideRead,
)
from hoopwright.film.told import Material
from hoopwright.records import Film, MeasuredRelease
from hoopwright.store.engine import Database
from hoopwright.store.media import Media

CLIP = ClipFacts(
    width=640, height=360, frames=300, duration=299 / 30, rate=30.0, slowed=1.0, codec="h264",
    turns=0,
)  # fmt: skip
#: errors of speed, angle, direction, along, across, one standard deviation [SI]
ERRORS = (0.04, 0.005, 0.004, 0.03, 0.05)


def not_decoded(patch: pytest.MonkeyPatch) -> None:
    """Bytes stand for a film, and a gray picture for each of its pictures."""
    patch.setattr(kept, "look_at", lambda path: CLIP)
    jpeg = cv2.imencode(".jpg", np.full((36, 64, 3), 90, np.uint8))[1].tobytes()

    def block(path: Path, first: int, *, slowed: float | None) -> tuple[films.Still, ...]:
        return tuple(
            films.Still(frame=n, time=n / 30, content=jpeg)
            for n in range(first, first + pictures.BLOCK)
        )

    patch.setattr("hoopwright.web.stills.stills_from", block)


def ball(time: float, *, made: bool) -> BallPath:
    flight = Flight(
        time=time + 0.5, position=(0.0, -2.0, 3.6), velocity=(0.0, 4.2, 0.0), spin=12.0,
        drag=1.0, covariance=tuple(np.eye(8).ravel().tolist()), first=time, last=time + 1.0,
        rows=(0, 1, 2), misfit=1.0,
    )  # fmt: skip
    release = MeasuredRelease(
        speed=7.21, angle=0.9, direction=0.01, height=2.2, along=0.02 if made else -0.31,
        across=-0.04, covariance=tuple((np.diag(ERRORS) ** 2).ravel().tolist()),
    )  # fmt: skip
    return BallPath(
        flight=flight, release_time=Measured(value=time, sd=0.01),
        ring_time=Measured(value=time + 1.0, sd=0.01), release=release,
        release_point=(0.0, 0.2 - 4.225, 2.2), entry_angle=Measured(value=0.78, sd=0.008),
        apex=Measured(value=3.9, sd=0.02), release_height=Measured(value=2.2, sd=0.02),
        made=made, made_chance=0.97,
    )  # fmt: skip


def shot(film_id: UUID, n: int) -> FilmedShot:
    time = 4.0 * n + 2.0
    return FilmedShot(
        id=uuid5(film_id, str(n)), position=n, start=time - 1.5, end=time + 1.8,
        ball=ball(time, made=n == 0),
        events=(Event(moment=Moment.RELEASE, time=time, sd=0.01),),
        body=(
            BodyMeasure(name=Body.KNEE_DIP, value=2.0, sd=0.05),
            BodyMeasure(name=Body.RELEASE_TO_TOE_OFF, value=-0.03, sd=0.01),
        ),
        left_out=(Left(name=Body.STANCE_TURN, reason="The feet are out of the picture."),),
        doubts=(Doubt(flag=Flag.OUTCOME, message="Look at the clip.", refused=False),),
        trail=((time, 200.0, 150.0), (time + 0.5, 300.0, 60.0), (time + 1.0, 400.0, 120.0)),
        poses=n,
    )  # fmt: skip


def poses(n: int) -> Poses:
    frames = np.arange(20) + 120 * n + 50
    points = np.full((20, 33, 2), np.nan)
    points[:, 11], points[:, 13] = (180.0, 160.0), (190.0, 170.0)
    return Poses(
        frame=frames, time=frames / 30, points=points, sd=np.ones((20, 33)),
        presence=np.ones((20, 33)), shape=np.zeros((20, 33, 3)), box=np.full((20, 4), np.nan),
    )  # fmt: skip


def nothing_seen() -> Candidates:
    some, pairs = np.zeros(0), np.zeros((0, 2))
    return Candidates(
        frame=np.zeros(0, dtype=np.int64), time=some, middle=pairs, middle_sd=some, radius=some,
        radius_sd=some, streak=pairs, score=some,
    )  # fmt: skip


def reading(film_id: UUID) -> FilmRead:
    return FilmRead(clip=CLIP, shots=(shot(film_id, 0), shot(film_id, 1)), notes=("A note.",))


def reading_unmarked(film_id: UUID) -> FilmRead:
    """One shot read by the ball's size, and one refused."""

    def about(value: float, sd: float) -> Measured:
        return Measured(value=value, sd=sd)

    side = SideRead(
        speed=about(7.3, 0.3), angle=about(0.9, 0.02), entry_angle=about(0.78, 0.03),
        rise=about(1.6, 0.1), yaw=about(0.05, 0.03), metres_per_pixel_by_ball=about(0.016, 0.001),
        metres_per_pixel_by_fall=about(0.016, 0.0005), notes=(),
    )  # fmt: skip
    doubt = Doubt(
        flag=Flag.NO_MARKS, message="The ball looks 40 % larger than its fall says.", refused=True
    )
    plain = [replace(shot(film_id, n), ball=None, body=(), left_out=(), doubts=(), poses=None)
             for n in (0, 1)]  # fmt: skip
    shots = (replace(plain[0], side=side), replace(plain[1], doubts=(doubt,)))
    return FilmRead(clip=CLIP, shots=shots, notes=("A note.",), scene_sum="")


@dataclass(frozen=True)
class Filmed:
    """A measured film in a site's store."""

    film: Film
    read: FilmRead

    @property
    def path(self) -> str:
        return f"/films/{self.film.id}"

    def shot(self, n: int = 0) -> str:
        return f"{self.path}/shots/{self.read.shots[n].id}"


def add(session: Session, media: Media, player: UUID, content: bytes = b"a film") -> Film:
    return films.add_film(
        session, media, io.BytesIO(content), player_id=player, file_name="IMG 1.MOV", who="coach"
    )


def measured(database: Database, media: Media, player: UUID) -> Filmed:
    """Store a film of a player with two shots, one made and one missed."""
    with database.session() as session:
        film = add(session, media, player)
        read = reading(film.id)
        material = Material(
            clip=CLIP, candidates=nothing_seen(), hands=nothing_seen(), poses=(poses(0), poses(1))
        )
        key = films.keep_seen(media, material)
        films.keep_read(session, film.id, read, seen_key=key)
    return Filmed(film=film, read=replace(read, poses=()))
