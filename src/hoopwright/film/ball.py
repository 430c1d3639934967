"""Ball-like places of every picture of a clip.

``find`` is the way in: what differs from the still background, and has the ball's size and about
its colour, is looked at closely at full size, where a disc that moves evenly over the exposure is
fitted to it. Nothing is decided here: heads, a second ball and the real one all stay, with a score.
"""

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from itertools import chain
from typing import Protocol

import cv2
import numpy as np
from numpy.typing import NDArray

from hoopwright.court.equipment import Ball
from hoopwright.errors import BadInput
from hoopwright.film import _background_kernel, ball_colour
from hoopwright.film import _ball_kernel as kernel
from hoopwright.film.background import Background
from hoopwright.film.ball_size import BallSize
from hoopwright.film.camera import Camera
from hoopwright.film.results import Candidates

Bytes = NDArray[np.uint8]
Floats = NDArray[np.float64]

#: most candidates kept of one picture, and most places looked at closely
_KEPT, _LOOKED_AT = 12, 14
#: radius at which a size is looked for, after reducing [px]; least response that counts
_SEARCH_RADIUS, _LEAST_RESPONSE = 4.0, 22
#: pictures held for the first background: [bytes] of them, least and most
_HELD_BYTES, _HELD_LEAST, _HELD_MOST = 64_000_000, 9, 45
#: the colour is learnt anew after this many pictures
_LEARN_EVERY = 64
#: pictures on their way at once; how often progress is told [picture]
_IN_HAND, _TELL_EVERY = 6, 15
#: pictures read before they are asked for: reading, comparing and fitting go on side by side
_READ_AHEAD = 3
#: noise of neighbouring pixels goes together (codec, seams): errors of the fit times this
_TOGETHER = 2.0
#: what no fit betters: middle and radius [px]; and of the radius, for seams and shading
_MIDDLE_FLOOR, _RADIUS_FLOOR, _SKIN = 0.06, 0.15, 0.006
#: candidates worse than this are dropped
_LEAST_SCORE = 0.05


class Picture(Protocol):
    """One picture of a clip."""

    @property
    def frame(self) -> int:
        """Its number."""

    @property
    def time(self) -> float:
        """When it was taken [s]."""

    @property
    def image(self) -> Bytes:
        """BGR, upright, uint8 [height, width, 3]."""


def find(
    pictures: Iterable[Picture],
    *,
    camera: Camera | None,
    ball: Ball,
    colour: tuple[float, float, float] | None = None,
    readout: float | None = None,
    progress: Callable[[int], None] | None = None,
) -> Candidates:
    """Return the ball-like places of every picture.

    Parameters
    ----------
    pictures
        In order of time, all of one size; read once, a few held at a time.
    camera
        Of the same picture size; None where the scene isn't known, then any size is allowed.
    ball
        Its size.
    colour
        Of the ball, (blue, green, red) of 255, where someone marked it; else it is learnt.
    readout
        Time from the first row of a picture to its last, where the phone's is known [s]. Then a
        candidate's time is that of its own row, a picture's time holding for its middle row; else
        it is the picture's time.
    progress
        Told the number of pictures done, now and then.

    Returns
    -------
    Candidates
        At most 12 rows a picture, by time.

    Raises
    ------
    BadInput
        The pictures differ in size, or are not of the camera's size.
    """
    marked = None if colour is None else np.asarray(colour, dtype=np.float64)
    flow, start = iter(pictures), []
    for picture in flow:
        start.append(picture)
        held = np.clip(_HELD_BYTES // picture.image.nbytes, _HELD_LEAST, _HELD_MOST)
        if len(start) >= held:
            break
    if not start:
        return _gather([], [], [], colour=marked, readout=None, height=1)
    finder = _Finder(start, camera=camera, ball=ball, colour=marked)
    frames, times, found = [], [], []
    for (frame, time), fields in finder.run(chain(start, flow)):
        frames.append(frame)
        times.append(time)
        found.append(fields)
        if progress is not None and len(frames) % _TELL_EVERY == 0:
            progress(len(frames))
    return _gather(frames, times, found, colour=marked, readout=readout, height=finder.height)


class _Finder:
    """The state that goes from picture to picture: background, colour, sizes."""

    def __init__(
        self, start: list[Picture], *, camera: Camera | None, ball: Ball, colour: Floats | None
    ) -> None:
        self.height, self.width = start[0].image.shape[:2]
        if camera is not None and (camera.width, camera.height) != (self.width, self.height):
            raise BadInput(
                f"The scene is for {camera.width} × {camera.height} pixels but the clip has "
                f"{self.width} × {self.height}; choose the scene that was marked on this clip."
            )
        times = np.array([p.time for p in start])
        gap = float(np.median(np.diff(times))) if len(times) > 1 else 1.0 / 30.0
        for picture in start:
            self._check(picture)
        spread = np.linspace(0, len(start) - 1, min(len(start), 9)).astype(int)
        rate = 1.0 / max(gap, 1e-3)
        self.background = Background([start[i].image for i in spread], rate=rate)
        self.size = BallSize(self.width, self.height, camera=camera, ball=ball)
        self._ladder = self.size.ladder()
        self._marked, self._table = colour, ball_colour.table(colour)
        self._learnt_from: deque[Floats] = deque(maxlen=400)

    def run(self, pictures: Iterable[Picture]) -> Iterator[tuple[tuple[int, float], Floats]]:
        """Yield (frame, time) and the fitted discs of each picture [place, FIELDS]."""
        waiting: deque[tuple[tuple[int, float], Future[Floats]]] = deque()
        with ThreadPoolExecutor(1) as reading, ThreadPoolExecutor(2) as fitting:
            for number, picture in enumerate(_ahead(reading, iter(pictures))):
                self._check(picture)
                future = self._submit(fitting, picture.image)
                waiting.append(((picture.frame, picture.time), future))
                if number % _LEARN_EVERY == _LEARN_EVERY - 1:
                    self._learn()
                if len(waiting) >= _IN_HAND:
                    yield self._done(*waiting.popleft())
            while waiting:
                yield self._done(*waiting.popleft())

    def _check(self, picture: Picture) -> None:
        if picture.image.shape != (self.height, self.width, 3):
            raise BadInput("The clip changes its picture size on the way; export it again as one.")

    def _done(
        self, when: tuple[int, float], future: "Future[Floats]"
    ) -> tuple[tuple[int, float], Floats]:
        fields = future.result()
        self._learnt_from.append(fields)
        return when, fields

    def _learn(self) -> None:
        """Let the search follow the colour that moving discs of this clip have."""
        if self._marked is not None or not self._learnt_from:
            return
        fields = np.concatenate(list(self._learnt_from))
        learnt = ball_colour.learn(_colour_of(fields), _roundness(fields) ** 3)
        if learnt is not None:
            self._table = ball_colour.table(learnt)

    def _submit(self, pool: ThreadPoolExecutor, image: Bytes) -> "Future[Floats]":
        """Compare in this thread, since each picture needs the one before; fit in another."""
        ground = self.background.picture
        off, gain = self.background.compare(image, self._table)
        starts = self._starts(off)
        noise = _noise(image, ground, gain)
        return pool.submit(self._fit, image, ground, gain, noise, starts)

    def _starts(self, off: Bytes) -> Floats:
        """Return where balls of any allowed size may be, best first, float64 [place, 3]."""
        found, level, scale = [np.empty((0, 4))], off, 1.0 / self.background.factor
        for radius in self._ladder:
            wanted = min(scale, _SEARCH_RADIUS / radius)
            if wanted < scale:
                level, scale = _reduced(level, wanted / scale), wanted
            found.append(_peaks(level, scale, radius))
        every = np.concatenate(found)
        low, high = self.size.at(every[:, :2])
        every = every[(every[:, 2] > 0.6 * low) & (every[:, 2] < 1.6 * high)]
        best = np.argsort(-every[:, 3], kind="stable")
        return _apart(every[best], _LOOKED_AT)[:, :3]

    def _fit(
        self, image: Bytes, ground: Bytes, gain: float, noise: float, starts: Floats
    ) -> Floats:
        low, high = self.size.at(starts[:, :2])
        out = np.empty((len(starts), kernel.FIELDS))
        kernel.fit(image, ground, gain, noise, np.ascontiguousarray(starts), low, high, out)
        out = out[np.isfinite(out[:, kernel.X])]
        out = out[np.argsort(-_roundness(out), kind="stable")]
        return _apart(out[_roundness(out) > _LEAST_SCORE], _KEPT)


def _ahead(pool: ThreadPoolExecutor, pictures: Iterator[Picture]) -> Iterator[Picture]:
    """Yield pictures that a thread of one reads a little ahead."""
    waiting = deque(pool.submit(next, pictures, None) for _ in range(_READ_AHEAD))
    while (picture := waiting.popleft().result()) is not None:
        waiting.append(pool.submit(next, pictures, None))
        yield picture


def _reduced(level: Bytes, times: float) -> Bytes:
    smaller = cv2.resize(level, None, fx=times, fy=times, interpolation=cv2.INTER_LINEAR)
    return np.asarray(smaller, dtype=np.uint8)


def _peaks(level: Bytes, scale: float, radius: float) -> Floats:
    """Return places [place, (x, y, radius, response)] that stand out from a ring around them."""
    here = radius * scale
    narrow = 2 * int(np.ceil(0.9 * here)) + 1
    middle = cv2.GaussianBlur(level, (narrow, narrow), 0.45 * here)
    # a plain mean is as good around it, and quick at any width
    wide = 2 * round(1.7 * here) + 1
    around = cv2.blur(level, (wide, wide))
    response = np.asarray(cv2.subtract(middle, around), dtype=np.uint8)
    out = np.empty((200, 3), dtype=np.int64)
    many = _background_kernel.peaks(response, max(1, int(0.7 * here)), _LEAST_RESPONSE, out)
    y, x = ((out[:many, i] + 0.5) / scale - 0.5 for i in (0, 1))
    return np.column_stack([x, y, np.full(many, radius), out[:many, 2]])


def _apart(places: Floats, most: int) -> Floats:
    """Drop places that lie in a better one of about the same size; the best comes first."""
    kept = np.empty(most, dtype=np.int64)
    return places[kept[: _background_kernel.apart(places, kept)]]


def _noise(image: Bytes, ground: Bytes, gain: float) -> float:
    """Return the noise of one pixel [grey level], from how far still places are off."""
    off = image[5::23, 5::23].astype(np.float32) - gain * ground[5::23, 5::23].astype(np.float32)
    return max(1.5, float(np.median(np.abs(off))) / 0.6745)


def _roundness(fields: Floats) -> Floats:
    """Return how well each is a disc that stands out, 0 to 1, whatever its colour."""
    explained = np.clip((fields[:, kernel.EXPLAINED] - 0.25) / 0.65, 0.0, 1.0)
    contrast = fields[:, kernel.CONTRAST]
    out: Floats = explained * contrast / (contrast + 2.0)
    return out


def _colour_of(fields: Floats) -> Floats:
    return fields[:, [kernel.BLUE, kernel.GREEN, kernel.RED]]


def _gather(
    frames: list[int],
    times: list[float],
    found: list[Floats],
    *,
    colour: Floats | None,
    readout: float | None,
    height: int,
) -> Candidates:
    """Put all pictures' discs together and score them by the colour that was learnt."""
    many = [len(f) for f in found]
    fields = np.concatenate([np.empty((0, kernel.FIELDS)), *found])
    roundness = _roundness(fields)
    if colour is None:
        colour = ball_colour.learn(_colour_of(fields), roundness**3)
    middle = fields[:, [kernel.X, kernel.Y]]
    time = np.repeat(np.asarray(times, dtype=np.float64), many)
    if readout is not None:
        time = time + readout * ((middle[:, 1] + 0.5) / height - 0.5)
    variance = 0.5 * (fields[:, kernel.X_VAR] + fields[:, kernel.Y_VAR])
    floor = np.hypot(_MIDDLE_FLOOR, _SKIN * fields[:, kernel.RADIUS])
    return Candidates(
        frame=np.repeat(np.asarray(frames, dtype=np.int64), many),
        time=time,
        middle=middle,
        middle_sd=np.hypot(_TOGETHER * np.sqrt(variance), floor),
        radius=fields[:, kernel.RADIUS].copy(),
        radius_sd=np.hypot(_TOGETHER * np.sqrt(fields[:, kernel.RADIUS_VAR]), _RADIUS_FLOOR),
        streak=fields[:, [kernel.STREAK_X, kernel.STREAK_Y]],
        score=roundness * ball_colour.likeness(_colour_of(fields), colour),
    )
