"""A trial's plan and verdict as JSON text, to keep and to send; and read back."""

from typing import TypeVar

import msgspec

from hoopwright.errors import BadInput
from hoopwright.trials.nouns import BodyMeasure, Measure, TrialPlan, Verdict

#: raised whenever what is written changes its shape
VERSION = 1

_T = TypeVar("_T", bound=msgspec.Struct)


class _WrittenPlan(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    version: int
    plan: TrialPlan


class _WrittenVerdict(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    version: int
    verdict: Verdict


def plan_to_json(plan: TrialPlan) -> str:
    """Return a trial's plan as JSON text."""
    return msgspec.json.encode(_WrittenPlan(version=VERSION, plan=plan)).decode()


def plan_from_json(text: str) -> TrialPlan:
    """Return the plan that ``plan_to_json`` wrote.

    Raises
    ------
    BadInput
        The text is no plan, or one of another version.
    """
    return _read(text, _WrittenPlan, what="trial").plan


def verdict_to_json(verdict: Verdict) -> str:
    """Return a verdict as JSON text."""
    return msgspec.json.encode(_WrittenVerdict(version=VERSION, verdict=verdict)).decode()


def verdict_from_json(text: str) -> Verdict:
    """Return the verdict that ``verdict_to_json`` wrote.

    Raises
    ------
    BadInput
        The text is no verdict, or one of another version.
    """
    return _read(text, _WrittenVerdict, what="verdict").verdict


def measure_key(measure: Measure | BodyMeasure) -> str:
    """Return a measure as it is compared: trials alike in it can be read together."""
    if isinstance(measure, BodyMeasure):
        return f"{measure.name}, {measure.better.value}"
    return measure.value


def _read(text: str, kind: type[_T], *, what: str) -> _T:
    try:
        version = msgspec.json.decode(text, type=_Versioned).version
        if version != VERSION:
            raise BadInput(f"This {what} was written by another version; make it again.")
        return msgspec.json.decode(text, type=kind)
    except (msgspec.DecodeError, msgspec.ValidationError) as trouble:
        raise BadInput(f"This stored {what} can't be read; make it again.") from trouble


class _Versioned(msgspec.Struct):
    version: int
