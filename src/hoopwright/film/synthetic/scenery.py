"""Everything that moves besides the shot ball: shooter, rebounder, people about, other balls."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.film.synthetic.people import Clothes, Walker, clothes, limbs_of
from hoopwright.film.synthetic.render import BallLook, BallNow, Canvas
from hoopwright.film.synthetic.setting import Setting
from hoopwright.film.synthetic.shooter import Shooter
from hoopwright.film.synthetic.shots import ShotWay, ahead_of

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

    walkers: tuple[Walker, ...]
    balls: tuple[OtherBall, ...]
    shooter: Shooter | None

    def draw(self, canvas: Canvas, time: float) -> None:
        """Draw everybody and everything at a time."""
        people = [(w.joints(time), w.stature, w.clothes) for w in self.walkers]
        if self.shooter is not None:
            people.append((self.shooter.joints(time), self.shooter.stature, self.shooter.clothes))
        for joints, stature, wears in people:
            canvas.limbs(limbs_of(canvas.camera, joints, stature=stature, wears=wears))
        for ball in self.balls:
            canvas.ball(ball.look, ball.now(time))


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
        stature=rng.uniform(1.7, 1.95), clothes=clothes(rng), looks_at=np.array([0.0, -4.0]),
    )  # fmt: skip


def _somebody(ways: Sequence[ShotWay], seconds: float, rng: np.random.Generator) -> Walker:
    """Return somebody who walks about or stands, clear of the shot line."""
    spot = ways[0].shot.spot
    ahead = ahead_of(spot)[:2]
    right = np.array([ahead[1], -ahead[0]])
    middle = 0.5 * np.array([spot.x, -spot.y])
    side = 1.0 if rng.random() < 0.5 else -1.0
    steps = int(seconds // 4.0) + 2
    marks = [middle + side * rng.uniform(3.0, 6.5) * right + rng.uniform(-3.5, 3.5) * ahead]
    for _ in range(steps - 1):
        pause = rng.random() < 0.4
        stride = (
            np.zeros(2) if pause else rng.uniform(-1.0, 1.0) * right + rng.uniform(-4, 4) * ahead
        )
        marks.append(marks[-1] + stride)
    inside = np.clip(np.stack(marks), (-9.0, -13.0), (9.0, 2.0))
    return Walker(
        times=np.linspace(0.0, 4.0 * (steps - 1), steps), marks=inside, stature=rng.uniform(1.55, 1.95),
        clothes=clothes(rng), looks_at=np.zeros(2),
    )  # fmt: skip


def _other_ball(number: int, radius: float, rng: np.random.Generator) -> OtherBall:
    """Return a ball that is dribbled (the first) or lies about."""
    place = np.array([rng.choice([-1.0, 1.0]) * rng.uniform(3.5, 6.5), rng.uniform(-6.0, 0.5)])
    skin = _OTHER_SKINS[int(rng.integers(len(_OTHER_SKINS)))]
    return OtherBall(
        look=BallLook(radius=radius, skin=skin), place=place,
        top=0.95 if number == 0 else radius, period=0.62,
    )  # fmt: skip


def extras_of(
    setting: Setting, ways: Sequence[ShotWay], seconds: float, rng: np.random.Generator
) -> Extras:
    """Fill the gym.

    Parameters
    ----------
    setting
        How many people and balls.
    ways
        The shots' ways; the shooter and the rebounder follow them.
    seconds
        Length of the clip.
    rng
        Draws places and colours.
    """
    walkers = [_rebounder(ways, seconds, rng)] if setting.shooter else []
    walkers += [_somebody(ways, seconds, rng) for _ in range(setting.people)]
    balls = [_other_ball(n, setting.ball.radius, rng) for n in range(setting.other_balls)]
    wears: Clothes = clothes(rng)
    return Extras(
        walkers=tuple(walkers), balls=tuple(balls),
        shooter=Shooter(ways=tuple(ways), stature=1.85, clothes=wears) if setting.shooter else None,
    )  # fmt: skip
