"""The columns of a chart table, in and out; described for coaches in ``docs/chart-csv.md``."""

import re

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

_RISKY = re.compile(r"'*[=+\-@\t\r]")
_DEFUSED = re.compile(r"'+[=+\-@\t\r]")


def defused(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula: a quote mark is put before it."""
    return f"'{text}" if _RISKY.match(text) else text


def as_typed(text: str) -> str:
    """Return a text as it was before :func:`defused`."""
    return text[1:] if _DEFUSED.match(text) else text
