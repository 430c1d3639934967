"""Trials: the list, one trial with its blocks, its order on paper, what its shots say."""

from datetime import date

from starlette.responses import JSONResponse, Response

from hoopwright.actions import people, trials
from hoopwright.errors import BadInput
from hoopwright.records import MissDetail, Player
from hoopwright.reports.figures import Figure, specification, svg
from hoopwright.reports.trial_data import plan_data, verdict_data
from hoopwright.reports.trial_facts import verdict_facts
from hoopwright.reports.trial_figures import verdict_figure
from hoopwright.reports.trial_plan_facts import kind_reason, plan_facts
from hoopwright.reports.trial_sheet import block_note, order_sheet
from hoopwright.reports.words import gain
from hoopwright.trials.nouns import Kind
from hoopwright.web.rendering import said_day
from hoopwright.web.schemes import scheme_of
from hoopwright.web.visit import WHO, Visit

#: most pairs added at once
MOST_ADDED = 100
#: said where a picture is asked for before the first pair is whole
_NOTHING = "There is nothing to draw yet; shoot the first blocks of this trial."


def choose(visit: Visit) -> Response:
    """Choose whose trials to see, or one question over all players."""
    return visit.page("trials_choose.html", players=people.list_players(visit.session))


def listed(visit: Visit) -> Response:
    """List a player's trials, and what would be worth one."""
    player = people.get_player(visit.session, visit.id("player"))
    ideas = trials.trial_ideas(visit.session, player.id)
    return visit.page(
        "trials.html",
        player=player,
        trials=trials.list_trials(visit.session, player.id),
        ideas=[(one, gain(one.makes_per_100) if one.makes_per_100 else "") for one in ideas],
    )


def trial(visit: Visit) -> Response:
    """Show one trial: what it can tell, what is next, its order."""
    view = trials.view_trial(visit.session, visit.id("trial"))
    foretold = trials.foretold(view)
    plan = view.trial.plan
    if visit.wants_json:
        return JSONResponse(plan_data(plan, foretold))
    return visit.page(
        "trial.html",
        view=view,
        plan=plan,
        player=view.player,
        facts=plan_facts(plan, foretold),
        reason=kind_reason(plan.question),
        notes={one.block.number: block_note(one.row) for one in view.blocks},
        side_by_side=plan.kind is not Kind.PHASES,
        pairs=plan.layout.pairs + plan.added,
        pair="four" if plan.kind is Kind.MIRRORED else "pair",
        today=date.today().isoformat(),
        looks=len(trials.looks_at(visit.session, view.trial.id)),
    )


def begin(visit: Visit) -> Response:
    """Begin a block, and go to chart it; one begun already is gone on with."""
    trial_id, fields = visit.id("trial"), visit.fields
    number = fields.whole("block", "The block")
    set_id, day = fields.identity("set"), fields.day("day")
    detail = fields.choice("detail", MissDetail, MissDetail.ONE)
    fields.check()
    begun = [one.begun for one in trials.view_trial(visit.session, trial_id).blocks
             if one.block.number == number]  # fmt: skip
    if begun and begun[0] is not None:
        return visit.go("shot_set", set=begun[0].set_id)
    made = trials.begin_block(
        visit.session, trial_id, number=number, set_id=set_id, on=day, who=WHO, detail=detail
    )
    return visit.go("shot_set", set=made.id)


def finish(visit: Visit) -> Response:
    """Say that a block is over, though not all its shots were taken."""
    trial_id = visit.id("trial")
    number = visit.fields.whole("block", "The block")
    visit.fields.check()
    trials.finish_block(visit.session, trial_id, number=number, who=WHO)
    return visit.go("trial", trial=trial_id)


def extend(visit: Visit) -> Response:
    """Add pairs to a trial."""
    trial_id, fields = visit.id("trial"), visit.fields
    pairs = fields.whole("pairs", "How many to add")
    planned = fields.whole("planned", "How many there are")
    if not 1 <= pairs <= MOST_ADDED:
        fields.refuse("pairs", f"Add from 1 to {MOST_ADDED} at a time.")
    fields.check()
    trials.extend_trial(visit.session, trial_id, pairs=pairs, planned=planned, who=WHO)
    return visit.go("trial", trial=trial_id)


def stop(visit: Visit) -> Response:
    """Stop a trial, with the reason."""
    trial_id = visit.id("trial")
    trials.stop_trial(visit.session, trial_id, reason=visit.fields.text("reason"), who=WHO)
    return visit.go("trial", trial=trial_id)


def remove(visit: Visit) -> Response:
    """Remove a trial; its shots stay."""
    gone = trials.remove_trial(visit.session, visit.id("trial"), who=WHO)
    return visit.go("trials", player=gone.player_id)


def look(visit: Visit) -> Response:
    """Keep a look at what a trial says, and show it."""
    trial_id = visit.id("trial")
    trials.look_at_trial(visit.session, trial_id, who=WHO)
    return visit.go("verdict", trial=trial_id)


def verdict(visit: Visit) -> Response:
    """Show what a trial's shots say so far."""
    reading = trials.read_trial(visit.session, visit.id("trial"))
    plan, found = reading.view.trial.plan, reading.verdict
    if visit.wants_json:
        if found is None:
            raise BadInput(reading.missing)
        return JSONResponse({"trial": str(plan.id)} | verdict_data(plan, found))
    return visit.page(
        "trial_verdict.html",
        view=reading.view,
        plan=plan,
        player=reading.view.player,
        missing=reading.missing,
        facts=verdict_facts(plan, found) if found else None,
        figure=verdict_figure(plan.question, found) if found else None,
        order_checked=reading.order_checked,
        kept=trials.looks_at(visit.session, plan.id),
    )


def verdict_picture(visit: Visit) -> Response:
    """Return the picture of a verdict, still."""
    scheme = scheme_of(visit)
    return Response(svg(_figure(visit).chart, scheme), media_type="image/svg+xml")


def verdict_interactive(visit: Visit) -> Response:
    """Return the picture of a verdict as a specification, for the interactive one."""
    return JSONResponse(specification(_figure(visit).chart, scheme_of(visit)))


def _figure(visit: Visit) -> Figure:
    reading = trials.read_trial(visit.session, visit.id("trial"))
    if reading.verdict is None:
        raise BadInput(_NOTHING)
    question = reading.view.trial.plan.question
    return verdict_figure(question, reading.verdict, scheme=scheme_of(visit))


def sheet(visit: Visit) -> Response:
    """Return the order of a trial for print."""
    view = trials.view_trial(visit.session, visit.id("trial"))
    player: Player = view.player
    made = order_sheet(
        view.trial.plan,
        player=player.name,
        day=said_day(date.today()),
        invented=player.invented,
        paper="us-letter" if visit.request.query_params.get("paper") == "letter" else "a4",
    )
    shown_as = {"content-disposition": f'inline; filename="trial-{view.trial.id}.pdf"'}
    return Response(made, media_type="application/pdf", headers=shown_as)
