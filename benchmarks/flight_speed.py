"""Shots per second, flight and ring and board: ours, MuJoCo's and plain SciPy's, in one run."""

import importlib.util
import math
import os
import sys
import time
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import numpy as np
from mujoco_scene import hoop_model, shots_made
from numpy.typing import NDArray

from hoopwright.court.standards import ball, rule_book
from hoopwright.flight.air import STANDARD_AIR
from hoopwright.flight.contact import Contact
from hoopwright.flight.ring import Shots, is_make, shoot

BALL, RING, BOARD = ball(7), rule_book("fiba").ring, rule_book("fiba").board
CONTACT = Contact()
#: free throws from 2.10 m: floor distance and rise [m]
DISTANCE, RISE = 4.225, 0.95
OURS, MUJOCO, SCIPY = 1_000_000, 300, 200

Floats = NDArray[np.float64]


def plain_contact() -> ModuleType:
    """The independent implementation that the tests hold ours to."""
    path = Path(__file__).parents[1] / "tests" / "flight" / "plain_contact.py"
    spec = importlib.util.spec_from_file_location("plain_contact", path)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["plain_contact"] = module
    spec.loader.exec_module(module)
    return module


def releases(count: int) -> Floats:
    """Speed, angle, direction [3, shot] of a shooter who makes about seven in ten."""
    z = np.random.default_rng(1).standard_normal((count, 3))
    middle, spread = (7.46, math.radians(52.0), 0.0), (0.1, math.radians(1.3), math.radians(0.8))
    return np.asarray((middle + z * spread).T)


def ours(count: int, threads: int) -> Shots:
    return shoot(
        *releases(count), distance=DISTANCE, rise=RISE, ball=BALL, ring=RING, board=BOARD,
        threads=threads,
    )  # fmt: skip


def best_rates(run: Callable[[], object], count: int, tries: int = 3) -> tuple[float, float]:
    """Shots per second in the quickest of some tries, and per second of processor time."""
    took, used = [], []
    for _ in range(tries):
        start, start_used = time.perf_counter(), time.process_time()
        run()
        took.append(time.perf_counter() - start)
        used.append(time.process_time() - start_used)
    return count / min(took), count / min(used)


def by_mujoco(threads: int) -> tuple[float, NDArray[np.bool_]]:
    speed, angle, aside = releases(MUJOCO)
    level = speed * np.cos(angle)
    starts = np.zeros((MUJOCO, 9))
    starts[:, 1], starts[:, 2] = -DISTANCE, RING.height - RISE
    starts[:, 3], starts[:, 4] = level * np.sin(aside), level * np.cos(aside)
    starts[:, 5], starts[:, 6] = speed * np.sin(angle), CONTACT.spin * np.cos(aside)
    starts[:, 7] = -CONTACT.spin * np.sin(aside)
    model = hoop_model(BALL, RING, BOARD)
    begin = time.perf_counter()
    made = shots_made(model, starts, ball=BALL, ring=RING, threads=threads)
    return MUJOCO / (time.perf_counter() - begin), made


def by_scipy() -> tuple[float, NDArray[np.bool_]]:
    plain = plain_contact()
    scene = plain.Scene(
        BALL.radius, BALL.mass, STANDARD_AIR.density, STANDARD_AIR.drag_coefficient,
        STANDARD_AIR.lift_slope, STANDARD_AIR.gravity, RING.radius, RING.rod_radius,
        BOARD.setback, 0.5 * BOARD.width, BOARD.lower_edge - RING.height,
        BOARD.lower_edge + BOARD.height - RING.height,
    )  # fmt: skip
    law = plain.Law(CONTACT.ring_restitution, CONTACT.board_restitution, CONTACT.friction)
    made = np.zeros(SCIPY, dtype=bool)
    begin = time.perf_counter()
    for i, (speed, angle, aside) in enumerate(zip(*releases(SCIPY), strict=True)):
        level, s, c = speed * math.cos(angle), math.sin(aside), math.cos(aside)
        spin = np.array([CONTACT.spin * c, -CONTACT.spin * s, 0.0])
        there = plain.fly(
            np.array([level * s, level * c, speed * math.sin(angle)]), spin, RISE, scene
        )
        if there is not None:
            there[1], there[2] = there[1] - DISTANCE, 0.0
            made[i] = plain.play(there, spin, scene, law).made
    return SCIPY / (time.perf_counter() - begin), made


def main() -> None:
    cores = len(os.sched_getaffinity(0))
    start = time.perf_counter()
    ours(10, 1)
    print(f"first call, compiling or read from disk: {time.perf_counter() - start:.1f} s")
    made = is_make(ours(OURS, cores).outcome)
    print(f"ours: {OURS:,} free throws, {made.mean():.1%} in")
    rates = {}
    for threads in sorted({1, cores}):
        rates[threads], each = best_rates(lambda n=threads: ours(OURS, n), OURS)
        print(f"  {threads} thread(s): {rates[threads]:9,.0f} shots/s ({each:,.0f} per CPU second)")
    for threads in rates:
        rate, theirs = by_mujoco(threads)
        print(
            f"MuJoCo, {threads} thread(s): {rate:8,.0f} shots/s; ours {rates[threads] / rate:,.0f} "
            f"times as fast; same make or miss on {np.mean(theirs == made[:MUJOCO]):.0%}"
        )
    rate, theirs = by_scipy()
    print(
        f"plain SciPy events, 1 thread: {rate:8,.0f} shots/s; ours {rates[1] / rate:,.0f} "
        f"times as fast; same make or miss on {np.mean(theirs == made[:SCIPY]):.1%}"
    )
    print(
        f"target 300,000 shots/s on 2 cores and 100 times MuJoCo; measured {rates[cores]:,.0f} "
        f"on {cores} (other work on the machine lowers it; processor time does not)"
    )


if __name__ == "__main__":
    main()
