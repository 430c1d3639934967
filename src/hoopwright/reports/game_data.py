"""Games and progress as plain values for JSON: units in the keys, each number with its ranges."""

from typing import Any

from hoopwright.records import Estimate
from hoopwright.reports.data import estimate_data
from hoopwright.transfer.forecast import Forecast
from hoopwright.transfer.progress import ChangeShown, Dip, Mark, PlaceLine, Progress
from hoopwright.transfer.ratio import RatioReading
from hoopwright.transfer.transferred import Kind, Transfer

_PER_CENT = 100.0


def ratio_data(reading: RatioReading) -> dict[str, Any]:
    """Return what practice and games say together of one kind of shot."""
    played = reading.played
    return {
        "shot_type": played.shot_type.value,
        "contested": played.contested,
        "attempts": played.attempts,
        "made": played.made,
        "practice_per_100": estimate_data(reading.practice, _PER_CENT),
        "game_per_100": estimate_data(reading.game, _PER_CENT),
        "ratio": estimate_data(reading.ratio),
        "other_players": reading.others,
        "attempts_needed": reading.attempts_needed,
    }


def forecast_data(found: Forecast) -> dict[str, Any]:
    """Return what to expect of some attempts."""
    return {
        "attempts": found.attempts,
        "makes": estimate_data(found.makes),
        "points": estimate_data(found.points),
        "makes_by_luck_low80": found.luck_low80,
        "makes_by_luck_high80": found.luck_high80,
    }


def transfer_data(found: Transfer) -> dict[str, Any]:
    """Return whether games after a change differ from those before it."""
    return {
        "said": found.said.value,
        "makes_per_100": estimate_data(found.difference),
        "plain_makes_per_100": round(found.plain, 4),
        "by_mix_makes_per_100": round(found.by_mix, 4),
        "mix_explains": found.mix_explains,
        "compared": [
            _kind(kind)
            | {
                "before_attempts": n.before,
                "before_made": n.before_made,
                "after_attempts": n.after,
                "after_made": n.after_made,
            }
            for kind, n in found.compared.items()
        ],
        "left_out": [_kind(kind) for kind in found.left_out],
        "attempts_needed": found.attempts_needed,
        "smallest_clear_makes_per_100": round(found.smallest_clear, 4),
    }


def progress_data(found: Progress) -> dict[str, Any]:
    """Return the line of each place."""
    return {"places": [_line(one) for one in found.lines]}


def _kind(kind: Kind) -> dict[str, Any]:
    return {"shot_type": kind[0].value, "contested": kind[1]}


def _or_none(estimate: Estimate | None) -> dict[str, float | None] | None:
    return None if estimate is None else estimate_data(estimate)


def _line(line: PlaceLine) -> dict[str, Any]:
    return {
        "place": line.place,
        "tests": [
            {
                "day": p.day.isoformat(),
                "attempts": p.attempts,
                "made": p.made,
                "level_per_100": estimate_data(p.level, _PER_CENT),
            }
            for p in line.points
        ],
        "said": line.said.value,
        "gain_makes_per_100": _or_none(line.gain),
        "shots_needed": line.attempts_needed,
        "changes": [_change(one) for one in line.changes],
        "dips": [_dip(one) for one in line.dips],
        "marks": [_mark(one) for one in line.marks],
    }


def _change(one: ChangeShown) -> dict[str, Any]:
    return {
        "day": one.day.isoformat(),
        "earliest": one.earliest.isoformat(),
        "latest": one.latest.isoformat(),
        "makes_per_100": estimate_data(one.difference),
        "announced": one.announced,
        "alarm": one.alarm,
    }


def _dip(one: Dip) -> dict[str, Any]:
    return {
        "name": one.change.name,
        "day": one.change.day.isoformat(),
        "until": one.until.isoformat(),
        "open": one.open,
        "overdue": one.overdue,
        "makes_per_100": _or_none(one.difference),
    }


def _mark(one: Mark) -> dict[str, Any]:
    return {
        "day": one.test.day.isoformat(),
        "kind": one.test.kind.value,
        "attempts": one.test.attempts,
        "made": one.test.made,
        "said": one.said.value,
        "makes_per_100": _or_none(one.difference),
    }
