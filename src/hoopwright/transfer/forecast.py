"""Makes to expect in the next games, or over the rest of a season."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats

from hoopwright.errors import BadInput
from hoopwright.records import Estimate
from hoopwright.transfer.nouns import Band, ShotType
from hoopwright.transfer.shares import Floats, GameShare

#: most attempts forecast at once, over all kinds: some seasons of anybody
MOST_ATTEMPTS = 5000
#: under any rule book
_POINTS = {Band.FREE_THROW: 1, Band.RIM: 2, Band.MID: 2, Band.TWO: 2, Band.THREE: 3}


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """Attempts to come of one kind of shot, and how well the player makes it in games."""

    shot_type: ShotType
    attempts: int
    share: GameShare


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """What is to come; ranges hold the player's uncertain percentage and the luck of the shots."""

    attempts: int
    #: makes out of the attempts
    makes: Estimate
    #: their worth on the score sheet
    points: Estimate
    #: the 80 % range if the player's percentage were known exactly: luck alone
    luck_low80: float
    luck_high80: float


def forecast(expected: Sequence[Expected]) -> Forecast:
    """Return the makes and points to expect of some attempts.

    Parameters
    ----------
    expected
        One entry per kind of shot.

    Raises
    ------
    BadInput
        No attempts, or more than anybody takes.

    Notes
    -----
    Exact sums, no sampling: binomial luck averaged over the chances of each percentage, kinds
    added by convolution. Shots are taken as independent, given the percentage; that nobody has
    hot or cold nights beyond luck is the usual working assumption, see ``docs/games.md``.
    """
    total = sum(one.attempts for one in expected)
    if not 1 <= total <= MOST_ATTEMPTS or any(one.attempts < 0 for one in expected):
        raise BadInput(
            f"A forecast is for 1 to {MOST_ATTEMPTS} attempts, not {total}; "
            "say how many of each kind are to come.",
            field="attempts",
        )
    chances = [_makes(one.share, one.attempts) for one in expected]
    by_luck = [_luck(one.attempts, np.array([one.share.mean]))[:, 0] for one in expected]
    worth = [_POINTS[one.shot_type.band] for one in expected]
    luck = _ranges(_summed(by_luck, [1] * len(expected)))
    return Forecast(
        attempts=total,
        makes=_ranges(_summed(chances, [1] * len(expected))),
        points=_ranges(_summed(chances, worth)),
        luck_low80=luck.low80,
        luck_high80=luck.high80,
    )


def _makes(share: GameShare, attempts: int) -> Floats:
    """Return the chance of each number of makes, float64 [attempts + 1]."""
    return _luck(attempts, share.shares) @ share.chances


def _luck(attempts: int, shares: Floats) -> Floats:
    """Return the chance of each number of makes at each share, float64 [attempts + 1, share]."""
    counts = np.arange(attempts + 1)[:, None]
    return np.asarray(stats.binom.pmf(counts, attempts, shares), np.float64)


def _summed(chances: Sequence[Floats], worth: Sequence[int]) -> Floats:
    """Return the chance of each total of independent counts, each count worth some points."""
    total = np.ones(1)
    for one, each in zip(chances, worth, strict=True):
        spaced = np.zeros((len(one) - 1) * each + 1)
        spaced[::each] = one
        total = np.convolve(total, spaced)
    return total


def _ranges(chances: Floats) -> Estimate:
    """Return mean and ranges of a count: whole numbers that hold at least their share."""
    below = np.cumsum(chances)

    def at(q: float) -> float:
        return float(np.searchsorted(below, q - 1e-9))

    return Estimate(
        value=float(np.arange(len(chances)) @ chances),
        low50=at(0.25), high50=at(0.75), low80=at(0.1), high80=at(0.9),
        low95=at(0.025), high95=at(0.975),
    )  # fmt: skip
