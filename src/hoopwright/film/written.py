"""A reading of a film as text, and the body points beside it: kept, sent and read back."""

import io
from dataclasses import replace
from typing import Any
from zipfile import BadZipFile

import msgspec
import numpy as np

from hoopwright.errors import BadFilm
from hoopwright.film.results import FilmRead, Poses

#: raised whenever what is written changes its shape or a reading its meaning
VERSION = 2

_ARRAYS = ("frame", "time", "points", "sd", "presence", "shape", "box", "others")


class _Written(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    version: int
    reading: FilmRead


def to_json(reading: FilmRead) -> str:
    """Return a reading as JSON text; body points are not in it, see ``save_poses``."""
    plain = _Written(version=VERSION, reading=replace(reading, poses=()))
    return msgspec.json.encode(plain, enc_hook=_plain).decode()


def _plain(value: object) -> object:
    """Return what NumPy wraps."""
    if isinstance(value, np.generic):
        return value.item()
    raise NotImplementedError(f"{type(value).__name__} has no place in a reading")


def from_json(text: str) -> FilmRead:
    """Return the reading that ``to_json`` wrote, without body points.

    Raises
    ------
    BadFilm
        The text is no reading, or one of another version.
    """
    try:
        written = msgspec.json.decode(text, type=_Written)
    except (msgspec.DecodeError, msgspec.ValidationError) as trouble:
        raise BadFilm("This stored reading can't be read; measure the film again.") from trouble
    if written.version != VERSION:
        raise BadFilm("This film was read by another version; measure the film again.")
    return written.reading


def as_data(reading: FilmRead) -> dict[str, Any]:
    """Return a reading as plain dictionaries and lists, ready for JSON."""
    found: dict[str, Any] = msgspec.json.decode(to_json(reading))
    return found


def save_poses(poses: tuple[Poses, ...]) -> bytes:
    """Return body points as one compressed NumPy archive."""
    arrays = {f"{i}_{n}": getattr(p, n) for i, p in enumerate(poses) for n in _ARRAYS}
    # single precision is finer than any pixel is known; times stay whole
    small = {
        k: a.astype(np.float32) if a.dtype == np.float64 and not k.endswith("_time") else a
        for k, a in arrays.items()
    }
    out = io.BytesIO()
    np.savez_compressed(out, allow_pickle=False, **small)
    return out.getvalue()


def load_poses(content: bytes) -> tuple[Poses, ...]:
    """Return the body points that ``save_poses`` kept.

    Raises
    ------
    BadFilm
        The content is not such an archive.
    """
    try:
        with np.load(io.BytesIO(content), allow_pickle=False) as held:
            count = len({name.split("_")[0] for name in held.files})
            return tuple(
                Poses(**{n: _wide(held[f"{i}_{n}"]) for n in _ARRAYS}) for i in range(count)
            )
    except (OSError, ValueError, KeyError, EOFError, BadZipFile) as trouble:
        raise BadFilm("The stored body points can't be read; measure the film again.") from trouble


def _wide(array: np.ndarray) -> Any:
    return array.astype(np.float64) if array.dtype == np.float32 else array
