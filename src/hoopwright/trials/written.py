"""A trial's plan, what it can detect, and its verdict as JSON text; and read back."""

import math
from dataclasses import fields
from typing import TypeVar

import msgspec

from hoopwright.errors import BadInput
from hoopwright.trials.nouns import BodyMeasure, Measure, TrialPlan, Verdict
from hoopwright.trials.power import Detectable, PowerCurve
from hoopwright.trials.sample_size import Cheaper

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


def foretold_to_json(foretold: Detectable) -> str:
    """Return what a trial can detect as JSON text."""
    return msgspec.json.encode(_WrittenForetold(version=VERSION, foretold=foretold)).decode()


def foretold_from_json(text: str) -> Detectable:
    """Return what ``foretold_to_json`` wrote.

    Raises
    ------
    BadInput
        The text says nothing of the kind, or is of another version.
    """
    read = _read(text, _ReadForetold, what="forecast of a trial").foretold
    curves = tuple(
        PowerCurve(
            measure=one.measure,
            differences=one.differences,
            found=one.found,
            found_once=tuple(math.nan if x is None else x for x in one.found_once),
            smallest=one.smallest,
        )
        for one in read.curves
    )
    plain = {f.name: getattr(read, f.name) for f in fields(Detectable) if f.name != "curves"}
    return Detectable(curves=curves, **plain)


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


class _WrittenForetold(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    version: int
    foretold: Detectable


class _ReadCurve(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    measure: Measure
    differences: tuple[float, ...]
    found: tuple[float, ...]
    # JSON has no NaN: it is written as null
    found_once: tuple[float | None, ...]
    smallest: float | None


class _ReadDetectable(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    curves: tuple[_ReadCurve, ...]
    shots: int
    shots_each: int
    off_aim: Cheaper | None
    scattered: Cheaper | None
    minutes: float
    minutes_a_day: float


class _ReadForetold(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    version: int
    foretold: _ReadDetectable


class _Versioned(msgspec.Struct):
    version: int
