"""The human figure: a body mesh that follows its joints, in three shapes.

``figure.npz`` holds the CC0 mesh, made by ``make_figure``. Rest axes: x to the figure's left, y up,
z ahead [m], the soles on the floor.
"""

from dataclasses import dataclass
from enum import IntEnum
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FIGURE_FILE = Path(__file__).with_name("figure.npz")
#: of the stored vertices [m]
STEP = 1e-4


class Part(IntEnum):
    """What a place of the figure's surface is."""

    SKIN = 0
    SHIRT = 1
    SHORTS = 2
    SHOE = 3
    HAIR = 4
    EYE = 5
    LIP = 6
    SOCK = 7


class Shape(IntEnum):
    """Which body."""

    MAN = 0
    WOMAN = 1
    CHILD = 2


class Mark(IntEnum):
    """Points of the surface that pose models name."""

    NOSE = 0
    LEFT_EYE = 1
    RIGHT_EYE = 2
    LEFT_EAR = 3
    RIGHT_EAR = 4
    LEFT_HEEL = 5
    LEFT_TOE_TIP = 6
    RIGHT_HEEL = 7
    RIGHT_TOE_TIP = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Mesh:
    """One shape at rest."""

    #: [m], float64 [vertex, 3]
    vertices: Floats
    #: unit, float64 [vertex, 3]
    normals: Floats
    #: corners, seen from outside anticlockwise, int64 [triangle, 3]
    faces: Ints
    #: fewer triangles between some of the same vertices, for somebody far off
    coarse: Ints
    #: values of Part, int64 [vertex]
    part: Ints
    #: the bones a vertex follows and how much, int64 and float64 [vertex, 4]
    bone: Ints
    share: Floats
    #: bone name → row of ``joints``
    names: dict[str, int]
    #: the bone each hangs on, -1 for the pelvis; parents come first, int64 [bone]
    parent: Ints
    #: where each bone begins and ends [m], float64 [bone, 2, 3]
    joints: Floats
    #: places of Mark [m], float64 [mark, 3]
    marks: Floats

    @property
    def stature(self) -> float:
        """Height of the figure at rest [m]."""
        return float(self.vertices[:, 1].max())


@cache
def mesh(shape: Shape) -> Mesh:
    """Return one shape of the figure.

    Parameters
    ----------
    shape
        Which body.
    """
    with np.load(FIGURE_FILE) as data:
        names = {str(n): k for k, n in enumerate(data["names"])}
        vertices = data["skins"][shape] * STEP
        faces = data["faces"].astype(np.int64)
        return Mesh(
            vertices=vertices,
            normals=normals(vertices, faces),
            faces=faces,
            coarse=data["coarse"].astype(np.int64),
            part=data["part"].astype(np.int64),
            bone=data["bone"].astype(np.int64),
            share=data["share"] / data["share"].sum(axis=1, keepdims=True, dtype=np.float64),
            names=names,
            parent=data["parent"].astype(np.int64),
            joints=data["joints"][shape].astype(np.float64),
            marks=data["marks"][shape].astype(np.float64),
        )


def normals(vertices: Floats, faces: Ints) -> Floats:
    """Return unit normals at the vertices of a mesh [vertex, 3]."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    face, at = np.cross(b - a, c - a), np.zeros_like(vertices)
    for k in range(3):
        np.add.at(at, faces[:, k], face)
    return np.asarray(at / np.maximum(np.linalg.norm(at, axis=1, keepdims=True), 1e-12))
