"""A plan is made from what is known of the player: findings, trials, load, the drill library."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from uuid import UUID, uuid5

from sqlalchemy.orm import Session

from hoopwright.actions.games import announce_change
from hoopwright.actions.plans.drill_library import drill_library
from hoopwright.actions.plans.kept import keep_plan
from hoopwright.actions.reports import read_player
from hoopwright.actions.trials.reading import reading_of
from hoopwright.actions.trials.views import list_trials
from hoopwright.chart.findings import ConditionReading
from hoopwright.load.limits import careful_age, load_limits
from hoopwright.load.stops import stopped_days
from hoopwright.plans.focus import Tried, focus_choices
from hoopwright.plans.nouns import Drill, Focus, PracticePlan, Wish
from hoopwright.plans.plan import make_plan
from hoopwright.plans.targets import Targets
from hoopwright.records import LoadLimits
from hoopwright.reports.facts import change_name
from hoopwright.store import load, people
from hoopwright.store import plans as stored
from hoopwright.store.games import Announced
from hoopwright.store.plans import StoredPlan
from hoopwright.transfer.progress import announce

#: how far beyond the last week days are looked at for stops [day]: the last retention test
_BEYOND = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanMaterial:
    """What a player's plan is made from, and what ``plans.edits`` asks for."""

    drills: tuple[Drill, ...]
    targets: Targets
    limits: LoadLimits


def plan_material(session: Session, player_id: UUID, *, today: date) -> PlanMaterial:
    """Return what a player's plan is made from.

    Parameters
    ----------
    today
        The day for which the player's age counts.

    Raises
    ------
    NotFound
        There is no such player.
    """
    player = people.get_player(session, player_id)
    return PlanMaterial(
        drills=drill_library(session),
        targets=Targets(reading=_habit(session, player_id)),
        limits=load_limits(careful_age(player.birth_year, today)),
    )


def focus_for(session: Session, player_id: UUID) -> tuple[Focus, ...]:
    """Return what a player's plan could be about, the one most likely to pay first.

    Changes that won a trial come before what the findings weigh; none where neither can tell.

    Raises
    ------
    NotFound
        There is no such player.
    """
    return focus_choices(
        _habit(session, player_id), _tried(session, player_id), name_of=change_name
    )


def draft_plan(session: Session, wish: Wish, *, plan_id: UUID) -> PracticePlan:
    """Return the plan that a wish asks for; nothing is kept.

    Days on which a flag stops the player are blocked, and the lines are those of the player's
    court.

    Raises
    ------
    BadInput
        Something in the wish can't be right, every day is blocked, or no drill can be done.
    NotFound
        There is no such player.
    """
    player = people.get_player(session, wish.player_id)
    last = wish.start + timedelta(weeks=max(wish.weeks, 1)) + timedelta(days=_BEYOND)
    stopped = stopped_days(load.list_flags(session, player.id), wish.start, last)
    blocked = tuple(sorted({*wish.blocked_days, *stopped}))
    material = plan_material(session, player.id, today=wish.start)
    return make_plan(
        replace(wish, rules=player.rules, blocked_days=blocked),
        plan_id,
        drills=material.drills,
        targets=material.targets,
        limits=material.limits,
    )


def plan_practice(session: Session, wish: Wish, *, plan_id: UUID, who: str) -> StoredPlan:
    """Make the plan that a wish asks for and keep it; sent twice, it is one.

    Where the plan changes the player's movement, the dip that is to be expected is announced.

    Raises
    ------
    BadInput
        As :func:`draft_plan`.
    Conflict
        Another plan has this id.
    NotFound
        There is no such player.
    """
    known = stored.known_plan(session, plan_id)
    if known is not None and known.player_id == wish.player_id:
        # it may have been changed, and more may have been charted, since it was first sent
        return known
    kept = keep_plan(session, draft_plan(session, wish, plan_id=plan_id), who=who)
    if kept.plan.focus.changes_form:
        dip = announce(kept.plan.focus.name, kept.plan.start)
        announced = Announced(id=uuid5(plan_id, "dip"), player_id=kept.player_id, change=dip)
        announce_change(session, announced, who=who)
    return kept


def _habit(session: Session, player_id: UUID) -> ConditionReading | None:
    findings = read_player(session, player_id).findings
    return None if findings is None else findings.conditions[0]


def _tried(session: Session, player_id: UUID) -> Sequence[Tried]:
    readings = [reading_of(session, view)[0] for view in list_trials(session, player_id)]
    return [
        Tried(question=one.view.trial.plan.question, verdict=one.verdict)
        for one in readings
        if one.verdict is not None
    ]
