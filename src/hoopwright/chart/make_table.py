"""Chance of a make against where and how steeply the ball comes to the ring.

The table is the ring-and-board physics, averaged over what a chart can't know (spin, friction,
board), and kept apart by what it can learn of or must carry along (the ring's restitution). It
ships with the package; ``python -m hoopwright.chart.make_table`` works it out again, and a test
compares a part of the shipped one with fresh physics.
"""

import functools
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib import resources
from itertools import product
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.stats import qmc

from hoopwright.court.standards import ball, rule_book
from hoopwright.errors import UnknownName
from hoopwright.flight.contact import RANGES
from hoopwright.flight.ring import is_make, play
from hoopwright.units import turns_per_second

Floats = NDArray[np.float64]

#: ball sizes tabulated
BALL_SIZES = (3, 5, 6, 7)
#: shooter's bearing from straight in front of the board [rad]
BEARINGS = np.radians([0.0, 22.5, 45.0, 67.5, 90.0])
#: ball speed at the ring plane, of a shot over ring centre [m/s]
SPEEDS = np.arange(4.0, 8.51, 0.5)
#: how much faster a shot is that crosses further along [m/s per m]; 0.7 to 0.8 from the line to
#: the three-point arc by the flight equations
FASTER_ALONG = 0.75
#: entry angle [rad]
ENTRIES = np.radians(np.arange(25.0, 66.0, 5.0))
#: restitution of ball on ring
RINGS = np.array([0.48, 0.585, 0.69])
#: cell centres along and across [m]; short of, or wide of, these nothing goes in
ALONG: Floats = 0.025 * np.arange(-18.0, 49.0)
ACROSS: Floats = 0.025 * np.arange(-14.0, 15.0)
#: backspin spread over, wider than good free throws' 2–3 rev/s [rad/s]; common practice, no source
SPINS = (turns_per_second(1.0), turns_per_second(3.0))
#: shots in each cell
SHOTS = 24
_NAME = "make_table.npz"


@dataclass(frozen=True, slots=True, kw_only=True)
class MakeTable:
    """Chances of a make for one ball."""

    #: float32 [bearing, speed, entry, ring, along, across]
    chances: NDArray[np.float32]

    def slices(self, bearing: float, speeds: Floats) -> NDArray[np.float32]:
        """Return chances at one bearing and one ball speed per entry angle.

        Parameters
        ----------
        bearing
            Of the shooter, + right of the ring [rad]; beyond 90° read as 90°.
        speeds
            Ball speed at the ring plane, float64 [entry] [m/s].

        Returns
        -------
        ndarray
            float32 [entry, ring, along, across].
        """
        low, share = _place(BEARINGS, np.array([min(abs(bearing), float(BEARINGS[-1]))]))
        near = self.chances[low[0]] * (1 - share[0]) + self.chances[low[0] + 1] * share[0]
        at, part = _place(SPEEDS, np.clip(speeds, SPEEDS[0], SPEEDS[-1]))
        rows = np.arange(len(speeds))
        part = part[:, None, None, None]
        out = near[at, rows] * (1 - part) + near[at + 1, rows] * part
        # a shooter on the left sees the mirror image
        out = out[..., ::-1] if bearing < 0 else out
        return np.ascontiguousarray(out, np.float32)


def _place(nodes: Floats, x: Floats) -> tuple[NDArray[np.int64], NDArray[np.float32]]:
    low = np.clip(np.searchsorted(nodes, x, side="right") - 1, 0, len(nodes) - 2)
    return low, ((x - nodes[low]) / (nodes[low + 1] - nodes[low])).astype(np.float32)


@functools.cache
def make_table(ball_size: int) -> MakeTable:
    """Return the shipped table of a ball.

    Raises
    ------
    UnknownName
        No table for that ball size.
    """
    if ball_size not in BALL_SIZES:
        known = ", ".join(str(s) for s in BALL_SIZES)
        raise UnknownName(f"There is no ball of size {ball_size}; use one of {known}.")
    with (
        resources.files("hoopwright.chart").joinpath(_NAME).open("rb") as file,
        np.load(file) as kept,
    ):
        makes = kept[f"size{ball_size}"]
    chances = makes.astype(np.float32) / SHOTS
    return MakeTable(chances=chances)


def count_makes(ball_size: int, bearing: float, speed: float, *, seed: int) -> NDArray[np.uint8]:
    """Count makes in each cell, out of ``SHOTS``: uint8 [entry, ring, along, across].

    Spin, friction and the board are spread over their stated ranges within each cell, crossing,
    entry angle and speed over the cell, by low-discrepancy points shifted at random from cell to
    cell: what a bounce does changes fast with speed, and no player repeats one that closely.
    """
    rng = np.random.default_rng(seed)
    cells = np.array(list(product(ENTRIES, RINGS, ALONG, ACROSS)))
    points = qmc.Sobol(7, rng=rng).random(32)[:SHOTS]
    out = np.zeros(len(cells), np.uint8)
    for part in np.array_split(np.arange(len(cells)), max(1, len(cells) // 4096)):
        cube = (points[None] + rng.random((len(part), 1, 7))) % 1.0
        made = _made(ball_size, bearing, speed, cells=cells[part], cube=cube)
        out[part] = made.sum(axis=1)
    return out.reshape(len(ENTRIES), len(RINGS), len(ALONG), len(ACROSS))


def _made(
    ball_size: int, bearing: float, speed: float, *, cells: Floats, cube: Floats
) -> NDArray[np.bool_]:
    entry, ring, along, across = (cells[:, i, None] for i in range(4))
    ranges = np.array([RANGES["board_restitution"], RANGES["friction"], SPINS])
    board, friction, spin = np.moveaxis(
        ranges[:, 0] + cube[..., :3] * (ranges[:, 1] - ranges[:, 0]), -1, 0
    )
    aside = cube[..., 3:] - 0.5
    outcome = play(
        along + aside[..., 0] * (ALONG[1] - ALONG[0]),
        across + aside[..., 1] * (ACROSS[1] - ACROSS[0]),
        entry + aside[..., 2] * (ENTRIES[1] - ENTRIES[0]),
        speed + FASTER_ALONG * along + aside[..., 3] * (SPEEDS[1] - SPEEDS[0]),
        bearing=bearing,
        spin=spin,
        ring_restitution=ring,
        board_restitution=board,
        friction=friction,
        ball=ball(ball_size),
        ring=rule_book("fiba").ring,
        board=rule_book("fiba").board,
    )
    return np.asarray(is_make(outcome), np.bool_)


def all_tables(done: Callable[[str], None]) -> Iterator[tuple[str, NDArray[np.uint8]]]:
    """Work out every ball's table; ``done`` is told of each part."""
    for size in BALL_SIZES:
        rows = []
        for i, bearing in enumerate(BEARINGS):
            parts = [
                count_makes(size, float(bearing), float(s), seed=1000 * size + 10 * i + j)
                for j, s in enumerate(SPEEDS)
            ]
            done(f"ball {size}, bearing {i + 1} of {len(BEARINGS)}")
            rows.append(np.stack(parts))
        yield f"size{size}", np.stack(rows)


def _say(what: str) -> None:
    sys.stderr.write(what + "\n")


if __name__ == "__main__":
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).with_name(_NAME)
    np.savez_compressed(target, allow_pickle=False, **dict(all_tables(_say)))
