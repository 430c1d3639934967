"""One small drawn clip of two shots and what the main path reads in it, made once a process."""

import atexit
import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from uuid import NAMESPACE_URL, uuid5

import numpy as np

from hoopwright.court.standards import ball
from hoopwright.film import video
from hoopwright.film.measure import measure_clip
from hoopwright.film.pose import POINTS
from hoopwright.film.results import FilmRead, Poses
from hoopwright.film.scene import Scene, write_scene
from hoopwright.film.synthetic.draw import Drawn, draw_clip
from hoopwright.film.synthetic.places import beside
from hoopwright.film.synthetic.setting import Phone, Setting
from hoopwright.film.synthetic.shots import KnownShot, Motion
from hoopwright.film.synthetic.truth import TrueBody
from hoopwright.film.synthetic.usual import true_scene
from hoopwright.film.told import Material, Shooter
from hoopwright.flight.arc import Release, speed_to_reach
from hoopwright.records import Spot

LINE = Spot(name="free throw", x=0.0, y=4.2)
SIZE = (640, 360)
#: half a second before a shot is quick, so that the clip is short
QUICK = Motion(hold=0.05)
NAME = "two shots.mp4"
SHOOTER = Shooter(film=uuid5(NAMESPACE_URL, NAME))


@dataclass(frozen=True)
class Small:
    """The clip, and where its scene file is."""

    path: Path
    drawn: Drawn
    scene: Scene
    scene_file: Path


def shot(start: float, *, extra: float = 0.0, aside: float = 0.0) -> KnownShot:
    """A free throw that goes in with nothing extra; speed [m/s] and direction [rad] added."""
    steep = math.radians(52.0)
    needed = float(speed_to_reach(LINE.distance, steep, 3.05 - 2.15, ball=ball(7), spin=12.6))
    release = Release(speed=needed + extra, angle=steep, direction=aside, height=2.15, spin=12.6)
    return KnownShot(spot=LINE, release=release, start=start, motion=QUICK)


@cache
def _folder() -> Path:
    held = TemporaryDirectory()
    atexit.register(held.cleanup)
    return Path(held.name)


@cache
def small_clip() -> Small:
    """Draw it: from the side at 30 pictures a second, one shot in, one long and right."""
    path, camera = _folder() / NAME, beside(LINE, away=8.0, size=SIZE)
    setting = Setting(phone=Phone(rate=30.0), people=1, other_balls=1, seed=4)
    drawn = draw_clip(path, camera=camera, shots=[shot(0.3), shot(5.5, extra=0.35, aside=0.03)],
                      setting=setting)  # fmt: skip
    scene = true_scene(camera, video.still(path, 0.0), place="left sideline")
    scene_file = _folder() / "scene.json"
    scene_file.write_text(write_scene(scene), encoding="utf-8")
    return Small(path, drawn, scene, scene_file)


@cache
def measured() -> tuple[FilmRead, Material, tuple[tuple[float, str], ...]]:
    """Measure it; with what was told on the way."""
    small, told = small_clip(), list[tuple[float, str]]()
    read, material = measure_clip(
        small.path, small.scene, shooter=SHOOTER,
        progress=lambda share, what: told.append((share, what)),
    )  # fmt: skip
    return read, material, tuple(told)


@cache
def lone_flight(*, yaw: float = 0.0, slowed: float = 1.0) -> Path:
    """Draw one ball that flies by itself, the camera so far off square [°]."""
    path = _folder() / f"lone {yaw:.0f} {slowed:.0f}.mp4"
    camera = beside(LINE, away=8.0, size=SIZE, angle=math.radians(90.0 - yaw))
    setting = Setting(
        phone=Phone(rate=30.0, slowed=slowed), player=None, people=0, other_balls=0, after=0.0
    )
    draw_clip(path, camera=camera, shots=[shot(0.0)], setting=setting)
    return path


def true_poses(body: TrueBody, *, first: int, last: int, others: int = 0) -> Poses:
    """Body points as a pose model would give them if it made no error, pictures first to last."""
    frames = np.arange(first, last)
    points = np.full((len(frames), len(POINTS), 2), np.nan)
    rows = {name: i for i, name in enumerate(body.names)}
    for at, name in enumerate(POINTS):
        if name in rows:
            points[:, at] = body.points[first:last, rows[name]]
    seen = np.isfinite(points[..., 0])
    low, high = np.nanmin(points, axis=1), np.nanmax(points, axis=1)
    return Poses(
        frame=frames, time=body.times[first:last], points=points, sd=np.where(seen, 1.0, 50.0),
        presence=seen.astype(float), shape=np.zeros((len(frames), len(POINTS), 3)),
        box=np.hstack([low, high]), others=np.full(len(frames), others),
    )  # fmt: skip
