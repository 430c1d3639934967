"""Film files: in a folder of ours, or wherever an fsspec address points; always whole or not there.

A file goes by a key of our own making. What the phone called it is data: it is never a path, and
only a known ending is taken from it.
"""

import hashlib
import os
import re
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path, PurePath
from typing import Any, Protocol
from uuid import uuid4

import fsspec
from fsspec.implementations.local import LocalFileSystem

from hoopwright.errors import BadInput, NotFound, StoreTrouble

#: endings kept from a file's name; any other becomes ``.film``
ENDINGS = frozenset({".mp4", ".mov", ".m4v", ".webm", ".avi", ".mkv", ".3gp", ".npz"})
#: bytes read and written at a time
CHUNK = 1 << 20
#: room left on the disk for the database and everybody else [byte]
RESERVE = 500_000_000
#: age at which what a broken-off upload left, and an unused copy, are removed [s]
STALE = 86_400.0
_KEY = re.compile(r"[0-9a-f]{32}\.[a-z0-9]{3,5}")
_PART = ".part"


class Readable(Protocol):
    """What can be read piece by piece: a file, an upload."""

    def read(self, size: int = -1, /) -> bytes:
        """Return up to ``size`` bytes; none at the end."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Received:
    """A file that has arrived whole, and is not kept yet."""

    #: where it lies for now
    path: Path
    #: name it will be kept under
    key: str
    #: [byte]
    size: int
    #: 64 hexadecimal digits
    sha256: str


class Media:
    """A place for film files."""

    def __init__(self, files: Any, root: str, *, copies: Path, largest: int) -> None:
        self._files, self._root = files, root.rstrip("/")
        self._folder = Path(root) if isinstance(files, LocalFileSystem) else None
        self._copies, self._largest = copies, largest

    @contextmanager
    def receiving(
        self, stream: Readable, *, file_name: str, expected: int | None = None
    ) -> Iterator[Received]:
        """Take a file in piece by piece; unless kept inside, it is gone again at the end.

        Parameters
        ----------
        stream
            The file's bytes.
        file_name
            What the phone calls it; only a known ending is taken from it.
        expected
            How many bytes are said to come, if said, so that too many are refused at once.

        Raises
        ------
        BadInput
            It is empty or over the size limit.
        StoreTrouble
            There is no room for it, or the folder can't be written.
        """
        key = new_key(file_name)
        with _plain_errors():
            part = _made(self._folder or self._copies) / f"{key}{_PART}"
        try:
            with _plain_errors():
                self._check_size(expected or 0)
                _check_room(part.parent, expected or 0)
                size, digest = self._pour(stream, part)
            if not size:
                raise BadInput("The file is empty; choose the film again.", field="file")
            yield Received(path=part, key=key, size=size, sha256=digest)
        finally:
            part.unlink(missing_ok=True)

    def keep(self, received: Received) -> str:
        """Keep a file that has arrived, for good, and return its key.

        Raises
        ------
        StoreTrouble
            The place can't be written.
        """
        with _plain_errors():
            self._move_in(received.path, received.key)
        return received.key

    def keep_bytes(self, content: bytes, *, ending: str) -> str:
        """Keep a small file and return its key; as ``keep``."""
        key = new_key(ending)
        with _plain_errors():
            part = _made(self._folder or self._copies) / f"{key}{_PART}"
            try:
                _write(part, content)
                self._move_in(part, key)
            finally:
                part.unlink(missing_ok=True)
        return key

    def keep_as(self, key: str, path: Path) -> None:
        """Keep a file under a name that is known, in place of one that is there; it is moved.

        Raises
        ------
        StoreTrouble
            The place can't be written.
        """
        with _plain_errors():
            part = _made(self._folder or self._copies) / f"{_checked(key)}{_PART}"
            shutil.move(path, part)
            self._move_in(part, key)

    def local(self, key: str) -> Path:
        """Return where a file can be read on this machine; one from elsewhere is copied here.

        Raises
        ------
        NotFound
            There is no such file any more.
        StoreTrouble
            It can't be had, or there is no room for a copy.
        """
        if self._folder is not None:
            found = self._folder / _checked(key)
        else:
            found = self._copies / _checked(key)
            if not found.exists():
                with _plain_errors():
                    self._fetch(key, found)
            with suppress(FileNotFoundError):
                os.utime(found)
        if not found.is_file():
            raise NotFound("That film's file is gone; add the film again.")
        return found

    def delete(self, key: str) -> None:
        """Delete a file and any copy here; one that is gone already is no trouble.

        Raises
        ------
        StoreTrouble
            The place can't be written.
        """
        (self._copies / _checked(key)).unlink(missing_ok=True)
        with _plain_errors(), suppress(FileNotFoundError):
            self._files.rm_file(self._at(key))

    def tidy(self, *, now: float | None = None) -> int:
        """Remove what broken-off uploads left and copies unused for a day; return how many."""
        oldest = (time.time() if now is None else now) - STALE
        places = [self._folder] if self._folder is not None else [self._copies]
        gone = 0
        for one in (p for place in places for p in place.glob("*")):
            name = one.name.removesuffix(_PART)
            ours = _KEY.fullmatch(name) and (self._folder is None or one.suffix == _PART)
            with suppress(FileNotFoundError):
                if ours and one.stat().st_mtime < oldest:
                    one.unlink()
                    gone += 1
        return gone

    def _check_size(self, size: int) -> None:
        if size > self._largest:
            raise BadInput(
                f"The film is over the limit of {self._largest / 1e9:g} GB; "
                "film shorter clips or cut it.",
                field="file",
            )

    def _pour(self, stream: Readable, part: Path) -> tuple[int, str]:
        size, digest = 0, hashlib.sha256()
        with _private(part) as file:
            while piece := stream.read(CHUNK):
                size += len(piece)
                self._check_size(size)
                _check_room(part.parent, len(piece))
                digest.update(piece)
                file.write(piece)
            file.flush()
            os.fsync(file.fileno())
        return size, digest.hexdigest()

    def _move_in(self, part: Path, key: str) -> None:
        if self._folder is not None:
            part.replace(self._folder / key)
            _sync_folder(self._folder)
            return
        # under a name of its own until whole: not every place makes a file appear at once
        self._files.makedirs(self._root, exist_ok=True)
        self._files.put_file(str(part), self._at(key) + _PART)
        self._files.mv(self._at(key) + _PART, self._at(key))
        part.replace(self._copies / key)

    def _fetch(self, key: str, to: Path) -> None:
        part = _made(self._copies) / f"{uuid4().hex}.film{_PART}"
        try:
            _check_room(part.parent, int(self._files.size(self._at(key)) or 0))
            _private(part).close()
            self._files.get_file(self._at(key), str(part))
            part.replace(to)
        except FileNotFoundError as trouble:
            raise NotFound("That film's file is gone; add the film again.") from trouble
        finally:
            part.unlink(missing_ok=True)

    def _at(self, key: str) -> str:
        return f"{self._root}/{_checked(key)}"


def open_media(url: str, *, copies: Path, largest: int = 4_000_000_000) -> Media:
    """Open the place where film files are; nothing is made or reached for yet.

    Parameters
    ----------
    url
        A folder, or an fsspec address such as ``sftp://store/films``.
    copies
        Folder for copies of files that are kept elsewhere.
    largest
        Size limit of one file [byte].

    Raises
    ------
    StoreTrouble
        The address makes no sense, or what it needs is not installed.
    """
    try:
        files, root = fsspec.url_to_fs(url)
    except (ValueError, ImportError) as trouble:
        raise StoreTrouble(
            f"The film address {url!r} can't be used ({trouble}); "
            "give a folder, or install what that kind of address needs."
        ) from trouble
    return Media(files, str(root), copies=copies, largest=largest)


def new_key(file_name: str) -> str:
    """Return a fresh name of our own, with the ending of a file's name where it is a known one."""
    ending = PurePath(file_name).suffix.lower()
    return uuid4().hex + (ending if ending in ENDINGS else ".film")


def _checked(key: str) -> str:
    if not _KEY.fullmatch(key):
        raise NotFound("There is no film file of that name.")
    return key


def _made(folder: Path) -> Path:
    # children's film: the folder is for this account only
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder


def _private(path: Path) -> Any:
    return os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb")


def _write(path: Path, content: bytes) -> None:
    with _private(path) as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _sync_folder(folder: Path) -> None:
    # a folder can't be opened everywhere; where it can't, the system sees to it
    with suppress(PermissionError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _check_room(folder: Path, coming: int) -> None:
    free = shutil.disk_usage(folder).free
    if free - coming < RESERVE:
        raise StoreTrouble(
            f"There is no room for this film ({free / 1e9:.1f} GB are free); "
            "make room on the disk, or keep films elsewhere."
        )


@contextmanager
def _plain_errors() -> Iterator[None]:
    try:
        yield
    except OSError as trouble:
        reason = os.strerror(trouble.errno).lower() if trouble.errno else str(trouble)
        raise StoreTrouble(
            f"The films' folder can't be used ({reason}); check its address, rights and free space."
        ) from trouble
