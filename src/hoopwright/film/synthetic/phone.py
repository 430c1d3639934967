"""The phone: when pictures are taken, light and noise, and the file they end up in."""

import struct
from fractions import Fraction
from pathlib import Path
from types import TracebackType
from typing import Self

import av
import numpy as np
from numpy.typing import NDArray

from hoopwright.film.synthetic import _kernel
from hoopwright.film.synthetic.setting import Codec, Phone

Floats = NDArray[np.float64]
Picture = NDArray[np.uint8]

#: ticks of a second in the file
_TICKS = 90000
#: bits per pixel and picture of phones' H.264: 1080p60 some 20 Mbit/s, 720p30 some 7
_BITS = 0.19
#: less noise at dark levels than at mid grey; from the square root law of photon counts
_LEVELS = np.sqrt(np.clip(np.arange(256), 16, 255) / 126.0)
#: how much larger than the picture the stored grain is, so that it can be shifted [px]
_ROOM = 64


def picture_times(phone: Phone, seconds: float, rng: np.random.Generator) -> Floats:
    """Return when the middle row of each picture is halfway through its exposure [s].

    Parameters
    ----------
    phone
        Gives rate, jitter and dropped pictures.
    seconds
        Length of the clip.
    rng
        Draws the jitter.
    """
    count = max(int(np.floor(seconds * phone.rate)) + 1, 2)
    times = np.arange(count) / phone.rate
    if phone.jitter:
        times[1:] += np.clip(rng.normal(0.0, phone.jitter, count - 1), -0.4, 0.4) / phone.rate
    kept = rng.random(count) >= phone.dropped
    kept[[0, -1]] = True
    ticks = np.rint(times[kept] * phone.slowed * _TICKS) / (phone.slowed * _TICKS)
    return np.asarray(ticks)


def bit_rate(phone: Phone, width: int, height: int) -> int:
    """Return the bits a second of a clip: as set, or what phones use [bit/s]."""
    if phone.bit_rate is not None:
        return phone.bit_rate
    thrift = 0.6 if phone.codec is Codec.HEVC else 1.0
    # half as many bits per picture at twice the usual rate
    pace = 60.0 * (phone.rate / 60.0) ** (0.7 if phone.rate > 60.0 else 0.9)
    return int(_BITS * thrift * width * height * pace * (1.0 if width * height > 1.5e6 else 1.15))


class Sensor:
    """Light and noise of one clip."""

    def __init__(self, phone: Phone, size: tuple[int, int], rng: np.random.Generator) -> None:
        self._phone, self._rng = phone, rng
        width, height = size
        grain = rng.normal(0.0, 32.0, (height + _ROOM, width + _ROOM))
        self._grain = np.clip(np.rint(grain), -127, 127).astype(np.int8)
        self._strength = phone.noise * _LEVELS / 32.0 * 219.0 / 255.0
        self._phase = rng.uniform(0.0, 2.0 * np.pi, 3)

    def gain(self, time: float) -> float:
        """Return how bright the picture of one moment is, 1 in the middle."""
        phase, phone = self._phase, self._phone
        beat = np.sin(2.0 * np.pi * 100.0 * time + phase[0])
        slow = np.sin(2.0 * np.pi * time / 11.0 + phase[1])
        return float(1.0 + phone.flicker * beat + phone.drift * slow)

    def expose(self, luma: Picture, time: float, out: Picture) -> None:
        """Write luma as the sensor gives it."""
        rows, columns = (int(v) for v in self._rng.integers(0, _ROOM, 2))
        _kernel.expose(luma, self.gain(time), self._strength, self._grain, rows, columns, out)


class ClipFile:
    """An MP4 being written; use as a context."""

    def __init__(self, path: Path, phone: Phone, *, width: int, height: int) -> None:
        self._path, self._phone = path, phone
        turned = phone.turns % 2 == 1
        self._size = (height, width) if turned else (width, height)
        self._container = av.open(str(path), "w", format="mp4")
        name = "libx264" if phone.codec is Codec.H264 else "libx265"
        stream = self._container.add_stream(name, rate=Fraction(round(phone.rate)))
        assert isinstance(stream, av.VideoStream)
        stream.width, stream.height = self._size
        stream.pix_fmt = "yuv420p"
        stream.time_base = Fraction(1, _TICKS)
        stream.codec_context.time_base = Fraction(1, _TICKS)
        stream.bit_rate = bit_rate(phone, width, height)
        stream.codec_context.thread_count = 1
        stream.options = _options(phone, stream.bit_rate)
        self._stream = stream

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if kind is None:
            for packet in self._stream.encode():
                self._container.mux(packet)
        self._container.close()
        if kind is None and self._phone.turns:
            _mark_turned(self._path, self._phone.turns, self._size)

    def add(self, planes: tuple[Picture, Picture, Picture], time: float) -> None:
        """Write one picture, given upright as luma and chroma, taken at a time [s]."""
        # stored turned back, so that a player's turn sets it upright
        y, u, v = (np.rot90(p, self._phone.turns) for p in planes)
        flat = np.concatenate([np.ascontiguousarray(p).reshape(-1) for p in (y, u, v)])
        frame = av.VideoFrame.from_ndarray(flat.reshape(-1, self._size[0]), format="yuv420p")
        frame.pts = round(time * self._phone.slowed * _TICKS)
        frame.time_base = Fraction(1, _TICKS)
        for packet in self._stream.encode(frame):
            self._container.mux(packet)


def _options(phone: Phone, rate: int) -> dict[str, object]:
    """Return the encoder's options: hardware encoders of phones are quick and use no B-frames."""
    gop = str(round(phone.rate))
    if phone.codec is Codec.HEVC:
        return {
            "preset": "ultrafast",
            "x265-params": f"log-level=none:pools=1:keyint={gop}:bframes=0",
        }
    return {
        "preset": "superfast", "g": gop, "bf": "0", "maxrate": str(int(1.4 * rate)),
        "bufsize": str(rate), "tune": "zerolatency", "nal-hrd": "none",
    }  # fmt: skip


def _mark_turned(path: Path, turns: int, size: tuple[int, int]) -> None:
    """Write the display matrix of a quarter turn into the track header (ISO/IEC 14496-12)."""
    data = bytearray(path.read_bytes())
    at = data.index(b"tkhd") + 4
    long = data[at] == 1
    matrix = at + (52 if long else 40)
    one, (width, height) = 0x10000, size
    rows = {
        1: (0, one, 0, -one, 0, 0, height * one, 0, 0x40000000),
        2: (-one, 0, 0, 0, -one, 0, width * one, height * one, 0x40000000),
        3: (0, -one, 0, one, 0, 0, 0, width * one, 0x40000000),
    }[turns]
    data[matrix : matrix + 36] = struct.pack(">9i", *rows)
    path.write_bytes(bytes(data))
