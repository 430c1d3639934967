"""Check the log; hand out, and erase, everything about a player."""

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass
from datetime import UTC, datetime
from uuid import UUID

import msgspec
from sqlalchemy.orm import Session

from hoopwright.actions import films
from hoopwright.actions.checks import checked_who
from hoopwright.actions.people import find_player, forget_player
from hoopwright.actions.reports import forget_readings
from hoopwright.errors import BadInput, NotFound, StoreTrouble
from hoopwright.store import edits, owned, people
from hoopwright.store.chain import LogCheck, Seal
from hoopwright.store.engine import Database
from hoopwright.store.films import media_of, media_to_remove
from hoopwright.store.media import Media
from hoopwright.store.people import name_key
from hoopwright.store.tables import films as film_table

#: what an erasure can't reach
NOT_REACHED = (
    "backups made before",
    "tables, reports and clips that were saved elsewhere",
    "what a page shows at this moment; restart Hoopwright where it is running",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A player, or what the log still tells of one."""

    id: UUID
    name: str
    #: True where only the log tells of the player
    removed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Receipt:
    """What an erasure removed; nothing in it tells who the player was."""

    #: stands for the player in the log; means nothing elsewhere
    player_id: UUID
    at: datetime
    who: str
    #: rows removed, by table; "log texts" counts entries that were blanked
    removed: Mapping[str, int]
    #: files of film, body points and clips that were deleted
    files: int
    #: files that could not be deleted yet; the worker goes on trying
    files_left: int
    #: True where nothing is left in the database file's free space
    scrubbed: bool
    #: the entry of the log that tells of the erasure
    seal: Seal
    not_reached: Sequence[str] = NOT_REACHED


def check_log(session: Session, *, seal: str = "") -> LogCheck:
    """Check that no entry of the log was changed, taken out or put in.

    Parameters
    ----------
    seal
        As an earlier check printed it, if one was written down: it shows entries missing at the
        end, and a log that was written anew as a whole.

    Raises
    ------
    BadInput
        The seal is not written like one.
    """
    return edits.check_log(session, _read_seal(seal) if seal else None)


def find_anyone(session: Session, said: str) -> Found:
    """Return the player of an id or a name, also one that was removed.

    Raises
    ------
    BadInput
        Several have this name.
    NotFound
        Nobody has.
    """
    player_id = _as_id(said)
    if player_id is not None:
        return _of_id(session, player_id)
    try:
        player = find_player(session, said)
    except NotFound:
        return _removed_of_name(session, said)
    return Found(id=player.id, name=player.name, removed=False)


def would_go(session: Session, player_id: UUID) -> dict[str, int]:
    """Return how much an erasure would remove: rows by table, and texts of the log."""
    counts = {name: n for name, n in owned.counts_of(session, player_id).items() if n}
    # the log is blanked, not shortened; games that others played in stay
    for name in ("edits", "games"):
        counts.pop(name, None)
    return counts | {"log texts": edits.texts_of(session, player_id)}


def erase_player(database: Database, media: Media, player_id: UUID, *, who: str) -> Receipt:
    """Remove everything about a player, files too; the log keeps that it happened.

    The rows go first, all or none; then the files; then what is left in the database file's free
    space.

    Raises
    ------
    NotFound
        There is no such player, and the log tells nothing of one.
    """
    name = checked_who(who)
    with database.session() as session:
        keys = media_of(session, film_table.c.player_id == player_id)
        forget_player(session, player_id, who=name)
        seal = edits.last_seal(session)
        entry = edits.list_edits(session, player_id)[-1]
    forget_readings()
    left = _files_left(database, media, set(keys))
    return Receipt(
        player_id=player_id, at=entry.at, who=entry.who,
        removed=msgspec.json.decode(entry.before, type=dict[str, int]),
        files=len(keys) - left, files_left=left, scrubbed=database.scrub(), seal=seal,
    )  # fmt: skip


def receipt_data(receipt: Receipt) -> dict[str, object]:
    """Return a receipt as it is printed and kept."""
    return {
        "receipt": "erasure",
        "player_id": str(receipt.player_id),
        "at": receipt.at.astimezone(UTC).isoformat(),
        "who": receipt.who,
        "removed": dict(receipt.removed),
        "files_deleted": receipt.files,
        "files_left": receipt.files_left,
        "free_space_overwritten": receipt.scrubbed,
        "log_entry": str(receipt.seal),
        "not_reached": list(receipt.not_reached),
    }


def _files_left(database: Database, media: Media, keys: Set[str]) -> int:
    """Delete files; return how many of some are still there, which the worker tries again."""
    try:
        with database.session() as session:
            films.clear_removed(session, media)
    except StoreTrouble:
        with database.reading() as session:
            return len(keys & set(media_to_remove(session)))
    return 0


def _read_seal(said: str) -> Seal:
    number, _, digits = said.strip().partition("-")
    if not (number.isascii() and number.isdigit() and len(digits) == 64):
        raise BadInput(
            "The seal is not written like one; copy it as log check printed it, "
            "number, dash and 64 letters and digits."
        )
    return Seal(number=int(number), hash=digits.lower())


def _as_id(said: str) -> UUID | None:
    try:
        return UUID(said.strip())
    except ValueError:
        return None


def _of_id(session: Session, player_id: UUID) -> Found:
    try:
        return Found(id=player_id, name=people.get_player(session, player_id).name, removed=False)
    except NotFound:
        if not edits.texts_of(session, player_id):
            raise NotFound(
                "Nothing is kept about a player of that id; see the ids with hoopwright export."
            ) from None
    names = dict(reversed(_removed(session)))
    return Found(id=player_id, name=names.get(player_id, "a player"), removed=True)


def _removed_of_name(session: Session, said: str) -> Found:
    named = {one: name for one, name in _removed(session) if name_key(name) == name_key(said)}
    if len(named) > 1:
        ids = ", ".join(str(one) for one in named)
        raise BadInput(f"{len(named)} players of that name were removed; give the id: {ids}.")
    for one, name in named.items():
        return Found(id=one, name=name, removed=True)
    raise NotFound(f"No player is called {said}, and the log tells of none; check the spelling.")


def _removed(session: Session) -> list[tuple[UUID, str]]:
    found = edits.removed_players(session)
    return [(one, msgspec.json.decode(text, type=_Fields).name) for one, text in found]


class _Fields(msgspec.Struct):
    name: str
