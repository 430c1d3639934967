"""The form of a plan → what the plan is asked for."""

import re
from collections.abc import Mapping, Sequence
from datetime import date

from sqlalchemy.orm import Session

from hoopwright.actions import shots
from hoopwright.court.frame import spot_named, spot_names
from hoopwright.plans.nouns import ALL_FEATURES, Cue, Focus, FocusFrom, FocusKind, Season, Wish
from hoopwright.plans.wish import checked_cue, checked_focus
from hoopwright.records import Player, Spot
from hoopwright.web.forms import Fields, shown

#: the entry of the list of things to work on that is written by hand
OWN = "own"
CHOSEN_BY_COACH = "The coach chose it."
#: a charted spot this near to a named one is that one [m]
_SAME = 0.1


def focus_key(focus: Focus) -> str:
    """Return what stands for a focus in the form."""
    return f"{focus.kind.value}: {focus.name}"


def spot_choices(session: Session, who: Player) -> tuple[list[tuple[str, Spot]], set[str]]:
    """Return the spots a plan can be shot from, by key, and the keys of those charted so far.

    Named spots come first, then those of the player's own that have another place.
    """
    named = [(name, spot_named(name, who.rules)) for name in spot_names(who.rules)]
    usual: set[str] = set()
    for one in shots.chart_of(session, who.id).sets:
        key = next((k for k, spot in named if same_place(spot, one.spot)), None)
        if key is None:
            key = f"{one.spot.name}, {one.spot.distance:.1f} m"
            named.append((key, one.spot))
        usual.add(key)
    return named, usual or {"free throw"}


def same_place(one: Spot, other: Spot) -> bool:
    """Tell whether two spots are one, but for what they are called."""
    return max(abs(one.x - other.x), abs(one.y - other.y)) <= _SAME


def typed_wish(
    fields: Fields, who: Player, *, choices: Sequence[Focus], spots: Mapping[str, Spot]
) -> Wish:
    """Read the form; each trouble stands beside its field, and the caller checks."""
    return Wish(
        player_id=who.id,
        focus=_focus(fields, choices),
        cue=_cue(fields),
        start=fields.day("start"),
        weeks=fields.whole("weeks", "The number of weeks", default=3),
        weekdays=tuple(i for i in range(7) if fields.ticked(f"weekday-{i}")),
        shots=fields.whole("shots", "The shots a visit"),
        spots=_spots(fields, spots),
        test_shots=fields.whole("test_shots", "The attempts of a test", default=10),
        players=fields.whole("players", "How many practise together", default=1),
        features=tuple(one for one in ALL_FEATURES if fields.ticked(f"has-{one}")),
        coached=not fields.ticked("alone"),
        rules=who.rules,
        blocked_days=days_of(fields, "blocked_days"),
        season=_season(fields),
    )


def _focus(fields: Fields, choices: Sequence[Focus]) -> Focus:
    chosen = fields.text("focus") or OWN
    for one in choices:
        if focus_key(one) == chosen:
            return one
    by_hand = Focus(
        kind=fields.choice("kind", FocusKind, FocusKind.FORM),
        name=fields.text("focus_name"),
        chosen_from=FocusFrom.COACH,
        reason=CHOSEN_BY_COACH,
        changes_form=fields.ticked("changes_form"),
    )
    if chosen != OWN:
        fields.refuse(
            "focus", "More was charted since, and this is no longer offered; choose anew."
        )
        return by_hand
    return fields.tried("focus_name", lambda: checked_focus(by_hand), instead=by_hand)


def _cue(fields: Fields) -> Cue:
    cue = Cue(text=fields.text("cue"), own_words=fields.ticked("own_words"))
    return fields.tried("cue", lambda: checked_cue(cue), instead=cue)


def _spots(fields: Fields, spots: Mapping[str, Spot]) -> tuple[Spot, ...]:
    return tuple(spot for key, spot in spots.items() if fields.ticked(f"spot-{key}"))


def _season(fields: Fields) -> Season | None:
    if not fields.text("season_first") and not fields.text("season_last"):
        return None
    if not (fields.text("season_first") and fields.text("season_last")):
        fields.refuse("season", "Give both the first and the last day of the season, or neither.")
        return None
    return Season(first=fields.day("season_first"), last=fields.day("season_last"))


def days_of(fields: Fields, name: str) -> tuple[date, ...]:
    """Read several days written one after another; empty gives none."""
    days = []
    for part in re.split(r"[\s,;]+", fields.text(name).strip(" ,;")):
        try:
            days += [date.fromisoformat(part)] if part else []
        except ValueError:
            fields.refuse(name, f"{shown(part)} is not a day; write days like 2026-11-25.")
    return tuple(days)
