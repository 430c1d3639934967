"""The form that plans a trial: filled in from a finding, a link or a trial planned before."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID

from starlette.responses import Response

from hoopwright.actions import people, shots, trials
from hoopwright.court.frame import spot_named, spot_names
from hoopwright.errors import NotFound
from hoopwright.film.results import Body
from hoopwright.records import Player, Spot
from hoopwright.reports.trial_words import MEASURE_NAMES, Unit, body_measure, unit_of
from hoopwright.trials.design import kind_for, layout_for
from hoopwright.trials.nouns import (
    Better,
    BodyMeasure,
    Kind,
    Layout,
    Measure,
    Question,
    Topic,
)
from hoopwright.web.forms import Fields, shown
from hoopwright.web.visit import WHO, Visit

#: how a measure of the body is named in the form
_BODY = "body: "
#: a trial of which nothing was shot yet
_PLANNED = "planned"
#: places to choose spots in
SPOT_FIELDS = ("spot", "spot_2", "spot_3")
_FREE_THROW = "free throw"
#: sizes of a layout as typed, with what they are called
_SIZES = {
    "pairs": "The number of pairs or tests",
    "shots_per_block": "Shots that count",
    "washout": "Washout shots",
    "familiarisation": "Shots to get used to it",
    "days": "Visits",
    "every": "Days from visit to visit",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Start:
    """What the form is filled in with."""

    question: Question | None = None
    layout: Layout | None = None
    #: why this trial, where it comes from a finding
    why: str = ""
    #: the planned trial that this one takes the place of
    replaces: str = ""


def new(visit: Visit) -> Response:
    """Show the form of a new trial."""
    player = people.get_player(visit.session, visit.id("player"))
    start = _start(visit, player)
    return visit.page(
        "trial_form.html",
        player=player,
        start=start,
        asked=start.question,
        layout=start.layout,
        usual={kind: layout_for(topic) for kind, topic in _USUAL},
        topics=[(one.value, kind_for(one) is Kind.PAIRED) for one in Topic],
        measures=_measures(),
        spots=[one.name for one in _spots(visit, player, start).values()],
        chosen=[one.name for one in start.question.spots] if start.question else [_FREE_THROW],
        measure=_measure_key(start.question.measure) if start.question else Measure.MAKE.value,
        better=_better(start.question),
        today=date.today().isoformat(),
    )


def plan(visit: Visit) -> Response:
    """Plan a trial; one it takes the place of is removed, if nothing of it was shot."""
    player = people.get_player(visit.session, visit.id("player"))
    wish = _typed(visit, player)
    before = visit.fields.identity("replaces") if visit.fields.text("replaces") else None
    visit.fields.check()
    made = trials.plan_trial(visit.session, wish, who=WHO)
    if before is not None:
        _take_place(visit, before)
    return visit.go("trial", trial=made.id)


def _take_place(visit: Visit, before: UUID) -> None:
    try:
        view = trials.view_trial(visit.session, before)
    except NotFound:
        return
    if view.state == _PLANNED:
        trials.remove_trial(visit.session, before, who=WHO)


_USUAL = (("side by side", Topic.CUE), ("in phases", Topic.DIP))


def _start(visit: Visit, player: Player) -> _Start:
    """Find what the address says the form is filled in with."""
    asked = visit.request.query_params
    if asked.get("idea"):
        for idea in trials.trial_ideas(visit.session, player.id):
            if idea.question.change == asked["idea"]:
                return _Start(question=idea.question, why=idea.why)
    if asked.get("like"):
        view = trials.view_trial(visit.session, Fields({"id": asked["like"]}).identity("id"))
        question = view.trial.plan.question
        measure = Fields({"m": asked.get("measure", "")}).choice("m", Measure, Measure.MAKE)
        if asked.get("measure"):
            question = replace(question, measure=measure, smallest=None)
        planned = view.state == _PLANNED
        return _Start(
            question=question,
            layout=view.trial.plan.layout,
            replaces=str(view.trial.id) if planned else "",
        )
    return _Start()


def _measures() -> list[tuple[str, str]]:
    body = [(f"{_BODY}{one.value}", f"{one.value} (filmed)") for one in Body]
    return [(measure.value, said) for measure, said in MEASURE_NAMES.items()] + body


def _measure_key(measure: Measure | BodyMeasure) -> str:
    return f"{_BODY}{measure.name}" if isinstance(measure, BodyMeasure) else measure.value


def _better(question: Question | None) -> Better:
    if question is None:
        return Better.MORE
    measure = question.measure
    return measure.better if isinstance(measure, BodyMeasure) else question.better


def _spots(visit: Visit, player: Player, start: _Start) -> dict[str, Spot]:
    """Return the spots to choose from by name: the court's, the player's own, those asked for."""
    named = [spot_named(name, player.rules) for name in spot_names(player.rules)]
    visits = shots.list_workouts(visit.session, player.id)
    own = [one.spot for workout in visits for one in workout.sets]
    asked = list(start.question.spots) if start.question else []
    return {one.name: one for one in (*own, *asked, *named)}


def _typed(visit: Visit, player: Player) -> trials.TrialWish:
    fields = visit.fields
    topic = fields.choice("topic", Topic, Topic.OTHER)
    measure = _typed_measure(fields)
    question = Question(
        what=fields.text("what"),
        change=_named(fields, "change", "a change to try", apart=fields.text("habit") or "habit"),
        habit=fields.text("habit") or "habit",
        topic=topic,
        measure=measure,
        better=fields.choice("better", Better, Better.MORE),
        spots=_typed_spots(visit, player),
        aim=fields.number("aim", "The aim", default=0.0) / 100.0,
        smallest=_smallest(fields, unit_of(measure)),
        also_changed=_listed(fields.text("also")),
        measures_watched=fields.whole("measures_watched", "Measures watched", default=1),
    )
    return trials.TrialWish(
        id=fields.identity("id"),
        player_id=player.id,
        question=question,
        layout=_typed_layout(fields, topic),
        start=fields.day("start"),
        seed=fields.whole("seed", "The seed") if fields.text("seed") else None,
        stop_day=fields.day("stop") if fields.text("stop") else None,
    )


def _named(fields: Fields, name: str, instead: str, *, apart: str) -> str:
    """Return a way's name; where it can't be right, note it and give a stand-in."""
    typed = fields.text(name)
    if not typed:
        fields.refuse(name, "Say what is tried, in a few words, such as feet turned.")
        return instead
    if typed.casefold() == apart.casefold():
        fields.refuse(name, "The change needs a name other than the habit's.")
        return instead
    return typed


def _typed_measure(fields: Fields) -> Measure | BodyMeasure:
    typed = fields.text("measure") or Measure.MAKE.value
    known = {one.value: one for one in Body}
    if typed.startswith(_BODY) and typed.removeprefix(_BODY) in known:
        better = fields.choice("better", Better, Better.MORE)
        return body_measure(known[typed.removeprefix(_BODY)], better)
    measure = fields.choice("measure", Measure, Measure.MAKE)
    if measure in (Measure.ALONG, Measure.ACROSS, Measure.ENTRY_ANGLE) and (
        fields.text("better") == Better.STEADIER.value
    ):
        fields.refuse("better", "Steadier is for distance control, line control or the body.")
    return measure


def _typed_spots(visit: Visit, player: Player) -> tuple[Spot, ...]:
    known = _spots(visit, player, _start(visit, player))
    typed = [visit.fields.text(name) for name in SPOT_FIELDS]
    wanted = list(dict.fromkeys(one for one in typed if one)) or [_FREE_THROW]
    for one in wanted:
        if one not in known:
            visit.fields.refuse("spot", f"{shown(one)} is not in the list; choose one that is.")
    found = tuple(known[one] for one in wanted if one in known)
    return found or (spot_named(_FREE_THROW, player.rules),)


def _smallest(fields: Fields, unit: Unit) -> float | None:
    if not fields.text("smallest"):
        return None
    typed = fields.number("smallest", "The smallest difference")
    if typed <= 0:
        fields.refuse("smallest", "The smallest difference must be above zero.")
        return None
    return typed / unit.factor


def _listed(typed: str) -> tuple[str, ...]:
    parts: Sequence[str] = [part.strip() for part in typed.split(",")]
    return tuple(part for part in parts if part)


def _typed_layout(fields: Fields, topic: Topic) -> Layout:
    """Return the sizes typed; what was left empty is as usual for the kind."""
    kind = fields.choice("kind", Kind, kind_for(topic))
    usual = _usual(kind)
    sizes = {
        name: fields.whole(name, said, default=getattr(usual, name))
        for name, said in _SIZES.items()
    }
    return replace(usual, kind=kind, **sizes)


def _usual(kind: Kind) -> Layout:
    if kind is Kind.PHASES:
        return layout_for(Topic.DIP)
    usual = layout_for(Topic.CUE)
    # a four has twice the blocks of a pair
    return replace(usual, kind=kind, pairs=usual.pairs // 2) if kind is Kind.MIRRORED else usual
