"""Does a player's feel know where the ball went? Told before the result was seen, shot by shot.

A player whose feel knows can practise by it when nobody films; one whose feel does not should
look at film. Which of the two a player is, is worth knowing before any cue is chosen.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray
from scipy import special

from hoopwright.errors import BadInput
from hoopwright.records import Estimate
from hoopwright.trials.concordance import RUN, Agreement, agreement, laid_out, runs_of
from hoopwright.trials.feel_made import FeelStep, score_gain, steps_of

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

#: fewest shots with a feel from which anything is said
FEWEST = 20
#: shots by which most players can be told, by simulation (docs/feel.md)
USUAL = 160
#: a chance of being right from which feel is of use, and from which it tells a lot; common
#: practice, no source
USEFUL, A_LOT = 0.60, 0.65
#: share of shuffles that may do as well; half of 0.05, as feel and makes that wander together
#: within a run add to it
BY_LUCK = 0.025
#: most further shots that are asked for
MOST_ASKED = 600
#: fewest days from which a drift is told, and fewest shots of a day that counts
DRIFT_DAYS, DAY_SHOTS = 3, 20
# even places of a normal
_PLACES = special.ndtri((np.arange(64) + 0.5) / 64)
# standard error of the chance at which feel just of use is told from none in 8 of 10 players
_WANTED_SD = 0.036


class Told(StrEnum):
    """What feel tells of the shot."""

    A_LOT = "feel tells a lot"
    SOMETHING = "feel tells something"
    NOTHING = "nothing seen"
    CANNOT_TELL = "can't tell yet"


class Trust(StrEnum):
    """What the player should go by when practising."""

    FEEL = "trust feel"
    BOTH = "feel first, film to check"
    FILM = "look at film"
    #: not known yet: say the feel, look at film
    NOT_YET = "keep saying the feel"


class Against(StrEnum):
    """What feel was set beside."""

    LANDING = "landing"
    RESULT = "made or missed"


TRUST = {
    Told.A_LOT: Trust.FEEL,
    Told.SOMETHING: Trust.BOTH,
    Told.NOTHING: Trust.FILM,
    Told.CANNOT_TELL: Trust.NOT_YET,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class FeelDay:
    """One day of saying the feel."""

    #: as handed in
    day: int
    shots: int
    made: int
    #: mean feel, 0 to 10
    feel: float
    #: chance of feel being right, as ``Agreement.concordance``; None where the shots are too few
    right: Estimate | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Feel:
    """What one player's feel knows."""

    #: shots with a feel
    shots: int
    told: Told
    trust: Trust
    #: what the verdict rests on: landing where enough of it is known
    against: Against
    #: chance that of two shots the one that felt better was the better one, 0 to 1
    right: Estimate | None
    landing: Agreement | None
    made: Agreement | None
    #: True where what felt better was worse, beyond doubt
    backwards: bool
    #: share made at each step of feel
    steps: tuple[FeelStep, ...]
    #: share of the base rate's Brier score that feel saves; None where there are too few shots
    score_gain: Estimate | None
    days: tuple[FeelDay, ...]
    #: change of the chance from the first day to the last; None where there are too few days
    drift: Estimate | None
    #: further shots that would tell; None where told, or where more won't
    shots_needed: int | None

    @property
    def main(self) -> Agreement | None:
        """The agreement that the verdict rests on."""
        return self.landing if self.against is Against.LANDING else self.made


def read_feel(
    feel: Floats, made: Bools, *, off: Floats, groups: Ints, days: Ints, seed: int = 1
) -> Feel:
    """Read how well a player's feel goes with the landing and with makes.

    Parameters
    ----------
    feel
        0 to 10, said before the result was seen; NaN where not said. float64 [shot], in the order
        taken.
    made
        bool [shot].
    off
        Distance of the landing from the aim; NaN where not known. float64 [shot] [m].
    groups
        Which set each shot belongs to, int64 [shot].
    days
        Which day, a number that counts days, int64 [shot].
    seed
        Same seed, same answer.

    Raises
    ------
    BadInput
        Lists of different lengths, or a feel outside 0 to 10.
    """
    _check(feel, made, off, groups, days)
    said = np.isfinite(feel)
    shots = _Shots(
        feel=feel[said], made=made[said], off=off[said], groups=groups[said], days=days[said],
        runs=runs_of(_keys(days, groups)[said]), seed=seed,
    )  # fmt: skip
    landing, result = shots.landing(), shots.result()
    known = landing is not None and landing.shots >= FEWEST
    against = Against.LANDING if known else Against.RESULT
    main = landing if known else result
    told = told_of(main, len(shots.feel))
    by_day = _by_day(shots, against)
    return Feel(
        shots=len(shots.feel),
        told=told,
        trust=TRUST[told],
        against=against,
        right=None if main is None else main.concordance,
        landing=landing,
        made=result,
        backwards=main is not None and told is not Told.CANNOT_TELL and _backwards(main),
        steps=steps_of(shots.feel, shots.made),
        score_gain=score_gain(shots.feel, shots.made),
        days=tuple(day for day, _ in by_day),
        drift=_drift(by_day),
        shots_needed=_needed(main, len(shots.feel)) if told is Told.CANNOT_TELL else None,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Shots:
    """Shots with a feel, as :func:`read_feel` takes them."""

    feel: Floats
    made: Bools
    off: Floats
    groups: Ints
    days: Ints
    runs: Ints
    seed: int

    def landing(self, among: Bools | None = None) -> Agreement | None:
        """Return the agreement of feel with nearness to the aim."""
        known = np.isfinite(self.off)
        return self._agreement(-self.off, known if among is None else known & among)

    def result(self, among: Bools | None = None) -> Agreement | None:
        """Return the agreement of feel with makes."""
        every = np.ones(len(self.feel), np.bool_)
        return self._agreement(self.made.astype(float), every if among is None else among)

    def _agreement(self, result: Floats, kept: Bools) -> Agreement | None:
        if not kept.any():
            return None
        laid = laid_out(self.feel[kept], result[kept], self.runs[kept])
        return agreement(laid, rng=np.random.default_rng(self.seed))


def _check(feel: Floats, made: Bools, off: Floats, groups: Ints, days: Ints) -> None:
    if {len(x) for x in (made, off, groups, days)} != {len(feel)}:
        raise BadInput("Every shot needs feel, result, landing, set and day; leave gaps empty.")
    told = feel[np.isfinite(feel)]
    if np.any((told < 0.0) | (told > 10.0)):
        raise BadInput("How a shot felt goes from 0 to 10; say a number in that range.")
    if np.any(off < 0.0):
        raise BadInput("A landing's distance from the aim can't be negative; check the landings.")


def _keys(days: Ints, groups: Ints) -> Ints:
    """Return a number for each set of each day, int64 [shot]."""
    _, code = np.unique(np.column_stack([days, groups]), axis=0, return_inverse=True)
    return np.asarray(code, np.int64).reshape(-1)


def told_of(found: Agreement | None, shots: int) -> Told:
    """Return what may be said of one player's agreement."""
    if found is None or shots < FEWEST:
        return Told.CANNOT_TELL
    if found.by_luck <= BY_LUCK and found.concordance.low95 > 0.5:
        return Told.A_LOT if found.concordance.low80 >= A_LOT else Told.SOMETHING
    return Told.NOTHING if found.concordance.high95 < USEFUL else Told.CANNOT_TELL


def _backwards(found: Agreement) -> bool:
    return found.concordance.high95 < 0.5


def _needed(found: Agreement | None, shots: int) -> int | None:
    """Return the further shots, in tens, by which feel of use would be told from none."""
    if found is None or shots < FEWEST:
        return max(USUAL - shots, RUN)
    sd = 0.5 * found.z_sd / np.cosh(found.z) ** 2
    further = 10 * max(int(np.ceil(shots * ((sd / _WANTED_SD) ** 2 - 1.0) / 10.0)), 1)
    return further if further <= MOST_ASKED else None


def _by_day(shots: _Shots, against: Against) -> list[tuple[FeelDay, Agreement | None]]:
    """Return each day, oldest first, with its agreement where the shots are enough."""
    read: Callable[[Bools], Agreement | None] = (
        shots.landing if against is Against.LANDING else shots.result
    )
    found = []
    for day in np.unique(shots.days):
        here = shots.days == day
        one = read(here) if np.count_nonzero(here) >= DAY_SHOTS else None
        told = FeelDay(
            day=int(day),
            shots=int(np.count_nonzero(here)),
            made=int(np.count_nonzero(shots.made[here])),
            feel=float(shots.feel[here].mean()),
            right=None if one is None else one.concordance,
        )
        found.append((told, one))
    return found


def _drift(by_day: list[tuple[FeelDay, Agreement | None]]) -> Estimate | None:
    """Return the change of the chance from first day to last by a straight line over the days.

    Notes
    -----
    Weighted least squares of artanh agreement; where days scatter more than their errors say, the
    errors are widened to match (Birge's ratio, [Birge1932]_).
    """
    told = [(day.day, one.z, one.z_sd) for day, one in by_day if one is not None]
    if len(told) < DRIFT_DAYS:
        return None
    day, z, sd = np.array(told).T
    x = np.column_stack([np.ones(len(day)), (day - day[0]) / (day[-1] - day[0])]) / sd[:, None]
    cov = np.linalg.inv(x.T @ x)
    line = cov @ x.T @ (z / sd)
    free = len(day) - 2
    wider = max(float(np.sum((z / sd - x @ line) ** 2)) / free, 1.0)
    root = np.linalg.cholesky(wider * cov)
    drawn = line[:, None, None] + np.tensordot(root, np.array(np.meshgrid(_PLACES, _PLACES)), 1)
    return Estimate.from_draws(0.5 * (np.tanh(drawn[0] + drawn[1]) - np.tanh(drawn[0])).ravel())
