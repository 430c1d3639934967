"""Everything that moves besides the shot ball: shooter, rebounder, people about, other balls."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.film.camera import Camera, project
from hoopwright.film.synthetic.figure import mesh
from hoopwright.film.synthetic.people import Walker, a_shape, clothes
from hoopwright.film.synthetic.render import BallLook, BallNow, Canvas
from hoopwright.film.synthetic.rig import Posed, Rig
from hoopwright.film.synthetic.setting import Setting
from hoopwright.film.synthetic.shooter import Shooter
from hoopwright.film.synthetic.shots import ShotWay

Floats = NDArray[np.float64]

_OTHER_SKINS = (
    np.array([[50.0, 96.0, 190.0], [26.0, 30.0, 36.0]]),
    np.array([[70.0, 126.0, 220.0], [40.0, 44.0, 52.0]]),
    np.array([[60.0, 70.0, 160.0], [210.0, 210.0, 210.0]]),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherBall:
    """A ball that is dribbled on one place, or lies there."""

    look: BallLook
    #: floor place [m], float64 [2]
    place: Floats
    #: highest its centre bounces [m]; its radius where it lies
    top: float
    #: of one bounce [s]
    period: float

    def now(self, time: float) -> BallNow:
        """Return where it is."""
        share = (time / self.period) % 1.0
        # a hand pushes it down and takes it up: a parabola from the floor and back
        lift = 4.0 * share * (1.0 - share)
        height = self.look.radius + (self.top - self.look.radius) * lift
        rate = 4.0 * (1.0 - 2.0 * share) * (self.top - self.look.radius) / self.period
        at = np.array([[*self.place, height]])
        return BallNow(points=at, velocity=np.array([0.0, 0.0, rate]), turned=np.full(3, 0.4))


@dataclass(frozen=True, slots=True, kw_only=True)
class Extras:
    """All of it."""

    people: tuple[Walker, ...]
    balls: tuple[OtherBall, ...]
    shooter: Shooter | None

    def draw(
        self, canvas: Canvas, time: float, *, shown: float, exposure: Floats, shot_ball: Floats
    ) -> None:
        """Draw everybody and everything but the shot ball, whose shadow is drawn too.

        Parameters
        ----------
        canvas
            Where.
        time, shown
            Of the picture's middle row, and of the row with the shooter's shoulders [s].
        exposure
            Moments of people's images, from the middle of the exposure [s], float64 [image].
        shot_ball
            Where the shot ball is [m], float64 [3].
        """
        people: list[tuple[Walker | Shooter, list[Posed]]] = [
            (one, [one.posed(time + e) for e in exposure]) for one in self.people
        ]
        if self.shooter is not None:
            people.append((self.shooter, [self.shooter.posed(shown + e) for e in exposure]))
        balls = [(ball.look, ball.now(time)) for ball in self.balls]
        for _, poses in people:
            for foot in ("toe_l", "toe_r"):
                _shadow(canvas, poses[0].places[foot], _FOOT_SHADOW)
        for place in (shot_ball, *(now.points[0] for _, now in balls)):
            _shadow(canvas, place, _BALL_SHADOW)
        for one, poses in people:
            canvas.figure(one.rig.mesh, poses, one.colours)
        for look, now in balls:
            canvas.ball(look, now)


#: radius of a foot's and a ball's shadow [m], and what a thing on the floor takes of its light
_FOOT_SHADOW, _BALL_SHADOW, _DARKEST = 0.2, 0.12, 0.45


def _shadow(canvas: Canvas, place: Floats, radius: float) -> None:
    """Draw the shadow of a thing so high over the floor: the higher, the wider and fainter."""
    wide = radius + 0.3 * max(float(place[2]), 0.0)
    strength = _DARKEST * (radius / wide) ** 2
    if strength > 0.01:
        canvas.shadow(place, wide, strength)


def _rebounder(ways: Sequence[ShotWay], seconds: float, rng: np.random.Generator) -> Walker:
    """Return somebody who goes to where each ball is taken."""
    times, marks = [-1.0], [np.array([1.6, -1.0])]
    for way in ways:
        ahead = way.caught[:2] - (0.0, -4.0)
        place = way.caught[:2] - 0.4 * ahead / max(float(np.linalg.norm(ahead)), 1e-9)
        times += [max(way.shot.release_time + 0.4, times[-1] + 0.05), way.caught_time]
        marks += [marks[-1], place]
    return Walker(
        times=np.array([*times, seconds + 60.0]), marks=np.stack([*marks, marks[-1]]),
        rig=_somebodys_rig(rng), colours=clothes(rng), looks_at=np.array([0.0, -4.0]),
    )  # fmt: skip


def _somebodys_rig(rng: np.random.Generator) -> Rig:
    shape, stature = a_shape(rng)
    return Rig(mesh(shape), stature)


def _clear(camera: Camera, ways: Sequence[ShotWay], place: Floats) -> bool:
    """Tell whether somebody at a floor place does not stand before shooter, shot line or lens."""
    here = np.array([[*place, 1.0]])
    depth = float((here @ camera.turned.T + np.array(camera.translation))[0, 2])
    if depth > 0.0 and float(np.linalg.norm(here[0] - camera.position)) < 3.0:
        return False
    spot = np.array([[ways[0].shot.spot.x, -ways[0].shot.spot.y, 1.0], [0.0, 0.0, 1.0]])
    ends = (spot @ camera.turned.T + np.array(camera.translation))[:, 2]
    across, line = project(camera, here)[0, 0], project(camera, spot)[:, 0]
    if not np.isfinite([across, *line]).all():
        return True
    room = 0.08 * camera.width
    beside = across < line.min() - room or across > line.max() + room
    return bool(beside or depth > ends.max() + 0.8)


def _place(
    camera: Camera, ways: Sequence[ShotWay], rng: np.random.Generator, near: Floats | None
) -> Floats:
    """Draw a floor place that is clear, near another where one is given."""
    low, high = np.array([-9.0, -13.0]), np.array([9.0, 2.0])
    for _ in range(60):
        free = rng.uniform(low, high)
        place = free if near is None else np.clip(near + rng.uniform(-3.0, 3.0, 2), low, high)
        between = place if near is None else 0.5 * (place + near)
        if _clear(camera, ways, place) and _clear(camera, ways, between):
            return np.asarray(place)
    return np.array([0.0, 1.4]) if near is None else near


def _somebody(
    ways: Sequence[ShotWay], seconds: float, camera: Camera, rng: np.random.Generator
) -> Walker:
    """Return somebody who walks about or stands, clear of the shot line."""
    steps = int(seconds // 4.0) + 2
    marks = [_place(camera, ways, rng, None)]
    for _ in range(steps - 1):
        stays = rng.random() < 0.4
        marks.append(marks[-1] if stays else _place(camera, ways, rng, marks[-1]))
    return Walker(
        rig=_somebodys_rig(rng), colours=clothes(rng), looks_at=np.zeros(2),
        times=np.linspace(0.0, 4.0 * (steps - 1), steps), marks=np.stack(marks),
    )  # fmt: skip


def _other_ball(number: int, radius: float, place: Floats, rng: np.random.Generator) -> OtherBall:
    """Return a ball that is dribbled (the first) or lies about."""
    skin = _OTHER_SKINS[int(rng.integers(len(_OTHER_SKINS)))]
    return OtherBall(
        look=BallLook(radius=radius, skin=skin), place=place,
        top=0.95 if number == 0 else radius, period=0.62,
    )  # fmt: skip


def extras_of(
    setting: Setting,
    ways: Sequence[ShotWay],
    *,
    seconds: float,
    camera: Camera,
    shooter: Shooter | None,
    rng: np.random.Generator,
) -> Extras:
    """Fill the gym.

    Parameters
    ----------
    setting
        How many people and balls.
    ways
        The shots' ways; the rebounder follows them.
    seconds
        Length of the clip.
    camera
        People and balls keep out of its view of the shots.
    shooter
        Who shoots; None for balls that fly by themselves.
    rng
        Draws places and colours.
    """
    people = [_somebody(ways, seconds, camera, rng) for _ in range(setting.people)]
    balls = [
        _other_ball(n, setting.ball.radius, _place(camera, ways, rng, None), rng)
        for n in range(setting.other_balls)
    ]
    if shooter is not None:
        people.append(_rebounder(ways, seconds, rng))
    return Extras(people=tuple(people), balls=tuple(balls), shooter=shooter)
