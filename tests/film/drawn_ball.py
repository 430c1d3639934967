"""Tiny drawn pictures of a moving disc whose place, size and streak are known exactly."""

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Bytes = NDArray[np.uint8]
Floats = NDArray[np.float64]

#: skin of an ordinary ball and dark seams, blue green red (invented)
ORANGE = np.array([58.0, 112.0, 214.0])


@dataclass(frozen=True)
class Shown:
    """One picture, as the reader of a clip hands it on."""

    frame: int
    time: float
    image: Bytes


def wall(rng: np.random.Generator, *, width: int = 320, height: int = 180) -> Floats:
    """Draw a still background with soft texture and some edges."""
    coarse = rng.uniform(90.0, 190.0, (height // 12, width // 12, 3)).astype(np.float32)
    picture = cv2.resize(coarse, (width, height), interpolation=cv2.INTER_CUBIC)
    cv2.rectangle(picture, (40, 20), (110, 140), (70.0, 130.0, 60.0), -1)
    cv2.line(picture, (200, 0), (230, 179), (220.0, 220.0, 220.0), 3)
    return np.asarray(picture, dtype=np.float64)


def coverage(
    shape: tuple[int, int], middle: Floats, radius: float, streak: Floats, *, fine: int = 4
) -> Floats:
    """Return each pixel's share covered over the exposure, by sampling pixel and time finely."""
    steps = (np.arange(fine) + 0.5) / fine - 0.5
    moments = np.linspace(-1.0, 1.0, 1 if not np.any(streak) else 15)
    out, reach = np.zeros(shape), radius + float(np.hypot(*streak)) + 2.0
    low = np.maximum((middle - reach).astype(int), 0)
    high = np.minimum((middle + reach).astype(int) + 1, shape[::-1])
    y, x = np.mgrid[low[1] : high[1], low[0] : high[0]].astype(np.float64)
    total = np.zeros(x.shape)
    for t in moments:
        cx, cy = middle + t * streak
        for dy in steps:
            for dx in steps:
                total += (x + dx - cx) ** 2 + (y + dy - cy) ** 2 <= radius**2
    out[low[1] : high[1], low[0] : high[0]] = total / (fine * fine * len(moments))
    return out


def put(
    picture: Floats, middle: Floats, radius: float, *,
    streak: Floats | None = None, colour: Floats = ORANGE, shade: float = 0.35,
) -> Floats:  # fmt: skip
    """Draw a disc, lit from above, into a picture."""
    moved = np.zeros(2) if streak is None else streak
    a = coverage(picture.shape[:2], middle, radius, moved)[..., None]
    down = (np.arange(picture.shape[0])[:, None, None] - middle[1]) / radius
    skin = colour * (1.0 - shade * np.clip(down, -1.0, 1.0) * 0.5)
    return np.asarray(picture * (1.0 - a) + skin * a)


def exposed(picture: Floats, rng: np.random.Generator, *, noise: float = 2.5) -> Bytes:
    """Blur a little as a lens does, add noise, and round to bytes."""
    soft = cv2.GaussianBlur(picture, (0, 0), 0.6)
    return np.clip(soft + rng.normal(0.0, noise, picture.shape), 0, 255).astype(np.uint8)


def crossing(
    rng: np.random.Generator, *, many: int = 30, radius: float = 8.0,
    step: tuple[float, float] = (6.0, -2.0), streak: float = 0.0, rate: float = 30.0,
    flicker: float = 0.0, colour: Floats = ORANGE,
) -> tuple[list[Shown], Floats]:  # fmt: skip
    """Draw a ball crossing the picture; its middles, float64 [picture, 2].

    ``streak`` is the half streak over the step between two pictures.
    """
    still = wall(rng)
    middles = np.array([40.3, 150.2]) + np.outer(np.arange(many), step) * 1.0
    middles += rng.uniform(-0.5, 0.5, middles.shape)
    shown = []
    for i, middle in enumerate(middles):
        picture = put(still, middle, radius, streak=streak * np.array(step), colour=colour)
        light = 1.0 + flicker * np.sin(2.1 * i)
        shown.append(Shown(i, i / rate, exposed(picture * light, rng)))
    return shown, middles


def nothing(rng: np.random.Generator, many: int) -> Iterator[Shown]:
    """Draw pictures in which nothing moves."""
    still = wall(rng)
    for i in range(many):
        yield Shown(i, i / 30.0, exposed(still, rng))
