"""What the reports of one player are made from: everything known on one day, frozen."""

from dataclasses import dataclass
from datetime import date

from hoopwright.chart.findings import ConditionReading, Findings
from hoopwright.load.nouns import Caution, Flag, LoadEntry, Severity
from hoopwright.plans.nouns import Focus, PlanSession, PracticePlan, PracticeTest
from hoopwright.plans.progress import StageCall
from hoopwright.records import Player, ShotSet
from hoopwright.transfer.nouns import AnnouncedChange
from hoopwright.transfer.progress import PlaceLine
from hoopwright.transfer.ratio import RatioReading
from hoopwright.transfer.transferred import Transfer
from hoopwright.trials.nouns import Said, TrialPlan, Verdict

#: from this age on a player is grown up, and no report goes to the family; local law may differ
GROWN_UP = 18


@dataclass(frozen=True, slots=True, kw_only=True)
class TriedChange:
    """One trial so far."""

    plan: TrialPlan
    #: None where there is nothing to compare yet
    verdict: Verdict | None
    #: one sentence: what is still missing for a verdict; "" where there is one
    missing: str
    #: True while blocks are still to be shot
    going: bool
    blocks_done: int

    @property
    def said(self) -> Said:
        """What it says so far."""
        return Said.CANNOT_TELL if self.verdict is None else self.verdict.said


@dataclass(frozen=True, slots=True, kw_only=True)
class ComingTest:
    """A test that is booked and was not taken."""

    day: date
    kind: PracticeTest
    shots: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanSoFar:
    """The practice plan that goes on."""

    plan: PracticePlan
    visits_done: int
    #: the first visit that nothing was written down of
    coming: PlanSession | None
    #: from today on, by date
    tests: tuple[ComingTest, ...]
    #: whether to go on from the stage; None where no visit is to come
    call: StageCall | None


@dataclass(frozen=True, slots=True, kw_only=True)
class InGames:
    """Whether an announced change shows in games."""

    change: AnnouncedChange
    #: None where there is nothing to compare yet
    transfer: Transfer | None
    #: one sentence: what is still missing; "" where there is an answer
    missing: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadSoFar:
    """What was done, what hurts, and what to be careful about."""

    #: careful age in whole years; None where the year of birth isn't told
    age: int | None
    #: of the last year, oldest first
    entries: tuple[LoadEntry, ...] = ()
    flags: tuple[Flag, ...] = ()
    #: stops first
    cautions: tuple[Caution, ...] = ()

    @property
    def stops(self) -> tuple[Caution, ...]:
        """Why the player does not practise today."""
        return tuple(one for one in self.cautions if one.severity is Severity.STOP)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Material:
    """All that is known of one player on one day."""

    player: Player
    #: the day the report is of
    day: date
    #: days with charted shots, oldest first
    days: tuple[date, ...] = ()
    sets: tuple[ShotSet, ...] = ()
    #: None where nothing is charted yet
    findings: Findings | None = None
    #: what a plan could be about, the one most likely to pay first
    choices: tuple[Focus, ...] = ()
    #: newest first
    trials: tuple[TriedChange, ...] = ()
    plan: PlanSoFar | None = None
    #: a line for each place tested
    progress: tuple[PlaceLine, ...] = ()
    ratios: tuple[RatioReading, ...] = ()
    #: games the player has attempts in
    games: int = 0
    #: newest first
    in_games: tuple[InGames, ...] = ()
    load: LoadSoFar
    #: clips of the player that are kept
    films: int = 0

    @property
    def habit(self) -> ConditionReading | None:
        """The reading of the player's usual way, else of the first way charted."""
        if self.findings is None or not self.findings.conditions:
            return None
        habit = [one for one in self.findings.conditions if not one.condition]
        return (habit or list(self.findings.conditions))[0]

    @property
    def focus(self) -> Focus | None:
        """The one thing to work on: the plan's, else the one most likely to pay.

        None while a trial goes on without a plan: then two ways are shot in turn.
        """
        if self.plan is not None:
            return self.plan.plan.focus
        return None if self.going is not None else next(iter(self.choices), None)

    @property
    def minor(self) -> bool:
        """Tell whether the player counts as a child: also where the age isn't known."""
        return self.load.age is None or self.load.age < GROWN_UP

    @property
    def going(self) -> TriedChange | None:
        """The newest trial that goes on."""
        return next((one for one in self.trials if one.going), None)

    @property
    def shots(self) -> int:
        """All shots charted."""
        return sum(len(one.shots) for one in self.sets)
