"""A worker for tests, as a program: ``python start.py`` with the usual HOOPWRIGHT_ variables."""

import os
import sys
import threading
from functools import partial
from importlib import import_module
from unittest import mock

from hoopwright.settings import Settings
from hoopwright.worker import work, worker_beside

LEASE, LOOK = 3.0, 0.1
#: in this script's folder, where pool processes find it too
KINDS = import_module("job_kinds").KINDS


def watch(stop: threading.Event) -> None:
    while os.read(0, 1024):
        pass
    stop.set()


def run_worker() -> None:
    """Work until the input ends."""
    stop = threading.Event()
    threading.Thread(target=watch, args=(stop,), daemon=True).start()
    work(Settings.from_env(os.environ), stop=stop, kinds=KINDS, lease=LEASE, look=LOOK)


def run_server() -> None:
    """Serve the pages as ever, but with the worker above beside them."""
    # much to load, which the worker must not wait for
    from hoopwright.cli import academy

    settings = Settings.from_env(os.environ)
    other = partial(worker_beside, command=(sys.executable, __file__))
    with mock.patch.object(academy, "worker_beside", other), academy.listen(settings) as listening:
        academy.serve_pages(settings, listening)


if __name__ == "__main__":
    (run_server if sys.argv[1:] == ["server"] else run_worker)()
