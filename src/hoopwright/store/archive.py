"""One file that holds a whole store: a zip archive with a list of what is in it.

Nothing of an archive is trusted: names are ours or refused, sizes are those of the list, and each
part is read against its checksum [FIPS180]_. An archive is written beside its place and moved there
once whole.
"""

import fcntl
import hashlib
import os
import re
import zlib
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from shutil import disk_usage
from typing import BinaryIO, Literal, Protocol
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

import msgspec

from hoopwright.errors import BadInput, StoreTrouble

#: raised whenever older versions could not read what this one writes
FORM = 1
#: largest list taken [byte]; a hundred thousand films take some fifteen million
LARGEST_LIST = 64_000_000
#: room left on the disk for everybody else [byte]
RESERVE = 500_000_000
FILMS = "films/"
_LIST = "manifest.json"
_CHUNK = 1 << 20
_NAMES = re.compile(r"database\.(sqlite|pgdump)|films/[0-9a-f]{32}\.[a-z0-9]{3,5}")
#: what a broken or hostile archive makes the library raise
_BROKEN = (BadZipFile, EOFError, zlib.error, RuntimeError, NotImplementedError, ValueError)
_DAMAGED = "is damaged or no backup of Hoopwright's"

#: told how much is done, of how much [byte]
Progress = Callable[[int, int], None]


class Part(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A file in the archive."""

    name: str
    #: [byte]
    size: int
    #: 64 hexadecimal digits
    sha256: str


class Manifest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What is in a backup."""

    format: Literal["hoopwright backup"] = "hoopwright backup"
    form: int = FORM
    made_at: datetime
    #: version of Hoopwright that made it
    made_by: str
    kind: Literal["sqlite", "postgresql"]
    #: of the tables; ``migrations`` has one file for each
    revision: str
    #: PostgreSQL's name for the place of the tables; "" for SQLite
    place: str
    #: number of rows of each table
    rows: dict[str, int]
    parts: tuple[Part, ...]
    #: films that the database tells of, but whose files were gone
    missing: tuple[str, ...]

    @property
    def database(self) -> Part:
        """The part that is the database."""
        return next(one for one in self.parts if not one.name.startswith(FILMS))

    @property
    def films(self) -> tuple[Part, ...]:
        """The parts that are films and body points."""
        return tuple(one for one in self.parts if one.name.startswith(FILMS))


class _Sink(Protocol):
    def write(self, data: bytes, /) -> object: ...


class Writer:
    """Puts files into an archive."""

    def __init__(self, archive: ZipFile, folder: Path) -> None:
        self._zip, self._folder = archive, folder
        self._parts: list[Part] = []

    @property
    def parts(self) -> tuple[Part, ...]:
        """What is in so far."""
        return tuple(self._parts)

    def add(self, name: str, path: Path) -> None:
        """Put a file in; film is packed already, so only the database is.

        Raises
        ------
        StoreTrouble
            There is no room.
        """
        check_room(self._folder, path.stat().st_size)
        info = ZipInfo(name)
        info.compress_type = ZIP_STORED if name.startswith(FILMS) else ZIP_DEFLATED
        with path.open("rb") as source, self._zip.open(info, "w", force_zip64=True) as sink:
            size, digest = _poured(source, sink)
        self._parts.append(Part(name=name, size=size, sha256=digest))

    def finish(self, manifest: Manifest) -> None:
        """Put the list in."""
        self._zip.writestr(_LIST, msgspec.json.encode(manifest), compress_type=ZIP_DEFLATED)


@contextmanager
def writing(out: Path) -> Iterator[Writer]:
    """Write an archive that appears under its name once it is whole and on the disk.

    Raises
    ------
    BadInput
        The folder is missing or can't be written.
    """
    with written_whole(out) as file, ZipFile(file, "w", strict_timestamps=False) as archive:
        yield Writer(archive, out.parent)


@contextmanager
def written_whole(out: Path) -> Iterator[BinaryIO]:
    """Give a file to write that takes its name at the end, if nothing went wrong till then.

    Raises
    ------
    BadInput
        The folder is missing or can't be written, or somebody else writes the same file.
    """
    part = out.with_name(out.name + ".part")
    with os.fdopen(_taken(part, out), "w+b") as file:
        try:
            yield file
            file.flush()
            os.fsync(file.fileno())
            part.replace(out)
        except BaseException:
            part.unlink(missing_ok=True)
            raise


def _taken(part: Path, out: Path) -> int:
    """Open a file to write for oneself alone; what a broken-off run left in it goes."""
    try:
        # children's data: for this account only
        handle = os.open(part, os.O_RDWR | os.O_CREAT, 0o600)
    except OSError as trouble:
        raise BadInput(f"{out} can't be written; check its folder and free space.") from trouble
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        # whoever had it may have given it its name meanwhile
        if os.stat(part).st_ino != os.fstat(handle).st_ino:
            raise FileNotFoundError(part)
        os.fchmod(handle, 0o600)
        os.ftruncate(handle, 0)
    except OSError as trouble:
        os.close(handle)
        raise BadInput(
            f"{out} is being written at this moment; wait, or choose another name."
        ) from trouble
    return handle


class Archive:
    """An archive whose list was read and fits what is in it."""

    def __init__(self, archive: ZipFile, manifest: Manifest, path: Path) -> None:
        self._zip, self.manifest, self._path = archive, manifest, path

    def prove(self, part: Part) -> None:
        """Read a part and compare it with its checksum.

        Raises
        ------
        BadInput
            It differs.
        """
        self._read(part, None)

    def copy(self, part: Part, to: Path) -> None:
        """Copy a part to a new file, as ``prove``."""
        with os.fdopen(os.open(to, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as sink:
            self._read(part, sink)
            sink.flush()
            os.fsync(sink.fileno())

    def _read(self, part: Part, sink: _Sink | None) -> None:
        try:
            with self._zip.open(part.name) as source:
                size, digest = _poured(source, sink, most=part.size)
        except _BROKEN as trouble:
            raise self._damaged(part) from trouble
        if (size, digest) != (part.size, part.sha256):
            raise self._damaged(part)

    def _damaged(self, part: Part) -> BadInput:
        return BadInput(
            f"{self._path} is damaged: {part.name} is not what was put in; use another backup."
        )


@contextmanager
def reading(path: Path) -> Iterator[Archive]:
    """Open an archive; its list is checked, its parts are not read yet.

    Raises
    ------
    BadInput
        There is no such file, it is no backup, it is damaged, or of a newer version.
    """
    with _opened(path) as archive:
        manifest = _manifest(archive, path)
        _check_list(archive, manifest, path)
        yield Archive(archive, manifest, path)


def _opened(path: Path) -> ZipFile:
    try:
        return ZipFile(path)
    except FileNotFoundError as trouble:
        raise BadInput(f"There is no file called {path}; check its name and folder.") from trouble
    except IsADirectoryError as trouble:
        raise BadInput(f"{path} is a folder; name the backup in it.") from trouble
    except (OSError, *_BROKEN) as trouble:
        raise BadInput(f"{path} {_DAMAGED}; use another one.") from trouble


def check_room(folder: Path, coming: int) -> None:
    """Refuse what would fill the disk.

    Raises
    ------
    StoreTrouble
        There is no room.
    """
    free = disk_usage(folder).free
    if free - coming < RESERVE:
        raise StoreTrouble(
            f"There is no room: {coming / 1e9:.1f} GB are needed and {free / 1e9:.1f} GB free; "
            "make room on the disk."
        )


def _poured(source: object, sink: _Sink | None, *, most: int | None = None) -> tuple[int, str]:
    size, digest = 0, hashlib.sha256()
    while piece := source.read(_CHUNK):  # type: ignore[attr-defined]
        size += len(piece)
        if most is not None and size > most:
            raise BadZipFile("more than the list says")
        digest.update(piece)
        if sink is not None:
            sink.write(piece)
    return size, digest.hexdigest()


def _manifest(archive: ZipFile, path: Path) -> Manifest:
    try:
        if archive.getinfo(_LIST).file_size > LARGEST_LIST:
            raise BadZipFile("too long a list")
        said = archive.read(_LIST)
        form = msgspec.json.decode(said, type=_Form).form
        if form > FORM:
            raise BadInput(
                f"{path} was made by a newer version of Hoopwright; update Hoopwright first."
            )
        return msgspec.json.decode(said, type=Manifest)
    except (KeyError, OSError, msgspec.DecodeError, *_BROKEN) as trouble:
        raise BadInput(f"{path} {_DAMAGED}; use another one.") from trouble


class _Form(msgspec.Struct):
    form: int


def _check_list(archive: ZipFile, manifest: Manifest, path: Path) -> None:
    names = [one.name for one in manifest.parts]
    entries = {one.filename: one for one in archive.infolist()}
    fits = (
        len(set(names)) == len(names)
        and all(_NAMES.fullmatch(name) for name in names)
        and sum(not name.startswith(FILMS) for name in names) == 1
        and len(entries) == len(archive.infolist())
        and set(entries) == {*names, _LIST}
        and all(_plain(entries[one.name], one) for one in manifest.parts)
        # parts that lie over each other claim more than there is
        and sum(one.compress_size for one in entries.values()) <= path.stat().st_size
    )
    if not fits:
        raise BadInput(f"{path} {_DAMAGED}; use another one.")


def _plain(entry: ZipInfo, part: Part) -> bool:
    packed = entry.compress_type in (ZIP_STORED, ZIP_DEFLATED) and not entry.flag_bits & 1
    return packed and entry.file_size == part.size >= 0


def total_size(parts: Sequence[Part]) -> int:
    """Return how much room parts take once unpacked [byte]."""
    return sum(one.size for one in parts)
