"""Remake the three example charts: `python examples/remake.py`, from the project's folder.

The players are invented, and so are their shots: each is a known aim and scatter of release speed,
angle and direction, flown through air and played against ring and board.
"""

import csv
import math
from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import product
from pathlib import Path

import numpy as np

from hoopwright.chart import _kernel as k
from hoopwright.chart.simulate import Shooter, Style, chart_set, fly_shots
from hoopwright.court.frame import spot_at, spot_named
from hoopwright.records import Shot, Spot

HERE = Path(__file__).parent
#: share of speed by which the aim is off; + long
SHORT, CENTRED, A_LITTLE_SHORT, A_LITTLE_LONG = -0.013, 0.001, -0.006, 0.004
SPOTS = ("free throw", "left elbow", "top")


def habit(bias: float, *, speed_sd: float, turn_sd: float = 1.0, turn: float = 0.0) -> np.ndarray:
    """Return a player's numbers: shares of speed, and degrees for direction."""
    psi = np.zeros(8)
    psi[k.SPEED_BIAS], psi[k.LOG_SPEED_SD] = bias, math.log(speed_sd)
    psi[k.ANGLE_OVER], psi[k.LOG_ANGLE_SD] = math.radians(4.0), math.log(math.radians(1.3))
    psi[k.TURN_BIAS], psi[k.LOG_TURN_SD] = math.radians(turn), math.log(math.radians(turn_sd))
    psi[k.RING] = 0.585
    return psi


def write(name: str, heading: str, rows: Iterable[Sequence[object]]) -> None:
    """Write one table."""
    with (HERE / name).open("w", newline="", encoding="utf-8") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(heading.split(","))
        table.writerows(rows)


def shots(
    shooter: Shooter, spot: Spot, count: int, style: Style, rng: np.random.Generator
) -> tuple[Shot, ...]:
    """Return shots as flown and then charted."""
    flown = fly_shots(shooter, spot, count, rng=rng)
    return chart_set(flown, spot, style=style, shooter=shooter, rng=rng).shots


def three_spots(rng: np.random.Generator) -> None:
    """One row per shot, one direction per miss."""
    rows: list[Sequence[object]] = []
    a = Shooter(psi=habit(SHORT, speed_sd=0.0125))
    b = Shooter(psi=habit(CENTRED, speed_sd=0.016, turn_sd=1.2))
    for player, one in (("Invented A", a), ("Invented B", b)):
        for day, spot in product(("2026-10-05", "2026-10-12"), SPOTS):
            for shot in shots(one, spot_named(spot), 14, Style.ONE, rng):
                miss = " ".join(way.value for way in shot.miss)
                rows.append([player, day, spot, "yes" if shot.made else "no", miss, ""])
    write("three_spots.csv", "player,date,spot,made,miss,condition", rows)


def taps(rng: np.random.Generator) -> None:
    """One row per shot with a tapped point; a child's ball and ring; habit and one change."""
    rows: list[Sequence[object]] = []
    for condition, bias in (("", -0.012), ("hold the follow-through", 0.002)):
        psi = habit(bias, speed_sd=0.014, turn_sd=1.2, turn=0.3)
        child = Shooter(psi=psi, stature=1.45, ball_size=5, ring_height=2.6)
        for shot in shots(child, spot_at(3.6), 30, Style.POINTS, rng):
            assert shot.landing is not None
            point = [f"{100 * v:.0f}" for v in (shot.landing.along, shot.landing.across)]
            made = "yes" if shot.made else "no"
            rows.append(["Invented C", "2026-10-07", 3.6, 0, made, *point, condition, 5, 2.6])
    heading = (
        "player,date,distance,bearing_deg,made,along_cm,across_cm,condition,ball,ring_height_m"
    )
    write("taps.csv", heading, rows)


def counts(rng: np.random.Generator) -> None:
    """One row per twenty shots."""
    rows: list[Sequence[object]] = []
    d = Shooter(psi=habit(A_LITTLE_SHORT, speed_sd=0.0115, turn_sd=0.9))
    e = Shooter(psi=habit(A_LITTLE_LONG, speed_sd=0.018, turn_sd=1.4))
    for player, one, weeks in (("Invented D", d, 3), ("Invented E", e, 2)):
        for week, spot in product(range(weeks), ("free throw", "right wing")):
            seen = Counter(
                "made" if shot.made else shot.miss[0].value
                for shot in shots(one, spot_named(spot), 20, Style.ONE, rng)
            )
            kinds = [seen[kind] for kind in ("made", "short", "long", "left", "right")]
            rows.append([player, f"2026-10-{6 + 7 * week:02d}", spot, 20, *kinds, ""])
    write("counts.csv", "player,date,spot,attempts,made,short,long,left,right,condition", rows)


if __name__ == "__main__":
    source = np.random.default_rng(20261125)
    for make in (three_spots, taps, counts):
        make(source)
