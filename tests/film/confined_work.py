"""What the tests let run in a process of its own; found there by the name ``confined_work``."""

import ctypes
import os
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from hoopwright.errors import BadFilm, BadInput, BadTable, RowTrouble
from hoopwright.film.confined import run_confined
from hoopwright.film.video import look, read


def twice(value: int) -> int:
    return 2 * value


def my_process() -> tuple[int, int]:
    return os.getpid(), os.getppid()


def eat_memory() -> int:
    """Ask for 40 GB in pieces of 400 MB, none of it touched."""
    return sum(piece.size for piece in [np.empty(50_000_000) for _ in range(100)])


def for_ever() -> None:
    while True:
        pass


def sleep_for_ever() -> None:
    time.sleep(1e6)


def read_nothing() -> int:
    return ctypes.c_int.from_address(0).value


def leave() -> None:
    sys.exit("bye")


def leave_at_once() -> None:
    os._exit(0)


def kill_itself() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def print_a_lot() -> str:
    sys.stdout.write("x" * 100_000)
    os.write(1, b"garbage")
    return "kept apart"


def bad_input() -> None:
    raise BadInput("That can't be; choose another.", field="film")


def bad_table() -> None:
    raise BadTable("Bad.", rows=[RowTrouble(row=3, column=None, message="No.")])


def wrong() -> None:
    raise ZeroDivisionError("a mistake of ours")


class Odd(Exception):
    """An error that can't be built again from its arguments."""

    def __init__(self, one: int, two: int) -> None:
        super().__init__("odd")


def oddly_wrong() -> None:
    raise Odd(1, 2)


def lambda_back() -> Callable[[], int]:
    return lambda: 1


def count(steps: int, *, progress: Callable[[float, str], None]) -> int:
    for step in range(steps):
        progress(step / steps, "counting")
    progress(1.0, "counted")
    return steps


def count_for_ever(*, progress: Callable[[float, str], None]) -> None:
    while True:
        progress(0.5, "counting")


def film_length(path: Path) -> tuple[int, int]:
    return look(path).frames, sum(1 for _ in read(path))


def _most_memory() -> int:
    """Most memory this process ever had [kB]; in ``ru_maxrss`` the parent's may be counted."""
    status = Path("/proc/self/status").read_text()
    return int(status.split("VmHWM:")[1].split()[0])


def growth_in_reading(path: Path, warm_up: float) -> tuple[int, int, int]:
    """How many pictures came, were left out, and what they took beyond a first stretch [kB]."""
    for _ in read(path, last=warm_up):
        pass
    before = _most_memory()
    pictures = read(path)
    return sum(1 for _ in pictures), pictures.skipped, _most_memory() - before


def growth_in_refusing(path: Path) -> tuple[str, int]:
    """Why a film was refused, and the memory that took [kB]."""
    before = _most_memory()
    try:
        look(path)
    except BadFilm as refused:
        return refused.message, _most_memory() - before
    return "", 0


def tell_and_hang(note: Path) -> None:
    note.write_text(f"{os.getpid()}")
    for_ever()


def confined_in_turn(value: int) -> int:
    return run_confined(twice, value)
