"""What is done with a film's file: always in a process of its own, with limits; no database.

The stages are loaded only where they run, so that pages and worker do without the decoders.
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from hoopwright.court.equipment import Ball
from hoopwright.court.standards import ball
from hoopwright.errors import BadFilm, BadInput
from hoopwright.film.confined import run_confined
from hoopwright.film.results import ClipFacts, FilmRead
from hoopwright.records import Film, FilmMark, Player, StoredScene

if TYPE_CHECKING:
    from hoopwright.film.scene import Scene
    from hoopwright.film.told import Material, Shooter

#: told how far it is, 0 to 1, and what is being done
Progress = Callable[[float, str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Measuring:
    """Everything that measuring a film needs."""

    film: Film
    #: at the clock that holds now
    clip: ClipFacts
    player: Player
    scene: StoredScene | None
    marks: tuple[FilmMark, ...]
    #: True where it is to be read without marks, from the side by the ball's size and fall
    unmarked: bool = False


def check_scene(content: str) -> None:
    """Raise BadInput unless a scene's text can be read."""
    from hoopwright.film.scene_file import read_scene

    read_scene(content)


def gear_of(scene: StoredScene) -> tuple[int, float]:
    """Return the ball size and the ring height [m] of a scene."""
    from hoopwright.film.scene_file import read_scene

    return read_scene(scene.content).ball_size, scene.ring_height


def sum_of(scene: StoredScene) -> str:
    """Return the checksum of a scene's marks; see ``FilmRead.scene_sum``."""
    from hoopwright.film.scene_file import read_scene, scene_sum

    return scene_sum(read_scene(scene.content))


def look_at(path: Path) -> ClipFacts:
    """Return what a clip says of itself.

    Raises
    ------
    BadFilm
        It can't be read as a film.
    """
    return run_confined(_look, path)


def _look(path: Path) -> ClipFacts:
    from hoopwright.film.video import look

    return look(path)


def measure_film(
    measuring: Measuring, path: Path, *, models: Path, progress: Progress
) -> tuple[FilmRead, "Material"]:
    """Measure a film; only the ball where the body models are not there.

    Parameters
    ----------
    measuring
        What is known.
    path
        Where its file can be read.
    models
        Folder of the body models.
    progress
        Also where a cancelled job breaks off: what it raises ends the measuring.

    Returns
    -------
    tuple
        The reading, and what the pictures gave, from which it can be read again.

    Raises
    ------
    BadFilm
        It can't be read, or not within the limits.
    BadInput
        No scene was chosen, or one of another shape.
    """
    if not measuring.unmarked:
        _scene_of(measuring)
    return run_confined(_measure, measuring, path, models, progress=progress)


def read_film_again(measuring: Measuring, material: "Material", *, before: FilmRead) -> FilmRead:
    """Return a film's reading with what is marked now, from what its pictures gave before.

    Parameters
    ----------
    measuring, material
        What is known, and what the pictures gave.
    before
        The reading that was made of them.

    Raises
    ------
    BadFilm
        The film's clock or its camera place was changed since; it must be measured again.
    BadInput
        As :func:`measure_film`.
    """
    if material.clip.slowed != measuring.clip.slowed:
        raise BadFilm("The film's speed was changed since it was measured; measure it again.")
    if before.unmarked:
        from hoopwright.film.measure_side import read_side_again

        return read_side_again(
            material, measuring.marks, ball=_ball(measuring), shooter=_shooter(measuring)
        )
    from hoopwright.film.measure import read_again, scene_view
    from hoopwright.film.scene_file import scene_sum

    scene = _scene(measuring)
    if before.scene_sum not in (None, scene_sum(scene)):
        raise BadFilm("The camera place was changed since it was measured; measure it again.")
    view = scene_view(scene, measuring.clip)
    return read_again(
        material, view, measuring.marks, shooter=_shooter(measuring), scene_sum=before.scene_sum
    )


def _measure(
    measuring: Measuring, path: Path, models: Path, *, progress: Progress
) -> tuple[FilmRead, "Material"]:
    if measuring.unmarked:
        return _measure_side(measuring, path, progress=progress)
    from hoopwright.film.measure import measure_clip
    from hoopwright.film.models import ready

    return measure_clip(
        path,
        _scene(measuring),
        measuring.marks,
        shooter=_shooter(measuring),
        slowed=measuring.film.slowed,
        models=models if ready(models) else None,
        progress=progress,
    )


def _measure_side(
    measuring: Measuring, path: Path, *, progress: Progress
) -> tuple[FilmRead, "Material"]:
    from hoopwright.film.measure_side import measure_side_clip

    return measure_side_clip(
        path,
        measuring.marks,
        ball=_ball(measuring),
        shooter=_shooter(measuring),
        slowed=measuring.film.slowed,
        progress=progress,
    )


def _ball(measuring: Measuring) -> Ball:
    """Return the ball whose size is the ruler where nothing is marked: the player's own."""
    return ball(measuring.player.ball_size)


def _scene_of(measuring: Measuring) -> StoredScene:
    if measuring.scene is None:
        raise BadInput("Choose the camera place of this film, or mark it, first.", field="scene")
    return measuring.scene


def _scene(measuring: Measuring) -> "Scene":
    from hoopwright.film.scene_file import read_scene

    return read_scene(_scene_of(measuring).content)


def _shooter(measuring: Measuring) -> "Shooter":
    from hoopwright.film.told import Shooter

    player = measuring.player
    return Shooter(film=measuring.film.id, hand=player.hand, stature=player.height)
