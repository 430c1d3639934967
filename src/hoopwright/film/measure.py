"""The main path: a clip and a scene in, measured shots out, stage by stage.

::

    video.look        what the file is
    scene_view        the scene's camera at the clip's size; has it moved?   scene, moved
    find_ball         ball-like places of every picture                      ball
    follow_back       the ball in the hand, before each flight               track, in_hand
    find_shots        flights, ends, numbers, made or missed                 flown
    watch_body        the shooter's body points                              pose
    told              events, measures, doubts → FilmRead                    events, body

All but the last two need the pictures; what they give is the ``Material``, which is kept, so that a
mark set by hand is answered by ``read_again`` without opening the film.
"""

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path
from queue import SimpleQueue

import cv2

from hoopwright.court.standards import ball as ball_of
from hoopwright.film import ball, by_hand, track, video
from hoopwright.film.bodynet import PoseModel
from hoopwright.film.camera import pixels_per_metre
from hoopwright.film.flown import Flown, shots_of
from hoopwright.film.in_hand import follow_back
from hoopwright.film.moved import moved
from hoopwright.film.pose import watch
from hoopwright.film.results import Candidates, ClipFacts, FilmRead, Flight, Floats, Poses
from hoopwright.film.scene import Scene, scaled
from hoopwright.film.scene import scene_sum as sum_of
from hoopwright.film.told import Material, Shooter, told, window
from hoopwright.film.view import View, view_of
from hoopwright.records import FilmMark

#: told how far it is, 0 to 1, and what is being done
Progress = Callable[[float, str], None]

#: shots whose body is watched at the same time, each with a model of its own
_WATCHERS = 2
#: shares of the work at which the next stage begins: hands, flights, bodies
_HANDS, _SHOTS, _BODY = 0.5, 0.6, 0.62


@dataclass(frozen=True, slots=True, kw_only=True)
class Clip:
    """A clip to be measured, as it is handed to another process."""

    path: Path
    scene: Scene
    shooter: Shooter
    marks: tuple[FilmMark, ...] = ()
    slowed: float | None = None
    models: Path | None = None


def measure(clip: Clip, *, progress: Progress | None = None) -> tuple[FilmRead, Material]:
    """Measure every shot of a clip; ``measure_clip`` for ``confined.run_confined``."""
    return measure_clip(
        clip.path,
        clip.scene,
        clip.marks,
        shooter=clip.shooter,
        slowed=clip.slowed,
        models=clip.models,
        progress=progress,
    )


def measure_clip(
    path: Path,
    scene: Scene,
    marks: Sequence[FilmMark] = (),
    *,
    shooter: Shooter,
    slowed: float | None = None,
    models: Path | None = None,
    progress: Progress | None = None,
) -> tuple[FilmRead, Material]:
    """Measure every shot of a clip.

    Parameters
    ----------
    path
        The clip.
    scene
        Where the camera stands, marked at any picture size of the same shape.
    marks
        What was set by hand.
    shooter
        Hand and stature, and the film's id.
    slowed
        How many times slower the file plays than it was filmed, where the file does not say.
    models
        Where the body models are; without them only the ball is measured.
    progress
        Told how far it is.

    Raises
    ------
    BadFilm
        The clip can't be read.
    BadInput
        Its picture has another shape than the scene's.
    """
    say = progress or _silent
    say(0.0, "Getting ready")
    facts = video.look(path, slowed=slowed)
    view = scene_view(scene, facts)
    candidates = find_ball(path, facts, view, slowed=slowed, progress=say)
    say(_HANDS, "Following the ball into the hand")
    flights = find_flights(candidates, view, marks, lines=facts.height)
    hands = follow_back(path, candidates, flights, view, slowed=slowed)
    say(_SHOTS, "Fitting the flights")
    asks = video.may_be_slowed(facts) if slowed is None else None
    material = Material(
        clip=facts, candidates=candidates, hands=hands, moved=camera_moved(path, facts, scene),
        rate_asked=asks or "", notes=facts.notes,
    )  # fmt: skip
    shots = find_shots(material, view, marks)
    if models is not None:
        poses = watch_body(path, material, shots, view, models=models, progress=say)
        material = replace(material, poses=poses)
    say(1.0, "Done")
    read = told(material, shots, view, marks, shooter=shooter)
    return replace(read, scene_sum=sum_of(scene)), material


def read_again(
    material: Material,
    view: View,
    marks: Sequence[FilmMark],
    *,
    shooter: Shooter,
    scene_sum: str | None = None,
) -> FilmRead:
    """Return the reading of a clip with marks set by hand, from what its pictures gave before.

    Parameters
    ----------
    material
        As ``measure_clip`` returned it.
    view, marks, shooter
        As for ``measure_clip``.
    scene_sum
        Of the scene that the view is of; see ``FilmRead``.
    """
    shots = find_shots(material, view, marks)
    return replace(told(material, shots, view, marks, shooter=shooter), scene_sum=scene_sum)


def scene_view(scene: Scene, facts: ClipFacts) -> View:
    """Return the scene's camera at a clip's picture size, with its ball and ring.

    Raises
    ------
    BadInput
        The clip's picture has another shape than the scene's.
    """
    fitted = scaled(scene, facts.width, facts.height)
    return view_of(
        fitted.camera, ball_of(scene.ball_size), rules=scene.rules, ring_height=scene.ring_height
    )


def camera_moved(path: Path, facts: ClipFacts, scene: Scene) -> str:
    """Return what tells that the camera is not where the scene says, in a sentence, or "".

    Looks at the beginning, the middle and the end of the clip, so that a camera that is turned
    while it films is noticed too.
    """
    if scene.fingerprint is None:
        return ""
    for share in (0.0, 0.5, 0.97):
        still = video.still(path, share * facts.duration, slowed=facts.slowed)
        seen = moved(scene, cv2.resize(still, (scene.width, scene.height)))
        if seen.sure and seen.moved:
            return seen.message
    return ""


def find_ball(
    path: Path, facts: ClipFacts, view: View, *, slowed: float | None, progress: Progress
) -> Candidates:
    """Return the ball-like places of every picture of a clip."""

    def tell(done: int) -> None:
        progress(_HANDS * min(done / max(facts.frames, 1), 1.0), "Looking for the ball")

    return ball.find(
        video.read(path, slowed=slowed), camera=view.camera, ball=view.ball, progress=tell
    )


def find_flights(
    candidates: Candidates, view: View, marks: Sequence[FilmMark], *, lines: int
) -> tuple[Flight, ...]:
    """Return the free flights among ball-like places, marked balls in their places."""
    seen = by_hand.with_balls(candidates, marks, lines=lines)
    return track.follow(seen, camera=view.camera, ball=view.ball, ring_height=view.ring_height)


def find_shots(material: Material, view: View, marks: Sequence[FilmMark] = ()) -> tuple[Flown, ...]:
    """Return the shots of a clip, with what was marked by hand in its place."""
    lines = material.clip.height
    flights = find_flights(material.candidates, view, marks, lines=lines)
    return shots_of(
        by_hand.with_balls(material.candidates, marks, lines=lines),
        flights,
        view,
        rate=material.clip.rate,
        hands=by_hand.with_balls(material.hands, marks, lines=lines),
        released=[by_hand.released_at(marks, flight.first) for flight in flights],
    )


def watch_body(
    path: Path,
    material: Material,
    shots: Sequence[Flown],
    view: View,
    *,
    models: Path,
    progress: Progress | None = None,
) -> tuple[Poses, ...]:
    """Return the shooter's body points around each shot.

    Raises
    ------
    ModelsMissing
        The body models are not in the folder.
    """
    say = progress or _silent
    free: SimpleQueue[PoseModel] = SimpleQueue()
    watchers = min(_WATCHERS, len(shots))
    for _ in range(watchers):
        free.put(PoseModel(models))

    def watched(shot: Flown) -> Poses:
        model = free.get()
        try:
            return _watched(path, material, shot, view, model=model)
        finally:
            free.put(model)

    found: list[Poses] = []
    say(_BODY, "Watching the shooter")
    with ThreadPoolExecutor(max(watchers, 1)) as pool:
        for poses in pool.map(watched, shots):
            found.append(poses)
            share = _BODY + (1.0 - _BODY) * len(found) / len(shots)
            say(share, f"Watching the shooter: {len(found)} of {len(shots)} shots done")
    return tuple(found)


def _watched(path: Path, material: Material, shot: Flown, view: View, *, model: PoseModel) -> Poses:
    start, end = window(shot.ball)
    return watch(
        video.read(path, slowed=material.clip.slowed, first=start, last=end),
        model=model,
        ball_at=_held_places(material.hands, shot),
        per_metre=float(pixels_per_metre(view.camera, [shot.ball.release_point])[0]),
    )


def _held_places(hands: Candidates, shot: Flown) -> dict[int, Floats]:
    return {int(hands.frame[r]): hands.middle[r] for r in shot.held.tolist()}


def _silent(share: float, what: str) -> None:
    """Tell nobody."""
