"""Trials as plain values for JSON: each key carries its unit, each number its ranges."""

import math
from typing import Any

from hoopwright.records import Estimate
from hoopwright.reports.data import estimate_data
from hoopwright.reports.trial_facts import guard_sentence
from hoopwright.reports.trial_words import measure_name
from hoopwright.trials.design import order_rows
from hoopwright.trials.nouns import BodyMeasure, Question, TrialPlan, Verdict
from hoopwright.trials.power import Detectable
from hoopwright.units import to_centimetres

_CM = to_centimetres(1.0)


def question_data(question: Question) -> dict[str, Any]:
    """Return what a trial asks."""
    measure = question.measure
    return {
        "question": question.what,
        "habit": question.habit,
        "change": question.change,
        "topic": question.topic.value,
        "measure": measure_name(measure),
        "measure_unit": _unit(question),
        "more_is_better": question.sign > 0,
        "spots": [
            {"name": s.name, "x_m": round(s.x, 4), "y_m": round(s.y, 4)} for s in question.spots
        ],
        "body_measure": isinstance(measure, BodyMeasure),
    }


def _unit(question: Question) -> str:
    if isinstance(question.measure, BodyMeasure):
        return question.measure.unit or "1"
    return {"make": "makes per 100", "entry angle": "rad"}.get(question.measure.value, "m")


def plan_data(plan: TrialPlan, foretold: Detectable) -> dict[str, Any]:
    """Return a plan: its order, its seed, and what it can detect."""
    return {
        "trial": str(plan.id),
        **question_data(plan.question),
        "kind": plan.kind.value,
        "start": plan.start.isoformat(),
        "seed": plan.seed,
        "shots": plan.shots,
        "minutes": round(foretold.minutes, 1),
        "minutes_a_day": round(foretold.minutes_a_day, 1),
        "detectable": [_curve(foretold, place) for place in range(len(foretold.curves))],
        "blocks": [
            {
                "block": row.number,
                "visit": row.day,
                "due": row.due.isoformat() if row.due else None,
                "way": row.way,
                "spot": row.spot,
                "phase": row.phase.value,
                "washout": row.washout,
                "shots": row.shots,
            }
            for row in order_rows(plan)
        ],
    }


def _curve(foretold: Detectable, place: int) -> dict[str, Any]:
    """Return how often each difference is found: share made, metres, share of the scatter."""
    curve = foretold.curves[place]
    return {
        "measure": curve.measure.value,
        "differences": list(curve.differences),
        "found": [_number(one) for one in curve.found],
        "found_by_one_t_test": [_number(one) for one in curve.found_once],
        "found_4_times_in_5_from": curve.smallest,
    }


def verdict_data(plan: TrialPlan, verdict: Verdict) -> dict[str, Any]:
    """Return a verdict with its effect, looks and guards."""
    effect = verdict.effect
    return {
        "said": verdict.said.value,
        "chance_better": round(verdict.chance_better, 4),
        "effect": {
            "own": estimate_data(effect.own),
            "own_unit": _unit(plan.question),
            "makes_per_100": _maybe(effect.makes_per_100),
            "along_cm": _maybe(effect.along, _CM),
            "across_cm": _maybe(effect.across, _CM),
        },
        "shots_needed": verdict.shots_needed,
        "by_luck": None if verdict.by_luck is None else round(verdict.by_luck, 4),
        "habit": {"shots": verdict.habit_shots, "made": verdict.habit_made},
        "change": {"shots": verdict.change_shots, "made": verdict.change_made},
        "looks": [
            {
                "after_block": look.after,
                "value": _number(look.value),
                "chance_better": round(look.chance_better, 4),
                "said": look.said.value,
            }
            for look in verdict.looks
        ],
        "guards": [
            {
                "guard": one.guard.value,
                "sentence": guard_sentence(one, plan.question),
                "numbers": {name: _number(value) for name, value in one.numbers},
            }
            for one in verdict.guards
        ],
    }


def _maybe(estimate: Estimate | None, factor: float = 1.0) -> dict[str, float | None] | None:
    return None if estimate is None else estimate_data(estimate, factor)


def _number(value: float) -> float | None:
    return round(value, 6) if math.isfinite(value) else None
