"""From the marks of a still to a camera place, drawn back so that it can be judged by eye."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import UUID

from hoopwright.errors import BadInput, NotFound
from hoopwright.film.confined import run_confined
from hoopwright.film.landmarks import Mark
from hoopwright.film.results import ClipFacts
from hoopwright.records import StoredScene

if TYPE_CHECKING:
    from hoopwright.film.calibrate import Calibrated
    from hoopwright.film.results import Floats
    from hoopwright.film.scene import Scene

#: error of a mark set by hand each way, of a picture 720 px high [px]; common practice, no source
MARK_SD = 1.5
#: how far a drawn line may be off for having fewer points [px]
_STRAIGHT = 0.4


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """What is said of a camera place besides its marks."""

    gym: str
    place: str
    rules: str = "fiba"
    #: top of the ring above the floor [m]
    ring_height: float = 3.05
    ball_size: int = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkOff:
    """How far one mark is from where the camera draws its landmark [px]."""

    name: str
    #: marked less drawn
    x: float
    y: float
    off: float
    #: True where it is under suspicion
    bad: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnBack:
    """What marks give, to be judged by eye."""

    #: reprojection error: root mean square distance of the marks used [px]
    rms: float
    marks: tuple[MarkOff, ...]
    #: sentences, the most pressing first
    notes: tuple[str, ...]
    #: name and points of each line [px]
    lines: tuple[tuple[str, tuple[tuple[float, float], ...]], ...]
    #: True where no mark is under suspicion
    good: bool


def mark_sd(height: int) -> float:
    """Return the error of a mark each way in a picture of some height [px]."""
    return max(0.5, MARK_SD * height / 720.0)


def check_marks(
    marks: Sequence[Mark], *, size: tuple[int, int], rules: str, ring_height: float
) -> DrawnBack:
    """Work out the camera from marks, and draw court, board and ring back; nothing is kept.

    Parameters
    ----------
    marks
        Four or more.
    size
        Width and height of the upright picture [px].
    rules, ring_height
        Of the hoop that was filmed; height in metres.

    Raises
    ------
    BadInput
        No camera could see the marks so; ``field`` is a mark's name, or "marks".
    """
    from hoopwright.film.calibrate import calibrate
    from hoopwright.film.scene import Scene

    sd = mark_sd(size[1])
    found = calibrate(
        marks, width=size[0], height=size[1], rules=rules, ring_height=ring_height, mark_sd=sd
    )
    scene = Scene(
        gym="here", place="here", rules=rules, ring_height=ring_height, ball_size=7,
        marks=tuple(marks), mark_sd=sd, camera=found.camera, rms=found.rms, bad=found.bad,
    )  # fmt: skip
    return _drawn(scene, found)


def place_drawn(scene: StoredScene, *, size: tuple[int, int]) -> DrawnBack:
    """Return a kept camera place drawn back on pictures of a size.

    Raises
    ------
    BadInput
        It was marked on a picture of another shape.
    """
    from hoopwright.film.scene import scaled
    from hoopwright.film.scene_file import read_scene

    kept = scaled(read_scene(scene.content), *size)
    return check_marks(kept.marks, size=size, rules=kept.rules, ring_height=kept.ring_height)


def marks_in(scene: StoredScene, *, size: tuple[int, int]) -> tuple[Mark, ...]:
    """Return the marks of a kept camera place on pictures of a size.

    Raises
    ------
    BadInput
        It was marked on a picture of another shape.
    """
    from hoopwright.film.scene import scaled
    from hoopwright.film.scene_file import read_scene

    return scaled(read_scene(scene.content), *size).marks


def work_out_place(
    path: Path,
    clip: ClipFacts,
    *,
    scene_id: UUID,
    time: float,
    about: About,
    marks: Sequence[Mark],
) -> StoredScene:
    """Return the camera place that marks on a picture of a film give; nothing is kept yet.

    Parameters
    ----------
    path, clip
        The film's file, and what it is.
    scene_id
        The id of the new place.
    time
        Of the marked picture [s].
    about
        What the coach says of it.
    marks
        Four or more.

    Raises
    ------
    BadFilm
        The picture can't be read.
    BadInput
        A name is missing, or the marks can't be used; ``field`` says which.
    """
    # what needs no picture first: a refusal then comes at once
    check_marks(
        marks, size=(clip.width, clip.height), rules=about.rules, ring_height=about.ring_height
    )
    for said, field in ((about.gym, "gym"), (about.place, "place")):
        if not said.strip():
            raise BadInput("This name is empty; write a few words to find it by.", field=field)
    content = run_confined(_scene_text, path, time, clip.slowed, tuple(marks), about)
    return StoredScene(
        id=scene_id, gym=about.gym, place=about.place, rules=about.rules,
        ring_height=about.ring_height, content=content, made_at=datetime.now(UTC),
    )  # fmt: skip


def still_there(path: Path, scene: StoredScene, *, slowed: float | None) -> tuple[bool, str]:
    """Tell whether a film was filmed from a kept place: False where it was not, and a sentence.

    Raises
    ------
    BadFilm
        The film can't be read.
    BadInput
        Its picture has another shape.
    NotFound
        The place was kept without a picture to compare.
    """
    return run_confined(_still_there, path, scene.content, slowed)


def _scene_text(
    path: Path, time: float, slowed: float | None, marks: tuple[Mark, ...], about: About
) -> str:
    from hoopwright.film.scene import Setting, scene_from_marks
    from hoopwright.film.scene_file import write_scene
    from hoopwright.film.video import still

    picture = still(path, time, slowed=slowed)
    setting = Setting(
        gym=about.gym, place=about.place, rules=about.rules, ring_height=about.ring_height,
        ball_size=about.ball_size,
    )  # fmt: skip
    scene, _ = scene_from_marks(marks, picture, setting=setting, mark_sd=mark_sd(picture.shape[0]))
    return write_scene(scene)


def _still_there(path: Path, content: str, slowed: float | None) -> tuple[bool, str]:
    from hoopwright.film.moved import moved
    from hoopwright.film.scene import scaled
    from hoopwright.film.scene_file import read_scene
    from hoopwright.film.video import still

    scene = read_scene(content)
    if scene.fingerprint is None:
        raise NotFound("This place was kept without a picture; judge the drawn lines by eye.")
    picture = still(path, 0.0, slowed=slowed)
    found = moved(scaled(scene, picture.shape[1], picture.shape[0]), picture)
    return not (found.moved and found.sure), found.message


def _drawn(scene: "Scene", found: "Calibrated") -> DrawnBack:
    from hoopwright.film.drawn_back import drawn_back

    marks = tuple(
        MarkOff(name=one.name, x=one.x, y=one.y, off=one.size, bad=one.name in found.bad)
        for one in found.residuals
    )
    lines = tuple((line.name, _thinned(line.points)) for line in drawn_back(scene))
    return DrawnBack(rms=found.rms, marks=marks, notes=found.notes, lines=lines, good=not found.bad)


def _thinned(points: "Floats") -> tuple[tuple[float, float], ...]:
    """Return a line without the points that its neighbours give: a straight line needs two."""
    import cv2
    import numpy as np

    kept = cv2.approxPolyDP(points.astype(np.float32).reshape(-1, 1, 2), _STRAIGHT, False)
    return tuple((round(float(x), 1), round(float(y), 1)) for x, y in kept.reshape(-1, 2))
