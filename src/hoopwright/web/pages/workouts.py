"""Workouts: start one, its sets, and what is written down about each."""

from dataclasses import replace
from datetime import date
from uuid import UUID, uuid5

from starlette.responses import Response

from hoopwright.actions import load, people, shots
from hoopwright.court.frame import spot_at, spot_named
from hoopwright.court.standards import BALL_SIZES
from hoopwright.records import MissDetail, Player, Purpose, ShotSet, Spot, Workout
from hoopwright.units import degrees
from hoopwright.web.court_picture import court_picture
from hoopwright.web.forms import Fields
from hoopwright.web.visit import WHO, Visit

#: the entry of the list of spots that means distance and side are typed
ELSEWHERE = "elsewhere"
#: what a set can be shot for, as its form says it
PURPOSES = (
    (Purpose.PRACTICE, "Practice"),
    (Purpose.COLD_TEST, "Cold test: first shots of the day, no coaching before"),
    (Purpose.RETENTION_TEST, "Retention test: the same test, days or weeks later"),
    (Purpose.TRANSFER_TEST, "Transfer test: single shots, as in games"),
    (Purpose.DRILL, "A drill of the practice plan"),
)
#: stands in while the other fields of a refused form are read
_FREE_THROW = Spot(name="free throw", x=0.0, y=4.225)


def workouts(visit: Visit) -> Response:
    """Choose whose workout to start or open."""
    return visit.page("workouts.html", players=people.list_players(visit.session))


def new_workout(visit: Visit) -> Response:
    """Show the form of a workout and its first set."""
    who = people.get_player(visit.session, visit.id("player"))
    before = shots.list_workouts(visit.session, who.id)
    last = before[-1].sets[-1] if before and before[-1].sets else None
    return _set_form(visit, who, last, heading="Start a workout")


def start_workout(visit: Visit) -> Response:
    """Start a workout with its first set."""
    who = people.get_player(visit.session, visit.id("player"))
    fields = visit.fields
    workout_id = fields.identity("id")
    first = _typed_set(fields, who, set_id=uuid5(workout_id, "first set"), workout_id=workout_id)
    day, note = fields.day("day"), fields.text("note")
    fields.check()
    workout = Workout(id=workout_id, player_id=who.id, day=day, note=note, sets=(first,))
    shots.start_workout(visit.session, workout, who=WHO)
    return visit.go("shot_set", set=first.id)


def workout(visit: Visit) -> Response:
    """Show one workout and its sets."""
    one = shots.get_workout(visit.session, visit.id("workout"))
    who = people.get_player(visit.session, one.player_id)
    return visit.page("workout.html", workout=one, player=who)


def save_workout(visit: Visit) -> Response:
    """Store a workout's day and note anew."""
    one = shots.get_workout(visit.session, visit.id("workout"))
    day, note = visit.fields.day("day"), visit.fields.text("note")
    visit.fields.check()
    shots.change_workout(visit.session, replace(one, day=day, note=note), who=WHO)
    return visit.go("workout", workout=one.id)


def remove_workout(visit: Visit) -> Response:
    """Remove a workout with its sets and shots."""
    gone = shots.remove_workout(visit.session, visit.id("workout"), who=WHO)
    return visit.go("player", player=gone.player_id)


def new_set(visit: Visit) -> Response:
    """Show the form of a further set."""
    one = shots.get_workout(visit.session, visit.id("workout"))
    who = people.get_player(visit.session, one.player_id)
    return _set_form(visit, who, one.sets[-1] if one.sets else None, heading="Next set")


def add_set(visit: Visit) -> Response:
    """Add a set to a workout."""
    one = shots.get_workout(visit.session, visit.id("workout"))
    who = people.get_player(visit.session, one.player_id)
    set_id = visit.fields.identity("id")
    added = _typed_set(visit.fields, who, set_id=set_id, workout_id=one.id)
    visit.fields.check()
    shots.add_set(visit.session, replace(added, position=len(one.sets)), who=WHO)
    return visit.go("shot_set", set=set_id)


def change_set(visit: Visit) -> Response:
    """Show the form of a set."""
    one, who = _set_and_player(visit)
    return _set_form(visit, who, one, heading="Change this set")


def save_set(visit: Visit) -> Response:
    """Store a set's spot, condition and gear anew; its shots stay."""
    one, who = _set_and_player(visit)
    after = _typed_set(visit.fields, who, set_id=one.id, workout_id=one.workout_id)
    visit.fields.check()
    shots.change_set(visit.session, replace(after, ordered=one.ordered), who=WHO)
    return visit.go("shot_set", set=one.id)


def remove_set(visit: Visit) -> Response:
    """Remove a set with its shots."""
    gone = shots.remove_set(visit.session, visit.id("set"), who=WHO)
    return visit.go("workout", workout=gone.workout_id)


def _set_and_player(visit: Visit) -> tuple[ShotSet, Player]:
    one = shots.get_set(visit.session, visit.id("set"))
    owner = shots.get_workout(visit.session, one.workout_id).player_id
    return one, people.get_player(visit.session, owner)


def _set_form(visit: Visit, who: Player, last: ShotSet | None, *, heading: str) -> Response:
    """Show the form of a set, filled in like the last one, as sets follow each other."""
    return visit.page(
        "set_form.html",
        heading=heading,
        player=who,
        last=last,
        court=court_picture(who.rules),
        elsewhere=ELSEWHERE,
        ball_sizes=BALL_SIZES,
        today=date.today().isoformat(),
        purposes=PURPOSES,
        cautions=load.cautions_for(visit.session, who.id, date.today()),
    )


def _typed_set(fields: Fields, who: Player, *, set_id: UUID, workout_id: UUID) -> ShotSet:
    return ShotSet(
        id=set_id,
        workout_id=workout_id,
        position=0,
        spot=_typed_spot(fields, who.rules),
        condition=fields.text("condition"),
        ball_size=fields.whole("ball_size", "The ball size", default=who.ball_size),
        ring_height=fields.length("ring_height", "The ring height") or who.ring_height,
        miss_detail=fields.choice("detail", MissDetail, MissDetail.ONE),
        stops_on_makes=fields.ticked("stops_on_makes"),
        purpose=fields.choice("purpose", Purpose, Purpose.PRACTICE),
    )


def _typed_spot(fields: Fields, rules: str) -> Spot:
    """Read a named spot, or distance and side."""
    named = fields.text("spot") or "free throw"
    if named != ELSEWHERE:
        return fields.tried("spot", lambda: spot_named(named, rules), instead=_FREE_THROW)
    distance = fields.needed_length("distance", "The distance")
    side = degrees(fields.number("bearing", "The angle", default=0.0))
    if {"distance", "bearing"} & fields.troubles.keys():
        return _FREE_THROW
    name = fields.text("spot_name")
    return fields.tried(
        "distance",
        lambda: spot_at(distance, side, name=name, rules=rules),
        instead=_FREE_THROW,
    )
