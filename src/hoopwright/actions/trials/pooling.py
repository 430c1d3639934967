"""One question over all players of a coach: whom the change helps, and whether it will the next."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

import numpy as np
from sqlalchemy.orm import Session

from hoopwright.actions.people import players_of
from hoopwright.actions.trials.reading import reading_of
from hoopwright.actions.trials.views import TrialView, list_trials
from hoopwright.errors import BadInput, NotFound
from hoopwright.records import Player
from hoopwright.store.people import name_key
from hoopwright.trials.compare import SCALES, washout_of
from hoopwright.trials.counted import PlayerCounts
from hoopwright.trials.crude import CrudeAndWithin, crude_and_within
from hoopwright.trials.nouns import (
    SMALLEST,
    Arm,
    BlockResult,
    BodyMeasure,
    Kind,
    Measure,
    Phase,
    Question,
    TrialPlan,
    Verdict,
)
from hoopwright.trials.pooled import PlayerEffect, Pooled, pool, without_prior
from hoopwright.trials.pooled_counts import pool_counts
from hoopwright.trials.written import measure_key

#: made and taken in one half of a comparison
_Tally = tuple[int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupQuestion:
    """A question that players of one coach have trials of."""

    #: as its newest trial asks it
    question: Question
    players: int
    trials: int


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupReading:
    """The trials of one question, read together."""

    question: Question
    #: None where nobody's trial can be read yet
    pooled: Pooled | None
    #: makes in one heap beside makes within players; None where there are too few
    crude: CrudeAndWithin | None
    #: the players read, by id
    players: tuple[Player, ...]
    #: players whose trials say nothing yet, and why, in one sentence
    left_out: tuple[tuple[Player, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Read:
    """One trial with something to compare."""

    view: TrialView
    verdict: Verdict
    results: Sequence[BlockResult]


def group_questions(session: Session, coach: str) -> list[GroupQuestion]:
    """Return the questions that the players of a coach have trials of, most players first."""
    alike: dict[tuple[str, str], list[TrialView]] = defaultdict(list)
    for player in players_of(session, coach):
        for view in list_trials(session, player.id):
            alike[_key(view.trial.plan.question)].append(view)
    found = [
        GroupQuestion(
            question=_newest(views),
            players=len({view.player.id for view in views}),
            trials=len(views),
        )
        for views in alike.values()
    ]
    return sorted(found, key=lambda one: (-one.players, one.question.change))


def pooled(
    session: Session, coach: str, *, change: str, measure: Measure | BodyMeasure
) -> GroupReading:
    """Read all trials of one change by one measure over the players of a coach.

    Parameters
    ----------
    coach
        As written with the players; "" for players without one.
    change, measure
        What tells the question.

    Raises
    ------
    BadInput
        The measure has no smallest difference worth knowing.
    NotFound
        No player of that coach has such a trial.
    """
    key = (name_key(change), measure_key(measure))
    views = [
        view
        for player in players_of(session, coach)
        for view in list_trials(session, player.id)
        if _key(view.trial.plan.question) == key
    ]
    if not views:
        raise NotFound("No player of this coach has a trial of that question yet; plan one first.")
    question = _newest(views)
    read, left_out = _read(session, views, question)
    counted = _counted(read)
    return GroupReading(
        question=question,
        pooled=_pooled(read, counted, question),
        crude=_crude(counted),
        players=tuple({one.view.player.id: one.view.player for one in read}.values()),
        left_out=tuple(left_out.values()),
    )


def _key(question: Question) -> tuple[str, str]:
    return name_key(question.change), measure_key(question.measure)


def _newest(views: Sequence[TrialView]) -> Question:
    return max(views, key=lambda view: view.trial.planned_at).trial.plan.question


def _read(
    session: Session, views: Sequence[TrialView], question: Question
) -> tuple[list[_Read], dict[UUID, tuple[Player, str]]]:
    """Return the trials that can be read, and the players who have none such."""
    read: list[_Read] = []
    missing: dict[UUID, tuple[Player, str]] = {}
    for view in views:
        if view.trial.plan.question.sign != question.sign:
            why = "Hoped for the other way round; it is read by itself."
        else:
            reading, results = reading_of(session, view)
            why = reading.missing
            if reading.verdict is not None:
                read.append(_Read(view=view, verdict=reading.verdict, results=results))
                continue
        missing[view.player.id] = (view.player, why)
    for one in read:
        missing.pop(one.view.player.id, None)
    return read, missing


def _pooled(
    read: Sequence[_Read], counted: Sequence[PlayerCounts], question: Question
) -> Pooled | None:
    if not read:
        return None
    smallest = _smallest(question)
    side_by_side = all(one.view.trial.plan.kind is not Kind.PHASES for one in read)
    if question.measure is Measure.MAKE and side_by_side and counted:
        return pool_counts(counted, smallest=smallest)
    # days differ too where habit and change were not shot side by side; the verdicts allow for it
    effects = [
        _joined(player, [one for one in read if one.view.player.id == player], question.measure)
        for player in dict.fromkeys(one.view.player.id for one in read)
    ]
    return pool(effects, smallest=smallest, sign=question.sign)


def _smallest(question: Question) -> float:
    if question.smallest is not None:
        return question.smallest
    if isinstance(question.measure, BodyMeasure):
        raise BadInput(
            "Say the smallest difference worth knowing when planning trials of a body measure; "
            "without it they can't be read together.",
            field="smallest",
        )
    return SMALLEST[question.measure]


def _joined(player: UUID, read: Sequence[_Read], measure: Measure | BodyMeasure) -> PlayerEffect:
    """Return the effect of a player's trials together, each by its precision."""
    values, sds = np.array([_alone(one.verdict, measure) for one in read]).T
    weights = sds**-2.0
    return PlayerEffect(
        player=player,
        value=float(weights @ values / weights.sum()),
        sd=float(weights.sum() ** -0.5),
        shots=sum(one.verdict.habit_shots + one.verdict.change_shots for one in read),
    )


def _alone(verdict: Verdict, measure: Measure | BodyMeasure) -> tuple[float, float]:
    """Return an effect and its error, with what was thought beforehand taken off where known."""
    value, sd = verdict.effect.own.value, verdict.effect.own_sd
    scatter = measure in (Measure.DISTANCE_CONTROL, Measure.LINE_CONTROL)
    if isinstance(measure, BodyMeasure) or scatter or sd >= SCALES[measure].effect:
        # the prior of scatter and of body measures is wide, and in another unit
        return value, sd
    return without_prior(value, sd, prior_sd=SCALES[measure].effect)


def _crude(counted: Sequence[PlayerCounts]) -> CrudeAndWithin | None:
    try:
        return crude_and_within(counted) if counted else None
    except BadInput:
        return None


def _counted(read: Sequence[_Read]) -> list[PlayerCounts]:
    """Return each player's makes and shots, pair by pair."""
    pairs: dict[UUID, list[tuple[_Tally, _Tally]]] = defaultdict(list)
    for one in read:
        pairs[one.view.player.id] += pairs_of(one.view.trial.plan, one.results)
    return [
        PlayerCounts(
            player=player,
            habit_made=tuple(habit[0] for habit, _ in rows),
            habit_shots=tuple(habit[1] for habit, _ in rows),
            change_made=tuple(change[0] for _, change in rows),
            change_shots=tuple(change[1] for _, change in rows),
        )
        for player, rows in pairs.items()
        if rows
    ]


def pairs_of(plan: TrialPlan, results: Sequence[BlockResult]) -> list[tuple[_Tally, _Tally]]:
    """Return makes and shots that count of habit and change, for each pair that has both.

    In phases, the habit's tests and the delayed ones (the tests on practice days until there is
    one) are the only pair.
    """
    delayed = any(plan.block(one.block).phase is Phase.DELAYED for one in results)
    sums: dict[tuple[int | None, Arm], _Tally] = {}
    for one in results:
        block = plan.block(one.block)
        skipped = {Phase.FAMILIARISATION, Phase.PROBE} if delayed else {Phase.FAMILIARISATION}
        if block.phase in skipped or one.stops_on_makes:
            continue
        made = one.made[washout_of(one, block) :]
        before = sums.get((block.pair, block.arm), (0, 0))
        sums[block.pair, block.arm] = (before[0] + int(made.sum()), before[1] + len(made))
    pairs = dict.fromkeys(pair for pair, _ in sums)
    return [
        (sums[pair, Arm.HABIT], sums[pair, Arm.CHANGE])
        for pair in pairs
        if all(sums.get((pair, arm), (0, 0))[1] for arm in Arm)
    ]
