"""What the pictures of a film gave, as one file: from it, marks are answered without the film."""

import io
from dataclasses import fields
from typing import TYPE_CHECKING
from zipfile import BadZipFile, ZipFile

import msgspec
import numpy as np

from hoopwright.errors import BadFilm
from hoopwright.film.results import Candidates, ClipFacts
from hoopwright.film.written import load_poses, save_poses

if TYPE_CHECKING:
    from hoopwright.film.told import Material

#: raised whenever the file changes its shape or its meaning
VERSION = 1
_ARRAYS = tuple(f.name for f in fields(Candidates))
#: a film of half an hour takes some ten million bytes; one that claims more is none of ours
_LARGEST = 1_000_000_000


class _Facts(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    version: int
    clip: ClipFacts
    moved: str
    rate_asked: str
    notes: tuple[str, ...]


def save_seen(material: "Material") -> bytes:
    """Return a film's material as one archive."""
    facts = _Facts(
        version=VERSION, clip=material.clip, moved=material.moved,
        rate_asked=material.rate_asked, notes=material.notes,
    )  # fmt: skip
    out = io.BytesIO()
    with ZipFile(out, "w") as archive:
        archive.writestr("facts.json", msgspec.json.encode(facts))
        archive.writestr("poses.npz", save_poses(material.poses))
        archive.writestr("candidates.npz", _saved(material.candidates))
        archive.writestr("hands.npz", _saved(material.hands))
    return out.getvalue()


def load_seen(content: bytes) -> "Material":
    """Return the material that ``save_seen`` kept.

    Raises
    ------
    BadFilm
        The content is not such an archive, or of another version.
    """
    try:
        with ZipFile(io.BytesIO(content)) as archive:
            _check_size(archive)
            facts = msgspec.json.decode(archive.read("facts.json"), type=_Facts)
            parts = {name: archive.read(f"{name}.npz") for name in ("poses", "candidates", "hands")}
        candidates, hands = _loaded(parts["candidates"]), _loaded(parts["hands"])
        poses = load_poses(parts["poses"])
    except (OSError, ValueError, KeyError, EOFError, BadZipFile, msgspec.DecodeError) as trouble:
        raise BadFilm("What was seen on this film can't be read; measure it again.") from trouble
    if facts.version != VERSION:
        raise BadFilm("This film was read by another version; measure it again.")
    from hoopwright.film.told import Material

    return Material(
        clip=facts.clip, candidates=candidates, hands=hands, poses=poses,
        moved=facts.moved, rate_asked=facts.rate_asked, notes=facts.notes,
    )  # fmt: skip


def _check_size(archive: ZipFile) -> None:
    if sum(one.file_size for one in archive.infolist()) > _LARGEST:
        raise BadZipFile("it claims too much")


def _saved(found: Candidates) -> bytes:
    out = io.BytesIO()
    arrays = {name: getattr(found, name) for name in _ARRAYS}
    np.savez_compressed(out, allow_pickle=False, **arrays)
    return out.getvalue()


def _loaded(content: bytes) -> Candidates:
    with np.load(io.BytesIO(content), allow_pickle=False) as held:
        return Candidates(**{name: held[name] for name in _ARRAYS})
