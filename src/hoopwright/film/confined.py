"""Run one function in a process of its own, with limits, since film comes from outside.

A decoder that meets a broken or hostile file may eat memory, never end, or crash; here it takes
only its own process with it. It is a fence against accidents, not a prison: the function runs
under the same account.

The process is a plain child with two pipes rather than one of ``multiprocessing``, whose daemons
may start none of their own: this has to work inside a worker of any pool. Over the child's standard
input go the request and then nothing: its end tells the child that its parent is gone. Over its
standard output come pickled pairs, progress first, the outcome last.
"""

import contextlib
import ctypes
import math
import os
import pickle
import signal
import subprocess
import sys
import threading
import time
import traceback
from collections.abc import Callable
from typing import BinaryIO, TypeVar, cast

from hoopwright.errors import BadFilm, HoopwrightError

Result = TypeVar("Result")
Progress = Callable[[float, str], None]

#: address space, of which the libraries take about 1 GB [byte]
MEMORY = 3_000_000_000
#: processor time over all threads, and time on the clock [s]
LONGEST = 36_000.0
#: least time between two messages of progress [s]
PACE = 0.1

TOO_MUCH = "This film took more memory than allowed; cut it shorter or export it at 1080p."
TOO_LONG = "This film took longer than allowed; cut it to the shots that matter."
CRASHED = "This film broke the program that was reading it; export it again as H.264 MP4."

#: the child's whole program; what it may import from comes first, as the parent has it
CHILD = (
    "import pickle, sys; sys.path[:] = pickle.load(sys.stdin.buffer); "
    "from hoopwright.film.confined import serve; serve()"
)
#: on machines of many cores, idle threads would take the address space that is allowed
SPARING = {"OPENBLAS_NUM_THREADS": "2", "MALLOC_ARENA_MAX": "2"}


def run_confined(
    function: Callable[..., Result],
    *args: object,
    memory: int = MEMORY,
    cpu_seconds: float = LONGEST,
    wall_seconds: float = LONGEST,
    progress: Progress | None = None,
) -> Result:
    """Return what a function returns, run in a process of its own.

    Parameters
    ----------
    function
        At the top level of a module; its arguments and its result must be picklable.
    args
        Handed to it, and where ``progress`` is given a ``progress`` by keyword too.
    memory
        Address space it may take, libraries included [byte]; some systems do not hold it.
    cpu_seconds, wall_seconds
        Processor time over all threads, and time on the clock [s].
    progress
        Called in this process with the share done, 0 to 1, and what is being done. What it
        raises ends the work and is raised from here.

    Raises
    ------
    BadFilm
        A limit was met, or the process died.
    HoopwrightError
        As the function raised it; any other error too, with a note of where it came from.
    """
    child = _started((memory, cpu_seconds, os.getpid()), (function, args, progress is not None))
    late = threading.Event()

    def stop() -> None:
        late.set()
        child.kill()

    clock = threading.Timer(wall_seconds, stop)
    clock.daemon = True
    clock.start()
    try:
        outcome = _listen(child, progress)
    finally:
        clock.cancel()
        _end(child)
    if outcome is None:
        raise BadFilm(TOO_LONG if late.is_set() or _out_of_time(child) else CRASHED)
    kind, value = outcome
    if kind == "raised":
        raise cast(Exception, value)
    return cast(Result, value)


def _started(limits: object, request: object) -> subprocess.Popen[bytes]:
    child = subprocess.Popen(
        [sys.executable, "-c", CHILD],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env=SPARING | os.environ,
        # Ctrl-C in a terminal is for the parent, which then ends the child
        start_new_session=True,
    )
    try:
        # all of it or nothing: what can't be sent is found out before any is sent
        said = b"".join(pickle.dumps(part) for part in (sys.path, limits, request))
        _stdin(child).write(said)
        _stdin(child).flush()
    except BrokenPipeError:
        pass  # it died at once, as listening will show
    except BaseException:
        _end(child)
        raise
    return child


def _stdin(child: subprocess.Popen[bytes]) -> BinaryIO:
    return cast(BinaryIO, child.stdin)


def _listen(child: subprocess.Popen[bytes], progress: Progress | None) -> tuple[str, object] | None:
    """Pass progress on until the outcome comes; None where the child dies before that."""
    while True:
        try:
            kind, value = pickle.load(cast(BinaryIO, child.stdout))
        except (EOFError, pickle.UnpicklingError):
            child.wait()
            return None
        if kind != "progress":
            return kind, value
        if progress is not None:
            progress(*value)


def _end(child: subprocess.Popen[bytes]) -> None:
    child.kill()
    child.wait()
    for pipe in (child.stdin, child.stdout):
        # what could not be sent any more goes nowhere
        with contextlib.suppress(OSError):
            cast(BinaryIO, pipe).close()


def _out_of_time(child: subprocess.Popen[bytes]) -> bool:
    return child.returncode == -getattr(signal, "SIGXCPU", math.inf)


def serve() -> None:
    """Be the child: read the request, do it within the limits, send the outcome, end."""
    # libraries may print to standard output, so the pipe is taken away from there
    said = os.fdopen(os.dup(1), "wb")
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    asked = sys.stdin.buffer
    try:
        memory, cpu_seconds, parent = pickle.load(asked)
        _die_with(parent)
        _limit(memory, cpu_seconds)
        function, args, wants_progress = pickle.load(asked)
        threading.Thread(target=_die_at_the_end_of, args=(asked,), daemon=True).start()
        extra = {"progress": _Paced(said)} if wants_progress else {}
        outcome = pickle.dumps(("returned", function(*args, **extra)), protocol=5)
    except Exception as error:  # noqa: BLE001 - whatever it is, the parent is told
        outcome = pickle.dumps(("raised", _portable(error)))
    except BaseException:  # noqa: BLE001 - asking to exit is no outcome
        os._exit(1)
    said.write(outcome)
    said.flush()
    # no tidying: what a broken library left behind could hang it
    os._exit(0)


def _die_with(parent: int) -> None:
    """Have the kernel end this process with its parent, where the kernel can (Linux)."""
    if sys.platform == "linux":
        die_with_parent = 1  # PR_SET_PDEATHSIG of <linux/prctl.h>
        ctypes.CDLL(None).prctl(die_with_parent, signal.SIGKILL, 0, 0, 0)
        if os.getppid() != parent:
            os._exit(1)


def _die_at_the_end_of(asked: BinaryIO) -> None:
    asked.read(1)
    os._exit(1)


def _limit(memory: int, cpu_seconds: float) -> None:
    try:
        import resource
    except ImportError:
        return  # not a Unix: still a process of its own, with a clock
    seconds = max(math.ceil(cpu_seconds), 1)
    _lower(resource.RLIMIT_AS, memory)
    _lower(resource.RLIMIT_CPU, seconds)
    # a crash must not leave a child's film on the disk
    _lower(resource.RLIMIT_CORE, 0)


def _lower(kind: int, limit: int) -> None:
    import resource

    hard = resource.getrlimit(kind)[1]
    soft = limit if hard == resource.RLIM_INFINITY else min(limit, hard)
    # some systems hold no such limit
    with contextlib.suppress(OSError, ValueError):
        resource.setrlimit(kind, (soft, hard))


def _portable(error: Exception) -> Exception:
    """Return an error that can be sent, told in a sentence where memory ran out."""
    # OpenCV has an error of its own for memory: code −4
    if isinstance(error, MemoryError) or getattr(error, "code", None) == -4:
        return BadFilm(TOO_MUCH)
    if isinstance(error, HoopwrightError):
        return error
    error.add_note("In the confined process:\n" + "".join(traceback.format_exception(error)))
    try:
        pickle.loads(pickle.dumps(error))
    except Exception:  # noqa: BLE001 - errors may be built in any way
        return RuntimeError("\n".join([repr(error), *error.__notes__]))
    return error


class _Paced:
    """Progress that is sent at most every so often, so that telling costs nothing."""

    def __init__(self, said: BinaryIO) -> None:
        self._said = said
        self._sent = -math.inf

    def __call__(self, share: float, doing: str = "") -> None:
        now = time.monotonic()
        if now - self._sent < PACE and share < 1.0:
            return
        self._sent = now
        pickle.dump(("progress", (float(share), doing)), self._said)
        self._said.flush()
