"""A film as it comes in with a form: read piece by piece, never kept whole in memory.

The fields come before the file in our forms, so they are known while the film still streams.
"""

from collections import deque
from collections.abc import AsyncIterator

import anyio
from python_multipart.exceptions import FormParserError
from python_multipart.multipart import MultipartParser, parse_options_header
from starlette.requests import ClientDisconnect

from hoopwright.errors import BadInput

#: most characters of one field, and most fields
LONGEST_FIELD, MOST_FIELDS = 2000, 20
_NOT_A_FORM = "What was sent is no form with a film; open the page again and choose the film there."
_BROKE_OFF = "The upload broke off; send the film again."


class Upload:
    """The fields and the file of a form that is still coming in.

    To be used in a thread that Starlette started: it waits there for what the network brings.
    """

    def __init__(self, content_type: str, stream: AsyncIterator[bytes]) -> None:
        self._stream = stream
        kind, options = parse_options_header(content_type)
        if kind != b"multipart/form-data" or b"boundary" not in options:
            raise BadInput(_NOT_A_FORM)
        self._parser = MultipartParser(
            options[b"boundary"],
            {
                "on_part_begin": self._part_began,
                "on_header_field": self._header_name,
                "on_header_value": self._header_value,
                "on_header_end": self._header_ended,
                "on_headers_finished": self._headers_ended,
                "on_part_data": self._data,
                "on_part_end": self._part_ended,
            },
        )
        #: what was typed, as far as it came before the file
        self.fields: dict[str, str] = {}
        #: what the phone calls the file; "" until it begins, or where none was chosen
        self.file_name = ""
        self._headers: dict[bytes, bytes] = {}
        self._name, self._value = b"", b""
        self._field: str | None = None
        self._typed = bytearray()
        self._pieces: deque[bytes] = deque()
        self._in_file = self._file_done = self._over = False

    def begin(self) -> None:
        """Read the fields, up to where the file begins.

        Raises
        ------
        BadInput
            It is no form of ours.
        """
        while not (self._in_file or self._file_done or self._over):
            self._pull()

    def read(self, size: int = -1, /) -> bytes:
        """Return a next piece of the file, of any size; none at its end.

        Raises
        ------
        BadInput
            The form breaks off.
        """
        while not self._pieces and not self._file_done and not self._over:
            self._pull()
        if self._pieces:
            return self._pieces.popleft()
        if not self._file_done:
            raise BadInput(_BROKE_OFF, field="file")
        return b""

    def drain(self) -> None:
        """Read what is left and drop it, so that the browser gets to read the answer."""
        while not self._over:
            self._pieces.clear()
            self._pull()

    def _pull(self) -> None:
        try:
            piece = anyio.from_thread.run(anext, self._stream, b"")
        except ClientDisconnect as trouble:
            self._over = True
            raise BadInput(_BROKE_OFF, field="file") from trouble
        if not piece:
            self._over = True
            return
        try:
            self._parser.write(piece)
        except FormParserError as trouble:
            self._over = True
            raise BadInput(_NOT_A_FORM) from trouble

    def _part_began(self) -> None:
        self._headers, self._field = {}, None
        self._typed.clear()

    def _header_name(self, data: bytes, start: int, end: int) -> None:
        self._name += data[start:end]

    def _header_value(self, data: bytes, start: int, end: int) -> None:
        self._value += data[start:end]

    def _header_ended(self) -> None:
        self._headers[self._name.lower()] = self._value
        self._name, self._value = b"", b""

    def _headers_ended(self) -> None:
        _, options = parse_options_header(self._headers.get(b"content-disposition", b""))
        name = options.get(b"name", b"").decode(errors="replace")
        if b"filename" in options and not self._file_done:
            self.file_name = options[b"filename"].decode(errors="replace")
            self._in_file = True
        elif len(self.fields) < MOST_FIELDS:
            self._field = name

    def _data(self, data: bytes, start: int, end: int) -> None:
        if self._in_file:
            self._pieces.append(bytes(data[start:end]))
        elif self._field is not None and len(self._typed) < LONGEST_FIELD:
            self._typed += data[start:end]

    def _part_ended(self) -> None:
        if self._in_file:
            self._in_file, self._file_done = False, True
        elif self._field is not None:
            self.fields[self._field] = self._typed[:LONGEST_FIELD].decode(errors="replace")
