"""Motion-captured shots as body points, found beside the project; skipped with a note where absent.

Subject 6 of the Carnegie Mellon University Graphics Lab Motion Capture Database (mocap.cs.cmu.edu),
trials 14 (a set shot) and 15 (a jump shot), as BVH retargeted to another skeleton. Units: taken as
centimetres, because the standing head joint is then at 1.6 m (a plausible adult) and because the
trunk of trial 15 then falls with 10.7 m/s² at the files' own 1/60 s a frame, 9 % from gravity.

What is marked, from the 3-D data at 1/60 s a frame:

- toe-off, trial 15: the big toe of each foot passes 2 cm above where it stood at 164.3 (right) and
  164.8 (left); last contact is just before, 164.5. Trial 14: the big toes rise 2 cm with heels up
  9 cm and stay there: on tiptoe, no toe-off.
- release (no ball in the data): the last finger joint is fastest at 166 (trial 15) and 138 (trial
  14); then the wrist passes straight at 168 and 139. A ball leaves between the two: 167 and 138.5.
- set point: the elbow angle leaves its level (83° and 81°) by more than 1° at 158.5 and 128.5.
- dip: the hips are lowest at 151 and 124.
- apex, trial 15: a parabola through the trunk in the air has its top at 174.2.
"""

import os
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.film import bvh

from hoopwright.film.shooter.points import COUNT, LEFT, RIGHT

Floats = NDArray[np.float64]
ROOT = Path(__file__).parents[2]
#: frames a second of the files
RATE = 60.0
SOLE = 0.03


@dataclass(frozen=True, kw_only=True)
class Marked:
    """What the 3-D data says, in frames of the file."""

    toe_off: float | None
    release: float
    apex: float | None
    set: float
    dip: float


MARKS = {
    "cmu_06_14.bvh": Marked(toe_off=None, release=138.5, apex=None, set=128.5, dip=124.0),
    "cmu_06_15.bvh": Marked(toe_off=164.5, release=167.0, apex=174.2, set=158.5, dip=151.0),
}


def folder() -> Path:
    """Where the motion files are, or a skip that says how to get them."""
    told = os.environ.get("HOOPWRIGHT_TEST_MOTION")
    found = Path(told) if told else ROOT.parent / "shared" / "data"
    if not (found / "cmu_06_15.bvh").is_file():
        pytest.skip(
            f"no motion files in {found}; set HOOPWRIGHT_TEST_MOTION to a folder with "
            "cmu_06_14.bvh and cmu_06_15.bvh"
        )
    return found


@cache
def body(name: str) -> Floats:
    """World joints [row, 33, 3] of one file [m]; the shot goes along +ahead from (0, −5)."""
    motion = bvh.read(folder() / name)
    at = {n.removeprefix("CC_Base_"): k for k, n in enumerate(motion.names)}
    places = motion.places / 100.0
    joints = np.repeat(places[:, [at["Head"]]], COUNT, axis=1)
    for side, letter in ((LEFT, "L"), (RIGHT, "R")):
        for row, joint in (
            (side.shoulder, "Upperarm"), (side.elbow, "Forearm"), (side.wrist, "Hand"),
            (side.fingers[0], "Pinky1"), (side.fingers[1], "Index1"), (side.hip, "Thigh"),
            (side.knee, "Calf"), (side.ankle, "Foot"), (side.toe, "BigToe1"),
        ):  # fmt: skip
            joints[:, row] = places[:, at[f"{letter}_{joint}"]]
        # no heel joint: under the ankle, a foot's length behind the toe is not needed here
        joints[:, side.heel] = places[:, at[f"{letter}_Foot"]] - (0.0, 0.05, 0.0)
    return _in_world(joints, MARKS[name])


def _in_world(joints: Floats, marks: Marked) -> Floats:
    """Turn y-up joints so that the shot goes +ahead and the feet stand at the sole height."""
    release = round(marks.release)
    toes = joints[release - 30 : release - 10][:, [LEFT.toe, RIGHT.toe]]
    floor = float(np.median(toes[..., 1])) - SOLE
    middle = np.median(toes.mean(axis=1), axis=0)
    # the shot goes where the shooting arm points after release
    arm = joints[release + 4, RIGHT.wrist] - joints[release + 4, RIGHT.shoulder]
    ahead = np.array([arm[0], 0.0, arm[2]])
    ahead /= np.linalg.norm(ahead)
    right = np.cross(ahead, (0.0, 1.0, 0.0))
    moved = joints - (middle[0], floor, middle[2])
    axes = np.stack([right, ahead, (0.0, 1.0, 0.0)], axis=1)
    world: Floats = moved @ axes + (0.0, -5.0, 0.0)
    return world


def at_rate(joints: Floats, *, rate: float) -> tuple[Floats, Floats]:
    """Times and joints at another frame rate, by straight lines between the files' frames."""
    known = np.arange(len(joints)) / RATE
    time = np.arange(0.0, known[-1], 1.0 / rate)
    flat = joints.reshape(len(joints), -1)
    moved = np.column_stack([np.interp(time, known, column) for column in flat.T])
    return time, moved.reshape(len(time), COUNT, 3)
