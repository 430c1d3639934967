"""Findings as plain values for JSON: each key carries its unit, each number its ranges."""

import math
from typing import Any

from hoopwright.chart.findings import (
    Change,
    ConditionReading,
    DistanceReading,
    FilmMeasure,
    FilmReading,
    Findings,
    SpotReading,
    Worth,
)
from hoopwright.records import Estimate, Spot
from hoopwright.units import to_centimetres, to_degrees

_ENDS = ("value", "low50", "high50", "low80", "high80", "low95", "high95")
_PER_CENT = 100.0
_CM = to_centimetres(1.0)
_DEG = to_degrees(1.0)


def findings_data(findings: Findings) -> dict[str, Any]:
    """Return one player's findings.

    The first condition (the habit, where it was charted) stands at the top; further ones follow
    under ``other_conditions`` with the same keys.
    """
    first, *others = (_condition(reading) for reading in findings.conditions)
    return {
        "player": findings.player_name,
        **first,
        "other_conditions": others,
        "prior": [
            {
                "name": row.name,
                "centre": row.centre,
                "sd": row.sd,
                "unit": row.unit,
                "source": row.source,
            }
            for row in findings.prior
        ],
        "prior_from": findings.prior_from,
        "notes": list(findings.notes),
    }


def estimate_data(estimate: Estimate, factor: float = 1.0) -> dict[str, float | None]:
    """Return a value with its 50, 80 and 95 % ranges, times a factor.

    A number that could not be worked out is ``None``, so that it can't pass for one.
    """
    values = {name: getattr(estimate, name) * factor for name in _ENDS}
    return {name: round(v, 6) if math.isfinite(v) else None for name, v in values.items()}


def _condition(reading: ConditionReading) -> dict[str, Any]:
    tally = reading.tally
    return {
        "condition": reading.condition,
        "counts": {name: getattr(tally, name) for name in tally.__slots__},
        "reference_distance_m": round(reading.reference_distance, 4),
        "aim": _aim(reading),
        "spread": {
            "along_cm": estimate_data(reading.spread_along, _CM),
            "across_cm": estimate_data(reading.spread_across, _CM),
            "speed_percent": estimate_data(reading.speed_spread, _PER_CENT),
            "direction_deg": estimate_data(reading.direction_spread, _DEG),
        },
        "angle": {
            "over_least_deg": estimate_data(reading.angle_over_least, _DEG),
            "entry_deg": estimate_data(reading.entry_angle, _DEG),
        },
        "film": _film(reading.film),
        "make": {"per_100": estimate_data(reading.make, _PER_CENT)},
        "worth": [_worth(worth) for worth in reading.worth],
        "cannot_tell": [
            {
                "question": one.question,
                "shots_needed": one.shots_needed,
                "more_than_tried": one.beyond,
            }
            for one in reading.cannot_tell
        ],
        "spots": [_spot(one) for one in reading.spots],
        "distances": [_distance(one) for one in reading.distances],
    }


def _aim(reading: ConditionReading) -> dict[str, Any]:
    return {
        "along_cm": estimate_data(reading.aim_along, _CM),
        "along_lean": reading.along_lean.value,
        "along_lean_chance": round(reading.along_chance, 4),
        "across_cm": estimate_data(reading.aim_across, _CM),
        "across_lean": reading.across_lean.value,
        "across_lean_chance": round(reading.across_chance, 4),
    }


def _film(film: FilmReading | None) -> dict[str, Any] | None:
    """Return what filmed shots say by themselves; None where none was filmed."""
    if film is None:
        return None
    return {
        "shots": film.shots,
        **_place(film.spot),
        "shots_there": film.spot_shots,
        "entry_angle_deg": _film_measure(film.entry_angle, _DEG),
        "release_angle_deg": _film_measure(film.angle, _DEG),
        "release_angle_spread_deg": _film_measure(film.angle_spread, _DEG),
        "least_speed_angle_deg": round(to_degrees(film.least_speed_angle), 3),
        "speed_spread_m_per_s": _film_measure(film.speed_spread, 1.0),
        "speed_spread_with_film_error_m_per_s": round(film.speed_spread_seen, 4),
        "suspect_measurement": film.suspect,
    }


def _film_measure(measure: FilmMeasure, factor: float) -> dict[str, Any]:
    estimate = measure.estimate
    return {
        **(estimate_data(estimate, factor) if estimate else dict.fromkeys(_ENDS)),
        "told": measure.told,
        "shots_needed": measure.shots_needed,
        "more_than_asked": measure.beyond,
    }


def _amount(worth: Worth) -> dict[str, float]:
    if worth.change in (Change.AIM_ALONG, Change.AIM_ACROSS):
        return {"amount_cm": round(to_centimetres(worth.amount), 2)}
    if worth.change in (Change.DISTANCE_CONTROL, Change.LINE_CONTROL):
        return {"amount_percent": round(_PER_CENT * worth.amount, 2)}
    return {"amount_deg": round(to_degrees(worth.amount), 2)}


def _worth(worth: Worth) -> dict[str, Any]:
    return {
        "change": worth.change.value,
        **_amount(worth),
        "makes_per_100": estimate_data(worth.makes_per_100),
        "chance_best": round(worth.chance_best, 4),
        "chance_gain": round(worth.chance_gain, 4),
    }


def _place(spot: Spot) -> dict[str, Any]:
    return {
        "spot": spot.name,
        "distance_m": round(spot.distance, 4),
        "bearing_deg": round(math.degrees(spot.bearing), 2),
    }


def _spot(one: SpotReading) -> dict[str, Any]:
    return {
        **_place(one.spot),
        "shots": one.shots,
        "made": one.made,
        "observed_per_100": estimate_data(one.observed, _PER_CENT),
        "expected_per_100": estimate_data(one.expected, _PER_CENT),
        "aim_along_cm": estimate_data(one.aim_along, _CM),
        "aim_across_cm": estimate_data(one.aim_across, _CM),
        "spread_along_cm": estimate_data(one.spread_along, _CM),
        "spread_across_cm": estimate_data(one.spread_across, _CM),
        "fit": round(one.fit, 4),
    }


def _distance(one: DistanceReading) -> dict[str, Any]:
    return {
        "distance_m": round(one.distance, 4),
        "expected_per_100": estimate_data(one.expected, _PER_CENT),
        "spread_along_cm": estimate_data(one.spread_along, _CM),
        "spread_across_cm": estimate_data(one.spread_across, _CM),
    }
