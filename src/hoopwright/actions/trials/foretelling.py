"""What a trial can and can't tell, said before its first shot and kept."""

import math

from sqlalchemy.orm import Session

from hoopwright.actions.reports import read_player
from hoopwright.actions.trials.views import TrialView
from hoopwright.chart.findings import Findings
from hoopwright.records import Player
from hoopwright.trials import power
from hoopwright.trials.nouns import TrialPlan
from hoopwright.trials.power import Detectable, detectable
from hoopwright.trials.written import foretold_from_json, foretold_to_json

#: the share made that is simulated; outside, the normal errors of the power table do not hold
_SHARES = (0.05, 0.95)


def foretell(session: Session, player: Player, plan: TrialPlan) -> Detectable:
    """Return what a plan can detect with this player: the chart says how the player shoots.

    Where nothing is charted, a middling player stands in.
    """
    findings = read_player(session, player.id).findings
    return detectable(plan, power.Player() if findings is None else _as_charted(findings))


def foretold_text(session: Session, player: Player, plan: TrialPlan) -> str:
    """Return what a plan can detect, as text to be kept with the trial."""
    return foretold_to_json(foretell(session, player, plan))


def foretold(view: TrialView) -> Detectable:
    """Return what was said before the start that a trial can detect."""
    return foretold_from_json(view.trial.foretold)


def _as_charted(findings: Findings) -> power.Player:
    habit = findings.conditions[0]
    low, high = _SHARES
    scatter = habit.spread_along.value
    return power.Player(
        share=min(max(habit.make.value, low), high),
        scatter=scatter if math.isfinite(scatter) and scatter > 0 else power.Player().scatter,
    )
