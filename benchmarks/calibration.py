"""Draw the calibration picture of docs/chart-model.md: ranks of the truth, and coverage.

Run: python benchmarks/calibration.py [players]. Takes a minute or two on two cores.
"""

import sys
from pathlib import Path

import altair as alt
import numpy as np
import polars as pl
import vl_convert as vlc
from rich.progress import track
from scipy import stats

from hoopwright.chart.calibrate import QUANTITIES, Case, simulated_case

BINS = 10
PICTURE = Path(__file__).parents[1] / "docs" / "img" / "calibration.svg"


def picture(cases: list[Case]) -> alt.LayerChart | alt.FacetChart:
    """Histogram of ranks for each quantity, with the band a level histogram stays within."""
    ranks = np.array([c.ranks() for c in cases])
    low, high = stats.binom.ppf([0.005, 0.995], len(cases), 1 / BINS)
    rows = [
        {"quantity": name, "rank": (i + 0.5) / BINS, "players": int(n), "low": low, "high": high}
        for name, column in zip(QUANTITIES, ranks.T, strict=True)
        for i, n in enumerate(np.histogram(column, bins=BINS, range=(0, 1))[0])
    ]
    base = alt.Chart(pl.DataFrame(rows)).properties(width=120, height=90)
    x = alt.X("rank:Q", title="rank of the truth", scale=alt.Scale(domain=[0, 1]))
    band = base.mark_area(color="#d8dde3").encode(
        x=x, y=alt.Y("low:Q", title="players"), y2="high:Q"
    )
    bars = base.mark_bar(color="#1f5fa8", size=9).encode(x=x, y="players:Q")
    return alt.layer(band, bars).facet(
        column=alt.Column("quantity:N", title=None, sort=list(QUANTITIES))
    )


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    found = [simulated_case(seed) for seed in track(range(count), description="players")]
    PICTURE.parent.mkdir(exist_ok=True)
    PICTURE.write_text(vlc.vegalite_to_svg(picture(found).to_dict()))
    for level in (0.5, 0.8, 0.95):
        shares = np.mean([c.covered(level) for c in found], axis=0)
        said = ", ".join(f"{n} {100 * s:.0f} %" for n, s in zip(QUANTITIES, shares, strict=True))
        print(f"{100 * level:.0f} % ranges cover: {said}")
