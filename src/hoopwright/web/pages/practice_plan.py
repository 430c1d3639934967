"""One plan: its visits, tests and notes, and what is changed in it as a whole."""

from dataclasses import replace
from datetime import date

from starlette.responses import Response

from hoopwright.actions import load, plans
from hoopwright.actions.plans import PlanView
from hoopwright.errors import BadInput
from hoopwright.load.limits import careful_age, load_limits
from hoopwright.plans.edits import block_days, with_cue
from hoopwright.plans.notes import plan_notes
from hoopwright.plans.nouns import Cue, PracticePlan, PracticeTest, Stage
from hoopwright.plans.plan import restage
from hoopwright.plans.progress import StageCall, Step, stage_after
from hoopwright.reports.practice_facts import plan_facts
from hoopwright.reports.practice_page import plan_pdf
from hoopwright.reports.practice_words import STAGE_WORDS, TEST_NAMES, stage_sentence
from hoopwright.web.pages.practice_wish import days_of
from hoopwright.web.rendering import said_day
from hoopwright.web.visit import WHO, Visit

_STAGE_STEPS = {
    Step.GO_ON: "Go on to {stage} from the next visit",
    Step.STAY: "Stay at {stage} for the visits to come",
    Step.BACK: "Go back to {stage} from the next visit",
}


def plan(visit: Visit) -> Response:
    """Show a plan."""
    return shown(visit)


def shown(visit: Visit, *, done: tuple[str, ...] = ()) -> Response:
    """Show a plan, with what was just done."""
    view = plans.view_plan(visit.session, visit.id("plan"))
    drills = plans.drill_library(visit.session)
    coming = view.next_session
    return visit.page(
        "plan.html",
        view=view,
        plan=view.plan,
        player=view.player,
        facts=plan_facts(view.plan, view.player.name, drills=drills),
        stages=STAGE_WORDS,
        logs={one.number: one for one in view.logs},
        tests=[one for one in view.tests if one.kind is not PracticeTest.COLD],
        test_names=TEST_NAMES,
        coming=coming,
        stage_said=stage_sentence(view.call, coming.stage) if view.call and coming else "",
        stage_step=_step(view.call, coming.stage) if view.call and coming else None,
        reading=load.cautions_for(visit.session, view.player.id, date.today()),
        today=date.today(),
        done=done,
    )


def pdf(visit: Visit) -> Response:
    """Return the plan for print."""
    view = plans.view_plan(visit.session, visit.id("plan"))
    made = plan_pdf(
        view.plan,
        view.player.name,
        drills=plans.drill_library(visit.session),
        day=said_day(date.today()),
        invented=view.player.invented,
        paper=paper(visit),
    )
    return printed(made, f"practice-{view.plan.id}.pdf")


def change_cue(visit: Visit) -> Response:
    """Give the plan another cue."""
    view, fields = plans.view_plan(visit.session, visit.id("plan")), visit.fields
    cue = Cue(text=fields.text("cue"), own_words=fields.ticked("own_words"))
    keep_change(visit, view, with_cue(view.plan, cue))
    return visit.go("plan", plan=view.plan.id)


def block(visit: Visit) -> Response:
    """Keep days free, and say where the visits and tests of those days went."""
    view = plans.view_plan(visit.session, visit.id("plan"))
    days = days_of(visit.fields, "days")
    visit.fields.check()
    if not days:
        raise BadInput("Write the days to keep free, such as 2026-12-24.", field="days")
    changed, said = block_days(view.plan, days)
    keep_change(visit, view, changed)
    return shown(visit, done=said or ("Kept free; no visit or test was on those days.",))


def change_stage(visit: Visit) -> Response:
    """Make the visits to come anew, beginning at another stage."""
    view, fields = plans.view_plan(visit.session, visit.id("plan")), visit.fields
    stage = fields.needed_choice("stage", Stage, "Say which stage comes next.")
    fields.check()
    coming = view.next_session
    if coming is None:
        raise BadInput("No visit of this plan is to come; make a new plan.", field="stage")
    material = plans.plan_material(visit.session, view.player.id, today=date.today())
    changed = restage(
        view.plan, coming.number, stage, drills=material.drills, targets=material.targets
    )
    keep_change(visit, view, changed)
    return visit.go("plan", plan=view.plan.id)


def end(visit: Visit) -> Response:
    """End a plan; what was done of it stays."""
    on = visit.fields.day("day")
    visit.fields.check()
    ended = plans.end_plan(visit.session, visit.id("plan"), on=on, who=WHO)
    return visit.go("practice", player=ended.player_id)


def remove(visit: Visit) -> Response:
    """Remove a plan; the log of changes keeps it, and shots of its tests stay."""
    gone = plans.remove_plan(visit.session, visit.id("plan"), who=WHO)
    return visit.go("practice", player=gone.player_id)


def keep_change(visit: Visit, view: PlanView, changed: PracticePlan) -> None:
    """Store a plan that was changed, with what is to be said beforehand of it as it is now."""
    limits = load_limits(careful_age(view.player.birth_year, date.today()))
    noted = replace(changed, notes=plan_notes(changed, limits))
    plans.change_plan(visit.session, noted, who=WHO)


def paper(visit: Visit) -> str:
    """Return the paper asked for."""
    return "us-letter" if visit.request.query_params.get("paper") == "letter" else "a4"


def printed(made: bytes, name: str) -> Response:
    """Return a print to be looked at in the browser."""
    shown_as = {"content-disposition": f'inline; filename="{name}"'}
    return Response(made, media_type="application/pdf", headers=shown_as)


def _step(call: StageCall, stage: Stage) -> tuple[str, str] | None:
    """Return the stage that the cold tests ask for, and the words of its button."""
    if call.step not in _STAGE_STEPS:
        return None
    after = stage_after(stage, call.step)
    return after.value, _STAGE_STEPS[call.step].format(stage=after.value)
