"""An opened film file: its checks, its time stamps, and frames as the decoder gives them."""

import math
from collections.abc import Iterator
from pathlib import Path

import av
import numpy as np
from av.container import InputContainer
from av.video.stream import VideoStream
from numpy.typing import NDArray

from hoopwright.errors import BadFilm, BadInput
from hoopwright.film._door import BROKEN_OFF, MOST_PIXELS, container_of, file_at, film_stream

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

#: longest clip [s]
MOST_SECONDS = 1800.0
#: most pictures of a file: half an hour at 240 a second
MOST_PICTURES = 432_000
#: what must be left of a clip that breaks off [s]
LEAST_LEFT = 1.0
#: how much longer a film may be declared than it is, as sound may end later [s, as played]
AT_THE_END = 0.5
#: how far before a moment decoding starts: more than decoders reorder pictures [s, as played]
RUN_UP = 1.0
#: first two columns and rows of a display matrix, per quarter turn clockwise
TURNS = {(1, 0, 0, 1): 0, (0, 1, -1, 0): 1, (-1, 0, 0, -1): 2, (0, -1, 1, 0): 3}


class Opened:
    """A film file that is open, has passed the checks, and whose time stamps are known."""

    def __init__(self, path: str | Path, *, slowed: float | None) -> None:
        if slowed is not None and not 0.01 <= slowed <= 100.0:
            raise BadInput("A clip can't be slowed by that; give a factor such as 4 or 8.")
        self._file = file_at(path)
        self._container: InputContainer | None = None
        try:
            self._survey(slowed)
        except BaseException:
            self.close()
            raise

    def __del__(self) -> None:
        # a reading that is left half way leaves no file open
        if hasattr(self, "_file"):
            self.close()

    def close(self) -> None:
        """Let go of the file."""
        if self._container is not None:
            self._container.close()
        self._file.close()

    def time_of(self, stamp: int) -> float:
        """Return the real time of a time stamp since the first picture [s]."""
        return (stamp - int(self.stamps[0])) * self._tick / self.slowed

    @property
    def times(self) -> Floats:
        """Real times of all pictures since the first [s], float64 [picture]."""
        times: Floats = (self.stamps - self.stamps[0]) * (self._tick / self.slowed)
        return times

    @property
    def rate(self) -> float:
        """Pictures a second of real time [1/s]."""
        return played_rate(self.times)

    def decoded(self, first: float) -> Iterator[av.VideoFrame | None]:
        """Yield frames from some time before a real time on [s]; None for each broken packet."""
        container, stream = self._afresh()
        start = int(self.stamps[0]) + int((first * self.slowed - RUN_UP) / self._tick)
        if start > self.stamps[0]:
            try:
                container.seek(start, stream=stream, backward=True)
            except (av.FFmpegError, ValueError):
                # no index to seek by: decoding from the beginning gets there too
                container, stream = self._afresh()
        for packet in container.demux(stream):
            try:
                yield from packet.decode()
            except EOFError:
                return
            except (av.FFmpegError, ValueError):
                yield None

    def _afresh(self) -> tuple[InputContainer, VideoStream]:
        if self._container is not None:
            self._container.close()
        self._file.seek(0)
        self._container = container_of(self._file)
        return self._container, film_stream(self._container)

    def _survey(self, slowed: float | None) -> None:
        """Read what the headers, the time stamps and the first picture say."""
        container, stream = self._afresh()
        #: sorted time stamps of the pictures that are shown, int64 [picture]
        self.stamps, broken_off = _stamps(container, stream)
        self._tick = float(stream.time_base or 0)
        #: how many times slower it plays than it was filmed
        self.slowed = 1.0
        stated = _stated_slowing({**container.metadata, **stream.metadata}, self.rate)
        #: True where the file, or the caller, says at which rate it was filmed
        self.rate_known = not (stated is None and slowed is None)
        self.slowed = float(slowed or stated or 1.0)
        #: such as "h264"
        self.codec = stream.codec_context.codec.canonical_name
        #: sentences about what the clip can't give
        self.notes = _checked(self.times, self.slowed, broken_off)
        shape = stream.sample_aspect_ratio
        self._set_upright(self._first_frame(), float(shape) if shape else 1.0)

    def _first_frame(self) -> av.VideoFrame:
        for frame in self.decoded(0.0):
            if frame is not None:
                return frame
        raise BadFilm("No picture of this film can be decoded; export it again as H.264 MP4.")

    def _set_upright(self, frame: av.VideoFrame, shape: float) -> None:
        self.turns, self.mirrored = _turned(frame)
        stored = (round(frame.width * shape), frame.height)
        if min(stored) < 16 or stored[0] * stored[1] > MOST_PIXELS:
            raise BadFilm("The film's pictures have a size that can't be; export it at 1080p.")
        #: of the upright picture, its pixels square [px]
        self.width, self.height = stored[::-1] if self.turns % 2 else stored
        if frame.interlaced_frame:
            self.notes += ("The clip is interlaced, so what moves is combed and misplaced; "
                           "film it as ordinary (progressive) video.",)  # fmt: skip


def played_rate(times: Floats) -> float:
    """Return how many pictures a second a file plays: one over the middle gap [1/s].

    Parameters
    ----------
    times
        As played, in order [s], float64 [picture], two or more.

    Notes
    -----
    The gaps near the middle one are averaged, since some containers round times to 1 ms.
    """
    gaps = np.diff(times)
    middle = float(np.median(gaps))
    return 1.0 / float(np.mean(gaps[np.abs(gaps - middle) <= 0.25 * middle]))


def _stamps(container: InputContainer, stream: VideoStream) -> tuple[Ints, bool]:
    """Return the sorted time stamps of the pictures shown, and whether the file breaks off."""
    stamps, packets, partial = [], 0, False
    try:
        for packet in container.demux(stream):
            packets += packet.size > 0
            partial = partial or packet.is_corrupt
            if packet.pts is not None and packet.size > 0 and not packet.is_discard:
                stamps.append(packet.pts)
            if packets > MOST_PICTURES:
                raise BadFilm(TOO_LONG)
    except (av.FFmpegError, ValueError):
        partial = True
    if len(set(stamps)) < 2:
        raise BadFilm("The film holds fewer than two pictures; film the whole shot.")
    kept = np.unique(np.array(stamps, dtype=np.int64))
    return kept, partial or _declared(container, stream) > _span(kept, stream) + AT_THE_END


def _span(stamps: Ints, stream: VideoStream) -> float:
    return float((stamps[-1] - stamps[0]) * (stream.time_base or 0))


def _declared(container: InputContainer, stream: VideoStream) -> float:
    """Return how long the headers say the film plays [s], 0 where they don't."""
    if stream.duration is not None:
        return float(stream.duration * (stream.time_base or 0))
    return (container.duration or 0) / av.time_base


TOO_LONG = "The film is longer than half an hour; cut it into shorter ones and try again."


def _stated_slowing(metadata: dict[str, str], played: float) -> float | None:
    """Return how many times slower it plays than the camera says it filmed; None if unsaid."""
    for key, text in metadata.items():
        if key.lower().endswith("capture.fps"):
            try:
                slowing = float(text) / played
            except ValueError:
                continue
            if math.isfinite(slowing) and 0.01 <= slowing <= 100.0:
                # rates are written as nominal: 240 for 239.76
                whole = max(round(slowing), 1)
                return float(whole) if abs(slowing / whole - 1.0) < 0.05 else slowing
    return None


def _checked(times: Floats, slowed: float, broken_off: bool) -> tuple[str, ...]:
    """Return notes about the times of a clip, or refuse it."""
    if times[-1] > MOST_SECONDS:
        raise BadFilm(TOO_LONG)
    notes = []
    if broken_off:
        if times[-1] * slowed < LEAST_LEFT:
            raise BadFilm(BROKEN_OFF)
        notes.append("The end of the file is missing or broken; what is there was read.")
    if slowed < 0.95:
        notes.append("The clip is speeded up, so flights can't be measured; film without that.")
    return (*notes, *_gap_notes(np.diff(times)))


def _gap_notes(gaps: Floats) -> list[str]:
    low, middle, high = np.percentile(gaps, [10, 50, 90])
    if high > 1.35 * low and high - low > 0.003:
        return [
            f"The camera changed its rate, from {1 / high:.0f} to {1 / low:.0f} pictures a "
            "second; the times in the file were used."
        ]
    lost = int(np.sum(np.rint(gaps / middle)[gaps > 1.6 * middle] - 1.0))
    if not lost:
        return []
    return [f"About {lost} pictures were never stored; shots at those moments are less sure."]


def _turned(frame: av.VideoFrame) -> tuple[int, bool]:
    """Return the quarter turns clockwise that set a frame upright, after mirroring if told."""
    for side in range(len(frame.side_data)):
        data = frame.side_data[side]  # type: ignore[literal-required]
        if data.type.name == "DISPLAYMATRIX":
            matrix = np.frombuffer(bytes(data), dtype=np.int32)
            a, b, c, d = (int(np.sign(round(float(m) / 65536.0))) for m in matrix[[0, 1, 3, 4]])
            mirrored = a * d - b * c < 0
            return TURNS.get((-a, -b, c, d) if mirrored else (a, b, c, d), 0), mirrored
    return 0, False
