"""Charting one set: taps, undo, correction, counts, and lines copied from paper.

The taps come as data with an id made on the phone, and may come twice; the same handlers take
the plain forms of a browser without scripts.
"""

from dataclasses import dataclass, replace

from starlette.responses import JSONResponse, Response

from hoopwright.actions import people, shots, trials
from hoopwright.actions.trials import BlockView, TrialView
from hoopwright.court.standards import ball
from hoopwright.errors import NotFound
from hoopwright.records import Miss, Shot, ShotSet
from hoopwright.reports.trial_words import needs_landings
from hoopwright.web import taps
from hoopwright.web.visit import WHO, Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockShown:
    """The block of a trial that a set is."""

    view: TrialView
    block: BlockView
    #: the block after it, where one is left to be shot
    following: BlockView | None
    #: whether the trial asks where each shot came down
    on_ring: bool


def shot_set(visit: Visit) -> Response:
    """Show the page that charts a set."""
    one = shots.get_set(visit.session, visit.id("set"))
    workout = shots.get_workout(visit.session, one.workout_id)
    return visit.page(
        "set.html",
        set=one,
        workout=workout,
        player=people.get_player(visit.session, workout.player_id),
        ball_radius_cm=100 * ball(one.ball_size).radius,
        reach=taps.REACH,
        tap_error=round(100 * taps.TAP_ERROR),
        trial=_block(visit),
    )


def _block(visit: Visit) -> BlockShown | None:
    """Return the block that the set of this page is; None where it is of no trial."""
    found = trials.block_of(visit.session, visit.id("set"))
    if found is None:
        return None
    view, block = found
    later = [one for one in view.blocks if one.block.number > block.block.number and not one.done]
    over = view.state in ("stopped", "ended")
    return BlockShown(
        view=view,
        block=block,
        following=later[0] if later and not over else None,
        on_ring=needs_landings(view.trial.plan.question.measure),
    )


def record(visit: Visit) -> Response:
    """Store shots."""
    set_id = visit.id("set")
    if visit.sent is None:
        new = [taps.form_shot(visit.fields, visit.fields.identity("id"))]
        shots.record_shots(visit.session, set_id, new, who=WHO)
        return visit.go("shot_set", set=set_id)
    stored = shots.record_shots(visit.session, set_id, taps.sent_shots(visit.sent), who=WHO)
    return _told(shots.get_set(visit.session, set_id), stored=stored)


def undo(visit: Visit) -> Response:
    """Take one shot out again; done twice, it changes nothing."""
    set_id = visit.id("set")
    sent = visit.sent.get("shot") if isinstance(visit.sent, dict) else visit.fields.text("shot")
    before = shots.get_set(visit.session, set_id)
    gone = taps.identity(sent)
    if any(shot.id == gone for shot in before.shots):
        shots.remove_shot(visit.session, gone, who=WHO)
    if visit.sent is None:
        return visit.go("shot_set", set=set_id)
    return _told(shots.get_set(visit.session, set_id), stored=0)


def counts(visit: Visit) -> Response:
    """Add shots known by their counts."""
    fields, set_id = visit.fields, visit.id("set")
    made, attempts = fields.whole("made", "Made"), fields.whole("attempts", "Shots")
    misses = {way: fields.whole(way.value, way.value.title(), default=0) for way in Miss}
    entry = fields.identity("entry")
    fields.check()
    shots.enter_counts(
        visit.session, set_id, made=made, attempts=attempts, misses=misses, who=WHO, entry_id=entry
    )
    return visit.go("shot_set", set=set_id)


def line(visit: Visit) -> Response:
    """Add the shots of a line copied from paper."""
    fields, set_id = visit.fields, visit.id("set")
    entry = fields.identity("entry")
    fields.check()
    shots.enter_line(visit.session, set_id, fields.text("line"), who=WHO, entry_id=entry)
    return visit.go("shot_set", set=set_id)


def one_shot(visit: Visit) -> Response:
    """Show one shot to correct it."""
    one = shots.get_set(visit.session, visit.id("set"))
    shot = _shot_in(one, visit)
    return visit.page("shot.html", set=one, shot=shot, place=one.shots.index(shot) + 1)


def correct(visit: Visit) -> Response:
    """Correct one shot, or take it out."""
    one = shots.get_set(visit.session, visit.id("set"))
    shot = _shot_in(one, visit)
    if visit.fields.text("result") == "remove":
        shots.remove_shot(visit.session, shot.id, who=WHO)
    else:
        typed = taps.form_shot(visit.fields, shot.id)
        feel = typed.feel if "feel" in visit.fields.typed else shot.feel
        # what was filmed of a shot stays with it when its result is put right
        kept = replace(typed, release=shot.release, feel=feel)
        shots.correct_shot(visit.session, kept, who=WHO)
    return visit.go("shot_set", set=one.id)


def _shot_in(one: ShotSet, visit: Visit) -> Shot:
    wanted = visit.id("shot")
    for shot in one.shots:
        if shot.id == wanted:
            return shot
    raise NotFound("That shot is not in this set; it may have been undone.")


def _told(one: ShotSet, *, stored: int) -> Response:
    return JSONResponse({"stored": stored, "shots": len(one.shots), "made": one.made})
