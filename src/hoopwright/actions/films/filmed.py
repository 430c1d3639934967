"""A filmed shot as the charts know it: a shot, a spot, a line of the matching; no database."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from uuid import UUID

import numpy as np

from hoopwright.court.frame import spot_named, spot_names, spot_xy
from hoopwright.film.matching import SeenShot, match
from hoopwright.film.results import BallPath, FilmedShot, FilmRead, Moment
from hoopwright.records import MeasuredRelease, Shot, Spot

#: shots in a row from places this near to each other are from one spot [m]; common practice, no
#: source: two named spots of the smallest court are farther apart
SAME_SPOT = 0.9
#: a spot this near to a named one is that spot [m]; as in ``court.frame``
SNAP = 0.75
#: how far behind the ball the feet are at release [m]; as in ``chart.spots``, which a worker would
#: have to compile for; a test holds the two together
REACH = 0.2
NO_FLIGHT = "The ball's flight could not be followed."
NO_RESULT = (
    "Whether it went in can't be told without marks; say so on the shot's page, or mark the camera "
    "place."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Filmed:
    """A usable shot of a film."""

    shot: FilmedShot
    #: None where nothing was marked: then made or missed is what a person said
    ball: BallPath | None
    made: bool
    #: of release [s]
    time: float

    @property
    def release(self) -> MeasuredRelease | None:
        """What findings use of it; None where nothing was marked.

        A release is along and across, speed and angle with their joint error, and no part of it may
        be made up: without marks there is none, though speed and angle were read.
        """
        return None if self.ball is None else self.ball.release

    @property
    def measures(self) -> dict[str, tuple[float, float]]:
        """The body measures: name → (value, error that differs from shot to shot), SI.

        Shots are compared with each other; what is off in all of them alike is no difference.
        """
        return {one.name.value: (one.value, one.own_sd) for one in self.shot.body}


def usable(read: FilmRead, *, camera: UUID) -> tuple[list[Filmed], dict[UUID, str]]:
    """Return the shots that findings may use, and why each other one may not, by its id.

    Parameters
    ----------
    read
        What was read from a film.
    camera
        Whose error its shots have in common: the camera place, which serves other films too, or
        the film.
    """
    good: list[Filmed] = []
    doubted: dict[UUID, str] = {}
    for shot in read.shots:
        refused = [d.message for d in shot.doubts if d.refused]
        if refused:
            doubted[shot.id] = refused[0]
        elif shot.ball is not None:
            good.append(_with_ball(shot, _of_camera(shot.ball, camera)))
        elif shot.side is not None and shot.said is not None:
            good.append(Filmed(shot=shot, ball=None, made=shot.said, time=_release_of(shot)))
        else:
            doubted[shot.id] = NO_FLIGHT if shot.side is None else NO_RESULT
    return good, doubted


def _with_ball(shot: FilmedShot, ball: BallPath) -> Filmed:
    return Filmed(shot=shot, ball=ball, made=ball.made, time=ball.release_time.value)


def _release_of(shot: FilmedShot) -> float:
    return next((e.time for e in shot.events if e.moment is Moment.RELEASE), shot.start)


def _of_camera(ball: BallPath, camera: UUID) -> BallPath:
    if not ball.release.shared:
        return ball
    return replace(ball, release=replace(ball.release, camera=camera))


def as_shot(filmed: Filmed) -> Shot:
    """Return the shot that a filmed shot is where nobody charted it; it has the same id."""
    return Shot(id=filmed.shot.id, made=filmed.made, release=filmed.release)


def joined(charted: Shot, filmed: Filmed) -> Shot:
    """Return a charted shot with what was measured; the chart's word on the result is kept."""
    return replace(charted, release=filmed.release)


def lined_up(shots: Sequence[Filmed], charted: Sequence[Shot]) -> list[tuple[int | None, bool]]:
    """Return which charted shot each filmed one is, or None, and whether that is sure.

    Parameters
    ----------
    shots, charted
        Of one set, each in the order taken.
    """
    if not charted:
        return [(None, True)] * len(shots)
    seen = [
        SeenShot(
            time=one.time,
            made=one.made,
            made_chance=1.0 if one.ball is None else one.ball.made_chance,
            along=None if one.release is None else one.release.along,
            across=None if one.release is None else one.release.across,
        )
        for one in shots
    ]
    found = match(seen, charted)
    return list(zip(found.tapped, found.sure, strict=True))


def runs_of(shots: Sequence[Filmed]) -> list[list[Filmed]]:
    """Return the shots in runs from one spot, in the order taken; those with a place only."""
    runs: list[list[Filmed]] = []
    for one in (shot for shot in shots if shot.ball is not None):
        if runs and math.dist(_feet(one), _middle(runs[-1])) <= SAME_SPOT:
            runs[-1].append(one)
        else:
            runs.append([one])
    return runs


def spot_of(run: Sequence[Filmed], *, rules: str) -> Spot:
    """Return the spot that a run of shots is from: a named one where it is near enough.

    Raises
    ------
    NotAShot
        No shot is taken from there.
    """
    x, y = _middle(run)
    named = [spot_named(name, rules) for name in spot_names(rules)]
    nearest = min(named, key=lambda spot: math.dist((x, y), (spot.x, spot.y)))
    if math.dist((x, y), (nearest.x, nearest.y)) <= SNAP:
        return nearest
    return spot_xy(round(x, 2), round(y, 2), rules=rules)


def _feet(filmed: Filmed) -> tuple[float, float]:
    """Return where the feet were, court axes [m]: a little behind where the ball left the hand."""
    assert filmed.ball is not None
    right, ahead, _ = filmed.ball.release_point
    far = math.hypot(right, ahead)
    farther = 1.0 + (REACH / far if far > 0.0 else 0.0)
    return right * farther, -ahead * farther


def _middle(run: Sequence[Filmed]) -> tuple[float, float]:
    x, y = np.median([_feet(one) for one in run], axis=0)
    return float(x), float(y)
