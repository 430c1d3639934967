"""Run ``python -m hoopwright.worker``: do what waits until stopped (Ctrl+C)."""

import argparse
import logging
import os
import signal
import sys
import threading

from hoopwright.errors import HoopwrightError
from hoopwright.settings import Settings
from hoopwright.worker.loop import work


def main() -> int:
    """Work until told to stop; return the exit code."""
    reads = argparse.ArgumentParser(prog="python -m hoopwright.worker", description=__doc__)
    reads.add_argument(
        "--until-input-ends",
        action="store_true",
        help="stop as soon as standard input ends, that is, when whoever started this is gone",
    )
    asked = reads.parse_args()
    logging.basicConfig(level=logging.WARNING, format="%(name)s: %(message)s")
    stop = threading.Event()
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, lambda *_: stop.set())
    if asked.until_input_ends:
        threading.Thread(target=_watch_input, args=(stop,), daemon=True).start()
    try:
        work(Settings.from_env(os.environ), stop=stop)
    except HoopwrightError as trouble:
        sys.stderr.write(f"hoopwright: {trouble.message}\n")
        return 2
    return 0


def _watch_input(stop: threading.Event) -> None:
    while os.read(0, 1024):
        pass
    stop.set()


if __name__ == "__main__":
    sys.exit(main())
