"""A plan or a drill as JSON text, to keep and to send; and read back."""

import msgspec

from hoopwright.errors import BadInput
from hoopwright.plans.nouns import Drill, PracticePlan

#: raised whenever what is written changes its shape
VERSION = 1


class _WrittenPlan(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    version: int
    plan: PracticePlan


class _WrittenDrill(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    version: int
    drill: Drill


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
    try:
        written = msgspec.json.decode(text, type=_WrittenPlan)
    except (msgspec.DecodeError, msgspec.ValidationError) as trouble:
        raise BadInput("This stored plan can't be read; make the plan again.") from trouble
    if written.version != VERSION:
        raise BadInput("This plan was written by another version; make the plan again.")
    return written.plan


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
    try:
        written = msgspec.json.decode(text, type=_WrittenDrill)
    except (msgspec.DecodeError, msgspec.ValidationError) as trouble:
        raise BadInput("This stored drill can't be read; add the drill again.") from trouble
    if written.version != VERSION:
        raise BadInput("This drill was written by another version; add the drill again.")
    return written.drill
