"""From what the pictures gave to the reading of a clip; done anew for every mark set by hand."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from uuid import UUID, uuid5

import numpy as np

from hoopwright.film import by_hand
from hoopwright.film.body import measure_body
from hoopwright.film.events import find_events
from hoopwright.film.flown import Flown
from hoopwright.film.pose import doubts_of
from hoopwright.film.results import (
    BallPath,
    Candidates,
    ClipFacts,
    Doubt,
    FilmedShot,
    FilmRead,
    Flag,
    Poses,
)
from hoopwright.film.shooter.watched import Held, Watched
from hoopwright.film.view import View
from hoopwright.records import FilmMark, Hand

#: how long before release and after the ring the body is watched [s]
BEFORE, AFTER = 1.7, 0.9
#: body points belong to a shot whose release is this near to the middle of them [s]
_NEAR = 1.0
#: shots are told apart by which of these stretches their middle falls in [s]
_ID_STEP = 1.0

NO_SHOTS = (
    "No shot was found in this clip; check that ball and ring are in the picture, and the scene's "
    "marks."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shooter:
    """Who shoots in a clip, as far as the measures need it."""

    #: of the film; shots get ids that follow from it
    film: UUID
    hand: Hand = Hand.RIGHT
    #: [m]; None where not told
    stature: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """What was read from the pictures of a clip; everything else follows from it."""

    clip: ClipFacts
    #: ball-like places of every picture
    candidates: Candidates
    #: the ball in the hand before each flight
    hands: Candidates
    #: around some shots, in order of time; none where no model was at hand
    poses: tuple[Poses, ...] = ()
    #: why the camera is not where the scene says, or ""
    moved: str = ""
    #: a question about the clip's true rate, or ""; a ball that falls as it should answers it
    rate_asked: str = ""
    notes: tuple[str, ...] = field(default_factory=tuple)


def window(path: BallPath) -> tuple[float, float]:
    """Return the first and last moment of a shot worth watching [s]."""
    return max(0.0, path.release_time.value - BEFORE), path.ring_time.value + AFTER


def told(
    material: Material,
    shots: Sequence[Flown],
    view: View,
    marks: Sequence[FilmMark] = (),
    *,
    shooter: Shooter,
) -> FilmRead:
    """Return the reading of a clip.

    Parameters
    ----------
    material
        What the pictures gave.
    shots
        As ``flown.shots_of`` gives them for this material and these marks.
    view
        Camera, ball, ring.
    marks
        What was set by hand.
    shooter
        Hand and stature, and the film's id.
    """
    lines = material.clip.height
    poses = tuple(by_hand.with_points(p, marks, lines=lines) for p in material.poses)
    hands = by_hand.with_balls(material.hands, marks, lines=lines)
    read, taken = [], set[UUID]()
    for n, one in enumerate(shots):
        middle = 0.5 * (one.ball.release_time.value + one.ball.ring_time.value)
        known = shot_id(shooter.film, middle, taken)
        taken.add(known)
        shot = _shot(n, known, one, (hands, poses), _About(material, view, marks, shooter))
        read.append(by_hand.with_result(shot, marks))
    asks = (material.rate_asked,) if material.rate_asked else ()
    notes = material.notes if shots else (*material.notes, NO_SHOTS, *asks)
    return FilmRead(clip=material.clip, shots=tuple(read), poses=poses, notes=notes)


@dataclass(frozen=True, slots=True)
class _About:
    material: Material
    view: View
    marks: Sequence[FilmMark]
    shooter: Shooter


def shot_id(film: UUID, middle: float, taken: set[UUID]) -> UUID:
    """Return an id that the same shot gets at every reading, whatever else was found.

    Parameters
    ----------
    film
        Of the film.
    middle
        Of the flight. [s]
    taken
        By other shots of the film.
    """
    step = int(middle / _ID_STEP)
    while (found := uuid5(film, f"shot in second {step}")) in taken:
        step += 1
    return found


def _shot(
    n: int,
    known: UUID,
    one: Flown,
    seen: tuple[Candidates, tuple[Poses, ...]],
    about: _About,
) -> FilmedShot:
    hands, poses = seen
    start, end = window(one.ball)
    at = _poses_at(poses, one.ball)
    doubts = one.doubts + _moved(about.material) + hand_marked(about.marks, start, end)
    plain = FilmedShot(
        id=known, position=n, start=start, end=end, ball=one.ball, doubts=doubts,
        trail=one.trail, poses=at,
    )  # fmt: skip
    return plain if at is None else _with_body(plain, one, (hands, poses[at]), about)


def _with_body(
    plain: FilmedShot, one: Flown, seen: tuple[Candidates, Poses], about: _About
) -> FilmedShot:
    hands, poses = seen
    rate, held = about.material.clip.rate, one.held
    watched = Watched(
        poses=poses, camera=about.view.camera, rate=rate, hand=about.shooter.hand, ball=one.ball,
        held=Held(time=hands.time[held], middle=hands.middle[held], sd=hands.middle_sd[held]),
        stature=about.shooter.stature,
    )  # fmt: skip
    by = by_hand.events_in(about.marks, plain.start, plain.end, rate=rate)
    events = find_events(watched, by_hand=by)
    body, left = measure_body(watched, events)
    return FilmedShot(
        id=plain.id, position=plain.position, start=plain.start, end=plain.end, ball=plain.ball,
        events=events, body=body, left_out=left, doubts=plain.doubts + doubts_of(poses),
        trail=plain.trail, poses=plain.poses,
    )  # fmt: skip


def _poses_at(poses: Sequence[Poses], path: BallPath) -> int | None:
    released = path.release_time.value
    for n, one in enumerate(poses):
        if len(one.time) and one.time[0] - 0.1 <= released <= one.time[-1] + 0.1:
            return n
    return None


def _moved(material: Material) -> tuple[Doubt, ...]:
    if not material.moved:
        return ()
    return (Doubt(flag=Flag.MOVED, message=material.moved, refused=True),)


def hand_marked(marks: Sequence[FilmMark], start: float, end: float) -> tuple[Doubt, ...]:
    """Return what is to be said of a shot that a person set marks on.

    Parameters
    ----------
    marks
        Of the clip.
    start, end
        Of the shot. [s]
    """
    count = int(np.sum([start <= m.time <= end for m in marks]))
    if not count:
        return ()
    what = "1 mark was" if count == 1 else f"{count} marks were"
    return (Doubt(flag=Flag.BY_HAND, message=f"{what} set by hand.", refused=False),)
