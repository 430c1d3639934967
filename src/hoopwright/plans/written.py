"""A plan or a drill as JSON text, to keep and to send; and read back."""

from typing import TypeVar

import msgspec

from hoopwright.errors import BadInput
from hoopwright.plans.nouns import Drill, PracticePlan

#: raised whenever what is written changes its shape
VERSION = 1


class _Written(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    version: int


class _WrittenPlan(_Written, kw_only=True, forbid_unknown_fields=True):
    plan: PracticePlan


class _WrittenDrill(_Written, kw_only=True, forbid_unknown_fields=True):
    drill: Drill


_T = TypeVar("_T", bound=_Written)


def plan_to_json(plan: PracticePlan) -> str:
    """Return a plan as JSON text."""
    return msgspec.json.encode(_WrittenPlan(version=VERSION, plan=plan)).decode()


def plan_from_json(text: str) -> PracticePlan:
    """Return the plan that ``plan_to_json`` wrote.

    Raises
    ------
    BadInput
        The text is no plan, or one of another version.
    """
    return _read(text, _WrittenPlan, what="plan", do="make").plan


def drill_to_json(drill: Drill) -> str:
    """Return a drill as JSON text."""
    return msgspec.json.encode(_WrittenDrill(version=VERSION, drill=drill)).decode()


def drill_from_json(text: str) -> Drill:
    """Return the drill that ``drill_to_json`` wrote.

    Raises
    ------
    BadInput
        The text is no drill, or one of another version.
    """
    return _read(text, _WrittenDrill, what="drill", do="add").drill


def _read(text: str, kind: type[_T], *, what: str, do: str) -> _T:
    try:
        written = msgspec.json.decode(text, type=kind)
    except (msgspec.DecodeError, msgspec.ValidationError) as trouble:
        raise BadInput(f"This stored {what} can't be read; {do} the {what} again.") from trouble
    if written.version != VERSION:
        raise BadInput(f"This {what} was written by another version; {do} the {what} again.")
    return written
