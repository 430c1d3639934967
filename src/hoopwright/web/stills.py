"""Pictures of films for the pages, in memory for a while: never on the disk, as for children."""

import threading
from collections import OrderedDict
from pathlib import Path
from uuid import UUID

from hoopwright.actions.films import Still, block_of, nearest, stills_from
from hoopwright.records import Film

#: pictures kept [byte]
ROOM = 200_000_000
#: films read at the same time, each in a process of its own
READERS = 2
_Key = tuple[UUID, float | None, int]


class Stills:
    """Pictures of films by their number, a block at a time."""

    def __init__(self, room: int = ROOM) -> None:
        self._room, self._held = room, 0
        self._blocks: OrderedDict[_Key, tuple[Still, ...]] = OrderedDict()
        self._lock = threading.Lock()
        self._busy: dict[_Key, threading.Lock] = {}
        self._readers = threading.Semaphore(READERS)

    def at(self, film: Film, path: Path, frame: int) -> Still:
        """Return a picture, or the nearest one that is not broken.

        Raises
        ------
        BadFilm
            There is none.
        """
        return nearest(self._block((film.id, film.slowed, block_of(max(frame, 0))), path), frame)

    def forget(self, film_id: UUID) -> None:
        """Drop the pictures of a film that is removed."""
        with self._lock:
            for key in [key for key in self._blocks if key[0] == film_id]:
                self._held -= _size(self._blocks.pop(key))

    def _block(self, key: _Key, path: Path) -> tuple[Still, ...]:
        with self._lock:
            busy = self._busy.setdefault(key, threading.Lock())
        # two that ask for the same block at once wait for one reading of it
        with busy:
            with self._lock:
                if key in self._blocks:
                    self._blocks.move_to_end(key)
                    return self._blocks[key]
            try:
                with self._readers:
                    found = stills_from(path, key[2], slowed=key[1])
            finally:
                with self._lock:
                    self._busy.pop(key, None)
            self._keep(key, found)
            return found

    def _keep(self, key: _Key, found: tuple[Still, ...]) -> None:
        with self._lock:
            self._blocks[key] = found
            self._held += _size(found)
            while self._held > self._room and len(self._blocks) > 1:
                self._held -= _size(self._blocks.popitem(last=False)[1])


def _size(block: tuple[Still, ...]) -> int:
    return sum(len(still.content) for still in block)
