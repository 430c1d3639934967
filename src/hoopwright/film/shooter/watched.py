"""What is known of one filmed shot before its body is measured."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from hoopwright.errors import BadInput
from hoopwright.film.camera import Camera
from hoopwright.film.results import BallPath, Poses
from hoopwright.film.shooter.points import COUNT
from hoopwright.records import Hand

Floats = NDArray[np.float64]


def _nothing(*shape: int) -> Floats:
    return np.empty(shape)


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """The ball in the hands before release, in order of time; may be empty."""

    #: [s], float64 [row]
    time: Floats = field(default_factory=lambda: _nothing(0))
    #: middle of the ball [px], float64 [row, 2]
    middle: Floats = field(default_factory=lambda: _nothing(0, 2))
    #: error of the middle [px], float64 [row]
    sd: Floats = field(default_factory=lambda: _nothing(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Watched:
    """One shot: body points, ball, camera and player."""

    poses: Poses
    camera: Camera
    #: pictures a second of real time
    rate: float
    hand: Hand = Hand.RIGHT
    #: None where the ball's flight was lost
    ball: BallPath | None = None
    held: Held = field(default_factory=Held)
    #: of the player [m]; None where not told
    stature: float | None = None
    #: False where no scene was marked and the camera is only assumed: then nothing off square can
    #: be mended, and nothing on the floor told
    scene: bool = True

    def __post_init__(self) -> None:
        time, points = self.poses.time, self.poses.points
        if points.shape != (len(time), COUNT, 2) or self.poses.sd.shape != points.shape[:2]:
            raise BadInput(f"Body points must come as [row, {COUNT}, 2] with an error for each.")
        if np.any(np.diff(time) <= 0.0) or np.any(np.diff(self.held.time) <= 0.0):
            raise BadInput("Body and ball points must be in order of time, each time once.")
        if not self.rate > 0.0:
            raise BadInput("The frame rate must be above zero; check the clip's true rate.")

    @property
    def gap(self) -> float:
        """Time from one picture to the next [s]."""
        return 1.0 / self.rate
