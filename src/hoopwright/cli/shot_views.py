"""One shot followed by ``fly`` or ``ring``, as JSON and as words."""

from typing import Any

from hoopwright.actions.one_shot import Flown, Met
from hoopwright.cli.show import place_words
from hoopwright.flight.ring import Played, Touch, is_make
from hoopwright.reports.words import sided
from hoopwright.units import to_centimetres, to_degrees

#: touches told in words; a ball that rolls round the ring has dozens
_TOLD = 6


def outcome_name(played: Played) -> str:
    """Return an outcome as one word with underscores, such as ``in_off_back_rim``."""
    return played.outcome.name.lower()


def _touch_json(touch: Touch) -> dict[str, Any]:
    along, across, up = touch.point
    return {
        "time_s": round(touch.time, 6),
        "touched": touch.surface.value,
        "along_cm": round(to_centimetres(along), 3),
        "across_cm": round(to_centimetres(across), 3),
        "up_cm": round(to_centimetres(up), 3),
        "normal_speed_m_per_s": round(touch.normal_speed, 4),
    }


def ring_json(shot: Met) -> dict[str, Any]:
    """Return a shot at the ring as JSON values."""
    return {
        "make": round(shot.make, 6),
        "make_error": round(shot.make_error, 6),
        "outcome": outcome_name(shot.played),
        "made": bool(is_make(shot.played.outcome)),
        "along_cm": round(to_centimetres(shot.along), 4),
        "across_cm": round(to_centimetres(shot.across), 4),
        "entry_angle_deg": round(to_degrees(shot.entry_angle), 4),
        "entry_speed_m_per_s": round(shot.entry_speed, 4),
        "contacts": [_touch_json(touch) for touch in shot.played.touches],
    }


def fly_json(shot: Flown) -> dict[str, Any]:
    """Return a flown shot as JSON values."""
    arc, low_high = shot.arc, shot.ends
    return {
        "along_m": round(arc.along, 6),
        "along_range_m": [round(v, 6) for v in low_high("along")],
        "across_m": round(arc.across, 6),
        "entry_angle_deg": round(to_degrees(arc.entry_angle), 4),
        "entry_angle_range_deg": [round(to_degrees(v), 4) for v in low_high("entry_angle")],
        "entry_speed_m_per_s": round(arc.entry_speed, 5),
        "apex_m": round(arc.apex, 6),
        "time_s": round(arc.time, 6),
        "outcome": outcome_name(shot.met.played),
        "made": bool(is_make(shot.met.played.outcome)),
        "make": round(shot.met.make, 6),
        "make_error": round(shot.met.make_error, 6),
        "contacts": [_touch_json(touch) for touch in shot.met.played.touches],
    }


def _touch_words(number: int, touch: Touch) -> tuple[str, str]:
    along, across, _ = touch.point
    where = f"{place_words(along, across)} from ring centre, at {touch.normal_speed:.1f} m/s"
    return f"Touch {number}", f"{touch.surface.value}, {where}"


def _touches_words(touches: tuple[Touch, ...]) -> list[tuple[str, str]]:
    told = [_touch_words(i, touch) for i, touch in enumerate(touches[:_TOLD], 1)]
    more = len(touches) - len(told)
    return [*told, ("", f"and {more} more, rolling or bouncing on")] if more else told


def ring_words(shot: Met, *, unsure: str = "ball, ring, board and spin") -> list[tuple[str, str]]:
    """Return a shot at the ring as names and words; ``unsure``: what the chance is over."""
    spread = max(1, round(200 * shot.make_error))
    return [
        ("Chance to go in", f"{100 * shot.make:.0f} of 100, give or take {spread}; over what is "
         f"uncertain about {unsure}"),
        ("With middle values", outcome_name(shot.played).replace("_", " ")),
        *_touches_words(shot.played.touches),
    ]  # fmt: skip


def fly_words(shot: Flown) -> list[tuple[str, str]]:
    """Return a flown shot as names and words."""
    arc = shot.arc
    low, high = (sided(v, "short", "long") for v in shot.ends("along"))
    flat, steep = (to_degrees(v) for v in shot.ends("entry_angle"))
    unsure = "air, ball, ring and board" if shot.others else "ball, ring and board"
    return [
        ("Comes down", f"{place_words(arc.along, arc.across)} from ring centre"),
        *([("Air leaves open", f"{low} to {high}")] if shot.others else []),
        ("Entry angle", f"{to_degrees(arc.entry_angle):.1f}° ({flat:.1f} to {steep:.1f}°)"),
        ("Entry speed", f"{arc.entry_speed:.2f} m/s"),
        ("Apex", f"{arc.apex:.2f} m above the floor"),
        ("Time to the ring", f"{arc.time:.2f} s"),
        *ring_words(shot.met, unsure=unsure),
    ]  # fmt: skip
