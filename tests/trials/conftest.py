"""Plans that the tests of trials share."""

from collections.abc import Callable
from datetime import date

import pytest

from hoopwright.records import Spot
from hoopwright.trials.design import plan_trial
from hoopwright.trials.nouns import (
    BodyMeasure,
    Kind,
    Layout,
    Measure,
    Question,
    Topic,
    TrialPlan,
)

LINE = Spot(name="free-throw line", x=0.0, y=4.225)
START = date(2026, 1, 5)

Planned = Callable[..., TrialPlan]


def ask(measure: Measure | BodyMeasure = Measure.MAKE, **more: object) -> Question:
    """Return a question about turning the feet."""
    asked: dict[str, object] = {
        "what": "Does turning the feet put more in?",
        "change": "feet turned",
        "topic": Topic.FEET_TURN,
        "measure": measure,
        "spots": (LINE,),
    }
    return Question(**{**asked, **more})  # type: ignore[arg-type]


def plan_of(
    measure: Measure | BodyMeasure = Measure.MAKE,
    *,
    kind: Kind = Kind.PAIRED,
    pairs: int = 10,
    shots: int = 10,
    seed: int = 1,
    **asked: object,
) -> TrialPlan:
    """Return a small plan; further words go to the question."""
    layout = Layout(kind=kind, pairs=pairs, shots_per_block=shots, days=max(2, pairs // 4))
    return plan_trial(ask(measure, **asked), layout, start=START, seed=seed)


@pytest.fixture
def planned() -> Planned:
    return plan_of


@pytest.fixture
def asked() -> Callable[..., Question]:
    return ask
