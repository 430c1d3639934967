"""What is new among things that may have been sent before."""

import json
from collections.abc import Sequence
from dataclasses import replace
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.actions.checks import checked_set, checked_shot
from hoopwright.actions.editing import note_added
from hoopwright.actions.sameness import same_shot
from hoopwright.errors import Conflict
from hoopwright.records import Player, Shot, ShotSet
from hoopwright.store import edits, workouts
from hoopwright.store import shots as stored

#: the id of a set, and a shot in it
Placed = tuple[UUID, Shot]


def new_among(session: Session, sent: Sequence[Placed]) -> list[Placed]:
    """Return those shots that were never stored, in the order sent.

    A shot that is stored already, or was undone or corrected since, is left out.

    Raises
    ------
    Conflict
        One of the ids stands for a shot that differs, or is in another set.
    """
    ids = [shot.id for _, shot in sent]
    known = stored.known_shots(session, ids)
    gone = edits.removed_among(session, [one for one in ids if one not in known])
    new: dict[UUID, Placed] = {}
    for set_id, shot in sent:
        before = known.get(shot.id) or new.get(shot.id)
        if before is None:
            if shot.id not in gone:
                new[shot.id] = (set_id, shot)
        elif before[0] != set_id or not _is_or_was(session, shot, before[1]):
            raise Conflict(
                "A shot sent again differs from the one stored under its id; "
                "correct the stored one, or send this one under a new id."
            )
    return list(new.values())


def add_new_sets(session: Session, sets: Sequence[ShotSet], player: Player, *, who: str) -> int:
    """Add sets that are not stored yet, with their shots, and return how many shots were new.

    A set whose place in its workout is taken goes to the end.

    Raises
    ------
    BadInput
        Something in a set can't be right.
    Conflict
        One of the shots is stored in another set.
    """
    checked = [checked_set(one, rules=player.rules) for one in sets]
    taken = workouts.taken_positions(session, {one.workout_id for one in checked})
    placed = [_placed(one, taken.setdefault(one.workout_id, set())) for one in checked]
    sent = [
        (one.id, checked_shot(shot, one))
        for one, full in zip(placed, sets, strict=True)
        for shot in full.shots
    ]
    new = new_among(session, sent)
    workouts.add_sets(session, placed)
    stored.append_shots(session, new)
    note_added(session, [*placed, *(shot for _, shot in new)], who=who, player_id=player.id)
    return len(new)


def _placed(one: ShotSet, taken: set[int]) -> ShotSet:
    position = max(taken) + 1 if one.position in taken else one.position
    taken.add(position)
    return replace(one, position=position)


def _is_or_was(session: Session, shot: Shot, before: Shot) -> bool:
    if same_shot(shot, before):
        return True
    sent = json.loads(edits.as_text(shot))
    earlier = (e.before for e in edits.list_edits(session, shot.id) if e.what == "change")
    # what was written before a shot could say how it felt does not name it
    return any({"feel": None} | json.loads(text) == sent for text in earlier if text)
