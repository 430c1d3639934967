"""Made or missed: what the fitted flight makes likely, and what was seen of the ball after it.

Two witnesses. The flight, run through the ring and board of ``flight.ring``, gives a chance of
going in. Then the picture: a made ball comes out below the net, slowed, on the ring's axis; a
missed one is seen above the ring or beside the net.
"""

from dataclasses import dataclass

import numpy as np

from hoopwright.film.camera import pixels_per_metre, project
from hoopwright.film.fit import FlightFit
from hoopwright.film.results import BallPath, Candidates, Floats, Ints, Measured
from hoopwright.film.view import View
from hoopwright.flight.air import STANDARD_GRAVITY
from hoopwright.flight.contact import Contact
from hoopwright.flight.ring import is_make, play

#: draws of the landing and of the contact values
_DRAWS = 600
#: the ball is followed this long past the ring plane [s]
AFTER = 2.2
#: it is no faster there [m/s], is given up after this long [s], and changes its size in the picture
#: by no more than this, as a logarithm
_FASTEST, _LOST, _UNLIKE = 10.0, 0.15, 0.5
#: a ball that was hidden longer is looked for again up to this long [s], this near the ring [m],
#: as large as a ball by this much (logarithm), with a score above this
_HIDDEN, _NEAR, _ALIKE, _CLEARLY = 1.0, 0.6, 0.2, 0.5
#: a ball is taken to have fallen past the ring once it is this far below [m], and is watched on
#: its way through the net down to there [m]
_PAST, _NET = 0.08, 0.5
#: middle of the ball at that level: inside the ring up to here, and how sharp that edge is [m]
_INSIDE, _EDGE = 0.18, 0.035
#: a ball in the net keeps about this near to the ring's axis [m]
_IN_NET = 0.32
#: most that a fall inside the ring, and one along its axis, speak for a make: one rebound in four
#: comes down before or behind the ring as seen from the side; from drawn film
_WITHIN, _STRAIGHT = 1.4, 0.5
#: how a ball falls past the ring over a free fall: through a net, and beside it; nets differ
#: much, and the picture shows a fall toward the camera longer; from drawn film
NETTED, FREE = Measured(value=-0.2, sd=0.9), Measured(value=1.05, sd=0.2)
#: fewest rows and from where they count [m], and the error of one [m]
_FEWEST, _ABOVE, _PLACE = 4, -0.02, 0.006
#: a ball this far from the ring's axis did not go in [m]
_GONE = 0.6
#: most that one witness counts, in log odds
_MOST = 3.0
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
    #: what the pictures after the ring say, in log odds of having gone in
    by_sight: float


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
    covariance = np.array(release.total).reshape(5, 5)[3:, 3:]
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
    fit: FlightFit, ball: BallPath, candidates: Candidates, *, by_flight: float | None = None
) -> Result:
    """Return whether a shot went in, as far as flight and picture tell.

    Parameters
    ----------
    fit, ball
        The flight and its numbers.
    candidates
        All ball-like places of the clip.
    by_flight
        Chance by the flight, where it is known already.
    """
    likely = chance_by_flight(fit, ball) if by_flight is None else by_flight
    sight = _sight(fit.view, candidates, ball)
    held = min(max(likely, _DOUBT), 1.0 - _DOUBT)
    odds = float(np.log(held / (1.0 - held))) + sight
    chance = 1.0 / (1.0 + float(np.exp(-odds)))
    return Result(
        made=chance >= 0.5, chance=max(chance, 1.0 - chance), by_flight=likely, by_sight=sight
    )


def _sight(view: View, candidates: Candidates, ball: BallPath) -> float:
    """Return the log odds of having gone in from where the ball is seen after the ring."""
    rows = _followed(view, candidates, ball)
    after = candidates.time[rows] > ball.ring_time.value - 0.02
    if after.sum() < 2:
        return 0.0
    off, time = _off_ring(view, candidates, rows), candidates.time[rows]
    falls = np.flatnonzero((off[:-1, 1] < _PAST) & (off[1:, 1] >= _PAST))
    if not len(falls):
        gone = np.abs(off[after, 0]).max() > _GONE or off[-1, 1] < -0.3
        return -_MOST if gone else 0.0
    at = int(falls[-1])
    share = (_PAST - off[at, 1]) / (off[at + 1, 1] - off[at, 1])
    aside = abs(off[at, 0] + share * (off[at + 1, 0] - off[at, 0]))
    hidden = time[at + 1] - time[at] > _LOST
    inside = 0.0 if hidden else _witness(_INSIDE - aside, _EDGE)
    if inside <= -0.9 * _MOST:
        return -2.0 * _MOST
    return min(inside, _WITHIN) + _through_net(off[at:], time[at:])


def _followed(view: View, candidates: Candidates, ball: BallPath) -> Ints:
    """Return the rows of the ball from the ring on, one a picture, until it is lost.

    Ring and board may turn it any way, so that only its speed and size bind it.
    """
    own = np.array(ball.flight.rows, dtype=np.int64)
    own = own[np.argsort(candidates.time[own], kind="stable")]
    # a clean ball flies on through the ring, so that the track may not end there
    kept = own[candidates.time[own] < ball.ring_time.value][-3:].tolist()
    if len(kept) < 2:
        return np.empty(0, dtype=np.int64)
    scale = _ring(view)[1]
    size = scale * view.ball.radius
    now = float(candidates.time[kept[-1]])
    later = np.flatnonzero(
        (candidates.time > now) & (candidates.time < ball.ring_time.value + AFTER)
    )
    for rows in np.split(later, np.flatnonzero(np.diff(candidates.frame[later])) + 1):
        if not len(rows):
            continue
        gap = float(candidates.time[rows[0]]) - float(candidates.time[kept[-1]])
        if gap > _HIDDEN:
            break
        if gap > _LOST:
            again = _again(view, candidates, rows)
            if again is not None:
                kept.append(again)
            continue
        last, before = candidates.middle[kept[-1]], candidates.middle[kept[-2]]
        between = max(float(candidates.time[kept[-1]] - candidates.time[kept[-2]]), 1e-3)
        far = np.linalg.norm(candidates.middle[rows] - last, axis=1)
        off = np.linalg.norm(
            candidates.middle[rows] - last - (last - before) * gap / between, axis=1
        )
        room = _FASTEST * gap * scale + 0.5 * size
        alike = np.abs(np.log(candidates.radius[rows] / size))
        worth = candidates.score[rows] - np.minimum(off, far) / room - alike
        worth[(far > room) | (alike > _UNLIKE)] = -np.inf
        if np.isfinite(worth.max()):
            kept.append(int(rows[np.argmax(worth)]))
    return np.array(kept, dtype=np.int64)


def _again(view: View, candidates: Candidates, rows: Ints) -> int | None:
    """Return the row that is a ball near the ring, which board or rim had hidden, if one is."""
    centre, scale = _ring(view)
    off = np.linalg.norm(candidates.middle[rows] - centre, axis=1) / scale
    alike = np.abs(np.log(candidates.radius[rows] / (scale * view.ball.radius)))
    sure = np.where((off < _NEAR) & (alike < _ALIKE), candidates.score[rows], 0.0)
    return int(rows[np.argmax(sure)]) if sure.max() > _CLEARLY else None


def _witness(by: float, edge: float) -> float:
    return float(np.clip(by / edge, -_MOST, _MOST))


def _off_ring(view: View, candidates: Candidates, rows: Ints) -> Floats:
    """Return how far rows lie from ring centre in the picture: right and down [m]."""
    centre, scale = _ring(view)
    off: Floats = (candidates.middle[rows] - centre) / scale
    return off


def _ring(view: View) -> tuple[Floats, float]:
    """Return where ring centre is drawn [px], and how many pixels a metre takes there."""
    centre = np.array([[0.0, 0.0, view.ring_height]])
    return project(view.camera, centre)[0], float(pixels_per_metre(view.camera, centre)[0])


def _through_net(off: Floats, time: Floats) -> float:
    """Return what the way down from the ring says: along its axis, and slowed by the net."""
    way = off[:, 1] < _NET + 0.05
    off, time = off[way], time[way]
    if len(off) < 3:
        return 0.0
    beside = float(np.abs(off[1:, 0]).max())
    straight = min(0.5 * _witness(_IN_NET - beside, 3.0 * _EDGE), _STRAIGHT)
    return straight + _slowed(off[:, 1], time)


def _slowed(down: Floats, time: Floats) -> float:
    """Return what a ball's fall past the ring says, in log odds of a net about it."""
    inside = down > _ABOVE
    if inside.sum() < _FEWEST:
        return 0.0
    since = time[inside] - time[inside].mean()
    bend = np.vander(since, 3)
    fall = 2.0 * float(np.linalg.lstsq(bend, down[inside], rcond=None)[0][0]) / STANDARD_GRAVITY
    unsure = 2.0 * _PLACE * float(np.sqrt(np.linalg.inv(bend.T @ bend)[0, 0])) / STANDARD_GRAVITY
    odds = _unlikely(fall, FREE, unsure) - _unlikely(fall, NETTED, unsure)
    return float(np.clip(odds, -_MOST, _MOST))


def _unlikely(fall: float, usual: Measured, unsure: float) -> float:
    sd = float(np.hypot(usual.sd, unsure))
    return 0.5 * ((fall - usual.value) / sd) ** 2 + float(np.log(sd))
