"""Write an MP4 that plays anywhere: H.264, pictures at their own times, no sound, whole or not."""

import contextlib
from fractions import Fraction
from pathlib import Path
from typing import Self
from uuid import uuid4

import av
import numpy as np
from av.container import OutputContainer
from av.video.stream import VideoStream
from numpy.typing import NDArray

from hoopwright.errors import BadInput, HoopwrightError

#: fineness of times, the usual one of video [s]
TICK = Fraction(1, 90_000)
#: H.264 encoders in order of preference
ENCODERS = ("libx264", "libopenh264")
#: no pictures out of order and a key picture often, so that stepping back and forth is quick
OPTIONS = {"preset": "veryfast", "crf": "20", "bf": "0", "g": "30"}
#: colours as browsers take them: ITU-R BT.709, code 1 of ISO/IEC 23091-2 (from memory)
BT709 = 1

CANT_WRITE = "The clip can't be written there; check the folder and the free space."


class Writer:
    """An MP4 being written under another name; on leaving without error it gets its own."""

    def __init__(self, out: Path, *, size: tuple[int, int]) -> None:
        self._out = Path(out).absolute()
        # an absolute path is never taken for an address
        self._part = self._out.with_name(f".{uuid4().hex}.part")
        self._size = size
        self._newest = -1
        self._container: OutputContainer
        self._stream: VideoStream

    def __enter__(self) -> Self:
        encoder = next((name for name in ENCODERS if _has(name)), None)
        if encoder is None:
            raise HoopwrightError("No H.264 encoder is installed; install the av package again.")
        try:
            # the index first, so that it plays while it loads
            self._container = av.open(
                str(self._part), "w", format="mp4", options={"movflags": "+faststart"}
            )
        except (av.FFmpegError, OSError):
            raise BadInput(CANT_WRITE) from None
        options = OPTIONS if encoder == "libx264" else {}
        self._stream = self._container.add_stream(encoder, rate=30, options=options)  # type: ignore[assignment]
        self._stream.width, self._stream.height = self._size
        self._stream.pix_fmt = "yuv420p"
        context = self._stream.codec_context
        context.time_base = TICK
        context.colorspace = context.color_primaries = context.color_trc = BT709
        context.color_range = 1  # 16 to 235
        return self

    def add(self, image: NDArray[np.uint8], time: float) -> None:
        """Add a picture.

        Parameters
        ----------
        image
            Blue, green, red, uint8 [row, column, 3], of the size said at first.
        time
            When it is to be shown, later than the one before [s].
        """
        frame = av.VideoFrame.from_ndarray(image, format="bgr24").reformat(
            format="yuv420p", dst_colorspace="ITU709", dst_color_range="MPEG", threads=1
        )
        self._newest = max(round(time / TICK), self._newest + 1)
        frame.pts, frame.time_base = self._newest, TICK
        self._mux(frame)

    def __exit__(self, kind: type[BaseException] | None, *rest: object) -> None:
        try:
            if kind is None:
                self._mux(None)
            self._close()
            if kind is None:
                self._part.replace(self._out)
        except OSError:
            raise BadInput(CANT_WRITE) from None
        finally:
            with contextlib.suppress(OSError):
                self._part.unlink(missing_ok=True)

    def _mux(self, frame: av.VideoFrame | None) -> None:
        try:
            self._container.mux(self._stream.encode(frame))
        except (av.FFmpegError, OSError):
            raise BadInput(CANT_WRITE) from None

    def _close(self) -> None:
        try:
            self._container.close()
        except av.FFmpegError:
            raise BadInput(CANT_WRITE) from None


def _has(encoder: str) -> bool:
    try:
        av.codec.Codec(encoder, "w")
    except av.FFmpegError:
        return False
    return True
