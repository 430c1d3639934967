"""Practice beside games, a pair of bars for each kind of shot."""

from collections.abc import Sequence

from hoopwright.reports.colours import LIGHT, Scheme
from hoopwright.reports.figures import BARS, Figure, range_bars
from hoopwright.reports.game_facts import kind_words, of_hundred
from hoopwright.transfer.ratio import RatioReading


def ratio_figure(readings: Sequence[RatioReading], *, scheme: Scheme = LIGHT) -> Figure:
    """Draw the practice and the game percentage of each kind of shot, with their ranges."""
    rows = [
        (kind_words(one.played.shot_type, one.played.contested), where, share)
        for one in readings
        for where, share in (("practice", one.practice), ("games", one.game))
    ]
    said = [(f"{kind}, {where}", of_hundred(share)) for kind, where, share in rows]
    return Figure(
        name="ratios",
        title="Practice and games",
        alt="; ".join(f"{name}: {value}" for name, value in said) + ".",
        table=(("Shots", "Made"), *said),
        chart=range_bars(
            [
                (f"{kind}|{where}", share.scaled(100.0), f"{kind}, {where}: {of_hundred(share)}")
                for kind, where, share in rows
            ],
            title="makes of 100",
            scheme=scheme,
        ),
        note=BARS,
    )
