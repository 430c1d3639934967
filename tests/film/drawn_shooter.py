"""A drawn player who shoots, picture by picture, with the joints known; nobody real."""

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from hoopwright.court.standards import ball, rule_book
from hoopwright.film.camera import Camera, at_place, pixels_per_metre, project
from hoopwright.film.pose import POINTS
from hoopwright.film.synthetic.gym import still_gym
from hoopwright.film.synthetic.jumpshot import Player
from hoopwright.film.synthetic.people import Walker, clothes
from hoopwright.film.synthetic.render import Canvas
from hoopwright.film.synthetic.rig import Rig
from hoopwright.film.synthetic.shooter import shooter_of
from hoopwright.film.synthetic.shots import KnownShot
from hoopwright.film.synthetic.truth import true_body
from hoopwright.film.video import Picture
from hoopwright.flight.arc import Release
from hoopwright.records import Spot

Floats = NDArray[np.float64]

#: pictures a second
RATE = 30.0
SPOT = Spot(name="free throw", x=0.0, y=4.19)
RELEASE = Release(speed=7.3, angle=math.radians(52.0), height=2.3, spin=15.7)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnShooter:
    """Pictures of a shot and the truth about the shooter."""

    camera: Camera
    pictures: tuple[Picture, ...]
    #: the gym without anybody, BGR
    empty: NDArray[np.uint8]
    #: of the body points that are known [px], float64 [picture, 33, 2]; NaN for the others
    points: Floats
    #: places of the ball while it is held [px], by picture number
    ball: dict[int, Floats]
    #: how many pixels a metre takes at the shooter
    per_metre: float
    #: head of the one who walks by, if one does [px], float64 [picture, 2]
    walker_head: Floats


@cache
def drawn_shooter(*, walker: bool = False) -> DrawnShooter:
    """Draw 1.6 s of a jump shot from the side, 640 × 360, the player about 190 px tall."""
    rng = np.random.default_rng(12)
    camera = at_place((7.5, -4.2, 1.4), (0.0, -3.9, 1.45), width=640, height=360, focal=800.0)
    shot = KnownShot(spot=SPOT, release=RELEASE, start=0.3)
    size = ball(7)
    shooter = shooter_of((shot,), Player(), radius=size.radius, colours=clothes(rng))
    still = still_gym(camera, rule_book("fiba"), rng)
    times = np.arange(48) / RATE
    passer = _walker(shooter.rig, rng)
    canvas = Canvas(camera, still, row_time=0.0)
    pictures = []
    for number, time in enumerate(times):
        canvas.clean()
        if walker:
            canvas.figure(passer.rig.mesh, [passer.posed(time)], passer.colours)
        canvas.figure(shooter.rig.mesh, [shooter.posed(time)], shooter.colours)
        pictures.append(Picture(frame=number, time=float(time), image=canvas.image.copy()))
    truth = true_body(shooter, camera, times)
    points = np.full((len(times), len(POINTS), 2), np.nan)
    points[:, [POINTS.index(name) for name in truth.names]] = truth.points
    held = np.flatnonzero(times < shot.release_time)
    jump = shooter.shots[0]
    place = np.array([jump.ball(float(times[k]) - shot.release_time) for k in held])
    balls = project(camera, place)
    heads = np.array([passer.posed(float(t)).places["nose"] for t in times])
    return DrawnShooter(
        camera=camera,
        pictures=tuple(pictures),
        empty=still.image.copy(),
        points=points,
        ball=dict(zip(held.tolist(), balls, strict=True)),
        per_metre=float(pixels_per_metre(camera, place[-1:])[0]),
        walker_head=project(camera, heads),
    )


def _walker(like: Rig, rng: np.random.Generator) -> Walker:
    """Return somebody who walks by, 2.5 m behind the shooter, at 1.2 m/s."""
    times, x = np.array([0.0, 2.0]), np.array([-2.5, -2.5])
    return Walker(
        rig=Rig(like.mesh, 1.75), colours=clothes(rng), times=times,
        marks=np.stack([x, np.array([-6.0, -3.6])], axis=1), looks_at=np.zeros(2),
    )  # fmt: skip
