"""The drill library: the rows of ``drills.csv``, drills of the coach's own, and which to take."""

import csv
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache
from importlib.resources import files
from typing import Any

from hoopwright.court.frame import spot_named
from hoopwright.errors import BadInput, UnknownName
from hoopwright.plans.nouns import ALL_FEATURES, Drill, FocusKind, Stage, Wish

#: a drill's spots may lie this much farther out than the player's own [m]
REACH_MARGIN = 0.3
#: most players one drill is for, and the paces that can be meant [shots a minute]
MOST_PLAYERS, SLOWEST, FASTEST = 24, 0.2, 30.0
_KEY = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
#: fields that must have words in
TEXTS = (
    "name", "purpose", "set_up", "suits", "count", "progress", "equipment", "ring_and_ball",
)  # fmt: skip
_LONGEST = 400


@cache
def library() -> tuple[Drill, ...]:
    """Return the drills that come with Hoopwright, easiest stage first."""
    text = files("hoopwright.plans").joinpath("drills.csv").read_text(encoding="utf-8")
    return tuple(_drill(row) for row in csv.DictReader(text.splitlines()))


def _drill(row: Mapping[str, str]) -> Drill:
    texts: dict[str, Any] = {name: row[name] for name in TEXTS}
    return Drill(
        key=row["key"],
        stage=Stage(row["stage"]),
        serves=tuple(FocusKind[name.upper()] for name in row["serves"].split()),
        spots=_several(row["spots"]),
        needs=_several(row["needs"]),
        players_low=int(row["players_low"]),
        players_high=int(row["players_high"]),
        shots_per_minute=float(row["shots_per_minute"]),
        stops_on_makes=row["stops_on_makes"] == "1",
        **texts,
    )


def _several(text: str) -> tuple[str, ...]:
    return tuple(part for part in text.split(";") if part)


def drill_of(drills: Sequence[Drill], key: str) -> Drill:
    """Return the drill of a key.

    Raises
    ------
    UnknownName
        There is none.
    """
    for one in drills:
        if one.key == key:
            return one
    raise UnknownName(f"There is no drill called {key!r}; choose one from the drill library.")


def with_drill(drills: Sequence[Drill], drill: Drill) -> tuple[Drill, ...]:
    """Return the library with a drill of the coach's own added, or put in the place of its key.

    Raises
    ------
    BadInput
        A field of the drill is missing or can't be right.
    """
    own = replace(checked_drill(drill), own=True)
    if any(one.key == own.key for one in drills):
        return tuple(own if one.key == own.key else one for one in drills)
    return (*drills, own)


def checked_drill(drill: Drill) -> Drill:
    """Return a drill with its texts tidied.

    Raises
    ------
    BadInput
        A field is missing or can't be right; the message names it.
    """
    texts: dict[str, Any] = {name: " ".join(str(getattr(drill, name)).split()) for name in TEXTS}
    for name, text in texts.items():
        plain = name.replace("_", "-")
        if not text:
            raise BadInput(f"A drill needs its {plain} in words; fill it in.", field=name)
        if len(text) > _LONGEST:
            raise BadInput(f"The {plain} of a drill has room for {_LONGEST} letters.", field=name)
    if not _KEY.fullmatch(drill.key):
        raise BadInput(
            "A drill's short name has small letters, figures and hyphens, as in five-spots.",
            field="key",
        )
    _check_numbers(drill)
    _check_names(drill)
    return replace(drill, **texts)


def _check_numbers(drill: Drill) -> None:
    if not 1 <= drill.players_low <= drill.players_high <= MOST_PLAYERS:
        raise BadInput(
            f"A drill is for 1 to {MOST_PLAYERS} players, the fewest not above the most.",
            field="players_low",
        )
    if not SLOWEST <= drill.shots_per_minute <= FASTEST:
        raise BadInput(
            f"A drill's pace is {SLOWEST:g} to {FASTEST:g} shots a minute.",
            field="shots_per_minute",
        )


def _check_names(drill: Drill) -> None:
    if not drill.serves:
        raise BadInput("Say which focus the drill serves; choose one or more.", field="serves")
    for need in drill.needs:
        if need not in ALL_FEATURES:
            known = ", ".join(ALL_FEATURES)
            raise BadInput(f"A drill can need {known}, not {need!r}.", field="needs")
    for spot in drill.spots:
        spot_named(spot)


def fitting(drills: Sequence[Drill], stage: Stage, wish: Wish) -> tuple[Drill, ...]:
    """Return the drills of a stage that can be done, the ones to take first at the front.

    Parameters
    ----------
    drills
        The library.
    stage
        The stage asked for.
    wish
        Gives the focus, the gym, how many players work together and how far the player shoots.

    Returns
    -------
    tuple of Drill
        Those that serve the focus before others; drills that stop on makes come last, as they say
        nothing of a percentage. Empty where the gym or the number of players allows none.
    """
    reach = max(spot.distance for spot in wish.spots) + REACH_MARGIN
    able = [
        one
        for one in drills
        if one.stage is stage
        and one.players_low <= wish.players
        and set(one.needs) <= set(wish.features)
        and all(spot_named(name, wish.rules).distance <= reach for name in one.spots)
    ]
    kind = wish.focus.kind
    return tuple(sorted(able, key=lambda one: (one.stops_on_makes, kind not in one.serves)))
