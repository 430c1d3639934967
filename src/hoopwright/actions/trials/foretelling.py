"""What a trial can and can't tell, said before its first shot and kept."""

import math

import numpy as np
from sqlalchemy.orm import Session

from hoopwright.actions.shots import chart_of
from hoopwright.actions.trials.collecting import is_near
from hoopwright.actions.trials.views import TrialView
from hoopwright.records import Chart, Landing, Player, Shot
from hoopwright.trials import power
from hoopwright.trials.nouns import TrialPlan
from hoopwright.trials.power import Detectable, detectable
from hoopwright.trials.written import foretold_from_json, foretold_to_json

#: the share made that is simulated; outside, the normal errors of the power table do not hold
_SHARES = (0.05, 0.95)
#: fewest landing points from which a player's own scatter is taken; common practice, no source
_FEWEST_POINTS = 30


def foretell(session: Session, player: Player, plan: TrialPlan) -> Detectable:
    """Return what a plan can detect with this player, who shoots as charted from its spots.

    Plain counts, no model of the chart: a plan is kept within the moment. Where nothing is
    charted, a middling player stands in.
    """
    return detectable(plan, as_charted(chart_of(session, player.id), plan))


def foretold_text(session: Session, player: Player, plan: TrialPlan) -> str:
    """Return what a plan can detect, as text to be kept with the trial."""
    return foretold_to_json(foretell(session, player, plan))


def foretold(view: TrialView) -> Detectable:
    """Return what was said before the start that a trial can detect."""
    return foretold_from_json(view.trial.foretold)


def as_charted(chart: Chart, plan: TrialPlan) -> power.Player:
    """Return who is simulated: share made and scatter as charted of the habit from the spots."""
    habit = [one for one in chart.sets if not one.condition and not one.stops_on_makes]
    here = [one for one in habit if is_near(one.spot, plan.question.spots)] or habit
    shots = [shot for one in here for shot in one.shots]
    low, high = _SHARES
    usual = power.Player()
    # a middling player's two shots, so that a few makes in a row promise nothing
    share = (sum(shot.made for shot in shots) + 2 * usual.share) / (len(shots) + 2)
    scatter, noise = _scatter(shots)
    return power.Player(
        share=min(max(share, low), high), scatter=scatter or usual.scatter, noise=noise
    )


def _scatter(shots: list[Shot]) -> tuple[float, float]:
    """Return the scatter along and the error of the points [m]; 0 where there are too few."""
    points = [shot.landing for shot in shots if isinstance(shot.landing, Landing)]
    if len(points) < _FEWEST_POINTS:
        return 0.0, 0.0
    noise = math.sqrt(np.mean([one.along_sd**2 for one in points]))
    seen = float(np.std([one.along for one in points], ddof=1))
    # never below half of what is seen: the error of a tap is a rough figure itself
    return math.sqrt(max(seen**2 - noise**2, 0.25 * seen**2)), noise
