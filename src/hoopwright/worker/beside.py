"""Keep a worker alive beside the pages: a process of its own that ends when they do."""

import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress

from hoopwright.settings import Settings

#: a worker that ended sooner than this is not started again at once [s]
SHORT_LIFE = 10.0
#: longest pause before one is started again [s]
LONGEST_PAUSE = 60.0
#: how long it may take to stop [s]
PATIENCE = 10.0
WORKER = (sys.executable, "-m", "hoopwright.worker", "--until-input-ends")


@contextmanager
def worker_beside(settings: Settings, *, command: Sequence[str] = WORKER) -> Iterator[None]:
    """Have a worker beside whatever runs inside, started again when it dies.

    Nothing is started where the settings say so, or where the database is in this process' memory,
    which no other process sees.

    Parameters
    ----------
    settings
        The worker's settings, too.
    command
        Starts a worker that stops when its input ends.
    """
    if not settings.worker or settings.in_memory:
        yield
        return
    keeper = _Keeper(command, os.environ | settings.as_environ())
    keeper.start()
    try:
        yield
    finally:
        keeper.close()


class _Keeper(threading.Thread):
    def __init__(self, command: Sequence[str], environ: Mapping[str, str]) -> None:
        super().__init__(name="worker beside", daemon=True)
        self._command = command
        self._environ, self._closing = dict(environ), threading.Event()
        self._process: subprocess.Popen[bytes] | None = None

    def run(self) -> None:
        pause = 1.0
        while not self._closing.is_set():
            began = time.monotonic()
            self._process = self._new_process()
            self._process.wait()
            self._hang_up()
            pause = 1.0 if time.monotonic() - began > SHORT_LIFE else min(2 * pause, LONGEST_PAUSE)
            self._closing.wait(pause)

    def close(self) -> None:
        self._closing.set()
        self._hang_up()
        self.join(PATIENCE)
        if self._process is not None and self._process.poll() is None:
            self._process.kill()
            self._process.wait()

    def _new_process(self) -> subprocess.Popen[bytes]:
        # its input ends when this process does, however that comes, and then it stops;
        # a session of its own, so that Ctrl+C comes to it in this way only
        return subprocess.Popen(
            self._command,
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            env=self._environ,
            start_new_session=True,
        )

    def _hang_up(self) -> None:
        if self._process is not None and self._process.stdin is not None:
            with suppress(OSError):
                self._process.stdin.close()
