"""Shots to tell two ways of shooting apart, were every shot independent: closed forms.

A lower bound: days and blocks add to it, and ``power`` says by how much.
"""

import math
from dataclasses import dataclass

from scipy.optimize import brentq
from scipy.special import ndtr, ndtri

from hoopwright.errors import BadInput

#: chance of finding a difference that is there; chance of finding one that is not, both ways
POWER, ERROR = 0.80, 0.05
_MOST_SHARE = 0.99


def _quantiles(power: float, error: float) -> tuple[float, float]:
    if not 0 < power < 1 or not 0 < error < 1:
        raise BadInput("Power and error are chances; choose numbers between 0 and 1.")
    return float(ndtri(1 - error / 2)), float(ndtri(power))


def shots_for_shares(
    first: float, second: float, *, power: float = POWER, error: float = ERROR
) -> float:
    """Return the shots each way that tell two shares made apart.

    Parameters
    ----------
    first, second
        Shares made, 0 to 1, not alike.
    power, error
        As ``POWER`` and ``ERROR``.

    Raises
    ------
    BadInput
        The shares are alike or not between 0 and 1.

    Notes
    -----
    [Fleiss1981]_, two proportions, without the correction for continuity.
    """
    if not (0 < first < 1 and 0 < second < 1) or first == second:
        raise BadInput("The two shares must differ and lie between 0 and 1.")
    a, b = _quantiles(power, error)
    middle = (first + second) / 2
    root = a * math.sqrt(2 * middle * (1 - middle))
    root += b * math.sqrt(first * (1 - first) + second * (1 - second))
    return (root / (first - second)) ** 2


def shots_for_shares_corrected(
    first: float, second: float, *, power: float = POWER, error: float = ERROR
) -> float:
    """Return the same with the correction for continuity of [FleissTytunUry1980]_."""
    plain = shots_for_shares(first, second, power=power, error=error)
    return plain / 4 * (1 + math.sqrt(1 + 4 / (plain * abs(first - second)))) ** 2


def shots_for_shift(
    shift: float,
    scatter: float,
    *,
    noise: float = 0.0,
    power: float = POWER,
    error: float = ERROR,
) -> float:
    """Return the shots each way that tell two middles apart.

    Parameters
    ----------
    shift
        Difference of the middles, not 0 [m or rad].
    scatter
        Standard deviation from shot to shot, unit of ``shift``.
    noise
        Measuring error of a shot, unit of ``shift``.
    power, error
        As ``POWER`` and ``ERROR``.

    Raises
    ------
    BadInput
        No shift, or no scatter.

    Notes
    -----
    The two-sample normal test with known scatter [Fleiss1981]_.
    """
    if shift == 0 or not scatter > 0:
        raise BadInput("Give a shift that is not 0 and a scatter above 0.")
    return 2 * (sum(_quantiles(power, error)) / shift) ** 2 * (scatter**2 + noise**2)


def shots_for_scatter(ratio: float, *, power: float = POWER, error: float = ERROR) -> float:
    """Return the shots each way that tell two scatters apart.

    Parameters
    ----------
    ratio
        One scatter divided by the other, above 0, not 1.
    power, error
        As ``POWER`` and ``ERROR``.

    Raises
    ------
    BadInput
        The ratio is 1, or not above 0.

    Notes
    -----
    Derived: the logarithm of a standard deviation has variance 1 / 2n in many shots.
    """
    if not ratio > 0 or ratio == 1:
        raise BadInput("Give a ratio of scatters above 0 and not 1.")
    return (sum(_quantiles(power, error)) / math.log(ratio)) ** 2


def share_through(middle: float, scatter: float, half_window: float) -> float:
    """Return the share of normal landings that fall within ± ``half_window`` of the aim.

    A one-dimensional stand-in for the ring, for sample sizes only.
    """
    return float(ndtr((half_window - middle) / scatter) - ndtr((-half_window - middle) / scatter))


def half_window(share: float, scatter: float, *, middle: float = 0.0) -> float:
    """Return the half window through which a share of landings falls.

    Raises
    ------
    BadInput
        The share is not between 0 and 0.99.
    """
    if not 0 < share <= _MOST_SHARE:
        raise BadInput("The share made must lie between 0 and 0.99.")
    far = abs(middle) + 6 * scatter
    found: float = brentq(lambda w: share_through(middle, scatter, w) - share, 1e-9, far)
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Cheaper:
    """One change, told by counting makes or by where the shots land."""

    #: share made by habit, and with the change
    habit_share: float
    change_share: float
    #: shots each way that counting makes needs
    by_makes: float
    #: shots each way that landing points need
    by_landing: float

    @property
    def saving(self) -> float:
        """How many times fewer shots landing points need."""
        return self.by_makes / self.by_landing


def cheaper_for_shift(shift: float, *, share: float, scatter: float, noise: float = 0.0) -> Cheaper:
    """Compare the two measures for a change that brings a habit's middle onto the aim.

    Parameters
    ----------
    shift
        How far the habit is off the aim [m].
    share
        Share made by habit.
    scatter
        Scatter of the landing points [m].
    noise
        Measuring error of a landing point [m].
    """
    window = half_window(share, scatter, middle=shift)
    centred = share_through(0.0, scatter, window)
    return Cheaper(
        habit_share=share,
        change_share=centred,
        by_makes=shots_for_shares(share, centred),
        by_landing=shots_for_shift(shift, scatter, noise=noise),
    )


def cheaper_for_scatter(share: float, better_share: float) -> Cheaper:
    """Compare the two measures for a change that tightens a centred shooter's scatter.

    Parameters
    ----------
    share, better_share
        Share made by habit and with the change.
    """
    ratio = half_window(share, 1.0) / half_window(better_share, 1.0)
    return Cheaper(
        habit_share=share,
        change_share=better_share,
        by_makes=shots_for_shares(share, better_share),
        by_landing=shots_for_scatter(ratio),
    )
