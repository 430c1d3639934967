"""What the pictures of an invented clip gave."""

from typing import Any

import numpy as np

from hoopwright.film import told
from hoopwright.film.results import Candidates, ClipFacts, Poses

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
