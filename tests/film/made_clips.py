"""Tiny clips of a disc that moves a known way, for the tests of reading and writing film."""

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from pathlib import Path

import av
import cv2
import numpy as np
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]
WIDTH, HEIGHT = 320, 180
#: radius of the disc [px]
RADIUS = 9

#: encoder and its options, by the codec and the kind of file
KINDS = {
    "h264.mp4": ("libx264", {"bf": "3"}),
    "h264.mov": ("libx264", {"bf": "0"}),
    "hevc.mp4": ("libx265", {"x265-params": "log-level=none"}),
    "vp8.webm": ("libvpx", {"deadline": "realtime"}),
    "vp9.webm": ("libvpx-vp9", {"deadline": "realtime", "cpu-used": "8"}),
    "av1.mp4": ("libsvtav1", {"preset": "12", "svtav1-params": "lp=1"}),
    "mjpeg.avi": ("mjpeg", {"q:v": "3"}),
    "mpeg4.avi": ("mpeg4", {"bf": "0"}),
    "mpeg4.mp4": ("mpeg4", {"bf": "2"}),
}


def disc_at(frame: int) -> tuple[int, int]:
    """Where the disc is in a picture: it moves 3 px a picture [px]."""
    return 20 + 3 * frame % 280, 60


def disc_picture(frame: int, width: int = WIDTH, height: int = HEIGHT) -> Pixels:
    """A bright disc on a dark ground, which the noise of a camera makes differ every time."""
    rng = np.random.default_rng(frame)
    image = rng.integers(40, 50, (height, width, 3), dtype=np.uint8)
    cv2.circle(image, disc_at(frame), RADIUS, (60, 160, 250), -1)
    return image


def disc_seen(image: NDArray[np.uint8]) -> tuple[float, float]:
    """Middle of what is bright, (x, y) [px]."""
    bright = image.max(axis=-1) if image.ndim == 3 else image
    rows, columns = np.nonzero(bright > 110)
    return float(columns.mean()), float(rows.mean())


def make_clip(
    path: Path,
    *,
    frames: int = 45,
    codec: str = "libx264",
    times: Sequence[float] | None = None,
    draw: Callable[[int], Pixels] = disc_picture,
    turned: float = 0.0,
    mirrored: bool = False,
    metadata: Mapping[str, str] | None = None,
    container: str | None = None,
    options: Mapping[str, str] | None = None,
    movflags: str = "use_metadata_tags",
    sound: bool = False,
    colours: str | None = None,
) -> Path:
    """Write a clip; times are of each picture as played [s], 30 a second unless given."""
    moments = [i / 30 for i in range(frames)] if times is None else times
    flags = {"movflags": movflags} if path.suffix in (".mp4", ".mov") else {}
    with av.open(str(path), "w", format=container, options=flags) as out:
        out.metadata.update(metadata or {})
        first = draw(0)
        base = Fraction(1, 30) if times is None else Fraction(1, 90000)
        stream = out.add_stream(codec, rate=30, options=dict(options or {}))
        assert isinstance(stream, av.VideoStream)
        stream.width, stream.height = first.shape[1], first.shape[0]
        stream.pix_fmt = colours or ("yuvj420p" if codec == "mjpeg" else "yuv420p")
        stream.codec_context.time_base = base
        if turned or mirrored:
            stream.set_display_rotation(turned, hflip=mirrored)
        voice = out.add_stream("aac", rate=8000) if sound else None
        for number, moment in enumerate(moments):
            frame = av.VideoFrame.from_ndarray(draw(number), format="bgr24")
            frame.pts, frame.time_base = round(moment / base), base
            out.mux(stream.encode(frame))
        out.mux(stream.encode())
        if voice is not None:
            _hum(out, voice)
    return path


def _hum(out: av.container.OutputContainer, voice: av.AudioStream) -> None:
    wave = np.sin(np.arange(8000) * 0.3).astype(np.float32)[None]
    frame = av.AudioFrame.from_ndarray(wave, format="fltp", layout="mono")
    frame.rate, frame.pts = 8000, 0
    out.mux(voice.encode(frame))
    out.mux(voice.encode())


def make_sound(path: Path) -> Path:
    """Write a file with sound and no picture."""
    with av.open(str(path), "w", format="mp4") as out:
        _hum(out, out.add_stream("aac", rate=8000))
    return path


def make_mixed(path: Path, images: Sequence[Pixels]) -> Path:
    """Write JPEG pictures of any sizes one after another, 30 a second, whatever the header says."""
    with av.open(str(path), "w") as out:
        stream = out.add_stream("mjpeg", rate=30)
        assert isinstance(stream, av.VideoStream)
        stream.height, stream.width = images[0].shape[:2]
        stream.pix_fmt = "yuvj420p"
        out.start_encoding()
        for number, image in enumerate(images):
            packet = av.Packet(cv2.imencode(".jpg", image)[1].tobytes())
            packet.stream, packet.time_base = stream, Fraction(1, 30)
            packet.pts = packet.dts = number
            packet.is_keyframe = True
            out.mux(packet)
    return path


def has_encoder(name: str) -> bool:
    try:
        av.codec.Codec(name, "w")
    except av.FFmpegError:
        return False
    return True
