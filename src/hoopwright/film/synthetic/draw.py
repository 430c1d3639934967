"""The main path: known shots and a camera in, a clip and its truth out."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from hoopwright.errors import BadInput
from hoopwright.film.camera import Camera, pixels_per_metre, project
from hoopwright.film.synthetic.gym import still_gym
from hoopwright.film.synthetic.people import clothes
from hoopwright.film.synthetic.phone import ClipFile, Sensor, picture_times
from hoopwright.film.synthetic.render import BallLook, BallNow, Canvas, images_needed
from hoopwright.film.synthetic.scenery import Extras, extras_of
from hoopwright.film.synthetic.setting import Setting
from hoopwright.film.synthetic.shooter import Shooter, shooter_of
from hoopwright.film.synthetic.shots import BallWay, KnownShot, ShotWay, release_state, ways_of
from hoopwright.film.synthetic.truth import TrueBody, body_times, true_body
from hoopwright.flight.ring import Outcome, is_make

Floats = NDArray[np.float64]
Triple = tuple[float, float, float]

#: skin and seams of the ball, blue green red
_SKIN = np.array([[58.0, 112.0, 214.0], [30.0, 34.0, 44.0]])
#: half the time over which a velocity is taken [s]
_HALF = 5e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueShot:
    """What one drawn shot really was; SI, world axes."""

    #: when the shooter begins, and when the ball leaves the hand [s]
    start: float
    release_time: float
    #: of the ball's centre [m], [m/s]
    release_point: Triple
    release_velocity: Triple
    #: [m/s], [rad], [rad], [m]
    speed: float
    angle: float
    direction: float
    height: float
    #: highest the ball's centre gets [m], and when [s]
    apex: float
    apex_time: float
    #: where the ring plane is crossed, or would be without ring and board [m]
    along: float
    across: float
    #: below horizontal there [rad]
    entry_angle: float
    #: when [s]
    ring_time: float
    #: when ring or board was first touched [s]; None where neither was
    first_touch: float | None
    made: bool
    outcome: Outcome
    #: when a rebounder takes the ball [s]
    caught_time: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """A drawn clip and its truth; one row a picture that is in the file."""

    path: Path
    camera: Camera
    setting: Setting
    shots: tuple[TrueShot, ...]
    #: since the first picture: the middle row halfway through its exposure [s], float64 [picture]
    times: Floats
    #: the ball's centre halfway through the exposure of the row it is on [px], float64 [picture, 2]
    ball: Floats
    #: then [m], float64 [picture, 3]
    ball_world: Floats
    #: when that was [s], float64 [picture]
    ball_times: Floats
    #: of the ball [px], float64 [picture]
    radius: Floats
    #: True where the ball's centre is in the picture and the ball in nobody's hands, bool [picture]
    visible: NDArray[np.bool_]
    #: the shooter; None where there is none
    body: TrueBody | None


def draw_clip(
    path: Path | str,
    *,
    camera: Camera,
    shots: Sequence[KnownShot],
    setting: Setting | None = None,
    progress: Callable[[float], None] | None = None,
) -> Drawn:
    """Draw a clip of known shots as a phone would film it, and return its truth.

    Parameters
    ----------
    path
        The MP4 file to write.
    camera
        Width and height must be even.
    shots
        In order of time, each ``shots.SHORTEST_GAP`` or more after the one before.
    setting
        The gym and the phone.
    progress
        Called now and then with the share that is done.

    Raises
    ------
    BadInput
        The camera's picture can't be packed, or shots come too soon after one another.
    NotAShot
        A ball never comes down through the ring plane.
    """
    chosen = setting or Setting()
    if camera.width % 2 or camera.height % 2:
        raise BadInput("A drawn clip needs an even width and height in pixels.")
    ways = ways_of(shots, ball=chosen.ball, book=chosen.book)
    rng = np.random.default_rng(chosen.seed)
    seconds = float(ways[-1].caught_time) + chosen.after
    times = picture_times(chosen.phone, seconds, rng)
    shooter = _shooter(chosen, shots, rng)
    truth = _truth(Path(path), camera, chosen, shooter, ways=ways, times=times)
    still = still_gym(camera, chosen.book, rng)
    extras = extras_of(chosen, ways, seconds=seconds, camera=camera, shooter=shooter, rng=rng)
    canvas = Canvas(camera, still, row_time=chosen.phone.readout / camera.height)
    sensor = Sensor(chosen.phone, (camera.width, camera.height), rng)
    _film(truth, canvas, sensor, (BallWay(ways), extras), progress)
    return truth


def _shooter(
    setting: Setting, shots: Sequence[KnownShot], rng: np.random.Generator
) -> Shooter | None:
    if setting.player is None:
        return None
    return shooter_of(
        tuple(shots), setting.player, radius=setting.ball.radius, colours=clothes(rng)
    )


def _film(
    truth: Drawn,
    canvas: Canvas,
    sensor: Sensor,
    moving: tuple[BallWay, Extras],
    progress: Callable[[float], None] | None,
) -> None:
    """Draw and pack every picture."""
    camera, phone = truth.camera, truth.setting.phone
    look = BallLook(radius=truth.setting.ball.radius, skin=_SKIN)
    images = truth.setting.images
    exposure = phone.shutter * ((np.arange(images) + 0.5) / images - 0.5)
    luma = np.empty((camera.height, camera.width), np.uint8)
    with ClipFile(truth.path, phone, width=camera.width, height=camera.height) as file:
        for n, time in enumerate(truth.times):
            canvas.clean()
            shown = truth.body.times[n] if truth.body is not None else time
            moving[1].draw(
                canvas,
                float(time),
                shown=float(shown),
                exposure=exposure,
                shot_ball=truth.ball_world[n],
            )
            canvas.ball(
                look, _ball_now(camera, moving[0], float(truth.ball_times[n]), phone.shutter)
            )
            y, u, v = canvas.planes()
            sensor.expose(y, float(time), luma)
            file.add((luma, u, v), float(time))
            if progress is not None and n % 16 == 0:
                progress(n / len(truth.times))


def _ball_now(camera: Camera, way: BallWay, time: float, shutter: float) -> BallNow:
    """Return the ball during the exposure of the row it is on."""
    before, after = way.at(np.array([time - _HALF, time + _HALF]))
    velocity = (after - before) / (2.0 * _HALF)
    many = images_needed(camera, 0.5 * (before + after), velocity, shutter)
    moments = time + shutter * ((np.arange(many) + 0.5) / many - 0.5)
    spin, since = way.spin_at(time)
    return BallNow(points=way.at(moments), velocity=velocity, turned=spin * since)


def _truth(
    path: Path,
    camera: Camera,
    setting: Setting,
    shooter: Shooter | None,
    *,
    ways: Sequence[ShotWay],
    times: Floats,
) -> Drawn:
    """Say where the ball is in every picture, without drawing any."""
    way, phone = BallWay(ways), setting.phone
    moments = times.copy()
    for _ in range(4):
        # a row is exposed the later, the lower it is; the ball's row depends on when that is
        rows = np.nan_to_num(project(camera, way.at(moments))[:, 1], nan=0.5 * camera.height)
        share = np.clip(rows / (camera.height - 1.0) - 0.5, -1.0, 1.0)
        moments = times + phone.readout * share
    world = way.at(moments)
    pixels = project(camera, world)
    inside = ((pixels >= -0.5) & (pixels <= (camera.width - 0.5, camera.height - 0.5))).all(axis=1)
    free = np.zeros(len(times), dtype=bool)
    for one in ways:
        free |= (moments >= one.shot.release_time) & (moments <= one.caught_time)
    return Drawn(
        path=path, camera=camera, setting=setting, shots=tuple(_true_shot(w) for w in ways),
        times=times, ball=pixels, ball_world=world, ball_times=moments,
        radius=setting.ball.radius * pixels_per_metre(camera, world), visible=inside & free,
        body=_body(shooter, camera, phone.readout, times),
    )  # fmt: skip


def _body(
    shooter: Shooter | None, camera: Camera, readout: float, times: Floats
) -> TrueBody | None:
    if shooter is None:
        return None
    return true_body(shooter, camera, body_times(shooter, camera, times, readout))


def _true_shot(way: ShotWay) -> TrueShot:
    """Say what one shot is."""
    shot, arc, release = way.shot, way.whole.arc, way.shot.release
    point, velocity = release_state(shot)
    touches = way.whole.touches
    return TrueShot(
        start=shot.start, release_time=shot.release_time, release_point=_triple(point),
        release_velocity=_triple(velocity), speed=release.speed, angle=release.angle,
        direction=release.direction, height=release.height, apex=arc.apex,
        apex_time=shot.release_time + arc.apex_time, along=arc.along, across=arc.across,
        entry_angle=arc.entry_angle, ring_time=shot.release_time + arc.time,
        first_touch=shot.release_time + float(touches[0]) if len(touches) else None,
        made=bool(is_make(way.whole.outcome)), outcome=way.whole.outcome,
        caught_time=way.caught_time,
    )  # fmt: skip


def _triple(values: Floats) -> Triple:
    return float(values[0]), float(values[1]), float(values[2])
