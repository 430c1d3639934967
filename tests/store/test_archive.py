"""Archives: appear whole or not at all, and nothing in them is trusted."""

import struct
from collections.abc import Callable
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from zipfile import ZIP_BZIP2, ZIP_DEFLATED, ZipFile

import msgspec
import pytest

from hoopwright.errors import BadInput, StoreTrouble
from hoopwright.store import archive
from hoopwright.store.archive import FORM, Manifest, Part, reading, writing

FILM = f"films/{'a' * 32}.mp4"
DATABASE = "database.sqlite"
CONTENT = {DATABASE: b"a database " * 1000, FILM: b"a film"}


def manifest(parts: tuple[Part, ...]) -> Manifest:
    return Manifest(
        made_at=datetime(2026, 11, 2, tzinfo=UTC), made_by="0", kind="sqlite", revision="0001",
        place="", rows={}, parts=parts, missing=(),
    )  # fmt: skip


def part(name: str, content: bytes) -> Part:
    return Part(name=name, size=len(content), sha256=sha256(content).hexdigest())


def write_zip(
    path: Path,
    *,
    listed: dict[str, bytes] | None = None,
    held: dict[str, bytes] | None = None,
    list_text: bytes | None = None,
    method: int = ZIP_DEFLATED,
) -> Path:
    parts = tuple(part(name, content) for name, content in (listed or CONTENT).items())
    with ZipFile(path, "w", method) as out:
        for name, content in (held or CONTENT).items():
            out.writestr(name, content)
        out.writestr("manifest.json", list_text or msgspec.json.encode(manifest(parts)))
    return path


def read_all(path: Path) -> None:
    with reading(path) as found:
        for one in found.manifest.parts:
            found.prove(one)


def test_what_is_put_in_comes_out(tmp_path: Path) -> None:
    out = tmp_path / "b"
    with writing(out) as writer:
        for name, content in CONTENT.items():
            (tmp_path / "source").write_bytes(content)
            writer.add(name, tmp_path / "source")
        assert not out.exists()
        writer.finish(manifest(writer.parts))
    assert out.stat().st_mode & 0o077 == 0
    with reading(out) as found:
        assert found.manifest.database.name == DATABASE
        for one in found.manifest.parts:
            to = tmp_path / Path(one.name).name
            found.copy(one, to)
            assert to.read_bytes() == CONTENT[one.name]


def test_broken_off_it_leaves_what_was_there(tmp_path: Path) -> None:
    out = tmp_path / "b"
    out.write_bytes(b"an earlier one")
    with pytest.raises(ZeroDivisionError), writing(out):
        raise ZeroDivisionError
    assert [one.name for one in tmp_path.iterdir()] == ["b"]
    assert out.read_bytes() == b"an earlier one"


def test_two_never_write_the_same_file_at_once(tmp_path: Path) -> None:
    out = tmp_path / "b"
    (tmp_path / "b.part").write_bytes(b"what a broken-off run left" * 100)
    with archive.written_whole(out) as file:
        with pytest.raises(BadInput, match="at this moment"), archive.written_whole(out):
            pass
        file.write(b"whole")
    assert out.read_bytes() == b"whole"
    assert [one.name for one in tmp_path.iterdir()] == ["b"]


@pytest.mark.parametrize(
    "name",
    [
        "../evil", "films/../../evil", "/etc/evil", "films/evil.mp4", "films\\evil",
        f"films/{'A' * 32}.mp4", f"films/{'a' * 32}.mp4/x", "database.sql", "manifest.json",
    ],
)  # fmt: skip
def test_names_that_are_not_ours_are_refused(tmp_path: Path, name: str) -> None:
    both = {DATABASE: b"x", name: b"y"}
    bad = write_zip(
        tmp_path / "b", listed=both, held={n: c for n, c in both.items() if n != "manifest.json"}
    )
    with pytest.raises(BadInput, match="damaged or no backup"):
        read_all(bad)
    assert [one.name for one in tmp_path.iterdir()] == ["b"]


@pytest.mark.parametrize(
    ("listed", "held"),
    [
        (CONTENT, {DATABASE: CONTENT[DATABASE]}),
        ({DATABASE: CONTENT[DATABASE]}, CONTENT),
        (CONTENT, CONTENT | {FILM: b"a longer film"}),
        ({FILM: CONTENT[FILM]}, {FILM: CONTENT[FILM]}),
        (CONTENT | {"database.pgdump": b"x"}, CONTENT | {"database.pgdump": b"x"}),
    ],
    ids=["one is missing", "one too many", "another size", "no database", "two databases"],
)
def test_a_list_that_does_not_fit_is_refused(
    tmp_path: Path, listed: dict[str, bytes], held: dict[str, bytes]
) -> None:
    with pytest.raises(BadInput, match="damaged or no backup"):
        read_all(write_zip(tmp_path / "b", listed=listed, held=held))


def test_a_part_of_another_content_is_named(tmp_path: Path) -> None:
    bad = write_zip(tmp_path / "b", held=CONTENT | {FILM: b"no film"[:6]})
    with pytest.raises(BadInput, match=FILM):
        read_all(bad)


def _claims_less(content: bytes) -> bytes:
    """Give a part that unpacks to far more than list and directory say."""
    size = len(CONTENT[DATABASE])
    bomb, small = struct.pack("<I", 50 * size), struct.pack("<I", size)
    assert bomb in content
    return content.replace(bomb, small)


def test_a_part_that_unpacks_to_more_than_it_says_is_refused(tmp_path: Path) -> None:
    bad = write_zip(tmp_path / "b", held=CONTENT | {DATABASE: CONTENT[DATABASE] * 50})
    bad.write_bytes(_claims_less(bad.read_bytes()))
    with pytest.raises(BadInput, match="is damaged"):
        read_all(bad)


def test_more_than_the_disk_holds_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(archive, "RESERVE", 10**18)
    with pytest.raises(StoreTrouble, match="no room"):
        archive.check_room(tmp_path, 1)


Spoil = Callable[[bytes], bytes]


@pytest.mark.parametrize(
    "spoil",
    [lambda b: b"", lambda b: b[: len(b) // 2], lambda b: b[:-1], lambda b: b"\x00" * len(b)],
    ids=["empty", "half", "a byte short", "zeros"],
)
def test_a_file_that_is_no_archive_is_refused(tmp_path: Path, spoil: Spoil) -> None:
    bad = write_zip(tmp_path / "b")
    bad.write_bytes(spoil(bad.read_bytes()))
    with pytest.raises(BadInput, match="use another one"):
        read_all(bad)


def test_every_single_broken_byte_is_refused_or_harmless(tmp_path: Path) -> None:
    """No byte of the parts can change unseen; elsewhere the same parts come out, or a sentence."""
    good = write_zip(tmp_path / "b").read_bytes()
    refused = 0
    for place in range(0, len(good), 3):
        bad = tmp_path / "c"
        bad.write_bytes(good[:place] + bytes([good[place] ^ 0xFF]) + good[place + 1 :])
        try:
            read_all(bad)
        except BadInput:
            refused += 1
    assert refused > len(good) // 3 * 0.6


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (b"{", "no backup"),
        (b"[]", "no backup"),
        (b'{"form": 1}', "no backup"),
        (b'{"form": %d, "something": "new"}' % (FORM + 1), "newer version"),
        (b" " * (archive.LARGEST_LIST + 1), "no backup"),
    ],
    ids=["no JSON", "a list", "too little", "newer", "too long"],
)
def test_a_list_that_cannot_be_read_is_refused(tmp_path: Path, text: bytes, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        read_all(write_zip(tmp_path / "b", list_text=text))


def test_another_way_of_packing_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="no backup"):
        read_all(write_zip(tmp_path / "b", method=ZIP_BZIP2))


def test_no_file_and_a_folder_are_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="no file"):
        read_all(tmp_path / "none")
    with pytest.raises(BadInput, match="folder"):
        read_all(tmp_path)
