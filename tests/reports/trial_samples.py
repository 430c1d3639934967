"""A trial and its verdict, made by hand."""

from datetime import date
from uuid import UUID

from hoopwright.records import Estimate, Spot
from hoopwright.trials.design import plan_trial
from hoopwright.trials.nouns import (
    Effect,
    Kind,
    Layout,
    Look,
    Measure,
    Question,
    Said,
    Topic,
    TrialPlan,
    Verdict,
)

SPOT = Spot(name="free throw", x=0.0, y=4.225)
QUESTION = Question(
    what="Do turned feet help?", change="feet turned", topic=Topic.FEET_TURN, spots=(SPOT,)
)
SMALL = Layout(kind=Kind.PAIRED, pairs=5, shots_per_block=8, washout=2, familiarisation=50, days=2)


def estimate(value: float, half: float) -> Estimate:
    """A normal-like estimate whose 95 % range is value ± half."""
    return Estimate(
        value=value, low50=value - 0.34 * half, high50=value + 0.34 * half,
        low80=value - 0.65 * half, high80=value + 0.65 * half,
        low95=value - half, high95=value + half,
    )  # fmt: skip


def plan(question: Question = QUESTION, layout: Layout = SMALL) -> TrialPlan:
    return plan_trial(question, layout, start=date(2026, 11, 2), seed=7, trial_id=UUID(int=7))


def verdict(said: Said = Said.LEANING_BETTER, *, needed: int | None = 120) -> Verdict:
    return Verdict(
        said=said,
        effect=Effect(
            own=estimate(12.0, 20.0), own_sd=10.2,
            makes_per_100=estimate(12.0, 20.0), along=estimate(0.04, 0.03),
        ),
        chance_better=0.9,
        shots_needed=needed,
        by_luck=0.0625,
        guards=(),
        looks=(Look(after=4, value=12.0, chance_better=0.9, said=said),),
        habit_shots=40, habit_made=16, change_shots=40, change_made=21,
    )  # fmt: skip


LANDING = Question(
    what="", change="deeper aim", topic=Topic.AIM_POINT, measure=Measure.ALONG, spots=(SPOT,)
)
