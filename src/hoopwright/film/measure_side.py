"""A clip without marks, from the side: each flight read in its plane, or refused with a reason.

::

    ball.find               ball-like places, of any size             ball
    follow_in_picture       parabolas that rise, fall and go across   picture_track
    follow_back             the ball in the hand before each          in_hand
    clean_flight            release, by the change at its start       ends
    read_side               ball's size and fall must agree           side_plane

Nothing is known of hoop and floor: there is no along or across, no made or missed, and no body.
All but the first three go without the pictures, so that a mark set by hand is answered by
``read_side_again`` without opening the film.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from uuid import UUID

import numpy as np

from hoopwright.court.equipment import Ball
from hoopwright.errors import BadFilm
from hoopwright.film import ball as places
from hoopwright.film import by_hand, video
from hoopwright.film.camera import project
from hoopwright.film.ends import clean_flight, rough_fit, seen_rows
from hoopwright.film.fit import FEWEST, FlightFit
from hoopwright.film.in_hand import BACK, INTO, follow_back
from hoopwright.film.picture_track import follow_in_picture
from hoopwright.film.results import (
    Candidates,
    ClipFacts,
    Doubt,
    Event,
    FilmedShot,
    FilmRead,
    Flag,
    Flight,
    Floats,
    Ints,
    Measured,
    Moment,
    SideRead,
)
from hoopwright.film.side_plane import read_side, side_view
from hoopwright.film.told import AFTER, BEFORE, Material, Shooter, hand_marked, shot_id
from hoopwright.film.view import Seen, View, joined
from hoopwright.flight.air import STANDARD_GRAVITY
from hoopwright.records import FilmMark

#: told how far it is, 0 to 1, and what is being done
Progress = Callable[[float, str], None]

NO_FLIGHTS = (
    "No shot was found in this clip; film from the side so that the whole arc is in the picture, "
    "or mark the hoop and the floor."
)
NO_SCENE = (
    "Without a scene only speed, angles and rise can be read: nothing of short or long, left or "
    "right, made or missed, nor of the body; mark the hoop and the floor for those."
)

#: share of the work that looking for the ball is
_LOOKING = 0.85
#: a row this many errors off the flight, and the next one too, is beyond its end
_BEYOND = 4.0
#: what is followed into the hand is not the ball if it is this many errors off the flight
_WRONG = 8.0
#: error of a row that the end is looked for with, at least [px]
_ROW_ERROR = 0.4
#: a ball is as large as it was this short a time before or after [s]
_SOON = 0.15


@dataclass(frozen=True, slots=True, kw_only=True)
class SideClip:
    """A clip to be read without marks, as it is handed to another process."""

    path: Path
    ball: Ball
    shooter: Shooter
    slowed: float | None = None


def measure_side(clip: SideClip, *, progress: Progress | None = None) -> tuple[FilmRead, Material]:
    """Read every shot of a clip; ``measure_side_clip`` for ``confined.run_confined``."""
    return measure_side_clip(
        clip.path, ball=clip.ball, shooter=clip.shooter, slowed=clip.slowed, progress=progress
    )


def measure_side_clip(
    path: Path,
    marks: Sequence[FilmMark] = (),
    *,
    ball: Ball,
    shooter: Shooter,
    slowed: float | None = None,
    progress: Progress | None = None,
) -> tuple[FilmRead, Material]:
    """Read every shot of a side clip in which neither hoop nor floor is marked.

    Parameters
    ----------
    path
        The clip.
    marks
        What was set by hand on its shots: releases, balls, results.
    ball
        Whose diameter is a ruler.
    shooter
        Gives the film's id.
    slowed
        How many times slower the file plays than it was filmed, where the file does not say.
    progress
        Told how far it is.

    Returns
    -------
    tuple
        The reading: shots with ``side`` in place of ``ball``; one that can't be read has neither,
        and a doubt that says why. And what the pictures gave.

    Raises
    ------
    BadFilm
        The clip can't be read.
    """
    say = progress or _silent
    facts = video.look(path, slowed=slowed)

    def tell(done: int) -> None:
        say(_LOOKING * min(done / max(facts.frames, 1), 1.0), "Looking for the ball")

    pictures = video.read(path, slowed=slowed)
    candidates = places.find(pictures, camera=None, ball=ball, progress=tell)
    say(_LOOKING, "Reading the flights")
    view = side_view(ball, width=facts.width, height=facts.height)
    seen = _with_balls(candidates, marks, lines=facts.height)
    hands = follow_back(path, seen, _flights(seen), view, slowed=slowed)
    asks = video.may_be_slowed(facts) if slowed is None else None
    material = Material(
        clip=facts, candidates=candidates, hands=hands, rate_asked=asks or "", notes=facts.notes
    )
    read = read_side_again(material, marks, ball=ball, shooter=shooter)
    say(1.0, "Done")
    return read, material


def read_side_again(
    material: Material, marks: Sequence[FilmMark] = (), *, ball: Ball, shooter: Shooter
) -> FilmRead:
    """Return the reading of a side clip with marks set by hand, from what its pictures gave before.

    Parameters
    ----------
    material
        As ``measure_side_clip`` returned it.
    marks, ball, shooter
        As for ``measure_side_clip``.
    """
    clip = material.clip
    view = side_view(ball, width=clip.width, height=clip.height)
    seen = _with_balls(material.candidates, marks, lines=clip.height)
    hands = by_hand.with_balls(material.hands, marks, lines=clip.height)
    shots = _shots(seen, _flights(seen), hands, about=_About(clip, view, shooter, marks))
    return FilmRead(clip=clip, shots=shots, notes=_notes(material, shots), scene_sum="")


def _with_balls(candidates: Candidates, marks: Sequence[FilmMark], *, lines: int) -> Candidates:
    """Return candidates with marked balls in their places, as large as balls near them.

    Nobody marks a size, and no scene says it; it is no ruler here, but a speck is no ball.
    """
    seen = by_hand.with_balls(candidates, marks, lines=lines)
    known, radius = np.isfinite(seen.radius_sd), seen.radius.copy()
    for row in np.flatnonzero(~known):
        soon = np.flatnonzero(known & (np.abs(seen.time - seen.time[row]) < _SOON))
        away = np.linalg.norm(seen.middle[soon] - seen.middle[row], axis=1)
        if len(soon):
            radius[row] = np.median(seen.radius[soon[np.argsort(away)[:3]]])
    return replace(seen, radius=radius)


def why_refused(read: FilmRead) -> str:
    """Return why none of the flights of a side clip could be read, or "" where one could.

    Parameters
    ----------
    read
        Of a side clip.
    """
    reasons = [d.message for shot in read.shots for d in shot.doubts if d.refused]
    return reasons[0] if reasons and all(s.side is None for s in read.shots) else ""


@dataclass(frozen=True, slots=True)
class _About:
    clip: ClipFacts
    view: View
    shooter: Shooter
    marks: Sequence[FilmMark]


@dataclass(frozen=True, slots=True)
class _Ends:
    """A flight's rows between release and end."""

    rows: Seen
    release: Measured
    end: float


def _notes(material: Material, shots: tuple[FilmedShot, ...]) -> tuple[str, ...]:
    if shots:
        return (*material.notes, NO_SCENE)
    asks = (material.rate_asked,) if material.rate_asked else ()
    return (*material.notes, NO_FLIGHTS, *asks)


def _flights(candidates: Candidates) -> list[Flight]:
    return [_flight(candidates, rows) for rows in follow_in_picture(candidates)]


def _flight(candidates: Candidates, rows: Ints) -> Flight:
    """Wrap rows as a flight of which nothing but the rows is known."""
    times = candidates.time[rows]
    return Flight(
        time=float(np.median(times)), position=(0.0, 0.0, 0.0), velocity=(0.0, 0.0, 0.0),
        spin=0.0, drag=1.0, covariance=(0.0,) * 64, first=float(times.min()),
        last=float(times.max()), rows=tuple(rows.tolist()), misfit=0.0,
    )  # fmt: skip


def _shots(
    candidates: Candidates, flights: list[Flight], hands: Candidates, *, about: _About
) -> tuple[FilmedShot, ...]:
    shots: list[FilmedShot] = []
    for n, flight in enumerate(flights):
        known = shot_id(about.shooter.film, 0.5 * (flight.first + flight.last),
                        {s.id for s in shots})  # fmt: skip
        shots.append(_shot(n, known, _ends(candidates, flight, hands, about), about))
    return tuple(shots)


def _shot(n: int, known: UUID, ends: _Ends, about: _About) -> FilmedShot:
    start, end = max(0.0, ends.release.value - BEFORE), ends.end + AFTER
    side, reason = _read(ends, about)
    trail = tuple(
        (float(t), round(float(x), 2), round(float(y), 2))
        for t, (x, y) in zip(ends.rows.time, ends.rows.middle, strict=True)
    )
    refused = (Doubt(flag=Flag.NO_MARKS, message=reason, refused=True),) if reason else ()
    released = Event(moment=Moment.RELEASE, time=ends.release.value, sd=ends.release.sd)
    events = {released.moment: released}
    events |= {
        e.moment: e for e in by_hand.events_in(about.marks, start, end, rate=about.clip.rate)
    }
    shot = FilmedShot(
        id=known, position=n, start=start, end=end, ball=None,
        events=tuple(sorted(events.values(), key=lambda e: e.time)),
        doubts=refused + hand_marked(about.marks, start, end), trail=trail, side=side,
    )  # fmt: skip
    return by_hand.with_result(shot, about.marks)


def _read(ends: _Ends, about: _About) -> tuple[SideRead | None, str]:
    """Return what a flight says, or why it says nothing."""
    try:
        read = read_side(
            ends.rows, width=about.clip.width, height=about.clip.height, ball=about.view.ball,
            release_time=ends.release.value, ring_time=ends.end,
        )  # fmt: skip
    except BadFilm as refused:
        return None, refused.message
    return _with_release(read, ends.release.sd), ""


def _with_release(read: SideRead, sd: float) -> SideRead:
    """Add what the error of the release time [s] makes of the numbers.

    Derived: gravity turns and slows the flight, d|v|/dt = −g·sin θ, dθ/dt = −g·cos θ/|v|, and
    what is left to rise shrinks by |v|·sin θ a second.
    """
    speed, angle = read.speed.value, read.angle.value
    up = speed * math.sin(angle)
    return replace(
        read,
        speed=_wider(read.speed, STANDARD_GRAVITY * math.sin(angle) * sd),
        angle=_wider(read.angle, STANDARD_GRAVITY * math.cos(angle) / speed * sd),
        rise=_wider(read.rise, up * sd),
    )


def _wider(number: Measured, sd: float) -> Measured:
    return Measured(value=number.value, sd=math.hypot(number.sd, sd))


def _ends(candidates: Candidates, flight: Flight, hands: Candidates, about: _About) -> _Ends:
    """Find where a flight begins and ends; a release set by hand stands."""
    found = _found_ends(candidates, flight, hands, about)
    said = by_hand.released_at(about.marks, flight.first)
    if said is None:
        return found
    rows = found.rows.only(found.rows.time > said)
    sd = 1.0 / (math.sqrt(12.0) * about.clip.rate)
    return _Ends(
        rows if len(rows) >= FEWEST else found.rows, Measured(value=said, sd=sd), found.end
    )


def _found_ends(candidates: Candidates, flight: Flight, hands: Candidates, about: _About) -> _Ends:
    """Find where a flight begins and ends; its own rows where no flight can be fitted."""
    rows, frame = np.array(flight.rows, dtype=np.int64), 1.0 / about.clip.rate
    plain = seen_rows(candidates, rows)
    near = np.flatnonzero((hands.time > flight.first - BACK) & (hands.time < flight.first + INTO))
    span = {"first": flight.first, "last": flight.last, "frame": frame}
    try:
        rough = rough_fit(candidates, flight, about.view)
        apart = ~np.isin(candidates.frame[rows], hands.frame[near])
        held = joined(seen_rows(candidates, rows[apart]), seen_rows(hands, near))
        if _lost(rough, seen_rows(hands, near), flight.first):
            held = plain
        fit, release = clean_flight(held, about.view, **span)
        if held is not plain and release.sd > frame:
            held, (fit, release) = plain, clean_flight(plain, about.view, **span)
        if held is plain:
            # by the flight alone release is known to a picture
            release = replace(release, sd=max(release.sd, frame))
    except BadFilm:
        return _Ends(plain, Measured(value=flight.first, sd=frame), flight.last)
    release = Measured(value=float(release.value), sd=float(release.sd))
    # radii are in the plain rows only
    end = _end(fit, plain)
    inside = (plain.time > release.value) & (plain.time <= end + 1e-9)
    if np.count_nonzero(inside) < FEWEST:
        return _Ends(plain, release, flight.last)
    return _Ends(plain.only(inside), release, end)


def _lost(fit: FlightFit, held: Seen, first: float) -> bool:
    """Tell whether what was followed into the hand is not the ball: it leaves the flight in it."""
    flying = held.only(held.time > first)
    return bool(np.any(_off(fit, flying) > _WRONG)) if len(flying) else False


def _end(fit: FlightFit, rows: Seen) -> float:
    """Return the last moment before two rows together leave the flight, on its way down [s]."""
    off = _off(fit, rows) > _BEYOND
    down = rows.time > fit.time
    both = np.flatnonzero(off & down & np.append(off[1:], True))
    return float(rows.time[-1] if not len(both) else rows.time[max(both[0] - 1, 0)])


def _off(fit: FlightFit, rows: Seen) -> Floats:
    """Return how far rows lie off the flight, in their errors."""
    part = rows.middle[:, 1] / fit.view.camera.height - 0.5
    path = fit.at(rows.time + fit.shared[8] * part)
    camera = fit.view.corrected(fit.shared, fit.view.covariance).camera
    far = np.linalg.norm(rows.middle - project(camera, path[:, :3]), axis=1)
    off: Floats = far / np.hypot(rows.sd, _ROW_ERROR)
    return off


def _silent(share: float, what: str) -> None:
    """Tell nobody."""
