"""Trials: their plans, which sets their blocks became, and every look at them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Any
from uuid import UUID, uuid5

from sqlalchemy import Row, Select, delete, insert, select, update
from sqlalchemy.orm import Session

from hoopwright.errors import NotFound
from hoopwright.store.batches import batches
from hoopwright.store.people import name_key
from hoopwright.store.tables import players, trial_blocks, trial_looks, trials
from hoopwright.trials.nouns import BodyMeasure, Measure, Said, TrialPlan, Verdict
from hoopwright.trials.written import (
    measure_key,
    plan_from_json,
    plan_to_json,
    verdict_from_json,
    verdict_to_json,
)


class TrialState(StrEnum):
    """How far a trial is."""

    PLANNED = "planned"
    RUNNING = "running"
    #: all its blocks were shot, or its stop date has come
    ENDED = "ended"
    #: given up before
    STOPPED = "stopped"


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredTrial:
    """One player's trial; its id is its plan's."""

    plan: TrialPlan
    player_id: UUID
    state: TrialState = TrialState.PLANNED
    #: settled beforehand: shots of later days do not count; None where none was settled
    stop_day: date | None = None
    #: what was said before the start that it can and can't tell, as text
    foretold: str = ""
    planned_at: datetime
    planned_by: str
    #: why it was stopped
    note: str = ""

    @property
    def id(self) -> UUID:
        """Id of the plan."""
        return self.plan.id


@dataclass(frozen=True, slots=True, kw_only=True)
class BegunBlock:
    """A block that became a set of a workout."""

    trial_id: UUID
    #: of the block, from 1
    number: int
    set_id: UUID
    begun_at: datetime
    #: None until all its shots are there or somebody says that it is over
    done_at: datetime | None = None

    @property
    def id(self) -> UUID:
        """An id for the log of changes, the same each time."""
        return uuid5(self.trial_id, f"block {self.number}")


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptLook:
    """One look at a trial, and what it said then."""

    trial_id: UUID
    #: order, from 1
    number: int
    at: datetime
    who: str
    verdict: Verdict

    @property
    def said(self) -> Said:
        """The verdict in one of five words."""
        return self.verdict.said


def get_trial(session: Session, trial_id: UUID, *, lock: bool = False) -> StoredTrial:
    """Return one trial.

    Parameters
    ----------
    lock
        Make other writers of this trial wait until this transaction ends.

    Raises
    ------
    NotFound
        There is no such trial.
    """
    asked = select(trials).where(trials.c.id == trial_id)
    row = session.execute(asked.with_for_update() if lock else asked).one_or_none()
    if row is None:
        raise NotFound("That trial is not in the store; it may have been removed.")
    return _from_row(row)


def list_trials(session: Session, player_id: UUID) -> list[StoredTrial]:
    """Return a player's trials, newest first."""
    return _in_order(session, select(trials).where(trials.c.player_id == player_id))


def trials_alike(
    session: Session, change: str, measure: Measure | BodyMeasure, *, coach: str
) -> list[StoredTrial]:
    """Return the trials of one change by one measure over all players of a coach, newest first."""
    asked = select(trials).join(players, players.c.id == trials.c.player_id)
    return _in_order(
        session,
        asked.where(
            trials.c.change_key == name_key(change),
            trials.c.measure == measure_key(measure),
            players.c.coach == coach,
        ),
    )


def add_trial(session: Session, trial: StoredTrial) -> None:
    """Add a row."""
    session.execute(insert(trials).values(_to_row(trial)))


def set_trial(session: Session, trial: StoredTrial) -> None:
    """Write a trial's row anew; its blocks and looks stay."""
    session.execute(update(trials).where(trials.c.id == trial.id).values(_to_row(trial)))


def delete_trial(session: Session, trial_id: UUID) -> None:
    """Delete a trial with its looks; the sets of its blocks stay."""
    session.execute(delete(trials).where(trials.c.id == trial_id))


def begun_blocks(session: Session, trial_ids: Sequence[UUID]) -> dict[UUID, list[BegunBlock]]:
    """Return the begun blocks of some trials, in order, by the trial's id."""
    found: dict[UUID, list[BegunBlock]] = {one: [] for one in trial_ids}
    for ids in batches(trial_ids):
        asked = select(trial_blocks).where(trial_blocks.c.trial_id.in_(ids))
        for row in session.execute(asked.order_by(trial_blocks.c.number)):
            found[row.trial_id].append(_block(row))
    return found


def block_of_set(session: Session, set_id: UUID) -> BegunBlock | None:
    """Return the block that a set is, or None where it is of no trial."""
    asked = select(trial_blocks).where(trial_blocks.c.set_id == set_id)
    row = session.execute(asked).one_or_none()
    return None if row is None else _block(row)


def add_block(session: Session, block: BegunBlock) -> None:
    """Note that a block became a set."""
    row = {
        "trial_id": block.trial_id,
        "number": block.number,
        "set_id": block.set_id,
        "begun_at": block.begun_at,
        "done_at": block.done_at,
    }
    session.execute(insert(trial_blocks).values(row))


def set_block_done(session: Session, block: BegunBlock) -> None:
    """Write down when a block was over."""
    here = (trial_blocks.c.trial_id == block.trial_id, trial_blocks.c.number == block.number)
    session.execute(update(trial_blocks).where(*here).values(done_at=block.done_at))


def looks_of(session: Session, trial_id: UUID) -> list[KeptLook]:
    """Return the looks at a trial, first to last."""
    asked = select(trial_looks).where(trial_looks.c.trial_id == trial_id)
    return [
        KeptLook(
            trial_id=row.trial_id, number=row.number, at=row.at, who=row.who,
            verdict=verdict_from_json(row.verdict),
        )
        for row in session.execute(asked.order_by(trial_looks.c.number))
    ]  # fmt: skip


def last_said(session: Session, trial_ids: Sequence[UUID]) -> dict[UUID, Said]:
    """Return what the last look at each of some trials said, by the trial's id."""
    found: dict[UUID, Said] = {}
    for ids in batches(trial_ids):
        asked = select(trial_looks.c.trial_id, trial_looks.c.said)
        asked = asked.where(trial_looks.c.trial_id.in_(ids)).order_by(trial_looks.c.number)
        for trial_id, said in session.execute(asked):
            found[trial_id] = Said(said)
    return found


def add_look(session: Session, look: KeptLook) -> None:
    """Keep a look; it is never changed."""
    row = {
        "trial_id": look.trial_id,
        "number": look.number,
        "at": look.at,
        "who": look.who,
        "said": look.said.value,
        "verdict": verdict_to_json(look.verdict),
    }
    session.execute(insert(trial_looks).values(row))


def _in_order(session: Session, asked: Select[Any]) -> list[StoredTrial]:
    rows = session.execute(asked.order_by(trials.c.planned_at.desc(), trials.c.id))
    return [_from_row(row) for row in rows]


def _to_row(trial: StoredTrial) -> dict[str, object]:
    question = trial.plan.question
    return {
        "id": trial.id,
        "player_id": trial.player_id,
        "change_key": name_key(question.change),
        "measure": measure_key(question.measure),
        "plan": plan_to_json(trial.plan),
        "state": trial.state.value,
        "stop_day": trial.stop_day,
        "foretold": trial.foretold,
        "planned_at": trial.planned_at,
        "planned_by": trial.planned_by,
        "note": trial.note,
    }


def _from_row(row: Row[Any]) -> StoredTrial:
    return StoredTrial(
        plan=plan_from_json(row.plan), player_id=row.player_id, state=TrialState(row.state),
        stop_day=row.stop_day, foretold=row.foretold, planned_at=row.planned_at,
        planned_by=row.planned_by, note=row.note,
    )  # fmt: skip


def _block(row: Row[Any]) -> BegunBlock:
    return BegunBlock(
        trial_id=row.trial_id, number=row.number, set_id=row.set_id,
        begun_at=row.begun_at, done_at=row.done_at,
    )  # fmt: skip
