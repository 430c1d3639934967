"""The truth of the shooter's body: points in every picture, moments and measures of every shot.

Measures are defined as in ``results.Body``, from the joints in space: joint angles in the upright
plane of the shot line, turns in the level plane.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.film.camera import Camera, project
from hoopwright.film.results import Body, Moment
from hoopwright.film.synthetic.jumpshot import JumpShot
from hoopwright.film.synthetic.rig import UP
from hoopwright.film.synthetic.shooter import Shooter
from hoopwright.film.synthetic.shots import release_state

Floats = NDArray[np.float64]
Places = dict[str, Floats]

#: step at which the arm is looked at for its set point [s]
_STEP = 0.005

#: body points that are known, as pose models call them, and the places of ``rig.Posed`` they are
POINTS = {
    "nose": "nose", "left eye": "left_eye", "right eye": "right_eye", "left ear": "left_ear",
    "right ear": "right_ear", "left shoulder": "shoulder_l", "right shoulder": "shoulder_r",
    "left elbow": "elbow_l", "right elbow": "elbow_r", "left wrist": "wrist_l",
    "right wrist": "wrist_r", "left little finger": "pinky_l", "right little finger": "pinky_r",
    "left index finger": "index_l", "right index finger": "index_r", "left thumb": "thumb_l",
    "right thumb": "thumb_r", "left hip": "hip_l", "right hip": "hip_r", "left knee": "knee_l",
    "right knee": "knee_r", "left ankle": "ankle_l", "right ankle": "ankle_r",
    "left heel": "left_heel", "right heel": "right_heel", "left foot tip": "left_toe_tip",
    "right foot tip": "right_toe_tip",
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueMotion:
    """The shooter's body in one shot."""

    #: when it comes to what, since the clip's first picture [s]
    moments: dict[Moment, float]
    #: every measure, in the unit of ``results.Body``
    measures: dict[Body, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueBody:
    """The shooter's body in a clip."""

    #: [m]
    stature: float
    #: names of the points, in the order of the arrays
    names: tuple[str, ...]
    #: when each picture shows the shoulders, since the first picture [s], float64 [picture]
    times: Floats
    #: then [m], float64 [picture, point, 3]
    world: Floats
    #: then [px], float64 [picture, point, 2]; hidden ones and ones off the picture too
    points: Floats
    #: one a shot
    motions: tuple[TrueMotion, ...]


def body_times(shooter: Shooter, camera: Camera, times: Floats, readout: float) -> Floats:
    """Return when the row with the shooter's shoulders is exposed in each picture [s]."""
    shoulders = np.array([_shoulders(shooter, float(t)) for t in times])
    rows = np.nan_to_num(project(camera, shoulders)[:, 1], nan=0.5 * camera.height)
    share = np.clip(rows / (camera.height - 1.0) - 0.5, -0.5, 0.5)
    return np.asarray(times + readout * share)


def _shoulders(shooter: Shooter, time: float) -> Floats:
    shot = shooter.shot_at(time)
    return shot.chest(time - shot.shot.release_time)


def true_body(shooter: Shooter, camera: Camera, times: Floats) -> TrueBody:
    """Return where the shooter's body is in every picture, and what each shot's movement is.

    Parameters
    ----------
    shooter
        Who shoots.
    camera
        Who films.
    times
        When each picture shows the shooter [s], float64 [picture].
    """
    posed = [shooter.posed(float(t)).places for t in times]
    world = np.array([[p[place] for place in POINTS.values()] for p in posed])
    pixels = project(camera, world.reshape(-1, 3)).reshape(len(times), len(POINTS), 2)
    return TrueBody(
        stature=shooter.rig.stature, names=tuple(POINTS), times=times, world=world, points=pixels,
        motions=tuple(true_motion(shot, shooter.rig.stature) for shot in shooter.shots),
    )  # fmt: skip


def true_motion(shot: JumpShot, stature: float) -> TrueMotion:
    """Return the moments and measures of one shot.

    Parameters
    ----------
    shot
        The movement.
    stature
        Of the player [m].
    """
    p, released = shot.phases, shot.shot.release_time
    moments = {
        Moment.DIP: p.dip, Moment.SET: set_point(shot), Moment.TOE_OFF: p.toe_off,
        Moment.RELEASE: 0.0, Moment.APEX: p.apex, Moment.HOLD_END: p.hold_end,
    }  # fmt: skip
    found = _angles(shot, moments) | _stance(shot) | _timing(shot, moments, stature=stature)
    return TrueMotion(
        moments={m: released + t for m, t in moments.items()},
        measures={name: found[name] for name in Body},
    )


def _flat(shot: JumpShot, vector: Floats) -> tuple[float, float]:
    """Return a vector's parts ahead and up."""
    return float(vector @ shot.ahead), float(vector @ UP)


def _from_to(shot: JumpShot, one: Floats, two: Floats) -> float:
    """Return the angle from a vector to another in the side plane, ahead toward up [rad]."""
    (a, b), (c, d) = _flat(shot, one), _flat(shot, two)
    return math.atan2(a * d - b * c, a * c + b * d)


def _side_angles(shot: JumpShot, places: Places) -> tuple[float, float, float, float, float]:
    """Return knee, elbow, shoulder, trunk lean and wrist in the side plane."""
    s = "r" if shot.side > 0.0 else "l"
    hip, knee, ankle = (places[f"{n}_{s}"] for n in ("hip", "knee", "ankle"))
    shoulder, elbow, wrist = (places[f"{n}_{s}"] for n in ("shoulder", "elbow", "wrist"))
    hand = 0.5 * (places[f"index_{s}"] + places[f"pinky_{s}"]) - wrist
    middle = [0.5 * (places[f"{n}_l"] + places[f"{n}_r"]) for n in ("shoulder", "hip")]
    return (
        _from_to(shot, hip - knee, ankle - knee) % (2.0 * math.pi),
        _from_to(shot, wrist - elbow, shoulder - elbow) % (2.0 * math.pi),
        _from_to(shot, hip - shoulder, elbow - shoulder),
        _from_to(shot, middle[0] - middle[1], UP),
        _from_to(shot, elbow - wrist, -hand),
    )


def set_point(shot: JumpShot) -> float:
    """Return when the arm starts its last extension, since release [s]: shoulder to wrist shortest.

    Not where the ball's lift was planned to end: the arm folds on below a ball that the legs still
    carry up, and stretches only then.

    Parameters
    ----------
    shot
        The movement.
    """
    later, here = _arm_reach(shot, 0.0), _arm_reach(shot, -_STEP)
    # back from release, to where the arm is longer again
    for time in np.arange(-_STEP, shot.phases.dip, -_STEP):
        sooner = _arm_reach(shot, float(time) - _STEP)
        if here < min(later, sooner):
            return float(time) + 0.5 * _STEP * (sooner - later) / (sooner - 2.0 * here + later)
        later, here = here, sooner
    return shot.phases.set_point


def _arm_reach(shot: JumpShot, time: float) -> float:
    places = shot.posed(shot.shot.release_time + time).places
    s = "r" if shot.side > 0.0 else "l"
    return float(np.linalg.norm(places[f"wrist_{s}"] - places[f"shoulder_{s}"]))


def _angles(shot: JumpShot, moments: Mapping[Moment, float]) -> dict[Body, float]:
    """Return the joint angles at dip, set point and release."""
    start = shot.shot.release_time
    names = (
        (Body.KNEE_DIP, Body.ELBOW_DIP, Body.SHOULDER_DIP, Body.TRUNK_DIP, None),
        (Body.KNEE_SET, Body.ELBOW_SET, Body.SHOULDER_SET, Body.TRUNK_SET, Body.WRIST_SET),
        (Body.KNEE_RELEASE, Body.ELBOW_RELEASE, Body.SHOULDER_RELEASE, Body.TRUNK_RELEASE, None),
    )
    found: dict[Body, float] = {}
    when = [moments[m] for m in (Moment.DIP, Moment.SET, Moment.RELEASE)]
    for time, row in zip(when, names, strict=True):
        values = _side_angles(shot, shot.posed(start + time).places)
        found |= {n: v for n, v in zip(row, values, strict=True) if n is not None}
    return found | _arm_in_front(shot, shot.posed(start + moments[Moment.SET]).places)


def _arm_in_front(shot: JumpShot, places: Places) -> dict[Body, float]:
    """Return elbow flare and sight line offset at the set point."""
    s = "r" if shot.side > 0.0 else "l"
    wrist = places[f"wrist_{s}"]
    fore = wrist - places[f"elbow_{s}"]
    flare = math.atan2(-shot.side * float(fore @ shot.right), float(fore[2]))
    head = 0.5 * (places["left_eye"] + places["right_eye"])
    line = -head[:2] / np.linalg.norm(head[:2])
    beside = float((wrist - head)[:2] @ np.array([line[1], -line[0]]))
    return {Body.ELBOW_FLARE: flare, Body.SIGHT_LINE: shot.side * beside}


def _turn(shot: JumpShot, ahead: Floats) -> float:
    """Return how far a level direction is turned toward the non-shooting side [rad]."""
    return -shot.side * math.atan2(float(ahead @ shot.right), float(ahead @ shot.ahead))


def _stance(shot: JumpShot) -> dict[Body, float]:
    """Return the stance, and hip and shoulder turn at release."""
    standing = shot.posed(shot.shot.start).places
    feet = [
        standing["left_toe_tip"] - standing["left_heel"],
        standing["right_toe_tip"] - standing["right_heel"],
    ]
    middles = [0.5 * (standing[f"{s}_toe_tip"] + standing[f"{s}_heel"]) for s in ("left", "right")]
    way = sum((f * (1, 1, 0) / np.linalg.norm(f[:2]) for f in feet), start=np.zeros(3))
    released = shot.posed(shot.shot.release_time).places
    lines = {Body.HIP_TURN: "hip", Body.SHOULDER_TURN: "shoulder"}
    turns = {}
    for name, joint in lines.items():
        across = released[f"{joint}_r"] - released[f"{joint}_l"]
        turns[name] = _turn(shot, np.array([-across[1], across[0], 0.0]))
    width = float(np.linalg.norm((middles[1] - middles[0])[:2]))
    return {Body.STANCE_WIDTH: width, Body.STANCE_TURN: _turn(shot, way), **turns}


def _timing(
    shot: JumpShot, moments: Mapping[Moment, float], *, stature: float
) -> dict[Body, float]:
    """Return times, heights and speeds."""
    p, m, top = shot.phases, shot.shot.motion, moments[Moment.SET]
    step = 1e-4
    up = (shot.hips_height(step) - shot.hips_height(-step)) / (2.0 * step)
    ball, velocity = release_state(shot.shot)
    heights = [shot.ball(t)[2] for t in np.arange(p.start, top, 1e-3)]
    return {
        Body.DIP_DEPTH: float(shot.ball(top)[2] - min(heights)),
        Body.DIP_TO_RELEASE: -p.dip, Body.SET_TO_RELEASE: -top,
        Body.RELEASE_TO_TOE_OFF: -p.toe_off, Body.RELEASE_TO_APEX: -p.apex,
        Body.JUMP_RISE: m.jump_rise, Body.BODY_SPEED: up,
        Body.ARM_SPEED: float(velocity[2]) - up, Body.RELEASE_RATIO: float(ball[2]) / stature,
        Body.HOLD: p.hold_end,
    }  # fmt: skip
