"""The slope of a levelled outcome on one body measure that is itself known with error.

A measure that the film sees badly looks as if it mattered less than it does (attenuation). The
known error variance is taken off the measure's own scatter, as in the method of moments for
errors in variables, and each shot counts by how well it was seen.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

from hoopwright.film.links.levelling import Level, drawn_in, robust_sd
from hoopwright.records import Estimate

Floats = NDArray[np.float64]

#: a measured value further than this many robust standard deviations from the rest is taken as
#: misread and left out
MISREAD = 4.0
#: a measure is seen at all where at least this share of its scatter is the player's own
SEEN_FROM = 0.30
#: how large slopes are believed to be before any shot, one standard deviation, in the outcome's
#: own spread per own spread of the measure; the project's own choice, see docs
USUAL_SIZE = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One measure, levelled as its outcome is."""

    #: as measured, the spot's centre and the day's trend taken out, 0 where not measured [shot]
    rest: Floats
    #: error variance of each, 0 where not measured, float64 [shot]
    noise: Floats
    #: how well-seen shots count, levelled, float64 [shot]; zero scatter where not measured
    weighed: Floats
    #: as measured, levelled, float64 [shot]
    levelled: Floats
    #: expected share of error in weighed · levelled, float64 [shot]
    error: Floats
    #: measured shots
    shots: int
    #: the player's own scatter [SI]
    own_sd: float
    #: 0 to 1
    reliability: float

    @property
    def seen(self) -> bool:
        """Whether the film sees the player's own scatter of it."""
        return self.reliability >= SEEN_FROM

    @property
    def own_squares(self) -> float:
        """Weighed sum of squares, the film's error taken off."""
        return float(self.weighed @ self.levelled - self.error.sum())


@dataclass(frozen=True, slots=True, kw_only=True)
class Slope:
    """A slope and its error, in the outcome's own spread per own spread of the measure."""

    value: float
    se: float
    free: int


def without_misread(values: Floats, *, fixed: Floats) -> Floats:
    """Put NaN where a measured value lies far from the rest of its run."""
    rest = _rest(values, fixed)
    seen = np.isfinite(rest)
    if not seen.any():
        return values
    far = np.abs(np.where(seen, rest, 0.0)) > MISREAD * robust_sd(rest[seen])
    return np.where(far, np.nan, values)


def _rest(values: Floats, fixed: Floats) -> Floats:
    """Return what the fixed columns leave of the measured values, NaN elsewhere."""
    seen = np.isfinite(values)
    out = np.full(len(values), np.nan)
    if seen.any():
        part = fixed[seen]
        out[seen] = values[seen] - part @ np.linalg.lstsq(part, values[seen], rcond=1e-8)[0]
    return out


def column(values: Floats, sds: Floats, *, like: Level) -> Column:
    """Level one measure as an outcome was.

    Parameters
    ----------
    values, sds
        The measure and its error, shot by shot, float64 [shot] [SI]; NaN where not measured.
    like
        The outcome it is set beside.
    """
    seen = np.isfinite(values) & np.isfinite(sds)
    rest = np.where(seen, np.nan_to_num(_rest(like.weight * values, like.fixed)), 0.0)
    error = np.where(seen, like.weight * np.nan_to_num(sds), 0.0)
    spare = max(int(seen.sum()) - like.fixed.shape[1], 1)
    own = max(float(np.sum(rest**2) - np.sum(error**2)) / spare, 0.0)
    count = np.where(seen, own / (own + error**2), 0.0) if own > 0.0 else seen.astype(float)
    shown = np.sum(like.turn**2, axis=0)
    weighed, levelled = like.turn @ (count * rest), like.turn @ rest
    noise = shown * count * error**2
    total, squares = float(weighed @ levelled), float(weighed @ levelled - noise.sum())
    own_sd = float(np.sqrt(max(squares, 0.0) / max(float(np.sum(shown * count)), 1e-12)))
    return Column(
        rest=rest,
        noise=error**2,
        weighed=weighed,
        levelled=levelled,
        error=noise,
        shots=int(seen.sum()),
        own_sd=own_sd,
        reliability=max(squares, 0.0) / total if total > 0.0 else 0.0,
    )


def slope(outcome: Floats, measure: Column, *, own_share: float, free: int) -> Slope:
    """Return the slope with the measure's error taken off, and its standard error.

    Parameters
    ----------
    outcome
        Levelled, of unit scatter, float64 [shot].
    measure
        The levelled measure; must be ``seen``.
    own_share
        The outcome's own scatter as a share of all its scatter, film error included.
    free
        Degrees of freedom left.

    Notes
    -----
    Derived: E[Σ weighed·(outcome − β·levelled) + β·error] = 0 at the true β; the error is the
    empirical (sandwich) one of that equation, so that it counts the doubt about the measure's own
    scatter too. Outcomes far from the line are drawn in.
    """
    squares = measure.own_squares
    beta = float(measure.weighed @ drawn_in(outcome)) / squares
    for _ in range(3):
        line = beta * measure.levelled
        beta = float(measure.weighed @ (line + drawn_in(outcome - line))) / squares
    rest = outcome - beta * measure.levelled
    near = drawn_in(rest)
    # a shot pulls the line toward itself, so that its own distance from it is too small
    pull = np.clip(measure.weighed * measure.levelled / squares, 0.0, 0.5)
    score = (measure.weighed * near + beta * measure.error) / (1.0 - pull)
    se = float(np.sqrt(np.sum(score**2) * len(outcome) / max(free - 1, 1)))
    se /= squares * float(np.mean(near == rest))
    unit = measure.own_sd / own_share
    return Slope(value=beta * unit, se=se * unit, free=free)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shrunken:
    """A slope after shrinking: normal, in the outcome's own spread per own spread."""

    value: float
    sd: float

    def within(self, size: float) -> float:
        """Return the chance that the slope is smaller than ``size`` either way."""
        ends = special.ndtr((np.array([-size, size]) - self.value) / self.sd)
        return float(ends[1] - ends[0])

    def estimate(self, unit: float) -> Estimate:
        """Return value and ranges, times a unit."""
        ends = self.value + self.sd * special.ndtri(_ENDS)
        low95, low80, low50, high50, high80, high95 = (float(unit * x) for x in ends)
        return Estimate(
            value=unit * self.value, low50=low50, high50=high50,
            low80=low80, high80=high80, low95=low95, high95=high95,
        )  # fmt: skip


_ENDS = np.array([0.025, 0.1, 0.25, 0.75, 0.9, 0.975])


def shrunken(found: Slope) -> Shrunken:
    """Shrink a slope by what is believed of any measure.

    Notes
    -----
    Derived: normal likelihood, normal prior around no link. The likelihood is widened to the
    second moment of Student's t with the degrees of freedom left.
    """
    variance = found.se**2 * found.free / max(found.free - 2.0, 1.0)
    pull = USUAL_SIZE**2 / (USUAL_SIZE**2 + variance)
    return Shrunken(value=pull * found.value, sd=float(np.sqrt(pull * variance)))
