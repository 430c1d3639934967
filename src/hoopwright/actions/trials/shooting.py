"""The blocks of a trial become ordinary sets of workouts, so that findings read them too."""

from dataclasses import replace
from datetime import UTC, date, datetime
from uuid import UUID, uuid5

from sqlalchemy.orm import Session

from hoopwright.actions.checks import check_day
from hoopwright.actions.editing import note_added, note_changed
from hoopwright.actions.load import check_may_practise
from hoopwright.actions.shots import add_set
from hoopwright.actions.trials.planning import check_goes_on
from hoopwright.actions.visits import visit_on
from hoopwright.errors import BadInput, Conflict, NotFound
from hoopwright.records import MissDetail, Player, Purpose, ShotSet
from hoopwright.store import people, workouts
from hoopwright.store import trials as stored
from hoopwright.store.trials import BegunBlock, StoredTrial, TrialState
from hoopwright.trials.nouns import Arm, Block, Phase


def begin_block(
    session: Session,
    trial_id: UUID,
    *,
    number: int,
    set_id: UUID,
    on: date,
    who: str,
    detail: MissDetail = MissDetail.ONE,
) -> ShotSet:
    """Begin a block: it becomes a set of the player's workout of that day; sent twice, it is one.

    Parameters
    ----------
    number
        Of the block, from 1.
    set_id
        Id of the set, made by the client.
    on
        The day.
    detail
        How finely misses are noted.

    Raises
    ------
    BadInput
        There is no such block, the trial is over or past its stop date, or the player is not to
        practise that day.
    Conflict
        The block was begun under another id, or the id stands for another set.
    NotFound
        There is no such trial.
    """
    check_day(on)
    trial = stored.get_trial(session, trial_id, lock=True)
    block = trial.plan.block(number)
    begun = {b.number: b for b in stored.begun_blocks(session, [trial_id])[trial_id]}
    if number in begun:
        return _again(session, begun[number], set_id)
    _check_may_begin(session, trial, on)
    player = people.get_player(session, trial.player_id)
    workout_id = visit_on(session, player.id, on, new_id=uuid5(trial_id, f"visit {on}"), who=who)
    wanted = _set_of(trial, block, player, set_id=set_id, workout_id=workout_id)
    made = add_set(session, replace(wanted, miss_detail=detail), who=who)
    _link(session, trial, block, set_id, who=who)
    return made


def finish_block(session: Session, trial_id: UUID, *, number: int, who: str) -> BegunBlock:
    """Say that a block is over, though not all its shots were taken; said twice, it is once.

    Raises
    ------
    BadInput
        None of its shots that count was taken.
    NotFound
        There is no such trial, or the block was not begun.
    """
    trial = stored.get_trial(session, trial_id, lock=True)
    begun = {b.number: b for b in stored.begun_blocks(session, [trial_id])[trial_id]}
    if number not in begun:
        raise NotFound(f"Block {number} was not begun yet; begin it first.")
    before = begun[number]
    if before.done_at is not None:
        return before
    shots = len(workouts.get_set(session, before.set_id).shots)
    if shots <= trial.plan.block(number).washout:
        raise BadInput(
            f"Block {number} has no shot that counts yet; shoot it, or undo its shots and leave it."
        )
    after = replace(before, done_at=datetime.now(UTC))
    stored.set_block_done(session, after)
    note_changed(session, before, who=who, player_id=trial.player_id)
    return after


def _again(session: Session, begun: BegunBlock, set_id: UUID) -> ShotSet:
    if begun.set_id != set_id:
        raise Conflict(
            f"Block {begun.number} was begun already, perhaps on another phone; go on there."
        )
    return workouts.get_set(session, set_id)


def _check_may_begin(session: Session, trial: StoredTrial, on: date) -> None:
    check_goes_on(trial)
    if trial.stop_day is not None and on > trial.stop_day:
        raise BadInput(
            f"It was settled that this trial stops on {trial.stop_day}; plan a new one to go on.",
            field="day",
        )
    check_may_practise(session, trial.player_id, on)


def _set_of(
    trial: StoredTrial, block: Block, player: Player, *, set_id: UUID, workout_id: UUID
) -> ShotSet:
    question = trial.plan.question
    return ShotSet(
        id=set_id,
        workout_id=workout_id,
        position=0,
        spot=question.spots[block.spot],
        condition="" if block.arm is Arm.HABIT else question.change,
        ball_size=player.ball_size,
        ring_height=player.ring_height,
        purpose=Purpose.RETENTION_TEST if block.phase is Phase.DELAYED else Purpose.PRACTICE,
    )


def _link(session: Session, trial: StoredTrial, block: Block, set_id: UUID, *, who: str) -> None:
    if stored.block_of_set(session, set_id) is not None:
        raise Conflict("This set is another block already; send this one under a new id.")
    begun = BegunBlock(
        trial_id=trial.id, number=block.number, set_id=set_id, begun_at=datetime.now(UTC)
    )
    stored.add_block(session, begun)
    note_added(session, [begun], who=who, player_id=trial.player_id)
    if trial.state is TrialState.PLANNED:
        stored.set_trial(session, replace(trial, state=TrialState.RUNNING))
        note_changed(session, trial, who=who, player_id=trial.player_id)
