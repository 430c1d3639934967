"""The reading of a miss chart: sets in, findings out. Read this first."""

from collections.abc import Sequence

import numpy as np

from hoopwright.chart.findings import Findings
from hoopwright.chart.posterior import Posterior, posteriors
from hoopwright.chart.prior import Prior, prior_rows
from hoopwright.chart.read import read_condition
from hoopwright.records import Chart


def read_chart(chart: Chart, *, prior: Prior | None = None, seed: int = 1) -> Findings:
    """Return the findings of one player's chart.

    Parameters
    ----------
    chart
        One player's sets; any mix of counts, directions, tapped points and film.
    prior
        Prior for the habit; the published one where left out. See ``chart.group``.
    seed
        Same seed, same answer.

    Raises
    ------
    BadInput
        No shots to read.
    """
    found = posteriors(chart, prior=prior, seed=seed)
    return findings_of(chart, found, seed=seed)


def findings_of(chart: Chart, found: Sequence[Posterior], *, seed: int = 1) -> Findings:
    """Return the findings of posteriors already drawn."""
    rng = np.random.default_rng(seed)
    conditions = tuple(read_condition(p, rng) for p in found)
    return Findings(
        player_name=chart.player.name,
        conditions=conditions,
        prior=prior_rows(found[0].prior),
        prior_from=found[0].prior.source,
        notes=_left_out(chart),
    )


def _left_out(chart: Chart) -> tuple[str, ...]:
    drills = sum(s.stops_on_makes and bool(s.shots) for s in chart.sets)
    if not drills:
        return ()
    return (
        f"{drills} drill{'s' if drills > 1 else ''} that stopped on a make left out: "
        "stopping on a make bends the percentage.",
    )
