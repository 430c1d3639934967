"""Marked camera places, kept for the next film from there."""

from dataclasses import replace
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.actions.checks import at_field, checked_text
from hoopwright.actions.editing import NOBODY, note_added, note_changed, note_removed
from hoopwright.actions.films.stages import check_scene
from hoopwright.court.standards import at_height, rule_book
from hoopwright.errors import BadInput, Conflict, NotFound
from hoopwright.records import StoredScene
from hoopwright.store import films as stored


def add_scene(session: Session, scene: StoredScene, *, who: str) -> StoredScene:
    """Keep a marked camera place; the same one sent twice changes nothing.

    Raises
    ------
    BadInput
        A name is missing, or the scene's text can't be read.
    Conflict
        Another scene has this id.
    """
    scene = _checked(scene)
    try:
        known = stored.get_scene(session, scene.id)
    except NotFound:
        stored.add_scene(session, scene)
        note_added(session, [scene], who=who, player_id=NOBODY)
        return scene
    if replace(known, made_at=scene.made_at) != scene:
        raise Conflict("This id already stands for another scene; send it under a new id.")
    return known


def save_scene(session: Session, scene: StoredScene, *, who: str) -> StoredScene:
    """Store a scene anew under its id; films measured with it keep what was read.

    Raises
    ------
    BadInput
        As :func:`add_scene`.
    NotFound
        There is no such scene.
    """
    scene = _checked(scene)
    before = stored.get_scene(session, scene.id)
    if before != scene:
        stored.set_scene(session, scene)
        note_changed(session, before, who=who, player_id=NOBODY)
    return scene


def scenes(session: Session) -> list[StoredScene]:
    """Return all scenes, by gym and place, the newest first of one name."""
    return stored.list_scenes(session)


def scene(session: Session, scene_id: UUID) -> StoredScene:
    """Return one scene.

    Raises
    ------
    NotFound
        There is no such scene.
    """
    return stored.get_scene(session, scene_id)


def remove_scene(session: Session, scene_id: UUID, *, who: str) -> StoredScene:
    """Remove a scene; the log keeps it.

    Raises
    ------
    BadInput
        A film was filmed from there.
    NotFound
        There is no such scene.
    """
    before = stored.get_scene(session, scene_id)
    if count := stored.films_with(session, scene_id):
        films = "A film names" if count == 1 else f"{count} films name"
        raise BadInput(f"{films} this scene; choose another scene there, or remove it first.")
    stored.delete_scene(session, scene_id)
    note_removed(session, before, who=who, player_id=NOBODY)
    return before


def _checked(scene: StoredScene) -> StoredScene:
    with at_field("rules"):
        book = rule_book(scene.rules)
    with at_field("ring_height"):
        at_height(book, scene.ring_height)
    with at_field("content"):
        check_scene(scene.content)
    return replace(
        scene,
        gym=checked_text(scene.gym, what="The gym's name", field="gym", needed=True),
        place=checked_text(scene.place, what="The camera's place", field="place", needed=True),
        rules=book.key,
    )
