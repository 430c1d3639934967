"""Whose film it is, where the camera stood, and what its pictures gave; all invented."""

from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID, uuid4

import numpy as np
from sqlalchemy.orm import Session

from hoopwright.actions.shots import add_set, start_workout
from hoopwright.film import told
from hoopwright.film.results import Candidates, ClipFacts, Poses
from hoopwright.records import Player, ShotSet, Spot, StoredScene, Workout

CHILD = Player(id=UUID(int=1), name="Invented A", birth_year=2014)
ADULT = Player(id=UUID(int=2), name="Invented B", birth_year=1990)
UNTOLD = Player(id=UUID(int=3), name="Invented C")
SCENE = StoredScene(
    id=UUID(int=9), gym="Old gym", place="left of the bench", content="a scene",
    made_at=datetime(2026, 11, 1, tzinfo=UTC),
)  # fmt: skip

CLIP = ClipFacts(
    width=640, height=360, frames=300, duration=10.0, rate=30.0, slowed=1.0, codec="h264", turns=0,
    notes=("One note.",),
)  # fmt: skip


def poses() -> Poses:
    return Poses(
        frame=np.arange(3), time=np.arange(3) / 30, points=np.full((3, 4, 2), 7.5),
        sd=np.ones((3, 4)), presence=np.ones((3, 4)), shape=np.zeros((3, 4, 3)),
        box=np.zeros((3, 4)),
    )  # fmt: skip


def candidates() -> Candidates:
    rng = np.random.default_rng(3)
    return Candidates(
        frame=np.arange(5), time=np.arange(5) / 30, middle=rng.normal(size=(5, 2)),
        middle_sd=np.ones(5), radius=np.full(5, 8.0), radius_sd=np.full(5, np.inf),
        streak=np.zeros((5, 2)), score=np.ones(5),
    )  # fmt: skip


def material() -> Any:
    return told.Material(
        clip=CLIP, candidates=candidates(), hands=candidates(), poses=(poses(),), moved="",
        rate_asked="How fast was it filmed?", notes=("A note.",),
    )  # fmt: skip


def chart(session: Session, player: Player = CHILD) -> ShotSet:
    workout = Workout(id=uuid4(), player_id=player.id, day=date(2026, 11, 2))
    start_workout(session, workout, who="coach")
    spot = Spot(name="free throw", x=0.0, y=4.225)
    shot_set = ShotSet(id=uuid4(), workout_id=workout.id, position=0, spot=spot)
    return add_set(session, shot_set, who="coach")
