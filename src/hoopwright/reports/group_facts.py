"""What a group's sheet says: who goes where when, and what each does there."""

from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.plans.drills import drill_of
from hoopwright.plans.group import GroupSheet, Member, Work, turns_of
from hoopwright.plans.nouns import Drill
from hoopwright.reports import words

REST = "rest"
TEST = "Cold test"
#: boxes of one player in one slot that still fit beside a name
MOST_BOXES = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class StationFacts:
    """One place on paper: slot by slot, who is there and what they do."""

    name: str
    about: str
    #: title of each slot and, for each player there, name and work
    slots: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupFacts:
    """Everything a group's printed sheet says."""

    title: str
    summary: str
    #: title of each slot
    slots: tuple[str, ...]
    #: name of each player, the place in each slot, and the shots
    rows: tuple[tuple[str, tuple[str, ...], int], ...]
    stations: tuple[StationFacts, ...]
    #: boxes to give each player at a place
    boxes: int


def group_facts(sheet: GroupSheet, title: str, *, drills: Sequence[Drill] = ()) -> GroupFacts:
    """Say in words who goes where when.

    Parameters
    ----------
    sheet
        The solved sheet.
    title
        Such as the group's name.
    drills
        The library; needed where members have drills.

    Raises
    ------
    UnknownName
        A drill is not in the library any more.
    """
    wish = sheet.wish
    slots = tuple(slot_title(i, wish.minutes_per_slot) for i in range(wish.slots))
    names = [place.name for place in wish.places]
    work = [_by_slot(sheet, m, drills) for m in range(len(wish.members))]
    return GroupFacts(
        title=title,
        summary=summary(sheet),
        slots=slots,
        rows=tuple(
            (
                member.name,
                tuple(REST if place is None else names[place] for place in row),
                sheet.shots(m),
            )
            for m, (member, row) in enumerate(zip(wish.members, sheet.at, strict=True))
        ),
        stations=tuple(_station(sheet, p, slots, work) for p in range(len(names))),
        boxes=min(wish.shots_per_slot, MOST_BOXES),
    )


def slot_title(slot: int, minutes: float) -> str:
    """Return e.g. ``1: 0–6 min``."""
    return f"{slot + 1}: {slot * minutes:g}–{(slot + 1) * minutes:g} min"


def summary(sheet: GroupSheet) -> str:
    """Say how many turns and shots everybody has."""
    wish = sheet.wish
    turns = sorted({sheet.turns(m) for m in range(len(wish.members))})
    shots = [count * wish.shots_per_slot for count in turns]
    players = words.plural(len(wish.members), "player")
    places = words.plural(len(wish.places), "place")
    if len(turns) == 1:
        each = f"{words.plural(turns[0], 'turn')} and {shots[0]} shots each"
    else:
        each = f"{turns[0]} or {turns[1]} turns, {shots[0]} or {shots[1]} shots each"
    length = f"{wish.slots * wish.minutes_per_slot:g} minutes"
    return f"{players} at {places}, {length}: {each}. At rest: fetch balls, or drink."


def _by_slot(sheet: GroupSheet, member: int, drills: Sequence[Drill]) -> list[str]:
    """Return what a member does in each slot; "" at rest or without drills."""
    who: Member = sheet.wish.members[member]
    turns = iter(turns_of(who, sheet.turns(member), sheet.wish.shots_per_slot))
    return ["" if place is None else _work(next(turns), drills) for place in sheet.at[member]]


def _work(parts: Sequence[Work], drills: Sequence[Drill]) -> str:
    said = [
        f"{drill_of(drills, part.drill).name if part.drill else TEST} {part.shots}"
        for part in parts
    ]
    return ", then ".join(said)


def _station(
    sheet: GroupSheet, place: int, slots: Sequence[str], work: Sequence[Sequence[str]]
) -> StationFacts:
    the_place = sheet.wish.places[place]
    ring = "no ring"
    if the_place.ring_height is not None:
        ring = f"ring at {the_place.ring_height:.2f} m"
    there = tuple(
        (
            title,
            tuple(
                (member.name, work[m][slot])
                for m, (member, row) in enumerate(zip(sheet.wish.members, sheet.at, strict=True))
                if row[slot] == place
            ),
        )
        for slot, title in enumerate(slots)
    )
    return StationFacts(
        name=the_place.name, about=f"{ring}, room for {the_place.room}", slots=there
    )
