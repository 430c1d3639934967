"""What a search for links says: frozen results, no sentences."""

from dataclasses import dataclass
from enum import StrEnum

from hoopwright.film.results import Body
from hoopwright.records import Estimate


class Outcome(StrEnum):
    """What a measure may go with; the value is the name shown."""

    ALONG = "along"  # at the ring plane, + long [m]
    ACROSS = "across"  # at the ring plane, + right [m]
    SPEED = "release speed"  # [m/s]


class Said(StrEnum):
    """What may be said of one measure and one outcome."""

    WORTH_A_TRIAL = "worth a trial"
    NONE_SEEN = "no link seen"
    CANNOT_TELL = "can't tell yet"


class Way(StrEnum):
    """Which way a trial would move a measure."""

    MORE = "more"
    LESS = "less"
    STEADIER = "steadier"


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialIdea:
    """The trial that a link would start."""

    measure: Body
    #: more or less where that would bring the usual shot back; steadier where it is not off
    way: Way
    outcome: Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """One measure of the body beside one outcome."""

    measure: Body
    outcome: Outcome
    #: filmed shots in which both were measured
    shots: int
    #: share of the measure's own scatter that is the player's, not the film's, 0 to 1
    reliability: float
    #: the player's own scatter of the measure, the film's error taken off, one standard
    #: deviation [SI]; 0 where the film's error hides it
    own_sd: float
    #: change of the outcome for one own_sd more of the measure [SI], shrunken; None where the
    #: film's error hides the measure or there are too few shots
    slope: Estimate | None
    said: Said
    #: chance that so strong a link, anywhere among all that were looked at, comes by luck alone
    by_luck: float
    #: further filmed shots that would tell; None where none are needed or shots alone won't tell
    shots_needed: int | None = None
    #: True where even the most shots tried would not tell
    beyond: bool = False
    #: measures that move together with this one in this player: the link may be theirs
    together: tuple[Body, ...] = ()
    #: None unless worth a trial
    trial: TrialIdea | None = None
