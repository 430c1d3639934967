"""A scene as a JSON text and back; described in ``docs/film-scene.md``."""

import re
from dataclasses import replace
from hashlib import sha256
from typing import Literal

import msgspec
import numpy as np

from hoopwright.errors import BadInput
from hoopwright.film.camera import Camera
from hoopwright.film.camera_place import Scene
from hoopwright.film.fingerprint import Fingerprint
from hoopwright.film.landmarks import Mark, landmarks

#: no scene text is longer than this; a longer one is not a scene [bytes]
LONGEST = 1_000_000

_Three = tuple[float, float, float]


class _Camera(msgspec.Struct, forbid_unknown_fields=True):
    width_px: int
    height_px: int
    focal_px: float
    lens: float
    rotation_rad: _Three
    translation_m: _Three
    covariance: list[float]


class _Corners(msgspec.Struct, forbid_unknown_fields=True):
    places_px: bytes
    bits: bytes


class _Mark(msgspec.Struct, forbid_unknown_fields=True):
    name: str
    x_px: float
    y_px: float


class _File(msgspec.Struct, forbid_unknown_fields=True):
    kind: Literal["hoopwright scene"]
    version: Literal[1]
    gym: str
    place: str
    rules: str
    ring_height_m: float
    ball_size: int
    marks: list[_Mark]
    mark_sd_px: float
    rms_px: float
    bad: list[str]
    turns: int
    camera: _Camera
    corners: _Corners | None


def _corners_out(kept: Fingerprint | None) -> _Corners | None:
    if kept is None:
        return None
    return _Corners(places_px=kept.corners.astype("<f8").tobytes(), bits=kept.bits.tobytes())


def _corners_in(kept: _Corners | None, camera: _Camera) -> Fingerprint | None:
    if kept is None:
        return None
    if len(kept.bits) % 32 or len(kept.places_px) != len(kept.bits) // 32 * 16:
        raise BadInput("The scene's corners are cut short; save the scene again.")
    corners = np.frombuffer(kept.places_px, dtype="<f8").reshape(-1, 2).astype(np.float64)
    if not np.all(np.isfinite(corners)):
        raise BadInput("The scene's corners are not plain numbers; save the scene again.")
    return Fingerprint(
        width=camera.width_px, height=camera.height_px, corners=corners,
        bits=np.frombuffer(kept.bits, dtype=np.uint8).reshape(-1, 32),
    )  # fmt: skip


def write_scene(scene: Scene) -> str:
    """Return a scene as JSON text that ``read_scene`` takes back without loss."""
    c = scene.camera
    camera = _Camera(
        width_px=c.width, height_px=c.height, focal_px=c.focal, lens=c.lens,
        rotation_rad=c.rotation, translation_m=c.translation, covariance=list(c.covariance),
    )  # fmt: skip
    file = _File(
        kind="hoopwright scene", version=1, gym=scene.gym, place=scene.place, rules=scene.rules,
        ring_height_m=scene.ring_height, ball_size=scene.ball_size,
        marks=[_Mark(name=m.name, x_px=m.x, y_px=m.y) for m in scene.marks],
        mark_sd_px=scene.mark_sd, rms_px=scene.rms, bad=list(scene.bad), turns=scene.turns,
        camera=camera, corners=_corners_out(scene.fingerprint),
    )  # fmt: skip
    return msgspec.json.format(msgspec.json.encode(file), indent=2).decode()


def scene_sum(scene: Scene) -> str:
    """Return the SHA-256 of all of a scene but its names, 64 hexadecimal digits."""
    nameless = replace(scene, gym="any", place="any")
    return sha256(write_scene(nameless).encode()).hexdigest()


#: the schema's words for kinds of value, in plain ones
_KINDS = {
    "float": "a number", "int": "a whole number", "str": "text", "bool": "true or false",
    "null": "nothing", "array": "a list", "object": "named fields", "bytes": "base64 text",
    "object | null": "named fields or nothing",
}  # fmt: skip
_NOT_ONE = "; choose a file that Hoopwright saved as a scene, or mark the picture again."


def _what_is_wrong(trouble: msgspec.DecodeError) -> str:
    """Turn the schema's complaint into a sentence."""
    if not isinstance(trouble, msgspec.ValidationError):
        return f"This is not a whole JSON text{_NOT_ONE}"
    said = re.fullmatch(r"(.*?)(?: - at `\$\.?(.*)`)?", str(trouble), flags=re.DOTALL)
    what, where = (said[1], said[2]) if said else (str(trouble), None)
    plain = re.sub(r"`([^`]*)`", lambda m: _KINDS.get(m[1], f"“{m[1]}”"), what)
    plain = re.sub(r"Invalid enum value (.*)", r"\1 is not known to this version", plain)
    place = f" at “{where}”" if where else ""
    return f"This scene can't be read{place}: {plain[0].lower()}{plain[1:]}{_NOT_ONE}"


def _decoded(text: str) -> _File:
    if len(text) > LONGEST:
        raise BadInput(f"This is too long to be a scene{_NOT_ONE}", field="scene")
    try:
        return msgspec.json.decode(text, type=_File)
    except (msgspec.DecodeError, RecursionError, UnicodeEncodeError) as trouble:
        if not isinstance(trouble, msgspec.DecodeError):
            raise BadInput(f"This is not a scene{_NOT_ONE}", field="scene") from trouble
        raise BadInput(_what_is_wrong(trouble), field="scene") from trouble


def _check_marks(file: _File) -> None:
    known = landmarks(file.rules, file.ring_height_m)
    unknown = [m.name for m in file.marks if m.name not in known]
    unknown += [name for name in file.bad if name not in {m.name for m in file.marks}]
    if unknown:
        raise BadInput(
            f"The scene has a mark “{unknown[0]}” that these rules do not know{_NOT_ONE}",
            field="scene",
        )


def _camera_in(c: _Camera) -> Camera:
    covariance = np.array(c.covariance)
    if len(covariance) == 64:
        square = covariance.reshape(8, 8)
        scale = np.sqrt(np.outer(np.diag(square), np.diag(square)).clip(1e-300))
        least = np.linalg.eigvalsh((square + square.T) / (2.0 * scale))[0]
        if np.any(np.diag(square) < 0.0) or not np.allclose(square, square.T) or least < -1e-6:
            raise BadInput(f"The scene's camera has errors that can't be{_NOT_ONE}", field="scene")
    return Camera(
        width=c.width_px, height=c.height_px, focal=c.focal_px, lens=c.lens,
        rotation=c.rotation_rad, translation=c.translation_m, covariance=tuple(c.covariance),
    )  # fmt: skip


def read_scene(text: str) -> Scene:
    """Return the scene of a JSON text.

    Raises
    ------
    BadInput
        It is not a scene, or a part is missing, of the wrong kind or out of sense; the message
        says which.
    """
    file = _decoded(text)
    _check_marks(file)
    return Scene(
        gym=file.gym, place=file.place, rules=file.rules, ring_height=file.ring_height_m,
        ball_size=file.ball_size,
        marks=tuple(Mark(name=m.name, x=m.x_px, y=m.y_px) for m in file.marks),
        mark_sd=file.mark_sd_px, rms=file.rms_px, bad=tuple(file.bad), turns=file.turns,
        camera=_camera_in(file.camera), fingerprint=_corners_in(file.corners, file.camera),
    )  # fmt: skip
