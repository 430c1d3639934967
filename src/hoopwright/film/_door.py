"""What is let in as a film: a plain file, in few containers, for few decoders, of sane size.

The file is opened here and handed over as a stream, so its name is never taken for an address
(``http:…``, ``concat:…``); what a file inside asks to be opened in turn is refused.
"""

import os
import stat
from pathlib import Path
from typing import BinaryIO, NoReturn

import av
from av.container import InputContainer
from av.stream import Disposition
from av.video.stream import VideoStream

from hoopwright.errors import BadFilm

#: largest picture that is decoded, 4096 × 2304 [px]
MOST_PIXELS = 4096 * 2304
CONTAINERS = "mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,avi"
DECODERS = ("h264", "hevc", "vp8", "vp9", "mjpeg", "mpeg4", "libdav1d", "av1")
OPTIONS = {
    "format_whitelist": CONTAINERS,
    "codec_whitelist": ",".join(DECODERS),
    "max_pixels": str(MOST_PIXELS),
}
#: bytes read from the file at a time
BUFFER = 1 << 18

#: how files of still pictures begin
STILL = (b"\xff\xd8\xff", b"\x89PNG", b"GIF8", b"BM", b"II*\0", b"MM\0*")

NOT_A_FILM = "That is not a film that can be read; choose an MP4, MOV, WebM or AVI file."
STILL_PICTURE = "That is a still picture, not a film; choose the film itself."
BROKEN_OFF = "The film breaks off before it can be read; copy it from the phone again."
UNKNOWN_CODEC = "The film is stored in a way that can't be read here; export it as H.264 MP4."


def file_at(path: str | Path) -> BinaryIO:
    """Return the film file, open for reading.

    Parameters
    ----------
    path
        Where it is on this machine; whatever it contains, it is only a path.

    Raises
    ------
    BadFilm
        There is no file that can be read, or it is empty.
    """
    try:
        found = os.stat(path)
    except (OSError, ValueError):
        raise BadFilm("There is no film at that place; check where it is kept.") from None
    if stat.S_ISDIR(found.st_mode):
        raise BadFilm("That is a folder, not a film; choose one film file in it.")
    if not stat.S_ISREG(found.st_mode):
        raise BadFilm(NOT_A_FILM)
    if found.st_size == 0:
        raise BadFilm("The film file is empty; copy it from the phone again.")
    try:
        return Path(path).open("rb")
    except OSError:
        raise BadFilm("The film file may not be read; check who may open it.") from None


def container_of(file: BinaryIO) -> InputContainer:
    """Return the container in an open file.

    Parameters
    ----------
    file
        Open for reading, at its beginning.

    Raises
    ------
    BadFilm
        It is no film, or one that can't be made out.
    """
    try:
        return av.open(
            _Nameless(file), "r", options=OPTIONS, metadata_errors="replace",
            buffer_size=BUFFER, io_open=_refuse,
        )  # fmt: skip
    except (av.FFmpegError, ValueError, OSError):
        raise BadFilm(_why_not(file)) from None


def film_stream(container: InputContainer) -> VideoStream:
    """Return the first moving picture of a container, its size checked before any decoding.

    Parameters
    ----------
    container
        As ``container_of`` returned it.

    Raises
    ------
    BadFilm
        It has none, or one that is too large or stored in an unknown way.
    """
    # the cover of a song counts as video, but does not move
    films = [s for s in container.streams.video if not s.disposition & Disposition.attached_pic]
    if not films:
        raise BadFilm("That file has no moving picture in it; choose the film itself.")
    stream, codec = films[0], films[0].codec_context
    if codec is None or not stream.time_base or codec.codec.name not in DECODERS:
        raise BadFilm(UNKNOWN_CODEC)
    if codec.width * codec.height > MOST_PIXELS:
        raise BadFilm(
            f"The film's pictures are {codec.width} × {codec.height} pixels, more than can be "
            "worked on; export it at 1080p or 4K and try again."
        )
    stream.thread_type = "AUTO"
    codec.options = {"max_pixels": str(MOST_PIXELS)}
    return stream


class _Nameless:
    """A stream without the name that a demuxer might make something of."""

    def __init__(self, file: BinaryIO) -> None:
        self.read, self.seek, self.tell = file.read, file.seek, file.tell


def _refuse(*asked: object) -> NoReturn:
    raise PermissionError("a film may not open other files")


def _why_not(file: BinaryIO) -> str:
    file.seek(0)
    start = file.read(16)
    if start.startswith(STILL) or (start[:4] == b"RIFF" and start[8:12] == b"WEBP"):
        return STILL_PICTURE
    # a container of the right kind that does not open lacks its index, written last
    known = start[4:8] in (b"ftyp", b"moov", b"mdat", b"wide", b"free") or start[8:12] == b"AVI "
    return BROKEN_OFF if known or start[:4] == b"\x1aE\xdf\xa3" else NOT_A_FILM
