"""Templates and the few words they need; everything shown is escaped."""

from datetime import date
from uuid import uuid4

from jinja2 import Environment, PackageLoader, StrictUndefined

from hoopwright.load.nouns import LoadEntry
from hoopwright.load.stops import DEFERS
from hoopwright.records import Half, Miss, Player, Shot, ShotSet
from hoopwright.reports import words
from hoopwright.reports.game_facts import kind_words
from hoopwright.units import to_centimetres

#: how a shot looks in a row of shots: sign, and name for the style sheet; the sign differs, not
#: only the colour
_MADE = ("●", "made")
_SIGNS = {
    frozenset({Miss.SHORT}): "↓",
    frozenset({Miss.LONG}): "↑",
    frozenset({Miss.LEFT}): "←",
    frozenset({Miss.RIGHT}): "→",
    frozenset({Miss.SHORT, Miss.LEFT}): "↙",
    frozenset({Miss.SHORT, Miss.RIGHT}): "↘",
    frozenset({Miss.LONG, Miss.LEFT}): "↖",
    frozenset({Miss.LONG, Miss.RIGHT}): "↗",
}


def templates() -> Environment:
    """Return the templates with their filters."""
    env = Environment(
        loader=PackageLoader("hoopwright.web"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    env.filters |= {
        "day": said_day,
        "sign": shot_sign,
        "shot": shot_words,
        "plural": words.plural,
        "opened": words.opened,
        "metres": metres,
        "gear": gear_words,
        "about": player_words,
        "done": load_words,
        "kind": lambda line: kind_words(*line.kind),
        "lower_first": lambda sentence: sentence[:1].lower() + sentence[1:],
        "as_options": lambda names: [(name, words.opened(name)) for name in names],
        "last_two": lambda row: row[-2:],
    }
    env.globals["defers"] = DEFERS
    env.globals["fresh_id"] = lambda: str(uuid4())
    return env


def said_day(day: date) -> str:
    """Return e.g. ``25 November 2026``."""
    return f"{day.day} {day:%B %Y}"


def metres(value: float) -> str:
    """Return a length as typed back into a form, e.g. ``3.05``."""
    return f"{value:.3f}".rstrip("0").rstrip(".")


def shot_sign(shot: Shot) -> str:
    """Return the one sign of a shot in a row of shots."""
    if shot.made:
        return _MADE[0]
    return _SIGNS.get(frozenset(shot.miss), "✕")


def shot_words(shot: Shot) -> str:
    """Return a shot in words, e.g. ``missed short and left``."""
    if shot.made:
        half = {None: "", Half.FRONT: ", front half", Half.BACK: ", back half"}[shot.half]
        said = f"made{half}"
    else:
        said = f"missed {words.listed([m.value for m in shot.miss])}".strip()
    if shot.landing is None:
        return said
    along, across = (round(to_centimetres(v)) for v in (shot.landing.along, shot.landing.across))
    sides = (
        f"{abs(along)} cm {'long' if along > 0 else 'short'}",
        f"{abs(across)} cm {'right' if across > 0 else 'left'}",
    )
    return f"{said}, tapped {words.listed(sides)}"


def gear_words(one: ShotSet) -> str:
    """Return ball and ring of a set, e.g. ``ball 5, ring 2.6 m``."""
    return f"ball {one.ball_size}, ring {metres(one.ring_height)} m"


def player_words(player: Player) -> str:
    """Return what tells a player from another, e.g. ``born 2014, left-handed, ball 5``."""
    said = [
        f"born {player.birth_year}" if player.birth_year else "",
        f"{player.hand.value}-handed",
        f"ball {player.ball_size}",
        f"ring {metres(player.ring_height)} m",
        f"with {player.coach}" if player.coach else "",
    ]
    return ", ".join(part for part in said if part)


def load_words(entry: LoadEntry) -> str:
    """Return what was done on a day, e.g. ``90 minutes organised, 60 shots with a coach``."""
    said = [
        f"{entry.organised_minutes:g} minutes organised" if entry.organised_minutes else "",
        f"{entry.self_led_minutes:g} minutes alone" if entry.self_led_minutes else "",
        f"{entry.coached_shots} shots with a coach" if entry.coached_shots else "",
        f"{entry.self_led_shots} shots alone" if entry.self_led_shots else "",
        words.plural(entry.games, "game") if entry.games else "",
        entry.note,
    ]
    return ", ".join(part for part in said if part)
