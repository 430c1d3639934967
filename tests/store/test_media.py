"""Film files: whole or not there, under names of our own, wherever they are kept."""

import errno
import hashlib
import io
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple
from uuid import uuid4

import fsspec
import pytest

from hoopwright.errors import BadInput, NotFound, StoreTrouble
from hoopwright.store.media import CHUNK, RESERVE, STALE, Media, new_key, open_media

#: SHA-256 of "abc": FIPS 180-4, example of the standard's validation set
ABC = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


@pytest.fixture(autouse=True)
def nothing_elsewhere() -> Iterator[None]:
    """The place in memory is the whole process'; leave it empty."""
    yield
    fsspec.filesystem("memory").store.clear()


@pytest.fixture(params=["folder", "elsewhere"])
def media(request: pytest.FixtureRequest, tmp_path: Path) -> Media:
    """A folder, and an fsspec place that is none."""
    elsewhere = f"memory://t{uuid4().hex}"
    url = str(tmp_path / "films") if request.param == "folder" else elsewhere
    return open_media(url, copies=tmp_path / "copies", largest=3 * CHUNK)


def files_in(tmp_path: Path) -> list[Path]:
    here = [p for p in tmp_path.rglob("*") if p.is_file()]
    return here + [Path(p) for p in fsspec.filesystem("memory").store]


def kept(media: Media, content: bytes, name: str = "clip.mp4") -> str:
    with media.receiving(io.BytesIO(content), file_name=name) as received:
        return media.keep(received)


def test_what_is_kept_comes_back_with_its_checksum(media: Media) -> None:
    with media.receiving(io.BytesIO(b"abc"), file_name="a.mov") as received:
        assert (received.size, received.sha256) == (3, ABC)
        assert received.path.read_bytes() == b"abc"
        key = media.keep(received)
    assert media.local(key).read_bytes() == b"abc"
    assert key.endswith(".mov")
    big = os.urandom(2 * CHUNK + 17)
    assert media.local(kept(media, big)).read_bytes() == big


def test_it_is_never_in_memory_whole(media: Media) -> None:
    class Stream:
        left, asked = 3 * CHUNK, 0

        def read(self, size: int = -1, /) -> bytes:
            assert 0 < size <= CHUNK
            self.asked += 1
            piece = b"x" * min(size, self.left)
            self.left -= len(piece)
            return piece

    stream = Stream()
    with media.receiving(stream, file_name="a.mp4") as received:
        assert received.sha256 == hashlib.sha256(b"x" * 3 * CHUNK).hexdigest()
    assert stream.asked >= 3


def test_a_copy_is_made_again_when_it_was_tidied_away(tmp_path: Path) -> None:
    media = open_media(f"memory://t{uuid4().hex}", copies=tmp_path, largest=CHUNK)
    key = kept(media, b"film")
    copy = media.local(key)
    copy.unlink()
    assert media.local(key).read_bytes() == b"film"
    now = copy.stat().st_mtime + STALE + 1.0
    assert media.tidy(now=now) == 1
    assert media.local(key).read_bytes() == b"film"


@pytest.mark.parametrize(
    "name",
    ["../../etc/passwd", "a;rm -rf b.mp4", "-rf.mp4", "a\nb.mp4", "", "x" * 500 + ".MOV", "a.sh"],
)
def test_a_file_name_is_no_path(media: Media, tmp_path: Path, name: str) -> None:
    key = kept(media, b"film", name)
    stem, ending = key.split(".")
    assert len(stem) == 32
    assert set(stem) <= set("0123456789abcdef")
    assert ending in ("mp4", "mov", "film")
    assert all(p.name == key for p in files_in(tmp_path))


@pytest.mark.parametrize("key", ["../x.mp4", "/etc/passwd", "", "a.mp4", "0" * 32 + ".mp4/../x"])
def test_only_names_of_ours_are_looked_up(media: Media, key: str) -> None:
    for do in (media.local, media.delete):
        with pytest.raises(NotFound):
            do(key)


def test_deleted_it_is_gone_everywhere(media: Media, tmp_path: Path) -> None:
    key = kept(media, b"film")
    media.local(key)
    media.delete(key)
    media.delete(key)
    assert files_in(tmp_path) == []
    with pytest.raises(NotFound, match="add the film again"):
        media.local(key)


def test_not_kept_it_leaves_nothing(media: Media, tmp_path: Path) -> None:
    with media.receiving(io.BytesIO(b"film"), file_name="a.mp4"):
        pass
    with (
        pytest.raises(ZeroDivisionError),
        media.receiving(io.BytesIO(b"film"), file_name="a.mp4"),
    ):
        raise ZeroDivisionError
    assert files_in(tmp_path) == []


class Broken:
    """An upload that breaks off."""

    def __init__(self) -> None:
        self.pieces = [b"x" * 100]

    def read(self, size: int = -1, /) -> bytes:
        if self.pieces:
            return self.pieces.pop()
        raise ConnectionResetError(errno.ECONNRESET, "reset")


def test_a_broken_off_upload_leaves_nothing(media: Media, tmp_path: Path) -> None:
    with pytest.raises(StoreTrouble), media.receiving(Broken(), file_name="a.mp4"):
        pytest.fail("it never arrived")
    assert files_in(tmp_path) == []


def test_empty_and_oversized_files_are_refused(media: Media, tmp_path: Path) -> None:
    with (
        pytest.raises(BadInput, match="empty"),
        media.receiving(io.BytesIO(b""), file_name="a.mp4"),
    ):
        pytest.fail("it is empty")
    too_large = io.BytesIO(b"x" * (3 * CHUNK + 1))
    with pytest.raises(BadInput, match="GB"), media.receiving(too_large, file_name="a.mp4"):
        pytest.fail("it is too large")
    unread = io.BytesIO(b"x")
    with (
        pytest.raises(BadInput, match="GB"),
        media.receiving(unread, file_name="a.mp4", expected=4 * CHUNK),
    ):
        pytest.fail("it is said to be too large")
    assert unread.tell() == 0
    assert files_in(tmp_path) == []


class Usage(NamedTuple):
    total: int
    used: int
    free: int


def test_a_disk_that_fills_up_is_one_sentence(
    media: Media, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    left = [RESERVE + 2 * CHUNK]

    def usage(_: Any) -> Usage:
        left[0] -= CHUNK
        return Usage(total=10**12, used=0, free=left[0])

    monkeypatch.setattr(shutil, "disk_usage", usage)
    stream = io.BytesIO(b"x" * 3 * CHUNK)
    with (
        pytest.raises(StoreTrouble, match="no room") as caught,
        media.receiving(stream, file_name="a.mp4"),
    ):
        pytest.fail("there was no room")
    assert "\n" not in caught.value.message
    assert files_in(tmp_path) == []


def test_a_folder_that_cannot_be_made_is_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file")
    media = open_media(str(tmp_path / "taken" / "films"), copies=tmp_path / "c", largest=CHUNK)
    with pytest.raises(StoreTrouble, match="can't be used"):
        kept(media, b"film")


@pytest.mark.parametrize("url", ["nosuch://here", "no-such+kind://x/y"])
def test_an_address_that_nothing_here_reads_is_one_sentence(tmp_path: Path, url: str) -> None:
    with pytest.raises(StoreTrouble, match="can't be used") as caught:
        open_media(url, copies=tmp_path)
    assert "\n" not in caught.value.message


def test_the_folder_and_its_films_are_for_this_account_only(tmp_path: Path) -> None:
    media = open_media(str(tmp_path / "films"), copies=tmp_path / "copies", largest=CHUNK)
    found = media.local(kept(media, b"film"))
    assert found.stat().st_mode & 0o077 == 0
    assert found.parent.stat().st_mode & 0o077 == 0


def test_tidying_takes_what_broke_off_and_nothing_else(tmp_path: Path) -> None:
    media = open_media(str(tmp_path), copies=tmp_path / "copies", largest=CHUNK)
    film = media.local(kept(media, b"film"))
    old, other = tmp_path / f"{new_key('a.mp4')}.part", tmp_path / "holiday.part"
    for one in (old, other):
        one.write_bytes(b"half")
    assert media.tidy() == 0
    later = old.stat().st_mtime + STALE + 1.0
    assert media.tidy(now=later) == 1
    assert (old.exists(), other.exists(), film.exists()) == (False, True, True)
