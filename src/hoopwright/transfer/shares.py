"""A make percentage known only so well, in practice or in games."""

from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import NDArray
from scipy import special, stats

from hoopwright.errors import BadInput
from hoopwright.records import Estimate

Floats = NDArray[np.float64]

#: chance left out at either end of a grid
_TAIL = 1e-7


@dataclass(frozen=True, slots=True, kw_only=True)
class PracticeShare:
    """What practice says of one kind of shot: a share made and its error, kept as a beta."""

    #: 0 to 1, ends left out
    mean: float
    #: one standard deviation
    sd: float

    def __post_init__(self) -> None:
        if not 0.0 < self.mean < 1.0 or not 0.0 < self.sd**2 < self.mean * (1 - self.mean):
            raise BadInput(
                "A practice percentage must lie between 0 and 100 with an error above zero; "
                "enter makes and attempts."
            )

    @classmethod
    def from_counts(cls, made: int, attempts: int) -> Self:
        """Return the share behind counts, every share being as likely before.

        Raises
        ------
        BadInput
            There are no attempts, or more makes than attempts.
        """
        if attempts < 1 or not 0 <= made <= attempts:
            raise BadInput(
                f"{made} made of {attempts} practice attempts can't be; correct one of the two."
            )
        known = stats.beta(made + 1, attempts - made + 1)
        return cls(mean=float(known.mean()), sd=float(known.std()))

    @classmethod
    def from_draws(cls, draws: Floats) -> Self:
        """Return the share behind draws of it, as a chart's reading gives, float64 [draw]."""
        return cls(mean=float(np.mean(draws)), sd=float(np.std(draws)))

    @property
    def beta(self) -> tuple[float, float]:
        """The two parameters of the beta of this mean and error."""
        weight = self.mean * (1 - self.mean) / self.sd**2 - 1
        return self.mean * weight, (1 - self.mean) * weight

    def grid(self, step: float) -> tuple[Floats, Floats]:
        """Return shares and their chances, float64 [share] each, that sum to 1.

        Parameters
        ----------
        step
            Finest step wanted, in the log of the share.
        """
        a, b = self.beta
        ends = np.clip(stats.beta.ppf([_TAIL, 1 - _TAIL], a, b), 1e-9, 1 - 1e-9)
        low, high = special.logit(ends)
        count = int(np.clip(np.ceil((high - low) * (1 - self.mean) / step), 48, 400))
        at = special.expit(np.linspace(low, high, count))
        # density over the logit: one more power of share and of its rest than over the share
        logs = a * np.log(at) + b * np.log1p(-at)
        chance = np.exp(logs - logs.max())
        return at, chance / chance.sum()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GameShare:
    """How likely each game percentage is: shares in order and their chances, which sum to 1."""

    #: float64 [share]
    shares: Floats
    #: float64 [share]
    chances: Floats

    @property
    def mean(self) -> float:
        """The share to expect."""
        return float(self.shares @ self.chances)

    @property
    def sd(self) -> float:
        """Its error, one standard deviation."""
        return float(np.sqrt((self.shares - self.mean) ** 2 @ self.chances))

    @property
    def estimate(self) -> Estimate:
        """The share with its ranges."""
        return Estimate.from_draws(self.shares, self.chances)
