"""The inner loops over whole pictures: the background, what differs from it, and where it peaks.

Pictures are uint8 [row, column, blue green red].
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from hoopwright.flight._compiled import compiled

Bytes = NDArray[np.uint8]


@compiled
def median(stack: Bytes) -> Bytes:
    """Median over the first axis."""
    count = len(stack)
    flat = stack.reshape(count, -1)
    out = np.empty(flat.shape[1], dtype=np.uint8)
    held = np.empty(count, dtype=np.uint8)
    for i in range(flat.shape[1]):
        for n in range(count):
            value, at = flat[n, i], n
            while at > 0 and held[at - 1] > value:
                held[at] = held[at - 1]
                at -= 1
            held[at] = value
        out[i] = held[count // 2]
    return out.reshape(stack.shape[1:])


@compiled
def stepped(ground: Bytes, image: Bytes, step: int) -> Bytes:
    """Return the background moved toward a picture by at most a step."""
    out = np.empty_like(ground)
    old, new, to = ground.reshape(-1), image.reshape(-1), out.reshape(-1)
    for i in range(len(old)):
        # of np.int32, since numba's int() of a byte has no sign
        change: Any = np.int32(new[i]) - np.int32(old[i])
        to[i] = np.uint8(np.int32(old[i]) + np.int32(min(max(change, -step), step)))
    return out


@compiled
def difference(
    small: Bytes,
    ground: Bytes,
    gain: float,
    noise: NDArray[np.int16],
    table: Bytes,
    out: Bytes,
) -> None:
    """Fill how far each pixel is off its background, over its own noise, which is kept up.

    A quarter of it counts whatever the colour, the rest by how like the ball the colour is.
    """
    scale = np.int32(round(gain * 256.0))
    for i in range(small.shape[0]):
        for j in range(small.shape[1]):
            most: Any = np.int32(0)
            for c in range(3):
                off: Any = (
                    abs(256 * np.int32(small[i, j, c]) - scale * np.int32(ground[i, j, c])) >> 4
                )
                most = max(most, off)
            # a running median of what is off: passers-by don't raise it
            usual: Any = np.int32(noise[i, j])
            if most * 5 > usual * 4:
                noise[i, j] = min(usual + 1, 1600)
            else:
                noise[i, j] = max(usual - 1, 24)
            if most * 16 <= 24 * usual:
                out[i, j] = 0
                continue
            over: Any = min(most * 16 // usual - 24, 255)
            like = np.int32(table[small[i, j, 0] >> 3, small[i, j, 1] >> 3, small[i, j, 2] >> 3])
            out[i, j] = over * (85 + like) // 340


@compiled
def peaks(response: Bytes, reach: int, least: int, out: NDArray[np.int64]) -> int:
    """Fill the places [peak, (row, column, response)] of the highest within a reach; how many."""
    found = 0
    for i in range(response.shape[0]):
        for j in range(response.shape[1]):
            here = response[i, j]
            if here < least or found >= len(out):
                continue
            top = True
            for m in range(max(0, i - reach), min(response.shape[0], i + reach + 1)):
                for n in range(max(0, j - reach), min(response.shape[1], j + reach + 1)):
                    other = response[m, n]
                    # of equals, the first one in reading order stands
                    if other > here or (other == here and (m < i or (m == i and n < j))):
                        top = False
                        break
                if not top:
                    break
            if top:
                out[found, 0], out[found, 1], out[found, 2] = i, j, here
                found += 1
    return found


@compiled
def apart(places: NDArray[np.float64], out: NDArray[np.int64]) -> int:
    """Fill which places [place, (x, y, radius, …)] don't lie in an earlier one of about its size.

    Returns how many, at most as many as ``out`` holds.
    """
    found = 0
    for i in range(len(places)):
        radius, free = places[i, 2], True
        for n in range(found):
            k = out[n]
            small, large = min(radius, places[k, 2]), max(radius, places[k, 2])
            away = (places[i, 0] - places[k, 0]) ** 2 + (places[i, 1] - places[k, 1]) ** 2
            if away < 0.36 * large * large and large < 1.8 * small:
                free = False
                break
        if free:
            out[found] = i
            found += 1
            if found == len(out):
                break
    return found
