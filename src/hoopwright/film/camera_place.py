"""A scene: one camera place in one gym, marked once, kept, and used for every clip from there."""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from hoopwright.court.standards import BALL_SIZES, rule_book
from hoopwright.errors import BadInput
from hoopwright.film.calibrate import Calibrated, calibrate
from hoopwright.film.camera import PARAMETERS, Camera, with_parameters
from hoopwright.film.fingerprint import Fingerprint, fingerprint
from hoopwright.film.landmarks import Mark, book_for

#: longest name of a gym or camera place
_LONGEST_NAME = 120


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """What is known of a camera place: enough to measure any clip taken from there.

    Raises
    ------
    BadInput
        A part does not fit the others, or is out of sense.
    """

    #: such as "Main hall"
    gym: str
    #: where the camera stands, in the coach's words
    place: str
    #: key of the rule book whose hoop and lines were marked
    rules: str
    #: top of the ring above the floor [m]
    ring_height: float
    #: size number of the ball: 3, 5, 6 or 7
    ball_size: int
    marks: tuple[Mark, ...]
    #: clicking error each way, one standard deviation [px]
    mark_sd: float
    #: of the size of the still that was marked
    camera: Camera
    #: reprojection error of the marks used [px]
    rms: float
    #: names of marks that were found wrong
    bad: tuple[str, ...] = ()
    #: quarter turns clockwise that set the still upright, 0 to 3
    turns: int = 0
    #: to notice a moved camera; None where no still was at hand
    fingerprint: Fingerprint | None = None

    def __post_init__(self) -> None:
        for name in (self.gym, self.place):
            if not name.strip() or len(name) > _LONGEST_NAME or not name.isprintable():
                raise BadInput(
                    f"Gym and camera place need a name of 1 to {_LONGEST_NAME} letters.",
                    field="gym" if name is self.gym else "place",
                )
        book_for(self.rules, self.ring_height)
        if self.ball_size not in BALL_SIZES:
            raise BadInput("The ball size must be 3, 5, 6 or 7.", field="ball_size")
        if self.turns not in (0, 1, 2, 3):
            raise BadInput("Quarter turns must be 0, 1, 2 or 3.", field="turns")
        if not (math.isfinite(self.rms) and self.rms >= 0.0 and self.mark_sd > 0.0):
            raise BadInput("The errors of the marks must be plain numbers, not below zero.")
        kept = self.fingerprint
        if kept and (kept.width, kept.height) != (self.width, self.height):
            raise BadInput("The scene's still and its camera differ in size; mark it again.")

    @property
    def width(self) -> int:
        """Width of the upright picture [px]."""
        return self.camera.width

    @property
    def height(self) -> int:
        """Height of the upright picture [px]."""
        return self.camera.height


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What a coach says of a scene besides the marks."""

    gym: str
    place: str
    rules: str = "fiba"
    #: top of the ring above the floor [m]; the rule book's where None
    ring_height: float | None = None
    ball_size: int = 7
    #: quarter turns clockwise that set the still upright
    turns: int = 0


def scene_from_marks(
    marks: tuple[Mark, ...],
    still: NDArray[np.uint8],
    *,
    setting: Setting,
    mark_sd: float = 1.5,
) -> tuple[Scene, Calibrated]:
    """Work out a scene from a marked still.

    Parameters
    ----------
    marks
        As for ``calibrate``.
    still
        The upright picture that was marked, BGR, uint8 [height, width, 3].
    setting
        Gym, rules, ring and ball.
    mark_sd
        Clicking error each way [px].

    Returns
    -------
    tuple
        The scene, and the calibration with its sentences for the coach.

    Raises
    ------
    BadInput
        As ``calibrate`` and ``Scene``.
    """
    book = book_for(setting.rules, setting.ring_height)
    found = calibrate(
        marks, width=still.shape[1], height=still.shape[0], rules=book, mark_sd=mark_sd
    )
    scene = Scene(
        gym=setting.gym, place=setting.place, rules=rule_book(setting.rules).key,
        ring_height=book.ring.height, ball_size=setting.ball_size, marks=tuple(marks),
        mark_sd=mark_sd, camera=found.camera, rms=found.rms, bad=found.bad, turns=setting.turns,
        fingerprint=fingerprint(still),
    )  # fmt: skip
    return scene, found


def _scaled_camera(camera: Camera, *, width: int, height: int, factor: float) -> Camera:
    stretch = np.ones(len(PARAMETERS))
    stretch[0] = factor
    resized = replace(camera, width=width, height=height)
    covariance = camera.errors * np.outer(stretch, stretch)
    return with_parameters(resized, camera.parameters * stretch, covariance=covariance)


def scaled(scene: Scene, width: int, height: int) -> Scene:
    """Return the scene for a clip of the same camera at another resolution.

    Derived: a point keeps its place in the picture, so (x + ½) and the focal length grow by the
    factor; place, turn and lens term stay.

    Parameters
    ----------
    scene
        Marked at its own size.
    width, height
        Of the clip's upright pictures [px]; the same shape to within a pixel.

    Raises
    ------
    BadInput
        The clip's pictures have another shape, so that they show another part of the view.
    """
    factor = max(width, height) / max(scene.width, scene.height)
    off = max(abs(factor * scene.width - width), abs(factor * scene.height - height))
    if off > 1.0:
        raise BadInput(
            f"The scene was marked on a picture of {scene.width} × {scene.height} px, and the "
            f"clip's {width} × {height} px have another shape; mark a still of this clip.",
            field="scene",
        )
    if factor == 1.0:
        return scene
    kept = scene.fingerprint
    return replace(
        scene,
        camera=_scaled_camera(scene.camera, width=width, height=height, factor=factor),
        marks=tuple(
            replace(m, x=factor * (m.x + 0.5) - 0.5, y=factor * (m.y + 0.5) - 0.5)
            for m in scene.marks
        ),
        mark_sd=factor * scene.mark_sd,
        rms=factor * scene.rms,
        fingerprint=kept and replace(kept.scaled(factor), width=width, height=height),
    )
