"""Practice: tests that are due, whose plan it is, and making a plan."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from starlette.responses import Response

from hoopwright.actions import load, people, plans
from hoopwright.actions.plans import DueTest
from hoopwright.plans.nouns import ALL_FEATURES, Focus, FocusKind, PracticeTest
from hoopwright.plans.wish import MOST_WEEKS
from hoopwright.records import Player
from hoopwright.reports.practice_words import WEEKDAYS, worth_sentence
from hoopwright.web.pages.practice_wish import OWN, focus_key, spot_choices, typed_wish
from hoopwright.web.visit import WHO, Visit

#: tests due within so many days are shown
AHEAD = 7
#: most shots a visit that are proposed
USUAL_SHOTS = 80
#: days that are ticked at first: Monday, Wednesday, Friday
USUAL_DAYS = (0, 2, 4)


@dataclass(frozen=True, slots=True, kw_only=True)
class FocusChoice:
    """One thing a plan could be about, as the form offers it."""

    key: str
    focus: Focus
    worth: str


def choose(visit: Visit) -> Response:
    """Show the tests that are due, and whose plan to see or make."""
    return visit.page(
        "practice_choose.html",
        players=people.list_players(visit.session),
        due=due_now(visit),
        today=date.today(),
    )


def due_now(visit: Visit) -> list[DueTest]:
    """Return the tests to think of: today's cold ones, and later tests that are due or near.

    A cold test that was missed is over: the next visit begins with the next one.
    """
    today = date.today()
    due = plans.due_tests(visit.session, until=today + timedelta(days=AHEAD))
    return [one for one in due if one.test.kind is not PracticeTest.COLD or one.test.day == today]


def of_player(visit: Visit) -> Response:
    """Show a player's plans: the one that goes on first."""
    who = people.get_player(visit.session, visit.id("player"))
    kept = plans.plans_of(visit.session, who.id)
    return visit.page(
        "practice.html",
        player=who,
        running=[one for one in kept if one.ended_on is None],
        ended=[one for one in kept if one.ended_on is not None],
        due=[one for one in due_now(visit) if one.player.id == who.id],
        today=date.today(),
        reading=load.cautions_for(visit.session, who.id, date.today()),
    )


def new_plan(visit: Visit) -> Response:
    """Show the form of a plan: one focus, one cue, when and where."""
    who = people.get_player(visit.session, visit.id("player"))
    choices = [
        FocusChoice(key=focus_key(one), focus=one, worth=worth_sentence(one))
        for one in plans.focus_for(visit.session, who.id)
    ]
    limits = plans.plan_material(visit.session, who.id, today=date.today()).limits
    spots, usual = spot_choices(visit.session, who)
    return visit.page(
        "practice_new.html",
        player=who,
        choices=choices,
        chosen=_chosen(visit, choices),
        own=OWN,
        kinds=[(one.value, one.value) for one in FocusKind],
        weekdays=list(enumerate(WEEKDAYS)),
        usual_days=USUAL_DAYS,
        weeks=[(n, str(n)) for n in range(1, MOST_WEEKS + 1)],
        spots=spots,
        usual_spots=usual,
        features=ALL_FEATURES,
        limits=limits,
        usual_shots=min(USUAL_SHOTS, limits.shots_a_day),
        running=plans.running_plan(visit.session, who.id),
        reading=load.cautions_for(visit.session, who.id, date.today()),
        today=date.today().isoformat(),
    )


def make_plan(visit: Visit) -> Response:
    """Make a plan and keep it; the plan before it ends."""
    who: Player = people.get_player(visit.session, visit.id("player"))
    plan_id = visit.fields.identity("id")
    wish = typed_wish(
        visit.fields,
        who,
        choices=plans.focus_for(visit.session, who.id),
        spots=dict(spot_choices(visit.session, who)[0]),
    )
    visit.fields.check()
    kept = plans.plan_practice(visit.session, wish, plan_id=plan_id, who=WHO)
    return visit.go("plan", plan=kept.id)


def _chosen(visit: Visit, choices: Sequence[FocusChoice]) -> str:
    """Return which focus is ticked at first: the one asked for, else the first."""
    asked = visit.request.query_params.get("focus", "")
    for one in choices:
        if asked and asked in (one.focus.name, one.focus.condition):
            return one.key
    return choices[0].key if choices else OWN
