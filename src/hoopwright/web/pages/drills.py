"""The drill library: looked up, added to, changed."""

import re
from collections.abc import Sequence
from typing import Any

from starlette.responses import Response

from hoopwright.actions import plans
from hoopwright.court.frame import spot_names
from hoopwright.errors import BadInput
from hoopwright.plans.drills import TEXTS, drill_of
from hoopwright.plans.nouns import ALL_FEATURES, Drill, FocusKind, Stage
from hoopwright.web.forms import Fields
from hoopwright.web.visit import WHO, Visit

_EVERYTHING = ""


def listed(visit: Visit) -> Response:
    """Show the drills, all or those of a stage, a focus and a word."""
    asked = visit.request.query_params
    word, stage, serves = (asked.get(name, "").strip() for name in ("word", "stage", "serves"))
    found = _found(plans.drill_library(visit.session), word, stage=stage, serves=serves)
    return visit.page(
        "drills.html",
        word=word,
        stage=stage,
        serves=serves,
        stages=[(_EVERYTHING, "any stage"), *((one.value, one.value) for one in Stage)],
        kinds=[(_EVERYTHING, "any focus"), *((one.value, one.value) for one in FocusKind)],
        drills=[(one, [d for d in found if d.stage is one]) for one in Stage],
        count=len(found),
    )


def _found(drills: Sequence[Drill], word: str, *, stage: str, serves: str) -> list[Drill]:
    wanted = word.casefold()
    return [
        one
        for one in drills
        if stage in ("", one.stage.value)
        and (not serves or serves in [kind.value for kind in one.serves])
        and wanted in " ".join((one.name, one.purpose, one.set_up, one.suits)).casefold()
    ]


def drill(visit: Visit) -> Response:
    """Show one drill."""
    return visit.page("drill.html", drill=_drill(visit))


def new_drill(visit: Visit) -> Response:
    """Show the form of a drill of the coach's own."""
    return _form(visit, None)


def add_drill(visit: Visit) -> Response:
    """Add a drill of the coach's own."""
    typed = _typed(visit.fields, key=_key(visit.fields.text("name")))
    if any(one.key == typed.key for one in plans.drill_library(visit.session)):
        raise BadInput(
            "There is a drill of this name already; change that one, or choose another name.",
            field="name",
        )
    kept = plans.keep_drill(visit.session, typed, who=WHO)
    return visit.go("drill", key=kept.key)


def change_drill(visit: Visit) -> Response:
    """Show the form of a drill to change it."""
    return _form(visit, _drill(visit))


def save_drill(visit: Visit) -> Response:
    """Store a drill anew; one that came with Hoopwright becomes the coach's own version."""
    kept = plans.keep_drill(visit.session, _typed(visit.fields, key=_drill(visit).key), who=WHO)
    return visit.go("drill", key=kept.key)


def remove_drill(visit: Visit) -> Response:
    """Remove a drill of the coach's own; one that was changed is again as it came."""
    plans.remove_drill(visit.session, _drill(visit).key, who=WHO)
    return visit.go("drills")


def _drill(visit: Visit) -> Drill:
    return drill_of(plans.drill_library(visit.session), visit.request.path_params["key"])


def _key(name: str) -> str:
    """Return a short name made of a drill's name; a name without letters gives one too."""
    return "-".join(re.findall(r"[a-z0-9]+", name.casefold()))[:60].strip("-") or "own-drill"


def _form(visit: Visit, before: Drill | None) -> Response:
    return visit.page(
        "drill_form.html",
        drill=before,
        stages=[(one.value, one.value) for one in Stage],
        kinds=list(FocusKind),
        features=ALL_FEATURES,
        spots=spot_names(),
    )


def _typed(fields: Fields, *, key: str) -> Drill:
    texts: dict[str, Any] = {name: fields.text(name) for name in TEXTS}
    typed = Drill(
        key=key,
        stage=fields.choice("stage", Stage, Stage.BLOCKED),
        serves=tuple(one for one in FocusKind if fields.ticked(f"serves-{one.name}")),
        spots=tuple(name for name in spot_names() if fields.ticked(f"spot-{name}")),
        needs=tuple(one for one in ALL_FEATURES if fields.ticked(f"needs-{one}")),
        players_low=fields.whole("players_low", "The fewest players", default=1),
        players_high=fields.whole("players_high", "The most players", default=4),
        shots_per_minute=fields.number("shots_per_minute", "The pace", default=4.0),
        stops_on_makes=fields.ticked("stops_on_makes"),
        **texts,
    )
    fields.check()
    return typed
