"""What to expect of a run of shots: the player's own chart, and the luck of the run."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

from scipy import optimize, special, stats

from hoopwright.chart.findings import ConditionReading
from hoopwright.plans.nouns import Target
from hoopwright.records import Estimate, Spot

#: an 80 % range of the share made that is wider than this is no target; the project's own choice
WIDEST = 0.30
#: a spot this near to a charted one is the same, and a distance this near to one read [m]
SAME_PLACE, SAME_DISTANCE = 0.5, 0.3
#: shots after which a plain share of one half has an 80 % range below ``WIDEST``: the normal
#: range 2 · 1.2816 · sqrt(0.25 / n), Derived
FIRST_SHOTS = math.ceil(0.25 * (2 * float(special.ndtri(0.9)) / WIDEST) ** 2)
_NEAR_ZERO = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Targets:
    """The targets of one player, from the reading of the habit; None where nothing is charted."""

    reading: ConditionReading | None = None

    def at(self, spots: Sequence[Spot]) -> Target:
        """Return what to expect of shots spread evenly over some spots.

        No growth is put in: the target is what the player's own chart expects today. It is left
        out where a spot was not charted nearly, or where the range is too wide to say anything.
        """
        if self.reading is None or not spots:
            return Target(shots_needed=FIRST_SHOTS if spots else None)
        known = [expected_at(self.reading, spot) for spot in spots]
        shares = [one for one in known if one is not None]
        if len(shares) < len(known):
            return Target(shots_needed=FIRST_SHOTS)
        mean = _mean(shares)
        if mean.high80 - mean.low80 <= WIDEST:
            return Target(expected=mean)
        return Target(shots_needed=self._needed())

    def _needed(self) -> int:
        assert self.reading is not None
        asked = [one for one in self.reading.cannot_tell if one.question == "make"]
        return (asked[0].shots_needed if asked else None) or FIRST_SHOTS


def expected_at(reading: ConditionReading, spot: Spot) -> Estimate | None:
    """Return the expected share made at a spot; None where the reading doesn't reach it.

    A charted spot gives its own expected share, another place that of its distance.
    """
    for one in reading.spots:
        if math.hypot(one.spot.x - spot.x, one.spot.y - spot.y) <= SAME_PLACE:
            return one.expected
    near = min(reading.distances, key=lambda one: abs(one.distance - spot.distance), default=None)
    if near is None or abs(near.distance - spot.distance) > SAME_DISTANCE:
        return None
    return near.expected


def _mean(shares: Sequence[Estimate]) -> Estimate:
    """Average value and ends; the spots of one player rise and fall together."""
    names = [f.name for f in fields(Estimate)]
    means = {n: math.fsum(getattr(one, n) for one in shares) / len(shares) for n in names}
    return replace(shares[0], **means)


def beta_of(expected: Estimate) -> tuple[float, float]:
    """Return the Beta distribution with the mean and the 80 % width of an estimate of a share."""
    mean = min(max(expected.value, _NEAR_ZERO), 1 - _NEAR_ZERO)
    width = max(expected.high80 - expected.low80, _NEAR_ZERO)

    def excess(log_weight: float) -> float:
        weight = math.exp(log_weight)
        ends = stats.beta(mean * weight, (1 - mean) * weight)
        return float(ends.ppf(0.9) - ends.ppf(0.1)) - width

    low, high = math.log(1.0), math.log(1e7)
    if excess(low) <= 0:
        return mean, 1 - mean
    weight = math.exp(float(optimize.brentq(excess, low, high)))
    return mean * weight, (1 - mean) * weight


@dataclass(frozen=True, slots=True, kw_only=True)
class Makes:
    """How many of a fixed number of attempts are to be expected."""

    shots: int
    #: nearest whole number to the mean
    usual: int
    #: 8 times in 10 at least, the makes are from low to high
    low: int
    high: int


def makes_of(expected: Estimate, shots: int) -> Makes:
    """Return the makes to expect of a run: what isn't known of the player, and luck, together.

    Notes
    -----
    Beta-binomial: the share is drawn once, then each shot; the ends are its 10 % and 90 % points.
    """
    a, b = beta_of(expected)
    low, high = (int(stats.betabinom.ppf(q, shots, a, b)) for q in (0.1, 0.9))
    return Makes(shots=shots, usual=round(shots * a / (a + b)), low=low, high=high)
