"""What a trial says so far; every look that was asked for is kept."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.actions.checks import checked_who
from hoopwright.actions.trials.collecting import collect
from hoopwright.actions.trials.views import TrialView, view_trial
from hoopwright.errors import BadInput
from hoopwright.store import trials as stored
from hoopwright.store.trials import KeptLook
from hoopwright.trials import analyse
from hoopwright.trials.design import check_plan
from hoopwright.trials.nouns import BlockResult, Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialReading:
    """A trial and its verdict."""

    view: TrialView
    #: None where there is nothing to compare yet
    verdict: Verdict | None
    #: one sentence: what is still missing for a verdict; "" where there is one
    missing: str
    #: whether the order of the blocks follows from the seed that was kept
    order_checked: bool


def read_trial(session: Session, trial_id: UUID) -> TrialReading:
    """Return what a trial says so far; nothing is kept.

    Raises
    ------
    NotFound
        There is no such trial.
    """
    return reading_of(session, view_trial(session, trial_id))[0]


def look_at_trial(session: Session, trial_id: UUID, *, who: str) -> TrialReading:
    """Return what a trial says so far, and keep the look; one that says nothing new is not kept.

    Raises
    ------
    NotFound
        There is no such trial.
    """
    by = checked_who(who)
    stored.get_trial(session, trial_id, lock=True)
    reading = read_trial(session, trial_id)
    if reading.verdict is not None:
        before = stored.looks_of(session, trial_id)
        if not before or before[-1].verdict != reading.verdict:
            look = KeptLook(
                trial_id=trial_id, number=len(before) + 1, at=datetime.now(UTC), who=by,
                verdict=reading.verdict,
            )  # fmt: skip
            stored.add_look(session, look)
    return reading


def looks_at(session: Session, trial_id: UUID) -> list[KeptLook]:
    """Return the kept looks at a trial, first to last.

    Raises
    ------
    NotFound
        There is no such trial.
    """
    stored.get_trial(session, trial_id)
    return stored.looks_of(session, trial_id)


def reading_of(session: Session, view: TrialView) -> tuple[TrialReading, Sequence[BlockResult]]:
    """Return the reading of a trial and what it was read from."""
    plan = view.trial.plan
    found = collect(session, view)
    verdict, missing = None, ""
    try:
        verdict = analyse.read_trial(plan, found.results, earlier=found.earlier)
    except BadInput as trouble:
        missing = trouble.message
    reading = TrialReading(
        view=view, verdict=verdict, missing=missing, order_checked=check_plan(plan)
    )
    return reading, found.results
