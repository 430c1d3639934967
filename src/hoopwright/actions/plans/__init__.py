"""Practice: what to work on, a plan for it, what was done of it, tests when they are due."""

from hoopwright.actions.plans.booked import (
    DueTest,
    TestBegin,
    begin_test,
    due_tests,
    skip_test,
)
from hoopwright.actions.plans.drill_library import drill_library, keep_drill, remove_drill
from hoopwright.actions.plans.kept import (
    PlanView,
    change_plan,
    end_plan,
    keep_plan,
    log_session,
    plans_of,
    remove_plan,
    running_plan,
    view_plan,
)
from hoopwright.actions.plans.made import (
    PlanMaterial,
    draft_plan,
    focus_for,
    plan_material,
    plan_practice,
)
from hoopwright.actions.plans.on_paper import GroupPlan, GroupVisit, group_sheet, sheet_of
from hoopwright.store.plans import ItemScore, SessionLog, StoredPlan, TestRow

__all__ = [
    "DueTest",
    "GroupPlan",
    "GroupVisit",
    "ItemScore",
    "PlanMaterial",
    "PlanView",
    "SessionLog",
    "StoredPlan",
    "TestBegin",
    "TestRow",
    "begin_test",
    "change_plan",
    "draft_plan",
    "drill_library",
    "due_tests",
    "end_plan",
    "focus_for",
    "group_sheet",
    "keep_drill",
    "keep_plan",
    "log_session",
    "plan_material",
    "plan_practice",
    "plans_of",
    "remove_drill",
    "remove_plan",
    "running_plan",
    "sheet_of",
    "skip_test",
    "view_plan",
]
