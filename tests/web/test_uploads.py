"""Forms with a film, as they stream in: in pieces of any size, broken off, or no forms at all.

Bodies are built by hand after RFC 7578 (multipart/form-data).
"""

from collections.abc import AsyncIterator, Callable
from itertools import pairwise

import anyio
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.requests import ClientDisconnect

from hoopwright.errors import BadInput
from hoopwright.web.uploads import Upload

KIND = "multipart/form-data; boundary=edge"


def body(content: bytes, *, fields: dict[str, str] | None = None, name: str = "a.mp4") -> bytes:
    parts = [
        f'--edge\r\nContent-Disposition: form-data; name="{key}"\r\n\r\n{value}\r\n'.encode()
        for key, value in (fields or {"player": "Ash"}).items()
    ]
    head = f'--edge\r\nContent-Disposition: form-data; name="file"; filename="{name}"\r\n\r\n'
    return b"".join(parts) + head.encode() + content + b"\r\n--edge--\r\n"


def in_thread(pieces: list[bytes], use: Callable[[Upload], bytes], kind: str = KIND) -> bytes:
    """Use an upload as a page does: in a thread, while the pieces come in beside it."""

    async def stream() -> AsyncIterator[bytes]:
        for piece in pieces:
            await anyio.sleep(0)
            if piece == b"gone":
                raise ClientDisconnect
            yield piece
        yield b""

    async def run() -> bytes:
        return await anyio.to_thread.run_sync(lambda: use(Upload(kind, stream())))

    return anyio.run(run)


def whole(upload: Upload) -> bytes:
    upload.begin()
    assert upload.fields == {"player": "Ash"}
    read = b""
    while piece := upload.read(1000):
        read += piece
    upload.drain()
    return read


@settings(max_examples=30, deadline=None)
@given(content=st.binary(max_size=400), cuts=st.lists(st.integers(1, 600), max_size=6))
def test_any_bytes_in_any_pieces_come_through_unchanged(content: bytes, cuts: list[int]) -> None:
    sent = body(content)
    ends = [0, *sorted(min(cut, len(sent)) for cut in cuts), len(sent)]
    pieces = [sent[a:b] for a, b in pairwise(ends) if b > a]
    assert in_thread(pieces, whole) == content


def test_what_breaks_off_is_refused() -> None:
    for pieces in ([body(b"abc")[:-20]], [body(b"abc")[:-20], b"gone"], [b"gone"]):
        with pytest.raises(BadInput, match="broke off"):
            in_thread(pieces, whole)


@pytest.mark.parametrize("kind", ["text/plain", "", "multipart/form-data", "multipart/mixed"])
def test_what_is_no_form_is_refused(kind: str) -> None:
    with pytest.raises(BadInput, match="no form with a film"):
        in_thread([b"hello"], whole, kind)
    with pytest.raises(BadInput, match="no form with a film"):
        in_thread([b"hello"], whole)


def test_fields_can_not_fill_the_memory() -> None:
    def fields(upload: Upload) -> bytes:
        upload.begin()
        assert max(len(value) for value in upload.fields.values()) <= 2000
        return str(len(upload.fields)).encode()

    many = {f"field {n}": "x" * 5000 for n in range(60)}
    assert in_thread([body(b"abc", fields=many)], fields) == b"20"
