"""When practice goes on to the next stage: by fixed-attempt tests, never by makes-until."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from scipy import stats

from hoopwright.plans.nouns import PracticeTest, Stage, TakenTest, Target
from hoopwright.plans.targets import beta_of

#: attempts of cold tests, taken together, from which a stage may be judged; common practice
FEWEST = 20
#: below this chance under the player's own range practice stays at the stage, and steps back
STAY_BELOW, BACK_BELOW = 0.10, 0.01

STAGES = tuple(Stage)


class Step(StrEnum):
    """What the tests of a stage say."""

    GO_ON = "go on"
    STAY = "stay"
    BACK = "step back"
    CANNOT_TELL = "can't tell yet"


@dataclass(frozen=True, slots=True, kw_only=True)
class StageCall:
    """What to do about the stage, and from what."""

    step: Step
    #: of the cold tests read
    made: int
    shots: int
    #: makes from which practice goes on; None where the player has no expected share yet
    needed: int | None
    #: attempts still needed to say
    shots_needed: int


def call_stage(target: Target, taken: Sequence[TakenTest], *, since: date) -> StageCall:
    """Say whether to go on to the next stage.

    Parameters
    ----------
    target
        What the player's own chart expects of the cold test.
    taken
        Tests that were done; only cold tests are read.
    since
        First day of the stage; the first visit's cold test, which comes before any practice of the
        stage, is read too, as it is of the same shot.

    Notes
    -----
    Practice goes on unless the makes are fewer than nine in ten players of this expected share
    would have (the 10 % point of the beta-binomial): a player who shoots as charted is held back
    once in ten at most. It steps back where they are fewer than 1 in 100 would have. Without an
    expected share it goes on after ``FEWEST`` attempts, since there is nothing to hold it against.
    """
    cold = [one for one in taken if one.kind is PracticeTest.COLD and one.day >= since]
    shots, made = sum(one.shots for one in cold), sum(one.made for one in cold)
    if shots < FEWEST:
        return StageCall(
            step=Step.CANNOT_TELL, made=made, shots=shots, needed=None, shots_needed=FEWEST - shots
        )
    if target.expected is None:
        return StageCall(step=Step.GO_ON, made=made, shots=shots, needed=None, shots_needed=0)
    a, b = beta_of(target.expected)
    stay, back = (int(stats.betabinom.ppf(q, shots, a, b)) for q in (STAY_BELOW, BACK_BELOW))
    step = Step.GO_ON if made >= stay else Step.STAY if made >= back else Step.BACK
    return StageCall(step=step, made=made, shots=shots, needed=stay, shots_needed=0)


def stage_after(stage: Stage, step: Step) -> Stage:
    """Return the stage that follows; the first and the last are not left."""
    move = {Step.GO_ON: 1, Step.BACK: -1}.get(step, 0)
    return STAGES[min(max(STAGES.index(stage) + move, 0), len(STAGES) - 1)]
