"""``film scene``: marks on a picture of a clip become the scene of a camera place."""

from pathlib import Path
from typing import Annotated

import typer

from hoopwright.cli import options
from hoopwright.cli.files import write_file
from hoopwright.cli.show import as_json, notes_aside, say, two_columns
from hoopwright.errors import BadInput
from hoopwright.film import video
from hoopwright.film.calibrate import Calibrated
from hoopwright.film.confined import run_confined
from hoopwright.film.landmarks import Mark
from hoopwright.film.scene import Scene, Setting, scene_from_marks, write_scene

#: of a 720-line picture: how well a place is clicked [px]; common practice, no source
_CLICK, _LINES = 1.5, 720.0


def mark_scene(
    clip: Annotated[Path, typer.Argument(help="A film taken from the camera place.")],
    mark: Annotated[
        list[str],
        typer.Option(
            help='A landmark and where it is in the picture, in pixels from the top left: "board '
            'top left=512,133". Four or more, not in one line; the names are in docs/film-scene.md.'
        ),
    ],
    out: Annotated[Path, typer.Option(help="JSON file to write.")],
    gym: Annotated[str, typer.Option(help="Name of the gym.")],
    place: Annotated[str, typer.Option(help="Where the camera stands, in your words.")],
    at: Annotated[float, typer.Option(help="Which picture was marked, in seconds.")] = 0.0,
    ball: options.BallSize = 7,
    ring_height: options.RingHeight = None,
    rules: options.Rules = "fiba",
    overwrite: Annotated[
        bool, typer.Option("--overwrite", help="Replace the file if it is there.")
    ] = False,
    json: options.Json = False,
) -> None:
    """Work out where the camera stands from marks on one picture, for film measure.

    hoopwright film scene clip.mp4 --gym Hall --place "left sideline" --out hall.json
    --mark "board top left=512,133" --mark "board top right=560,131" ...
    """
    if str(out) != "-" and out.exists() and not overwrite:
        raise BadInput(f"{out} is there already; choose another name or add --overwrite.")
    marks = tuple(_mark(text) for text in mark)
    options.plain(at, "--at", low=0, high=36_000)
    still = run_confined(video.still, clip.resolve(), at)
    scene, found = scene_from_marks(
        marks, still,
        setting=Setting(
            gym=gym, place=place, rules=rules, ring_height=ring_height, ball_size=ball
        ),
        mark_sd=_CLICK * max(still.shape[0] / _LINES, 0.5),
    )  # fmt: skip
    write_file(out, write_scene(scene).encode())
    if json:
        as_json(_data(out, scene, found))
        return
    notes_aside(found.notes)
    _say(out, scene, found)


def _mark(text: str) -> Mark:
    name, equals, place = text.rpartition("=")
    try:
        x, y = (float(part) for part in place.split(","))
    except ValueError as trouble:
        raise BadInput(
            f'A mark must be like "board top left=512,133", not {text!r}.', field="--mark"
        ) from trouble
    if not equals or not name.strip():
        raise BadInput(f"The mark {text!r} has no name before its place.", field="--mark")
    return Mark(name=name.strip(), x=x, y=y)


def _data(out: Path, scene: Scene, found: Calibrated) -> dict[str, object]:
    camera = scene.camera
    right, ahead, up = camera.position.tolist()
    return {
        "scene": str(out), "reprojection_px": found.rms, "bad": list(found.bad),
        "camera": {
            "right_m": right, "ahead_m": ahead, "up_m": up, "focal_px": camera.focal,
            "lens": camera.lens,
        },
        "marks": [
            {"name": one.name, "off_x_px": one.x, "off_y_px": one.y} for one in found.residuals
        ],
        "notes": list(found.notes),
    }  # fmt: skip


def _say(out: Path, scene: Scene, found: Calibrated) -> None:
    right, ahead, up = scene.camera.position.tolist()
    say(f"Marks and camera agree to {found.rms:.1f} px.", heading=True)
    side = f"{abs(right):.1f} m to the {'right' if right > 0 else 'left'}"
    say(f"The camera stands {side} of the ring and {-ahead:.1f} m in front of it, {up:.1f} m up.")
    two_columns([(one.name, f"{one.size:.1f} px off") for one in found.residuals])
    if found.bad:
        say(f"Look again at: {', '.join(found.bad)}.")
    if str(out) != "-":
        say(f"Written: {out}")
