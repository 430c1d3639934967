"""Invented days of load, for the tests."""

from datetime import date
from uuid import UUID

from hoopwright.load.nouns import Flag, FlagKind, LoadEntry

PLAYER = UUID(int=1)


def entry(
    day: date, *, hours: float = 0.0, alone: float = 0.0, coached: int = 0, shots: int = 0,
    games: int = 0,
) -> LoadEntry:  # fmt: skip
    return LoadEntry(
        id=UUID(int=day.toordinal()),
        player_id=PLAYER,
        day=day,
        organised_minutes=60 * hours,
        self_led_minutes=60 * alone,
        coached_shots=coached,
        self_led_shots=shots,
        games=games,
    )


def flag(kind: FlagKind, day: date) -> Flag:
    return Flag(id=UUID(int=day.toordinal()), player_id=PLAYER, kind=kind, day=day)
