"""How kernels are compiled: without the interpreter lock, kept on disk where a folder allows it."""

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar, cast

import numpy as np
from numba import njit
from numpy.typing import ArrayLike, NDArray

Function = TypeVar("Function", bound=Callable[..., object])
Floats = NDArray[np.float64]
Outcomes = NDArray[np.int8]

#: fewest shots worth a second thread
_THREAD_FROM = 4096
#: shots handed to a thread at a time; small enough that no thread is left waiting for another
_CHUNK = 16384


def compiled(function: Function) -> Function:
    """Compile a kernel on first call, and keep the result on disk where that is possible.

    numba refuses to decorate a function it finds no writable folder for, so a read-only
    installation falls back to compiling once in each process.
    """
    contract = {"contract"}
    try:
        fast = njit(cache=True, nogil=True, error_model="numpy", fastmath=contract)(function)
    except RuntimeError:
        fast = njit(nogil=True, error_model="numpy", fastmath=contract)(function)
    return cast(Function, fast)


def columns(*values: ArrayLike) -> tuple[tuple[Floats, ...], tuple[int, ...]]:
    """Broadcast values and return each as a flat array of all elements, or of one.

    Returns
    -------
    tuple
        The flat float64 arrays (length 1 where a value was a single number, so that nothing is
        copied a million times), and the broadcast shape.
    """
    arrays = [np.asarray(v, dtype=np.float64) for v in values]
    shape = np.broadcast_shapes(*(a.shape for a in arrays))
    return tuple(_flat(a, shape) for a in arrays), shape


def _flat(array: Floats, shape: tuple[int, ...]) -> Floats:
    """Flatten to all elements or one; writable, since numba compiles anew for one that is not."""
    if array.size != 1 and array.shape != shape:
        array = np.broadcast_to(array, shape)
    flat = np.ascontiguousarray(array).reshape(-1)
    return flat if flat.flags.writeable else flat.copy()


def _cores() -> int:
    """How many cores this process may use; not every system can say."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def spread(run: Callable[[int, int], None], count: int, *, threads: int | None = None) -> None:
    """Call ``run(first, last)`` over ranges that cover ``count``, on every core at once.

    Parameters
    ----------
    run
        Must leave the interpreter lock while it works, and write to places of its own.
    count
        How many there are.
    threads
        How many threads; as many as this process may use cores where left out.
    """
    many = threads or _cores()
    if many == 1 or count < _THREAD_FROM:
        run(0, count)
        return
    step = min(_CHUNK, -(-count // many))
    with ThreadPoolExecutor(many) as pool:
        for done in [pool.submit(run, i, min(i + step, count)) for i in range(0, count, step)]:
            done.result()
