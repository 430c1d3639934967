"""A difference with its range → one of the five words."""

from hoopwright.records import Estimate
from hoopwright.trials.nouns import Said


def said_of(difference: Estimate) -> Said:
    """Return what a difference, + better, says: by whether its ranges leave out zero.

    Clear where the 95 % range does, leaning where only the 80 % range does.
    """
    if difference.low95 > 0:
        return Said.BETTER
    if difference.high95 < 0:
        return Said.WORSE
    if difference.low80 > 0:
        return Said.LEANING_BETTER
    return Said.LEANING_WORSE if difference.high80 < 0 else Said.CANNOT_TELL
