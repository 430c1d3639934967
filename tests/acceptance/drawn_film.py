"""A short film of a known shot, drawn once for all tests, and where its landmarks are."""

import math
from dataclasses import dataclass
from pathlib import Path

from hoopwright.court.frame import spot_named
from hoopwright.court.standards import ball
from hoopwright.film.camera import project
from hoopwright.film.landmarks import landmarks
from hoopwright.film.synthetic.draw import Drawn, draw_clip
from hoopwright.film.synthetic.places import beside
from hoopwright.film.synthetic.setting import Phone, Setting
from hoopwright.film.synthetic.shots import KnownShot
from hoopwright.flight.arc import Release, speed_to_reach

SIZE = (640, 360)
#: marked in the journey: floor and board, not in one line; the ring's edge is that seen from
#: straight behind the shooter, so from the side it is a wrong mark, which must be named
MARKED = (
    "board top left",
    "board top right",
    "board bottom left",
    "board bottom right",
    "ring left edge",
    "free-throw line left end",
    "lane left corner at the free-throw line",
    "lane left corner at the end line",
)


@dataclass(frozen=True)
class DrawnFilm:
    drawn: Drawn
    #: name → place [px]
    places: dict[str, tuple[float, float]]


def draw(path: Path) -> DrawnFilm:
    """Draw one made free throw, filmed from the side at 30 pictures a second."""
    spot = spot_named("free throw", "fiba")
    angle, height, spin = math.radians(52.0), 2.2, 12.0
    speed = speed_to_reach(spot.distance, angle, 3.05 - height, ball=ball(7), spin=spin)
    release = Release(
        speed=float(speed) * 1.004, angle=angle, direction=0.0, height=height, spin=spin
    )
    camera = beside(spot, angle=math.radians(80.0), away=7.5, height=1.5, size=SIZE)
    phone = Phone(rate=30.0, readout=0.008, shutter=0.004)
    drawn = draw_clip(
        path,
        camera=camera,
        shots=[KnownShot(spot=spot, release=release, start=0.5)],
        setting=Setting(phone=phone, people=1, other_balls=0, seed=3),
    )
    known = landmarks("fiba")
    places = {name: project(camera, [known[name].position])[0] for name in MARKED}
    return DrawnFilm(
        drawn=drawn, places={name: (float(x), float(y)) for name, (x, y) in places.items()}
    )
