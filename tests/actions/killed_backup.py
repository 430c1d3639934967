"""Kill oneself at a step of a backup: ``python killed_backup.py make|restore STEP FILE FOLDER``.

STEP is ``module:name``, or ``module:Class.name``, of the function that is never come back from.
"""

import importlib
import os
import signal
import sys
from pathlib import Path

from hoopwright.actions.backup import Place, make_backup, restore_backup
from hoopwright.store.media import open_media


def die(*args: object, **options: object) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def main(what: str, step: str, file: str, folder: str) -> None:
    module, _, name = step.partition(":")
    *owners, last = name.split(".")
    owner = importlib.import_module(module)
    for one in owners:
        owner = getattr(owner, one)
    setattr(owner, last, die)
    data = Path(folder)
    media = open_media(str(data / "films"), copies=data / "film-copies")
    place = Place(database=f"sqlite:///{data}/hoopwright.db", media=media, data=data)
    if what == "make":
        make_backup(place, Path(file))
    else:
        restore_backup(Path(file), place)


if __name__ == "__main__":
    main(*sys.argv[1:])
