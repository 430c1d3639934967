"""What is done with a film's file: always in a process of its own, with limits; no database."""

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

from hoopwright.film.results import ClipFacts, FilmRead
from hoopwright.records import Film, FilmMark, Player, StoredScene

#: told how far it is, 0 to 1, and what is being done
Progress = Callable[[float, str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Measuring:
    """Everything that measuring a film needs."""

    film: Film
    player: Player
    scene: StoredScene | None
    marks: tuple[FilmMark, ...]


def check_scene(content: str) -> None:
    """Raise BadInput unless a scene's text can be read."""
    import_module("hoopwright.film.scene").read_scene(content)


def look_at(path: Path) -> ClipFacts:
    """Return what a clip says of itself.

    Raises
    ------
    BadFilm
        It can't be read as a film.
    """
    run, look = import_module("hoopwright.film.confined"), import_module("hoopwright.film.video")
    facts: ClipFacts = run.run_confined(look.look, path)
    return facts


def measure_film(measuring: Measuring, path: Path, *, progress: Progress) -> FilmRead:
    """Measure a film.

    Parameters
    ----------
    measuring
        What is known.
    path
        Where its file can be read.
    progress
        Also where a cancelled job breaks off: what it raises ends the measuring.

    Raises
    ------
    BadFilm
        It can't be read, or not within the limits.
    """
    run, measure = (
        import_module("hoopwright.film.confined"),
        import_module("hoopwright.film.measure"),
    )
    read: FilmRead = run.run_confined(
        measure.measure_clip, path, measuring.scene, measuring.marks, progress=progress
    )
    return read
