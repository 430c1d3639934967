"""Invented wishes for plans, for the tests of plans and of what is printed from them."""

from dataclasses import replace
from datetime import date
from uuid import UUID

from tests.reports.samples import SHORT_READING

from hoopwright.plans.drills import library
from hoopwright.plans.nouns import Cue, Focus, FocusFrom, FocusKind, PracticePlan, Wish
from hoopwright.plans.plan import make_plan
from hoopwright.plans.targets import Targets
from hoopwright.records import LoadLimits, Spot

PLAYER = UUID(int=11)
PLAN = UUID(int=12)
SPOTS = (
    Spot(name="free throw", x=0.0, y=4.225),
    Spot(name="left elbow", x=-2.45, y=4.225),
    Spot(name="top", x=0.0, y=6.75),
)
DEEPER = Focus(
    kind=FocusKind.AIM_ALONG,
    name="6 cm deeper aim",
    chosen_from=FocusFrom.FINDINGS,
    reason="The misses lean short. Of the changes weighed it is the most likely to pay.",
    makes_per_100=SHORT_READING.worth[0].makes_per_100,
)
TURNED = Focus(
    kind=FocusKind.FORM,
    name="feet turned",
    chosen_from=FocusFrom.TRIAL,
    reason="It won its trial against the habit: better.",
    changes_form=True,
    condition="feet turned",
)
WISH = Wish(
    player_id=PLAYER,
    focus=DEEPER,
    cue=Cue(text="over the front"),
    # a Monday
    start=date(2026, 11, 30),
    weeks=3,
    weekdays=(0, 2, 4),
    shots=100,
    spots=SPOTS,
)
ROOMY = LoadLimits(
    shots_a_day=300,
    shots_source="common practice, no source",
    days_a_week=6,
    rest_source="common practice, no source",
    hours_a_week=None,
    hours_source="",
)
TARGETS = Targets(reading=SHORT_READING)


def plan_of(wish: Wish = WISH, limits: LoadLimits = ROOMY) -> PracticePlan:
    return make_plan(wish, PLAN, drills=library(), targets=TARGETS, limits=limits)


def turned(wish: Wish = WISH) -> Wish:
    """The same wish for a changed movement."""
    return replace(wish, focus=TURNED)
