"""One visit of a plan: what is done, changing it, and writing down what came of it."""

from collections.abc import Sequence
from datetime import date

from starlette.responses import Response

from hoopwright.actions import load, plans
from hoopwright.actions.plans import ItemScore, PlanView, SessionLog
from hoopwright.errors import NotFound
from hoopwright.plans.drills import drill_of
from hoopwright.plans.edits import (
    drop_session,
    made_item,
    move_session,
    session_of,
    with_item,
    without_item,
)
from hoopwright.plans.nouns import PlanItem, PlanSession, PracticeTest, Stage
from hoopwright.records import Spot
from hoopwright.reports.practice_facts import sheet_facts
from hoopwright.reports.practice_page import sheet_pdf
from hoopwright.web.forms import Fields
from hoopwright.web.pages.practice_plan import keep_change, paper, printed
from hoopwright.web.pages.practice_wish import same_place, spot_choices
from hoopwright.web.rendering import said_day
from hoopwright.web.visit import WHO, Visit


def session(visit: Visit) -> Response:
    """Show one visit."""
    view, one = _session(visit)
    sheet = plans.sheet_of(visit.session, view.plan.id, number=one.number)
    facts = sheet_facts(sheet, view.player.name)
    tests = len(facts.rows) - len(one.items)
    return visit.page(
        "plan_session.html",
        view=view,
        plan=view.plan,
        player=view.player,
        session=one,
        facts=facts,
        test_rows=facts.rows[:tests],
        rows=list(zip(facts.rows[tests:], one.items, strict=True)),
        log=view.log_of(one.number),
        notes=view.plan.notes,
        cold=[t for t in view.tests if t.kind is PracticeTest.COLD and t.day == one.day],
        reading=load.cautions_for(visit.session, view.player.id, date.today()),
        today=date.today(),
    )


def pdf(visit: Visit) -> Response:
    """Return one visit's sheet for print, with a box for every attempt."""
    view, one = _session(visit)
    made = sheet_pdf(
        plans.sheet_of(visit.session, view.plan.id, number=one.number),
        view.player.name,
        day=said_day(date.today()),
        invented=view.player.invented,
        paper=paper(visit),
    )
    return printed(made, f"visit-{one.number}-{view.plan.id}.pdf")


def log(visit: Visit) -> Response:
    """Write down what came of a visit."""
    view, one = _session(visit)
    fields = visit.fields
    done = fields.text("done") != "no"
    scores = _typed_scores(fields, one) if done else ()
    written = SessionLog(
        plan_id=view.plan.id,
        number=one.number,
        done=done,
        day=fields.day("day"),
        note=fields.text("note"),
        scores=scores,
    )
    fields.check()
    plans.log_session(visit.session, written, who=WHO)
    return visit.go("plan", plan=view.plan.id)


def move(visit: Visit) -> Response:
    """Put a visit, and its cold test, on another day."""
    view, one = _session(visit)
    fields = visit.fields
    day = fields.day("new_day")
    moved = fields.tried(
        "new_day", lambda: move_session(view.plan, one.number, day), instead=view.plan
    )
    fields.check()
    keep_change(visit, view, moved)
    return visit.go("plan_session", plan=view.plan.id, number=one.number)


def drop(visit: Visit) -> Response:
    """Leave a visit out of the plan."""
    view, one = _session(visit)
    keep_change(visit, view, drop_session(view.plan, one.number))
    return visit.go("plan", plan=view.plan.id)


def item(visit: Visit) -> Response:
    """Show the form of one drill of a visit, or of a further one."""
    view, one = _session(visit)
    place = visit.request.path_params["place"]
    if place > len(one.items):
        raise NotFound(f"Visit {one.number} has {len(one.items)} drills; look at its list.")
    now = one.items[place] if place < len(one.items) else None
    drills = plans.drill_library(visit.session)
    spots, _ = spot_choices(visit.session, view.player)
    return visit.page(
        "plan_item.html",
        plan=view.plan,
        player=view.player,
        session=one,
        place=place,
        now=now,
        drills=[(stage, [d for d in drills if d.stage is stage]) for stage in Stage],
        spots=spots,
        shot_from=_keys(now, spots),
        asked=visit.request.query_params.get("drill", now.drill if now else ""),
    )


def save_item(visit: Visit) -> Response:
    """Put a drill in a place of a visit."""
    view, one = _session(visit)
    fields, place = visit.fields, visit.request.path_params["place"]
    material = plans.plan_material(visit.session, view.player.id, today=date.today())
    drill = fields.tried(
        "drill",
        lambda: drill_of(material.drills, fields.text("drill")),
        instead=material.drills[0],
    )
    count = fields.whole("shots", "The shots")
    spots = dict(spot_choices(visit.session, view.player)[0])
    fields.check()
    made = made_item(
        view.plan, drill, count, targets=material.targets, note=fields.text("note"),
        spots=[spot for key, spot in spots.items() if fields.ticked(f"spot-{key}")],
    )  # fmt: skip
    changed = with_item(view.plan, one.number, place, item=made, drills=material.drills)
    keep_change(visit, view, changed)
    return visit.go("plan_session", plan=view.plan.id, number=one.number)


def remove_item(visit: Visit) -> Response:
    """Leave a drill out of a visit."""
    view, one = _session(visit)
    changed = without_item(
        view.plan,
        one.number,
        visit.request.path_params["place"],
        drills=plans.drill_library(visit.session),
    )
    keep_change(visit, view, changed)
    return visit.go("plan_session", plan=view.plan.id, number=one.number)


def _session(visit: Visit) -> tuple[PlanView, PlanSession]:
    view = plans.view_plan(visit.session, visit.id("plan"))
    number = visit.request.path_params["number"]
    if all(one.number != number for one in view.plan.sessions):
        raise NotFound("That visit is not in this plan; it may have been left out.")
    return view, session_of(view.plan, number)


def _typed_scores(fields: Fields, one: PlanSession) -> tuple[ItemScore, ...]:
    """Read the scores of the drills that have any."""
    scores = []
    for i, item in enumerate(one.items):
        if fields.text(f"made-{i}"):
            made = fields.whole(f"made-{i}", "Made")
            attempts = fields.whole(f"attempts-{i}", "Attempts", default=item.shots)
            scores.append(ItemScore(item=i, attempts=attempts, made=made))
    return tuple(scores)


def _keys(now: PlanItem | None, spots: Sequence[tuple[str, Spot]]) -> set[str]:
    """Return the entries of the list of spots that a drill is shot from now."""
    taken = now.spots if now else ()
    return {key for key, spot in spots if any(same_place(spot, one) for one in taken)}
