"""Films: taken in, described, removed with their files."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any
from uuid import UUID, uuid5

from sqlalchemy import event
from sqlalchemy.orm import Session

from hoopwright.actions.checks import checked_who
from hoopwright.actions.editing import note_added, note_changed, note_removed
from hoopwright.actions.films.stages import look_at
from hoopwright.errors import BadInput, HoopwrightError
from hoopwright.film.results import ClipFacts
from hoopwright.records import Film
from hoopwright.store import films as stored
from hoopwright.store import people, workouts
from hoopwright.store.media import Media, Readable, Received

#: longest file name kept
LONGEST_NAME = 200
#: how many times slower than filmed a clip may play
MOST_SLOWED = 64.0
#: age at which somebody is no minor any more [years]; local law may say otherwise
GROWN_UP = 18


@dataclass(frozen=True, slots=True, kw_only=True)
class Care:
    """How a film is to be handled because of who is in it."""

    #: faces are blurred in whatever is made of the film, unless somebody asks otherwise
    blur_faces: bool
    #: what to tell the coach; "" for an adult
    caution: str


def add_film(
    session: Session,
    media: Media,
    stream: Readable,
    *,
    player_id: UUID,
    file_name: str,
    who: str,
    set_id: UUID | None = None,
) -> Film:
    """Take in a film of a player; the same film sent twice is there once.

    The file is read before the database is asked anything, so that a long upload holds up nobody;
    call it first thing in a transaction. If the transaction fails, the file is gone again.

    Parameters
    ----------
    media, stream
        Where films are kept, and the bytes of this one.
    file_name
        What the phone calls it; shown, never used as a path.
    set_id
        The set whose shots it shows, if charted.

    Raises
    ------
    BadFilm
        It can't be read as a film.
    BadInput
        It is empty or over the size limit, or the set is another player's.
    NotFound
        There is no such player or set.
    StoreTrouble
        There is no room for it.
    """
    checked_who(who)
    with media.receiving(stream, file_name=file_name) as received:
        facts = look_at(received.path)
        media.keep(received)
    try:
        _undo_with(session, media, received.key)
        film = _new_film(received, player_id=player_id, file_name=file_name)
        return _store(session, media, _in_set(session, film, set_id), facts=facts, who=who)
    except BaseException:
        media.delete(received.key)
        raise


def film(session: Session, film_id: UUID) -> Film:
    """Return one film.

    Raises
    ------
    NotFound
        There is no such film.
    """
    return stored.get_film(session, film_id)


def films_of(session: Session, player_id: UUID) -> list[Film]:
    """Return a player's films, newest first.

    Raises
    ------
    NotFound
        There is no such player.
    """
    people.get_player(session, player_id)
    return stored.list_films(session, player_id)


def remove_film(session: Session, media: Media, film_id: UUID, *, who: str) -> Film:
    """Remove a film with its file, marks, reading and jobs; shots charted from it stay.

    Raises
    ------
    NotFound
        There is no such film.
    """
    before = stored.get_film(session, film_id)
    stored.delete_film(session, film_id)
    note_removed(session, before, who=who, player_id=before.player_id)
    _delete_once_kept(session, media, stored.media_to_remove(session))
    return before


def clear_removed(session: Session, media: Media) -> int:
    """Delete the files of what was removed, players included, and return how many were left.

    Raises
    ------
    StoreTrouble
        The files can't be deleted.
    """
    keys = stored.media_to_remove(session)
    for key in keys:
        media.delete(key)
    stored.media_removed(session, keys)
    return len(keys)


def choose_scene(session: Session, film_id: UUID, scene_id: UUID | None, *, who: str) -> Film:
    """Say from which marked camera place a film is; None for no place.

    Raises
    ------
    NotFound
        There is no such film or scene.
    """
    if scene_id is not None:
        stored.get_scene(session, scene_id)
    before = stored.get_film(session, film_id)
    return _change(session, before, replace(before, scene_id=scene_id), who=who)


def choose_set(session: Session, film_id: UUID, set_id: UUID | None, *, who: str) -> Film:
    """Say which set a film shows; None for none.

    Raises
    ------
    BadInput
        The set is another player's.
    NotFound
        There is no such film or set.
    """
    before = stored.get_film(session, film_id)
    return _change(session, before, _in_set(session, before, set_id), who=who)


def say_slowed(session: Session, film_id: UUID, factor: float | None, *, who: str) -> Film:
    """Say how many times slower a film plays than it was filmed; None to go by the file.

    What was marked by hand stays on its picture.

    Raises
    ------
    BadInput
        The factor is not from 1 to 64.
    NotFound
        There is no such film.
    """
    if factor is not None and not 1.0 <= factor <= MOST_SLOWED:
        raise BadInput(
            f"A film plays 1 to {MOST_SLOWED:g} times slower than it was filmed, not {factor:g}; "
            "give filmed over played pictures a second, such as 240 over 30 = 8.",
            field="slowed",
        )
    before = stored.get_film(session, film_id)
    stretch = clip_of(session, film_id).slowed
    after = _change(session, before, replace(before, slowed=factor), who=who)
    stretch /= clip_of(session, film_id).slowed
    if stretch != 1.0:
        stored.stretch_marks(session, film_id, stretch)
    return after


def clip_of(session: Session, film_id: UUID) -> ClipFacts:
    """Return what a film's clip is like, in real time.

    Raises
    ------
    NotFound
        There is no such film.
    """
    slowed = stored.get_film(session, film_id).slowed
    told = stored.clip_of(session, film_id)
    facts = ClipFacts(**(told | {"notes": tuple(told["notes"])}))
    if slowed is None:
        return facts
    quicker = slowed / facts.slowed
    return replace(
        facts, slowed=slowed, duration=facts.duration / quicker, rate=facts.rate * quicker
    )


def path_of(session: Session, media: Media, film_id: UUID) -> Path:
    """Return where a film's file can be read on this machine.

    Raises
    ------
    NotFound
        There is no such film, or its file is gone.
    StoreTrouble
        The file can't be had.
    """
    return media.local(stored.get_film(session, film_id).media_key)


def care_of(session: Session, film_id: UUID) -> Care:
    """Return how a film is to be handled: with care unless the player is known to be grown up.

    Raises
    ------
    NotFound
        There is no such film.
    """
    player = people.get_player(session, stored.get_film(session, film_id).player_id)
    if player.birth_year is None:
        who = "This player's year of birth is not told, so the film is handled as a child's"
    elif date.today().year - player.birth_year <= GROWN_UP:
        who = "This is film of a minor"
    else:
        return Care(blur_faces=False, caution="")
    return Care(
        blur_faces=True,
        caution=f"{who}: film, keep and show it only as its family and local rules allow. "
        "Faces are blurred in clips and stills unless you choose otherwise.",
    )


def _new_film(received: Received, *, player_id: UUID, file_name: str) -> Film:
    shown = "".join(c if c.isprintable() else " " for c in file_name).strip()[:LONGEST_NAME]
    return Film(
        # the same film of the same player has the same id
        id=uuid5(player_id, received.sha256),
        player_id=player_id,
        file_name=shown or "film",
        media_key=received.key,
        size=received.size,
        sha256=received.sha256,
        added_at=datetime.now(UTC),
    )


def _store(session: Session, media: Media, film: Film, *, facts: ClipFacts, who: str) -> Film:
    people.get_player(session, film.player_id)
    known = stored.same_film(session, film.player_id, film.sha256)
    if known is not None:
        media.delete(film.media_key)
        return known
    stored.add_film(session, film, clip=asdict(facts))
    note_added(session, [film], who=who, player_id=film.player_id)
    return film


def _in_set(session: Session, film: Film, set_id: UUID | None) -> Film:
    if set_id is None:
        return replace(film, set_id=None)
    workout_id = workouts.get_set(session, set_id).workout_id
    if workouts.owner_of(session, workout_id) != film.player_id:
        raise BadInput("That set is another player's; choose one of this player.", field="set")
    return replace(film, set_id=set_id, workout_id=workout_id)


def _change(session: Session, before: Film, after: Film, *, who: str) -> Film:
    if after != before:
        stored.set_film(session, after)
        note_changed(session, before, who=who, player_id=before.player_id)
    return after


def _undo_with(session: Session, media: Media, key: str) -> None:
    """Delete a file if the transaction that names it is undone."""
    kept: list[bool] = []

    def committed(_: Any) -> None:
        kept.append(True)

    def undone(_: Any) -> None:
        if not kept:
            media.delete(key)

    event.listen(session, "after_commit", committed, once=True)
    event.listen(session, "after_rollback", undone, once=True)


def _delete_once_kept(session: Session, media: Media, keys: Sequence[str]) -> None:
    """Delete files once the transaction that removed them is kept."""

    def committed(_: Any) -> None:
        for key in keys:
            try:
                media.delete(key)
            except HoopwrightError:
                # noted in the store, so that the worker tries again
                continue

    event.listen(session, "after_commit", committed, once=True)
