"""The columns of a chart table, in and out; described for coaches in ``docs/chart-csv.md``."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

#: every column that is read or written, in the order written
COLUMNS = (
    "player", "date", "set", "spot", "distance", "bearing_deg", "x_m", "y_m", "condition",
    "made", "attempts", "miss", "short", "long", "left", "right",
    "along_cm", "across_cm", "tap_error_cm", "tap_error_across_cm", "feel",
    "detail", "ordered", "stops_on_makes", "purpose", "ball", "ring_height_m", "rules",
    "hand", "birth_year", "player_height_m", "coach", "invented", "id",
)  # fmt: skip
#: other headings taken for one of them
SAME_HEADING = {"distance_m": "distance", "tries": "attempts"}
#: counts of misses by direction, in a row of counts
WAYS = ("short", "long", "left", "right")
#: what each way to say where a shot was taken from needs
PLACES = (("spot",), ("distance",), ("x_m", "y_m"))
#: error of a tapped point where the table gives none [cm]; common practice, no source
TAP_ERROR_CM = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Headings:
    """The columns that one kind of table may have."""

    columns: tuple[str, ...]
    #: other headings taken for one of them
    same: Mapping[str, str]
    #: column that is needed → the ways to say it, each some columns
    needed: Mapping[str, tuple[tuple[str, ...], ...]]
    #: headings to give as an example, and what its rows hold
    example: str
    row: str


CHART = Headings(
    columns=COLUMNS,
    same=SAME_HEADING,
    needed={"player": (("player",),), "made": (("made",),), "spot": PLACES},
    example="player, date, spot or distance, made",
    row="shot",
)
#: described for coaches in ``docs/games.md``
GAMES = Headings(
    columns=(
        "player", "birth_year", "date", "opponent", "game",
        "shot_type", "contested", "attempts", "made",
    ),
    same={"tries": "attempts", "type": "shot_type", "shot": "shot_type", "makes": "made"},
    needed={name: ((name,),) for name in ("player", "date", "shot_type", "made")},
    example="player, date, opponent, shot type, attempts, made",
    row="kind of shot and game",
)  # fmt: skip

_RISKY = re.compile(r"'*[=+\-@\t\r]")
_DEFUSED = re.compile(r"'+[=+\-@\t\r]")


def defused(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula: a quote mark is put before it."""
    return f"'{text}" if _RISKY.match(text) else text


def as_typed(text: str) -> str:
    """Return a text as it was before :func:`defused`."""
    return text[1:] if _DEFUSED.match(text) else text
