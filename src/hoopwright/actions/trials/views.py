"""A trial as it is shown: its blocks in order, which are shot, what comes next."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.records import Player
from hoopwright.store import people, shots
from hoopwright.store import trials as stored
from hoopwright.store.trials import BegunBlock, StoredTrial, TrialState
from hoopwright.trials.design import OrderRow, order_rows
from hoopwright.trials.nouns import Block, Said


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockView:
    """One block: what is to be shot, and how far it is."""

    block: Block
    #: as the player reads it
    row: OrderRow
    #: the set it became; None where it was not begun
    begun: BegunBlock | None
    #: shots in that set so far
    shots: int

    @property
    def done(self) -> bool:
        """Tell whether it is over: all its shots are there, or somebody said so."""
        if self.begun is None:
            return False
        return self.begun.done_at is not None or self.shots >= self.block.total


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialView:
    """One trial and how far it is."""

    trial: StoredTrial
    player: Player
    blocks: tuple[BlockView, ...]
    #: what the last kept look said; None before the first
    last_said: Said | None

    @property
    def state(self) -> TrialState:
        """How far it is; over where every block is, whatever was written down."""
        if self.trial.state is TrialState.RUNNING and all(one.done for one in self.blocks):
            return TrialState.ENDED
        return self.trial.state

    @property
    def next_block(self) -> BlockView | None:
        """The first block that is not over; None where there is none, or the trial is."""
        if self.trial.state in (TrialState.STOPPED, TrialState.ENDED):
            return None
        return next((one for one in self.blocks if not one.done), None)

    @property
    def blocks_done(self) -> int:
        """How many blocks are over."""
        return sum(one.done for one in self.blocks)


def view_trial(session: Session, trial_id: UUID) -> TrialView:
    """Return one trial and how far it is.

    Raises
    ------
    NotFound
        There is no such trial.
    """
    trial = stored.get_trial(session, trial_id)
    (view,) = _views(session, [trial], people.get_player(session, trial.player_id))
    return view


def list_trials(session: Session, player_id: UUID) -> list[TrialView]:
    """Return a player's trials and how far they are, newest first.

    Raises
    ------
    NotFound
        There is no such player.
    """
    player = people.get_player(session, player_id)
    return _views(session, stored.list_trials(session, player_id), player)


def trial_rows(session: Session, trial_id: UUID) -> tuple[OrderRow, ...]:
    """Return the order to shoot in, block by block, for print.

    Raises
    ------
    NotFound
        There is no such trial.
    """
    return order_rows(stored.get_trial(session, trial_id).plan)


def block_of(session: Session, set_id: UUID) -> tuple[TrialView, BlockView] | None:
    """Return the trial and the block that a set is part of; None where it is of none."""
    begun = stored.block_of_set(session, set_id)
    if begun is None:
        return None
    view = view_trial(session, begun.trial_id)
    return view, next(one for one in view.blocks if one.block.number == begun.number)


def _views(session: Session, trials: Sequence[StoredTrial], player: Player) -> list[TrialView]:
    begun = stored.begun_blocks(session, [one.id for one in trials])
    counts = shots.count_shots(session, [b.set_id for some in begun.values() for b in some])
    said = stored.last_said(session, [one.id for one in trials])
    return [
        TrialView(
            trial=one,
            player=player,
            blocks=_blocks(one, begun[one.id], counts),
            last_said=said.get(one.id),
        )
        for one in trials
    ]


def _blocks(
    trial: StoredTrial, begun: Sequence[BegunBlock], counts: Mapping[UUID, int]
) -> tuple[BlockView, ...]:
    sets = {one.number: one for one in begun}
    return tuple(
        BlockView(
            block=block,
            row=row,
            begun=sets.get(block.number),
            shots=counts.get(sets[block.number].set_id, 0) if block.number in sets else 0,
        )
        for block, row in zip(trial.plan.blocks, order_rows(trial.plan), strict=True)
    )
