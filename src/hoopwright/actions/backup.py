"""Make a backup of everything kept, prove it, restore it."""

import shutil
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path, PurePosixPath
from tempfile import TemporaryDirectory
from uuid import UUID

from sqlalchemy import URL

from hoopwright import __version__
from hoopwright.actions.people import forget_player
from hoopwright.errors import BadInput, NotFound, StoreTrouble
from hoopwright.store import archive, copies, edits
from hoopwright.store.archive import FILMS, Archive, Manifest
from hoopwright.store.chain import LogCheck
from hoopwright.store.copies import Copied
from hoopwright.store.engine import address_of, open_database
from hoopwright.store.media import Media

#: told how many of how many parts are done
Progress = Callable[[int, int], None]
#: revision from which on the log is a chain
_CHAINED = "0004"


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a store is."""

    #: SQLAlchemy address of the database
    database: str
    media: Media
    #: folder for what is underway, on the same disk
    data: Path


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """What proving a backup found; anything wrong is raised instead."""

    manifest: Manifest
    #: None where the log was no chain yet, or where the backup is PostgreSQL's
    log: LogCheck | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Restored:
    """What restoring a backup did."""

    manifest: Manifest
    #: where the database that was there before is now; None where there was none
    aside: Path | None
    #: players in the backup that were erased since it was made, and were erased again
    erased_again: int


def make_backup(place: Place, out: Path, *, progress: Progress | None = None) -> Manifest:
    """Write database and films to one file, while others go on reading and writing.

    The database is that of one moment; its films are copied right after. The file appears under
    its name once it is whole. The tables are not brought up to date first.

    Raises
    ------
    BadInput
        There is no database, or the folder can't be written.
    StoreTrouble
        Something can't be read, there is no room, or PostgreSQL's programs are not here.
    """
    tell = progress or _silent
    with archive.writing(out) as writer, _beside(out) as copy:
        copied = _copied(address_of(place.database), copy)
        writer.add(_database_name(copied.kind), copy)
        missing = list(_add_films(place.media, copied.media, writer, tell))
        manifest = Manifest(
            made_at=datetime.now(UTC), made_by=__version__, kind=copied.kind,
            revision=copied.revision, place=copied.place, rows=dict(copied.rows),
            parts=writer.parts, missing=tuple(missing),
        )  # fmt: skip
        writer.finish(manifest)
    return manifest


def prove_backup(path: Path, *, progress: Progress | None = None) -> Proof:
    """Check a backup: every checksum, the database's soundness, its rows, its revision, its log.

    Raises
    ------
    BadInput
        Something is wrong with it.
    StoreTrouble
        There is no room to unpack the database.
    """
    tell = progress or _silent
    with archive.reading(path) as found, TemporaryDirectory(prefix="hoopwright-") as folder:
        manifest = found.manifest
        _check_revision(manifest)
        for done, part in enumerate(manifest.films):
            tell(done, len(manifest.films))
            found.prove(part)
        copy = _unpacked(found, Path(folder))
        _check_database(manifest, copy)
        log = _log_of(copy) if _has_chain(manifest) else None
    if log is not None and log.broken is not None:
        raise BadInput(
            f"The log in this backup was altered: entry {log.broken}, {log.why}; "
            "look for an earlier backup."
        )
    return Proof(manifest=manifest, log=log)


def restore_backup(
    path: Path, place: Place, *, replace: bool = False, progress: Progress | None = None
) -> Restored:
    """Put a backup in place and bring its tables up to date: all of it, or nothing.

    Everything is unpacked, checked and brought up to date beside its place first. What was there
    before is set aside, not deleted. Players who were erased there since are erased again.

    Parameters
    ----------
    path
        The backup.
    place
        Where to.
    replace
        True restores over a database that is there.

    Raises
    ------
    BadInput
        The backup is damaged, of a newer version or for another kind of database, or there is
        data already.
    StoreTrouble
        There is no room, the place can't be written, or Hoopwright is running on it.
    """
    with archive.reading(path) as found, _staging(place.data) as staging:
        manifest = found.manifest
        _check_revision(manifest)
        target = copies.sqlite_file(address_of(place.database))
        _check_target(manifest, target, replace=replace)
        archive.check_room(staging, archive.total_size(manifest.parts))
        copy = _unpacked(found, staging)
        _check_database(manifest, copy)
        films = _unpacked_films(found, staging, progress or _silent)
        if target is None:
            with _films_in(place.media, films):
                copies.restore_postgres(address_of(place.database), copy, place=manifest.place)
            open_database(place.database).close()
            return Restored(manifest=manifest, aside=None, erased_again=0)
        again = _brought_up_to_date(copy, erased_in(target))
        with _films_in(place.media, films):
            aside = _swapped_in(copy, target)
        return Restored(manifest=manifest, aside=aside, erased_again=again)


def erased_in(file: Path) -> list[UUID]:
    """Return who was erased in a database; none where there is none, or it can't tell."""
    if not _holds_something(file):
        return []
    try:
        if copies.look_at_sqlite(file).revision < _CHAINED:
            return []
        database = open_database(f"sqlite:///{file}")
    except (BadInput, StoreTrouble):
        # a database that can't be read is what one restores over
        return []
    with database.reading() as session:
        erased = list(edits.erasures(session))
    database.close()
    return erased


def _copied(url: URL, to: Path) -> Copied:
    file = copies.sqlite_file(url)
    return copies.dump_postgres(url, to) if file is None else copies.copy_sqlite(file, to)


@contextmanager
def _beside(out: Path) -> Iterator[Path]:
    """Give a name beside a file for the copy of the database; the copy is gone at the end."""
    copy = out.with_name(out.name + ".database.part")
    try:
        yield copy
    finally:
        for left in (copy, *(copy.with_name(copy.name + end) for end in ("-journal", "-wal"))):
            left.unlink(missing_ok=True)


def _add_films(
    media: Media, keys: Sequence[str], writer: archive.Writer, tell: Progress
) -> Iterator[str]:
    """Put films in; give the names of those whose files are gone."""
    for done, key in enumerate(keys):
        tell(done, len(keys))
        try:
            writer.add(FILMS + key, media.local(key))
        except (NotFound, FileNotFoundError):
            yield key


def _database_name(kind: str) -> str:
    return "database.sqlite" if kind == "sqlite" else "database.pgdump"


def _check_revision(manifest: Manifest) -> None:
    if manifest.revision not in copies.known_revisions():
        raise BadInput(
            "This backup was made by a newer version of Hoopwright; update Hoopwright first."
        )


def _check_target(manifest: Manifest, target: Path | None, *, replace: bool) -> None:
    kind = "postgresql" if target is None else "sqlite"
    if manifest.kind != kind:
        raise BadInput(
            f"This backup is of {manifest.kind}, but the address of the database is of {kind}; "
            "set HOOPWRIGHT_DATABASE to match."
        )
    if target is None or not _holds_something(target):
        return
    if not replace:
        raise BadInput(
            f"There is data in {target} already; choose an empty folder, or add --replace."
        )
    # before anything long is done: is it running?
    with copies.alone(target):
        pass


def _holds_something(file: Path) -> bool:
    return file.is_file() and file.stat().st_size > 0


def _unpacked(found: Archive, folder: Path) -> Path:
    part = found.manifest.database
    archive.check_room(folder, part.size)
    copy = folder / PurePosixPath(part.name).name
    found.copy(part, copy)
    return copy


def _unpacked_films(found: Archive, folder: Path, tell: Progress) -> list[Path]:
    films = found.manifest.films
    unpacked = []
    for done, part in enumerate(films):
        tell(done, len(films))
        unpacked.append(folder / PurePosixPath(part.name).name)
        found.copy(part, unpacked[-1])
    return unpacked


def _check_database(manifest: Manifest, copy: Path) -> None:
    if manifest.kind == "sqlite":
        seen = copies.look_at_sqlite(copy)
        rows, revision = dict(seen.rows), seen.revision
    else:
        rows, revision = copies.count_in_dump(copy), manifest.revision
    if rows != manifest.rows or revision != manifest.revision:
        raise BadInput(
            "The database in this backup is not the one that its list tells of; use another backup."
        )


def _has_chain(manifest: Manifest) -> bool:
    return manifest.kind == "sqlite" and manifest.revision >= _CHAINED


def _log_of(copy: Path) -> LogCheck:
    database = open_database(f"sqlite:///{copy}")
    try:
        with database.reading() as session:
            return edits.check_log(session)
    finally:
        database.close()


@contextmanager
def _staging(data: Path) -> Iterator[Path]:
    """Give an empty folder beside the data; what a broken-off restore left there goes first."""
    folder = data / "restoring.part"
    try:
        shutil.rmtree(folder, ignore_errors=True)
        data.mkdir(mode=0o700, parents=True, exist_ok=True)
        folder.mkdir(mode=0o700)
    except OSError as trouble:
        raise StoreTrouble(
            f"The folder {data} can't be written; choose another one with --data."
        ) from trouble
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _brought_up_to_date(copy: Path, erased: Sequence[UUID]) -> int:
    """Bring a copy's tables up to date, erase again who was erased since; return how many."""
    database = open_database(f"sqlite:///{copy}")
    again = 0
    try:
        with database.session() as session:
            for player_id in erased:
                try:
                    forget_player(session, player_id, who="restoring a backup")
                    again += 1
                except NotFound:
                    continue
    finally:
        database.close()
    with copies.alone(copy):
        return again


@contextmanager
def _films_in(media: Media, films: Sequence[Path]) -> Iterator[None]:
    """Put films in place; where that or what is inside fails, the new ones go again."""
    new = []
    try:
        for film in films:
            if not _there(media, film.name):
                new.append(film.name)
            media.keep_as(film.name, film)
        yield
    except BaseException:
        for key in new:
            media.delete(key)
        raise


def _there(media: Media, key: str) -> bool:
    try:
        media.local(key)
    except NotFound:
        return False
    return True


def _swapped_in(copy: Path, target: Path) -> Path | None:
    """Put a database in its place in one step; return where the one before is now."""
    target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    # beside the target, as the last step is one only on the same disk
    near = target.with_name(target.name + ".restored.part")
    shutil.move(copy, near)
    if not _holds_something(target):
        _without_sidecars(target)
        near.replace(target)
        return None
    now = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%f")
    aside = target.with_name(f"{target.name}.before-{now}")
    with copies.alone(target):
        aside.hardlink_to(target)
        # what a broken database left beside it would be taken for changes to the new one
        _without_sidecars(target)
        near.replace(target)
    return aside


def _without_sidecars(target: Path) -> None:
    for end in ("-wal", "-shm", "-journal"):
        target.with_name(target.name + end).unlink(missing_ok=True)


def _silent(done: int, of: int) -> None:
    """Tell nobody."""


def as_data(manifest: Manifest) -> dict[str, object]:
    """Return what a backup holds, for JSON: numbers, no names."""
    return {
        "made_at": manifest.made_at.isoformat(),
        "made_by": manifest.made_by,
        "kind": manifest.kind,
        "revision": manifest.revision,
        "rows": dict(manifest.rows),
        "films": len(manifest.films),
        "bytes": archive.total_size(manifest.parts),
        "missing": list(manifest.missing),
    }
