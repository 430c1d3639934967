"""Write down who added, changed or removed what."""

import json
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.actions.checks import checked_who
from hoopwright.load.nouns import Flag, LoadEntry
from hoopwright.records import (
    Edit,
    Film,
    FilmMark,
    Player,
    Shot,
    ShotSet,
    StoredScene,
    Workout,
)
from hoopwright.store.edits import ERASE, Thing, add_edits, as_text
from hoopwright.store.games import Announced
from hoopwright.store.plans import SessionLog, StoredDrill, StoredPlan, TestRow
from hoopwright.store.trials import BegunBlock, StoredTrial
from hoopwright.transfer.nouns import Game, GameLine

#: a scene, a game or a drill belongs to no player, yet every entry of the log has an owner
NOBODY = UUID(int=0)

_KINDS: dict[type, str] = {
    Player: "player",
    Workout: "workout",
    ShotSet: "set",
    Shot: "shot",
    Film: "film",
    FilmMark: "mark",
    StoredScene: "scene",
    StoredTrial: "trial",
    BegunBlock: "block",
    StoredPlan: "plan",
    SessionLog: "session",
    TestRow: "test",
    StoredDrill: "drill",
    Game: "game",
    GameLine: "game line",
    Announced: "announced change",
    LoadEntry: "load",
    Flag: "flag",
}


def note_added(session: Session, things: Sequence[Thing], *, who: str, player_id: UUID) -> None:
    """Note that some of a player's things were added."""
    _note(session, [(one, "add", "") for one in things], who=who, player_id=player_id)


def note_changed(session: Session, before: Thing, *, who: str, player_id: UUID) -> None:
    """Note that a thing was changed, and what it was before."""
    _note(session, [(before, "change", as_text(before))], who=who, player_id=player_id)


def note_removed(session: Session, before: Thing, *, who: str, player_id: UUID) -> None:
    """Note that a thing was removed, and what it was before."""
    _note(session, [(before, "remove", as_text(before))], who=who, player_id=player_id)


def note_exported(session: Session, player_id: UUID, *, who: str) -> None:
    """Note that all there is about a player was handed out."""
    add_edits(session, [_of_player(player_id, "export", "", who)], player_id=player_id)


def note_erased(session: Session, gone: Mapping[str, int], *, who: str, player_id: UUID) -> None:
    """Note that a player was erased, with how much went: numbers only."""
    change = _of_player(player_id, ERASE, json.dumps(dict(gone)), who)
    add_edits(session, [change], player_id=player_id)


def _of_player(player_id: UUID, what: str, before: str, who: str) -> Edit:
    now, name = datetime.now(UTC), checked_who(who)
    return Edit(at=now, who=name, kind="player", thing_id=player_id, what=what, before=before)


def _note(
    session: Session, what: Sequence[tuple[Thing, str, str]], *, who: str, player_id: UUID
) -> None:
    now, name = datetime.now(UTC), checked_who(who)
    changes = [
        Edit(at=now, who=name, kind=_KINDS[type(one)], thing_id=one.id, what=done, before=before)
        for one, done, before in what
    ]
    add_edits(session, changes, player_id=player_id)
