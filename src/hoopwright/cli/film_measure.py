"""``film measure``: a clip in, and a scene where there is one; measured shots out."""

import os
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, TypeVar
from uuid import NAMESPACE_URL, uuid5

import typer

from hoopwright.cli import options
from hoopwright.cli.files import read_file
from hoopwright.cli.show import as_json, notes_aside, progress_bar, say, two_columns
from hoopwright.court.standards import ball as ball_of
from hoopwright.errors import BadFilm, BadInput
from hoopwright.film.confined import run_confined
from hoopwright.film.measure import Clip, measure
from hoopwright.film.measure_side import SideClip, measure_side, why_refused
from hoopwright.film.models import ready
from hoopwright.film.results import FilmRead
from hoopwright.film.scene_file import LONGEST, read_scene
from hoopwright.film.told import Shooter
from hoopwright.film.written import as_data
from hoopwright.records import Hand
from hoopwright.reports.shot_facts import ShotFacts, shot_facts
from hoopwright.reports.words import plural
from hoopwright.settings import Settings

Result = TypeVar("Result")

_NO_MODELS = (
    "The body is not measured, since its models are not here; fetch them with "
    "'hoopwright film prepare'."
)


def measure_film(
    clip: Annotated[Path, typer.Argument(help="The film: MP4, MOV, WebM or AVI.")],
    scene: Annotated[
        Path | None,
        typer.Option(
            help="JSON file of the camera place, see docs/film-scene.md; without it only speed "
            "and angles are read, of a clip from the side."
        ),
    ] = None,
    hand: Annotated[Hand, typer.Option(help="The shooting hand.")] = Hand.RIGHT,
    height: Annotated[
        float | None, typer.Option(help="Stature of the player in metres, if known.")
    ] = None,
    slowed: Annotated[
        float | None,
        typer.Option(
            help="How many times slower the film plays than it was filmed: 8 for 240 pictures a "
            "second played at 30."
        ),
    ] = None,
    ball: options.BallSize = 7,
    ball_only: Annotated[bool, typer.Option("--ball-only", help="Leave the body out.")] = False,
    json: options.Json = False,
    data: options.Data = None,
) -> None:
    """Measure the shots of a film: flight, landing and body, each number with its error.

    hoopwright film measure clip.mp4 --scene scene.json
    hoopwright film measure clip.mp4
    """
    if height is not None:
        options.plain(height, "--height", low=0.8, high=2.6)
    if slowed is not None:
        options.plain(slowed, "--slowed", low=0.1, high=64.0)
    shooter = Shooter(film=uuid5(NAMESPACE_URL, clip.name), hand=hand, stature=height)
    if scene is None:
        side = SideClip(path=clip.resolve(), ball=ball_of(ball), shooter=shooter, slowed=slowed)
        read, _ = _confined(measure_side, side)
        if refused := why_refused(read):
            raise BadFilm(refused)
        _show(read, (), json=json)
        return
    models = Settings.from_env(os.environ, data=data).models
    with_body = not ball_only and ready(models)
    work = Clip(
        path=clip.resolve(), scene=read_scene(_text(scene)), slowed=slowed, shooter=shooter,
        models=models if with_body else None,
    )  # fmt: skip
    read, _ = _confined(measure, work)
    _show(read, () if with_body or ball_only else (_NO_MODELS,), json=json)


def _confined(function: Callable[..., Result], work: object) -> Result:
    """Run the reading apart, with a progress bar."""
    with progress_bar() as bar:
        task = bar.add_task("Reading the film", total=1.0)
        return run_confined(
            function,
            work,
            progress=lambda share, what: bar.update(task, completed=share, description=what),
        )


def _show(read: FilmRead, more: tuple[str, ...], *, json: bool) -> None:
    notes = (*read.notes, *more)
    if json:
        as_json(as_data(read) | {"notes": list(notes)})
        return
    notes_aside(notes)
    _say(read)


def _text(scene: Path) -> str:
    try:
        return read_file(scene, largest=LONGEST).decode()
    except UnicodeDecodeError as trouble:
        raise BadInput(f"{scene} is no scene file; save it from the Film page again.") from trouble


def _say(read: FilmRead) -> None:
    told = [shot_facts(shot) for shot in read.shots]
    made = sum(shot.ball is not None and shot.ball.made for shot in read.shots)
    known = any(shot.ball is not None for shot in read.shots)
    count = plural(len(told), "shot")
    say(f"{count}, {made} made." if known or not told else f"{count}.", heading=True)
    for one in told:
        _say_shot(one)


def _say_shot(one: ShotFacts) -> None:
    say("")
    say(f"{one.title}: {one.result}", heading=True)
    two_columns([(line.name, line.said) for line in (*one.ball, *one.body)])
    for sentence in one.doubts:
        say(f"  {sentence}")
