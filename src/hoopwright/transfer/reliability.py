"""How many attempts before a percentage says something of the player, not of luck.

Of players whose true shares differ by a standard deviation σ around p, the percentages of n
attempts differ by σ² of truth and p(1−p)/n of luck, so that the part that is truth, which is also
the correlation of two such runs, is n / (n + p(1−p)/σ²). The rest falls back to the mean in the
next run: regression to the mean.

References
----------
The formula of a test lengthened n-fold: [Spearman1910]_. Standard deviations of
true shares: threes of professionals 2.7 points, from their split-half reliability of 0.7 at about
750 attempts (seen on a public page); free throws 9 points, from memory.
"""

import math
from dataclasses import dataclass

from hoopwright.errors import BadInput
from hoopwright.transfer.nouns import Band


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """How a group's true shares lie."""

    #: share made by the middle player
    mean: float
    #: one standard deviation between players, 0 to 0.5
    sd: float

    def __post_init__(self) -> None:
        if not 0.0 < self.mean < 1.0 or not 0.0 < self.sd < 0.5:
            raise BadInput(
                "The middle of a group must lie between 0 and 1 and its spread between 0 and 0.5; "
                "check that they are shares, not percentages."
            )

    @property
    def half_told(self) -> float:
        """Attempts at which half of what is seen is truth."""
        return self.mean * (1 - self.mean) / self.sd**2


#: professional threes; a mixed youth group differs by more, and is told apart sooner
THREES = Spread(mean=0.355, sd=0.0267)
#: free throws of a league
FREE_THROWS = Spread(mean=0.75, sd=0.09)
#: reliability from which a percentage is usually said to be one; common practice, no source
ENOUGH = 0.7


def reliability(attempts: float, spread: Spread) -> float:
    """Return the part of the differences between players' percentages that is truth, 0 to 1."""
    return attempts / (attempts + spread.half_told)


def attempts_for(wanted: float, spread: Spread) -> int:
    """Return the fewest attempts that reach a reliability.

    Raises
    ------
    BadInput
        It is not between 0 and 1.
    """
    if not 0.0 < wanted < 1.0:
        raise BadInput("Reliability lies between 0 and 1; ask for 0.7, say.")
    return math.ceil(spread.half_told * wanted / (1 - wanted))


def expected_next(share: float, attempts: float, spread: Spread) -> float:
    """Return the share to expect of the next attempts, after luck has evened out.

    Parameters
    ----------
    share
        Seen so far, 0 to 1.
    attempts
        It was seen over.
    spread
        The group the player belongs to.
    """
    return spread.mean + reliability(attempts, spread) * (share - spread.mean)


def spread_for(band: Band) -> Spread | None:
    """Return the published spread for a kind of shot, None where none was found."""
    return {Band.THREE: THREES, Band.FREE_THROW: FREE_THROWS}.get(band)
