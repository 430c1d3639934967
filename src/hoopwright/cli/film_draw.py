"""``film draw``: a clip of invented shots with its truth, to try a set-up before going to a gym."""

import json as json_text
import re
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from hoopwright.cli import options
from hoopwright.cli.files import write_file
from hoopwright.cli.show import as_json, progress_bar, say
from hoopwright.errors import BadInput
from hoopwright.film import video
from hoopwright.film.camera import Camera
from hoopwright.film.scene import write_scene
from hoopwright.film.synthetic.draw import Drawn, draw_clip
from hoopwright.film.synthetic.places import behind, beside
from hoopwright.film.synthetic.setting import Phone, Setting
from hoopwright.film.synthetic.shots import KnownShot
from hoopwright.film.synthetic.truth_file import truth_data
from hoopwright.film.synthetic.usual import true_scene, usual_shots
from hoopwright.reports.words import plural

#: longest exposure and read-out, and the share of a picture's time they take at most [s]
_SHUTTER, _READOUT, _SHARE = 1.0 / 200.0, 0.010, 0.5
#: smallest and largest side of a drawn picture [px]
_LEAST_SIDE, _MOST_SIDE = 160, 3840


class Place(StrEnum):
    """Where the camera stands."""

    SIDE = "side"
    BEHIND = "behind"


def draw_film(
    clip: Annotated[Path, typer.Argument(help="MP4 file to write.")],
    place: Annotated[
        Place, typer.Option(help="Beside the shot line or behind the shooter.")
    ] = Place.SIDE,
    away: Annotated[
        float | None,
        typer.Option(
            help="Camera to the middle of the shot line (side) or to the shooter (behind), in "
            "metres; 9 and 3.5 if left out."
        ),
    ] = None,
    distance: Annotated[
        float, typer.Option(help="Floor distance from shooter to ring centre, in metres.")
    ] = 4.2,
    shots: Annotated[int, typer.Option(help="How many, 1 to 40.")] = 4,
    rate: Annotated[float, typer.Option(help="Pictures filmed a second.")] = 60.0,
    size: Annotated[str, typer.Option(help="Width and height in pixels.")] = "1280x720",
    slowed: Annotated[
        float, typer.Option(help="How many times slower the file plays than it was filmed.")
    ] = 1.0,
    seed: Annotated[int, typer.Option(help="Other shots and another gym for each.")] = 0,
    overwrite: Annotated[
        bool, typer.Option("--overwrite", help="Replace the files if they are there.")
    ] = False,
    json: options.Json = False,
) -> None:
    """Draw a film of invented shots, and write the scene and the truth beside it.

    hoopwright film draw try.mp4 --place behind --rate 30
    """
    scene_file, truth_file = clip.with_suffix(".scene.json"), clip.with_suffix(".truth.json")
    _check_files(clip, (clip, scene_file, truth_file), overwrite=overwrite)
    options.plain(shots, "--shots", low=1, high=40)
    options.plain(seed, "--seed", low=0, high=2**31)
    options.plain(distance, "--distance", low=1.0, high=10.0)
    known = usual_shots(shots, distance=distance, seed=seed)
    camera = _camera(known[0], place, away=away, size=_size(size))
    drawn = _draw(clip, camera, known, Setting(phone=_phone(rate, slowed), seed=seed))
    scene = true_scene(camera, video.still(clip, 0.0), place=f"drawn {place.value}")
    write_file(scene_file, write_scene(scene).encode())
    truth = json_text.dumps(truth_data(drawn), indent=2, allow_nan=False)
    write_file(truth_file, truth.encode())
    if json:
        files = {"clip": str(clip), "scene": str(scene_file), "truth": str(truth_file)}
        as_json(files | {"shots": shots, "made": sum(s.made for s in drawn.shots)})
        return
    count = plural(shots, "invented shot")
    say(f"{clip}: {count}, {sum(s.made for s in drawn.shots)} made.")
    say(f"Its scene is in {scene_file}, what the shots truly were in {truth_file}.")


def _check_files(clip: Path, files: tuple[Path, ...], *, overwrite: bool) -> None:
    if clip.suffix.lower() != ".mp4":
        raise BadInput(f"{clip} must end in .mp4, which is what is drawn.")
    if not clip.parent.is_dir():
        raise BadInput(f"There is no folder called {clip.parent}; make it or choose another.")
    there = [file for file in files if file.exists()]
    if there and not overwrite:
        raise BadInput(f"{there[0]} is there already; choose another name or add --overwrite.")


def _size(text: str) -> tuple[int, int]:
    said = re.fullmatch(r"(\d{1,5})[x×](\d{1,5})", text.strip().lower())
    if said is None:
        raise BadInput(f"--size must be like 1280x720, not {text!r}.", field="--size")
    width, height = int(said[1]), int(said[2])
    if width % 2 or height % 2 or not (
        min(width, height) >= _LEAST_SIDE and max(width, height) <= _MOST_SIDE
    ):  # fmt: skip
        raise BadInput(
            f"--size must be even numbers from {_LEAST_SIDE} to {_MOST_SIDE}, not {text!r}.",
            field="--size",
        )
    return width, height


def _phone(rate: float, slowed: float) -> Phone:
    options.plain(rate, "--rate", low=10, high=480)
    options.plain(slowed, "--slowed", low=1, high=32)
    most = _SHARE / rate
    return Phone(
        rate=rate, shutter=min(_SHUTTER, most), readout=min(_READOUT, most), slowed=slowed
    )  # fmt: skip


def _camera(shot: KnownShot, place: Place, *, away: float | None, size: tuple[int, int]) -> Camera:
    if place is Place.SIDE:
        far = 9.0 if away is None else options.plain(away, "--away", low=4, high=25)
        return beside(shot.spot, away=far, size=size)
    far = 3.5 if away is None else options.plain(away, "--away", low=1.5, high=15)
    return behind(shot.spot, back=far, size=size)


def _draw(clip: Path, camera: Camera, known: list[KnownShot], setting: Setting) -> Drawn:
    """Draw under another name first, so that a clip broken off is never taken for a whole one."""
    part = clip.with_name(clip.stem + ".part.mp4")
    try:
        with progress_bar() as bar:
            task = bar.add_task("Drawing the film", total=1.0)
            drawn = draw_clip(
                part, camera=camera, shots=known, setting=setting,
                progress=lambda share: bar.update(task, completed=share),
            )  # fmt: skip
        part.replace(clip)
    finally:
        part.unlink(missing_ok=True)
    return drawn
