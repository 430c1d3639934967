"""Made or missed: what the fitted flight makes likely, and what was seen of the ball after it.

Two witnesses. The flight, run through the ring and board of ``flight.ring``, gives a chance of
going in. Then the picture: a made ball comes out below the net, slowed, on the ring's axis; a
missed one is seen above the ring or beside the net.
"""

from dataclasses import dataclass

import numpy as np

from hoopwright.film.camera import pixels_per_metre, project
from hoopwright.film.fit import FlightFit
from hoopwright.film.results import BallPath, Candidates, Floats, Measured
from hoopwright.film.view import View
from hoopwright.flight.contact import Contact
from hoopwright.flight.ring import is_make, play

#: draws of the landing and of the contact values
_DRAWS = 600
#: what is looked at after the ring plane was crossed [s]
_FROM, _UNTIL = 0.04, 0.75
#: a ball in the net is this near to the ring's axis [m], and no higher than this below the ring
_NET_REACH = 0.32
#: fastest and slowest the ball leaves the ring downward: free, and held by the net [m/s];
#: common practice, no source
_FREE, _HELD = 6.0, 0.8
#: how much one picture's sight of the ball counts, in log odds, and all of them together at most;
#: from drawn film, see docs/film-accuracy.md
_ONE, _MOST = 1.2, 6.0
#: a chance from the flight alone is never taken to be nearer to sure than this
_DOUBT = 0.03


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """Made or missed, and how sure."""

    made: bool
    #: 0.5 to 1
    chance: float
    #: chance of going in by the flight alone
    by_flight: float
    #: pictures that show the ball under the ring, and away from it
    under: int
    away: int


def chance_by_flight(fit: FlightFit, ball: BallPath) -> float:
    """Return the chance that a fitted flight goes in, over its errors and the contact's ranges.

    Parameters
    ----------
    fit
        The flight; gives ring, board and air.
    ball
        Its numbers.
    """
    rng = np.random.default_rng(0)
    release = ball.release
    covariance = np.array(release.covariance).reshape(5, 5)[3:, 3:]
    at = rng.multivariate_normal((release.along, release.across), covariance, size=_DRAWS)
    entry = ball.entry_angle.value + ball.entry_angle.sd * rng.standard_normal(_DRAWS)
    speed = float(np.linalg.norm(fit.at([ball.ring_time.value])[0][3:]))
    x, y = ball.release_point[:2]
    outcomes = play(
        at[:, 0], at[:, 1], entry, speed, ball=fit.view.ball, ring=fit.view.rules.ring,
        board=fit.view.rules.board, bearing=float(np.arctan2(x, -y)),
        **Contact.sample(rng, _DRAWS)._asdict(),
    )  # fmt: skip
    return float(np.mean(is_make(outcomes)))


def result(
    fit: FlightFit, ball: BallPath, candidates: Candidates, *, prior: float | None = None
) -> Result:
    """Return whether a shot went in, as far as flight and picture tell.

    Parameters
    ----------
    fit, ball
        The flight and its numbers.
    candidates
        All ball-like places of the clip.
    prior
        Chance by the flight, where it is known already.
    """
    likely = chance_by_flight(fit, ball) if prior is None else prior
    under, away = _sightings(fit.view, candidates, ball.ring_time)
    held = min(max(likely, _DOUBT), 1.0 - _DOUBT)
    odds = float(np.log(held / (1.0 - held)))
    odds += float(np.clip(_ONE * (under - away), -_MOST, _MOST))
    chance = 1.0 / (1.0 + float(np.exp(-odds)))
    return Result(
        made=chance >= 0.5, chance=max(chance, 1.0 - chance),
        by_flight=likely, under=under, away=away,
    )  # fmt: skip


def _sightings(view: View, candidates: Candidates, ring_time: Measured) -> tuple[int, int]:
    """Count pictures with the ball where only a made, and where only a missed one can be."""
    since = candidates.time - ring_time.value
    window = (since > _FROM) & (since < _UNTIL) & (candidates.score > 0.2)
    rows = np.flatnonzero(window).tolist()
    under = {int(candidates.frame[r]) for r in rows if _in_net(view, candidates, r, since[r])}
    away = {int(candidates.frame[r]) for r in rows if _off_ring(view, candidates, r, since[r])}
    both = under & away
    return len(under - both), len(away - both)


def _ring_picture(view: View) -> tuple[Floats, float]:
    centre = np.array([[0.0, 0.0, view.ring_height]])
    return project(view.camera, centre)[0], float(pixels_per_metre(view.camera, centre)[0])


def _size_fits(view: View, candidates: Candidates, row: int) -> bool:
    scale = _ring_picture(view)[1]
    expected = scale * view.ball.radius
    return 0.6 * expected < float(candidates.radius[row]) < 1.6 * expected


def _in_net(view: View, candidates: Candidates, row: int, since: float) -> bool:
    centre, scale = _ring_picture(view)
    off = (candidates.middle[row] - centre) / scale
    lowest = _FREE * since + 4.9 * since**2
    return (
        abs(off[0]) < _NET_REACH
        and max(0.1, _HELD * since) < off[1] < lowest + 0.1
        and _size_fits(view, candidates, row)
    )


def _off_ring(view: View, candidates: Candidates, row: int, since: float) -> bool:
    """Tell whether a place is where a ball that did not go in may be, but none that did."""
    centre, scale = _ring_picture(view)
    off = (candidates.middle[row] - centre) / scale
    reach = 0.4 + 4.0 * since
    above = off[1] < -0.05 and abs(off[0]) < reach and off[1] > -1.5
    beside = 0.45 < abs(off[0]) < reach and -0.05 <= off[1] < 1.2 and since > 0.1
    return bool((above or beside) and since > 0.06) and _size_fits(view, candidates, row)
