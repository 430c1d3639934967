"""Usual shots from one place, and the scene a coach would mark perfectly: for trying a set-up."""

import math

import numpy as np
from numpy.typing import NDArray

from hoopwright.court.frame import spot_at
from hoopwright.court.standards import ball as ball_of
from hoopwright.court.standards import rule_book
from hoopwright.film.calibrate import Mark
from hoopwright.film.camera import Camera, project
from hoopwright.film.camera_fit import ring_edge
from hoopwright.film.camera_place import Scene, Setting, scene_from_marks
from hoopwright.film.landmarks import Landmark, landmarks
from hoopwright.film.synthetic.shots import SHORTEST_GAP, KnownShot
from hoopwright.flight.arc import Release, speed_to_reach

#: first shot's start, and from one start to the next [s]
_FIRST, _GAP = 0.3, SHORTEST_GAP + 0.2
#: release angle of a usual shot, its spread, and the spread of direction [rad]: free throws of good
#: college players [Slegers2021]_; of speed, as a share: common practice, no source
_ANGLE, _ANGLE_SD, _DIRECTION_SD = math.radians(52.0), math.radians(1.3), math.radians(1.0)
_SPEED_SD = 0.012
#: height of the ball at release and backspin: common practice, no source
_HEIGHT, _SPIN = 2.15, 12.6
#: ring height of the rule book that is drawn [m]
_RING = 3.05
#: how well a mark is taken to be clicked [px of a 720-line picture]; common practice, no source
_CLICK = 1.5
#: a mark this near to the picture's edge is not clicked [px]
_MARGIN = 2.0


def usual_shots(count: int, *, distance: float, seed: int) -> list[KnownShot]:
    """Return shots from straight in front, spread as a good player's are.

    Parameters
    ----------
    count
        How many.
    distance
        Floor distance to ring centre [m].
    seed
        Other shots for another seed.

    Raises
    ------
    BadInput
        No shot is taken from so near or far.
    """
    rng, spot = np.random.default_rng(seed), spot_at(distance, 0.0)
    found = []
    for n in range(count):
        angle = _ANGLE + rng.normal(0.0, _ANGLE_SD)
        needed = speed_to_reach(distance, angle, _RING - _HEIGHT, ball=ball_of(7), spin=_SPIN)
        release = Release(
            speed=float(needed) * (1.0 + rng.normal(0.004, _SPEED_SD)), angle=angle,
            direction=rng.normal(0.0, _DIRECTION_SD), height=_HEIGHT, spin=_SPIN,
        )  # fmt: skip
        found.append(KnownShot(spot=spot, release=release, start=_FIRST + _GAP * n))
    return found


def true_marks(camera: Camera, rules: str = "fiba") -> tuple[Mark, ...]:
    """Return every landmark that a camera shows, marked where it truly is.

    Parameters
    ----------
    camera
        Of the drawn clip.
    rules
        Key of the rule book whose hoop and lines are drawn.
    """
    width, height = camera.width - 1 - _MARGIN, camera.height - 1 - _MARGIN
    marks = []
    for one in landmarks(rules).values():
        x, y = project(camera, [_place(camera, one, rules)])[0].tolist()
        # what is behind the camera has no place
        if _MARGIN <= x <= width and _MARGIN <= y <= height:
            marks.append(Mark(name=one.name, x=x, y=y))
    return tuple(marks)


def _place(camera: Camera, one: Landmark, rules: str) -> NDArray[np.float64]:
    if not one.ring_edge:
        return np.array(one.position)
    ring = rule_book(rules).ring
    outside = ring.radius + ring.rod_diameter
    return ring_edge(camera, one, outside=outside, rod_radius=ring.rod_radius)


def true_scene(camera: Camera, still: NDArray[np.uint8], *, place: str) -> Scene:
    """Return the scene of a drawn clip, from marks that are where they should be.

    Parameters
    ----------
    camera
        Of the drawn clip.
    still
        A picture of it, BGR, uint8 [height, width, 3].
    place
        What the camera place is called.

    Raises
    ------
    BadInput
        The camera shows too few landmarks to tell where it stands.
    """
    setting = Setting(gym="A drawn gym (invented)", place=place)
    sd = _CLICK * camera.height / 720.0
    return scene_from_marks(true_marks(camera), still, setting=setting, mark_sd=sd)[0]
