"""What was seen in the pictures of a film, as one file: ball-like places and body points."""

import io
from collections.abc import Sequence
from dataclasses import dataclass, fields
from zipfile import BadZipFile, ZipFile

import numpy as np

from hoopwright.errors import BadFilm
from hoopwright.film.results import Candidates, Poses
from hoopwright.film.written import load_poses, save_poses

#: raised whenever the file changes its shape
VERSION = "1"
_ARRAYS = tuple(f.name for f in fields(Candidates))


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What was seen."""

    #: None where the ball was not looked for
    candidates: Candidates | None = None
    #: one for each shot that has any
    poses: tuple[Poses, ...] = ()


def save_seen(candidates: Candidates | None, poses: Sequence[Poses]) -> bytes:
    """Return what was seen as one archive."""
    out = io.BytesIO()
    with ZipFile(out, "w") as archive:
        archive.writestr("version", VERSION)
        archive.writestr("poses.npz", save_poses(tuple(poses)))
        if candidates is not None:
            arrays = {name: getattr(candidates, name) for name in _ARRAYS}
            part = io.BytesIO()
            np.savez_compressed(part, allow_pickle=False, **arrays)
            archive.writestr("candidates.npz", part.getvalue())
    return out.getvalue()


def load_seen(content: bytes) -> Seen:
    """Return what ``save_seen`` kept.

    Raises
    ------
    BadFilm
        The content is not such an archive, or of another version.
    """
    try:
        with ZipFile(io.BytesIO(content)) as archive:
            if archive.read("version").decode() != VERSION:
                raise BadFilm("This film was read by another version; measure the film again.")
            names = archive.namelist()
            found = archive.read("candidates.npz") if "candidates.npz" in names else None
            poses = load_poses(archive.read("poses.npz"))
        return Seen(candidates=None if found is None else _candidates(found), poses=poses)
    except (OSError, ValueError, KeyError, EOFError, BadZipFile) as trouble:
        raise BadFilm("What was seen on this film can't be read; measure it again.") from trouble


def _candidates(content: bytes) -> Candidates:
    with np.load(io.BytesIO(content), allow_pickle=False) as held:
        return Candidates(**{name: held[name] for name in _ARRAYS})
