"""A small reader of BVH motion files: joint places of every frame.

BVH as commonly described (Meredith and Maddock 2001, "Motion capture file formats explained"): a
tree of joints with offsets and channels, then one line of channel values a frame; a joint's
rotations apply in the order of its channels. Used for tests only.
"""

from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

Floats = NDArray[np.float64]


@dataclass
class Joint:
    """One joint of the tree."""

    name: str
    parent: int
    offset: Floats = field(default_factory=lambda: np.zeros(3))
    channels: list[str] = field(default_factory=list)
    first: int = 0


def _tree(lines: list[str]) -> list[Joint]:
    joints: list[Joint] = []
    open_ones: list[int] = []
    count = 0
    for line in lines:
        words = line.split()
        if words[0] in ("ROOT", "JOINT", "End"):
            name = words[1] if words[0] != "End" else f"{joints[open_ones[-1]].name} end"
            joints.append(Joint(name, open_ones[-1] if open_ones else -1))
        elif words[0] == "{":
            open_ones.append(len(joints) - 1)
        elif words[0] == "}":
            open_ones.pop()
        elif words[0] == "OFFSET":
            joints[-1].offset = np.array(words[1:4], dtype=float)
        elif words[0] == "CHANNELS":
            joints[-1].channels = words[2:]
            joints[-1].first = count
            count += int(words[1])
    return joints


def _turn(joint: Joint, values: Floats) -> tuple[Floats, Rotation]:
    """Shift [frame, 3] and rotation of one joint."""
    shift = np.tile(joint.offset, (len(values), 1))
    axes, columns = "", []
    for k, channel in enumerate(joint.channels):
        if channel.endswith("position"):
            shift[:, "XYZ".index(channel[0])] = values[:, joint.first + k]
        else:
            axes += channel[0]
            columns.append(joint.first + k)
    if not axes:
        return shift, Rotation.identity(len(values))
    return shift, Rotation.from_euler(axes, values[:, columns], degrees=True)


@dataclass(frozen=True)
class Motion:
    """Joint places of a file, in its own units and axes."""

    names: list[str]
    #: [frame, joint, 3]
    places: Floats
    #: [s]
    frame_time: float


def read(path: Path) -> Motion:
    """Read a BVH file."""
    text = path.read_text(encoding="utf-8")
    head, tail = text.split("MOTION", 1)
    lines = tail.strip().splitlines()
    values = np.array([line.split() for line in lines[2:]], dtype=float)
    joints = _tree([line for line in head.splitlines()[1:] if line.strip()])
    places = np.empty((len(values), len(joints), 3))
    turned: list[Rotation] = []
    for k, joint in enumerate(joints):
        shift, rotation = _turn(joint, values)
        if joint.parent >= 0:
            above = turned[joint.parent]
            places[:, k] = places[:, joint.parent] + above.apply(shift)
            rotation = above * rotation
        else:
            places[:, k] = shift
        turned.append(rotation)
    return Motion([j.name for j in joints], places, float(lines[1].split(":")[1]))
