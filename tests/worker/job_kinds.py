"""Kinds of job for tests: each notes its start in a file, takes a while, and stores one row."""

import os
import signal
import time
from collections.abc import Mapping
from datetime import UTC, datetime
from functools import partial
from typing import Any
from uuid import uuid4

from sqlalchemy.orm import Session

from hoopwright.errors import BadFilm, StoreTrouble
from hoopwright.records import StoredScene
from hoopwright.settings import Settings
from hoopwright.store.films import add_scene
from hoopwright.worker.kinds import Made, Report, Run

#: where runs note their starts, in the data folder
STARTS = "starts.txt"
DROPPED = "dropped.txt"


def note(settings: Settings, word: object, *, file: str = STARTS) -> None:
    with (settings.data / file).open("a") as out:
        out.write(f"{word}\n")


def store(name: str, session: Session) -> None:
    now = datetime.now(UTC)
    scene = StoredScene(id=uuid4(), gym=name, place="made by a job", content="", made_at=now)
    add_scene(session, scene)


def made(settings: Settings, name: str) -> Made:
    return Made(keep=partial(store, name), drop=lambda: note(settings, name, file=DROPPED))


def slow(settings: Settings, argument: Mapping[str, Any], report: Report) -> Made:
    """Take a while, showing progress; ``seconds`` the first time, then no more than ``again``."""
    name = str(argument["name"])
    path = settings.data / STARTS
    before = path.read_text().split() if path.exists() else []
    first = not any(line.startswith(f"{name}:") for line in before)
    note(settings, f"{name}:{os.getpid()}")
    seconds = float(argument["seconds"] if first else argument.get("again", 0.0))
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        report(0.5, "counting")
        time.sleep(0.02)
    return made(settings, name)


def deaf(settings: Settings, argument: Mapping[str, Any], report: Report) -> Made:
    """Work on without looking whether that is in vain."""
    note(settings, f"{argument['name']}:{os.getpid()}")
    while not (settings.data / "go on").exists():
        time.sleep(0.02)
    return made(settings, str(argument["name"]))


def dies(settings: Settings, argument: Mapping[str, Any], report: Report) -> Made:
    """Kill the process it runs in."""
    note(settings, f"{argument['name']}:{os.getpid()}")
    os.kill(os.getpid(), signal.SIGKILL)
    raise AssertionError


def refuses(settings: Settings, argument: Mapping[str, Any], report: Report) -> Made:
    """Find the film unreadable."""
    raise BadFilm("The film is dark; film it again with the lights on.")


def mistaken(settings: Settings, argument: Mapping[str, Any], report: Report) -> Made:
    """Have a bug."""
    raise ZeroDivisionError


def no_room(settings: Settings, argument: Mapping[str, Any], report: Report) -> Made:
    """Find no room."""
    note(settings, f"{argument['name']}:{os.getpid()}")
    raise StoreTrouble("There is no room; make some.")


KINDS: Mapping[str, Run] = {
    one.__name__: one for one in (slow, deaf, dies, refuses, mistaken, no_room)
}
