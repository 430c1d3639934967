"""A trial is planned before the first shot, and what is settled then stays."""

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.actions.checks import (
    LONGEST_NOTE,
    at_field,
    check_day,
    checked_text,
    checked_who,
)
from hoopwright.actions.editing import note_added, note_changed, note_removed
from hoopwright.actions.trials.foretelling import foretold_text
from hoopwright.court.frame import check_spot
from hoopwright.errors import BadInput, Conflict, NotFound
from hoopwright.records import Player, Spot
from hoopwright.store import people
from hoopwright.store import trials as stored
from hoopwright.store.trials import StoredTrial, TrialState
from hoopwright.trials import design
from hoopwright.trials.nouns import Layout, Question, TrialPlan

#: most spots and other changes that one trial can name
MOST_SPOTS, MOST_OTHERS = 12, 10


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialWish:
    """What a trial is asked for."""

    #: made by the client, so that sending twice plans one trial
    id: UUID
    player_id: UUID
    question: Question
    #: None: as usual for the question's topic
    layout: Layout | None = None
    #: date of its first day
    start: date
    #: the order follows from it; None: drawn from the id
    seed: int | None = None
    #: shots of later days do not count; None where no date is settled
    stop_day: date | None = None


def plan_trial(session: Session, wish: TrialWish, *, who: str) -> StoredTrial:
    """Plan a trial and keep what was said beforehand that it can tell; sent twice, it is one trial.

    Raises
    ------
    BadInput
        Something in it can't be right, or makes no trial.
    Conflict
        The id stands for another trial.
    NotFound
        There is no such player.
    """
    by = checked_who(who)
    player = people.get_player(session, wish.player_id)
    plan = _plan(wish, player)
    try:
        known = stored.get_trial(session, wish.id)
    except NotFound:
        trial = StoredTrial(
            plan=plan, player_id=player.id, stop_day=wish.stop_day,
            foretold=foretold_text(session, player, plan),
            planned_at=datetime.now(UTC), planned_by=by,
        )  # fmt: skip
        stored.add_trial(session, trial)
        note_added(session, [trial], who=who, player_id=player.id)
        return trial
    first = design.plan_trial(
        known.plan.question, known.plan.layout, start=known.plan.start, seed=known.plan.seed,
        trial_id=known.id,
    )  # fmt: skip
    # it may have been made longer since it was first sent
    if (first, known.player_id, known.stop_day) != (plan, player.id, wish.stop_day):
        raise Conflict("This id already stands for another trial; send it under a new id.")
    return known


def extend_trial(
    session: Session, trial_id: UUID, *, pairs: int, planned: int, who: str
) -> StoredTrial:
    """Add pairs (or fours) of blocks to a trial side by side; sent twice, it adds them once.

    Parameters
    ----------
    pairs
        How many to add.
    planned
        How many the page showed when this was asked for.

    Raises
    ------
    BadInput
        The trial is in phases or was stopped, or ``pairs`` is not above zero.
    NotFound
        There is no such trial.
    """
    if pairs < 1:
        raise BadInput("Say how many pairs to add: one or more.", field="pairs")
    before = stored.get_trial(session, trial_id, lock=True)
    check_goes_on(before)
    now = before.plan.layout.pairs + before.plan.added
    if now >= planned + pairs:
        return before
    after = replace(before, plan=design.extended(before.plan, pairs=planned + pairs - now))
    return _keep(session, before, after, who=who)


def stop_trial(session: Session, trial_id: UUID, *, reason: str, who: str) -> StoredTrial:
    """Stop a trial: no further block is begun, and what was shot stays readable.

    Raises
    ------
    BadInput
        No reason is given.
    NotFound
        There is no such trial.
    """
    why = checked_text(reason, what="The reason", field="reason", needed=True, longest=LONGEST_NOTE)
    before = stored.get_trial(session, trial_id, lock=True)
    after = replace(before, state=TrialState.STOPPED, note=why)
    return before if before.state is TrialState.STOPPED else _keep(session, before, after, who=who)


def remove_trial(session: Session, trial_id: UUID, *, who: str) -> StoredTrial:
    """Remove a trial with its looks; its shots stay in their workouts, and the log keeps the plan.

    Raises
    ------
    NotFound
        There is no such trial.
    """
    before = stored.get_trial(session, trial_id)
    stored.delete_trial(session, trial_id)
    note_removed(session, before, who=who, player_id=before.player_id)
    return before


def check_goes_on(trial: StoredTrial) -> None:
    """Raise BadInput unless blocks may still be added to a trial or begun."""
    if trial.state in (TrialState.STOPPED, TrialState.ENDED):
        raise BadInput("This trial is over; plan a new one to go on.")


def _keep(session: Session, before: StoredTrial, after: StoredTrial, *, who: str) -> StoredTrial:
    stored.set_trial(session, after)
    note_changed(session, before, who=who, player_id=before.player_id)
    return after


def _plan(wish: TrialWish, player: Player) -> TrialPlan:
    check_day(wish.start)
    if wish.stop_day is not None and wish.stop_day < wish.start:
        raise BadInput("The stop date is before the first day; choose a later one.", field="stop")
    question = _checked(wish.question, player)
    layout = wish.layout or design.layout_for(question.topic)
    seed = wish.id.int % 2**31 if wish.seed is None else wish.seed
    if not 0 <= seed < 2**53:
        raise BadInput("The seed must be a whole number from 0 on, up to 16 digits.", field="seed")
    return design.plan_trial(question, layout, start=wish.start, seed=seed, trial_id=wish.id)


def _checked(question: Question, player: Player) -> Question:
    if len(question.spots) > MOST_SPOTS:
        raise BadInput(f"A trial has at most {MOST_SPOTS} spots; choose fewer.", field="spots")
    if len(question.also_changed) > MOST_OTHERS:
        raise BadInput("A trial is about one change; name at most ten others.", field="also")
    return replace(
        question,
        what=checked_text(question.what, what="The question", field="what", longest=LONGEST_NOTE),
        change=checked_text(question.change, what="The change", field="change", needed=True),
        habit=checked_text(question.habit, what="The habit", field="habit", needed=True),
        spots=tuple(_spot(one, player) for one in question.spots),
        also_changed=tuple(
            checked_text(one, what="What else was changed", field="also", needed=True)
            for one in question.also_changed
        ),
    )


def _spot(spot: Spot, player: Player) -> Spot:
    with at_field("spots"):
        check_spot(spot.x, spot.y, player.rules)
    name = checked_text(spot.name, what="The spot's name", field="spots", needed=True)
    return replace(spot, name=name)
