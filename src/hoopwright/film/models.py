"""The body and face models: fetched once with pip, checked, kept in a folder.

The models are openly licensed (Apache 2.0) and travel inside a published wheel. Only the model
files are taken out of it; nothing of the wheel is installed or run.
"""

import hashlib
import os
import subprocess
import sys
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from hoopwright.errors import BadInput, ModelsMissing

#: called with how many of how many steps are done
Progress = Callable[[int, int], None]

#: what pip is asked for; the wheel is only unpacked, so it need not fit this machine
REQUIREMENT = "mediapipe==0.10.21"
_PLATFORM = (
    "--python-version", "3.11", "--implementation", "cp", "--abi", "cp311",
    "--platform", "manylinux_2_28_x86_64",
)  # fmt: skip
#: longest time pip may take [s]
_PATIENCE = 900.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelFile:
    """One file of the wheel that is kept."""

    #: its name in the models folder
    name: str
    #: its path inside the wheel
    member: str
    #: [bytes]
    size: int
    sha256: str


BODY_FINDER = "pose_detection.tflite"
FACES_NEAR = "face_detection_short_range.tflite"
FACES_FAR = "face_detection_full_range_sparse.tflite"

FILES = (
    ModelFile(
        name=BODY_FINDER,
        member=f"mediapipe/modules/pose_detection/{BODY_FINDER}",
        size=2_959_046,
        sha256="9ba9dd3d42efaaba86b4ff0122b06f29c4122e756b329d89dca1e297fd8f866c",
    ),
    ModelFile(
        name="pose_landmark_full.tflite",
        member="mediapipe/modules/pose_landmark/pose_landmark_full.tflite",
        size=6_440_512,
        sha256="e9a5c5cb17f736fafd4c2ec1da3b3d331d6edbe8a0d32395855aeb2cdfd64b9f",
    ),
    ModelFile(
        name=FACES_NEAR,
        member=f"mediapipe/modules/face_detection/{FACES_NEAR}",
        size=229_714,
        sha256="bbff11cebd1eb27a1e004cae0b0e63ec8c551cbf34a4451148b4908b8db3eca8",
    ),
    ModelFile(
        name=FACES_FAR,
        member=f"mediapipe/modules/face_detection/{FACES_FAR}",
        size=676_746,
        sha256="2c3728e6da56f21e21a320433396fb06d40d9088f2247c05e5635a688d45dfe1",
    ),
    ModelFile(
        name="LICENSE.txt",
        member="mediapipe-0.10.21.dist-info/LICENSE",
        size=12_331,
        sha256="8707eef0533987efc5b155d64761eeb6e20793f50b9bd1a68dad1cf4719d0ed8",
    ),
)


def whole(folder: Path, file: ModelFile) -> bool:
    """Tell whether a file is in the folder, byte for byte as published."""
    try:
        data = (folder / file.name).read_bytes()
    except OSError:
        return False
    return _is(file, data)


def _is(file: ModelFile, data: bytes) -> bool:
    return len(data) == file.size and hashlib.sha256(data).hexdigest() == file.sha256


def ready(folder: Path) -> bool:
    """Tell whether every file is in the folder and whole."""
    return all(whole(folder, file) for file in FILES)


def model_path(folder: Path, name: str) -> Path:
    """Return where a model is, checked byte for byte.

    Raises
    ------
    ModelsMissing
        It is not there, or not as published.
    """
    file = next(file for file in FILES if file.name == name)
    if not whole(folder, file):
        raise ModelsMissing
    return folder / name


def prepare(
    folder: Path, *, wheel: Path | None = None, progress: Progress | None = None
) -> tuple[Path, ...]:
    """Put the models into a folder, unless they are there and whole.

    Parameters
    ----------
    folder
        Where they go; made if missing.
    wheel
        The wheel, where it is on this disk already; otherwise pip fetches it.
    progress
        Called with how many of how many steps are done.

    Returns
    -------
    tuple
        The files, in the order of FILES.

    Raises
    ------
    BadInput
        The wheel can't be had or is not the published one, or the folder can't be written. Files
        that were there are left as they were.
    """
    tell = progress or _silent
    steps = len(FILES) + 1
    if not ready(folder):
        with _wheel(wheel) as found:
            tell(1, steps)
            kept = _unpack(found)
        _write_all(folder, kept, lambda done: tell(1 + done, steps))
    tell(steps, steps)
    return tuple(folder / file.name for file in FILES)


def _silent(done: int, of: int) -> None:
    """Say nothing."""


@contextmanager
def _wheel(given: Path | None) -> Iterator[Path]:
    if given is not None:
        yield given
        return
    with tempfile.TemporaryDirectory(prefix="hoopwright-") as place:
        _fetch(Path(place))
        found = sorted(Path(place).glob("*.whl"))
        if not found:
            raise BadInput(f"pip fetched no wheel of {REQUIREMENT}; try again later.")
        yield found[0]


def _fetch(place: Path) -> None:
    """Let pip download the wheel, from wherever it is set up to look."""
    command = [
        sys.executable, "-m", "pip", "download", "--no-deps", "--only-binary=:all:", "--no-input",
        "--disable-pip-version-check", "--quiet", *_PLATFORM, "-d", str(place), REQUIREMENT,
    ]  # fmt: skip
    try:
        done = subprocess.run(
            command,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            errors="replace",
            timeout=_PATIENCE,
            check=False,
        )
    except subprocess.TimeoutExpired as trouble:
        raise BadInput(
            "pip did not finish fetching the models; check the connection and try again."
        ) from trouble
    except OSError as trouble:
        raise BadInput(f"pip can't be run ({trouble.strerror}); check this Python.") from trouble
    if done.returncode:
        raise BadInput(_pip_trouble(done.stderr))


#: what pip says, and what that means for the person
_TROUBLES: Sequence[tuple[str, str]] = (
    (
        "No module named pip",
        "This Python has no pip, which fetches the models; run 'python -m ensurepip', or fetch "
        f"the wheel of {REQUIREMENT} elsewhere and name it with --wheel.",
    ),
    ("No space left", "The disk is full; make 100 MB free and try again."),
    (
        "MATCH THE HASHES",
        "What pip fetched was damaged on the way; try again.",
    ),
)


def _pip_trouble(said: str) -> str:
    for sign, meaning in _TROUBLES:
        if sign in said:
            return meaning
    return (
        "The models can't be fetched; check the connection, or fetch the wheel of "
        f"{REQUIREMENT} elsewhere and name it with --wheel."
    )


def _unpack(wheel: Path) -> dict[str, bytes]:
    """Return the checked bytes of every file by name; names inside the wheel are never paths."""
    try:
        with zipfile.ZipFile(wheel) as archive:
            return {file.name: _member(archive, file) for file in FILES}
    except FileNotFoundError as trouble:
        raise BadInput(f"There is no file called {wheel}; check its name and folder.") from trouble
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError) as trouble:
        raise _not_it(wheel) from trouble
    except OSError as trouble:
        raise BadInput(f"{wheel} can't be read; name the wheel's own file.") from trouble


def _not_it(wheel: Path) -> BadInput:
    return BadInput(
        f"{wheel.name} is not the published wheel of {REQUIREMENT}, or is damaged; fetch it again."
    )


def _member(archive: zipfile.ZipFile, file: ModelFile) -> bytes:
    try:
        with archive.open(file.member) as stream:
            # one byte more than right is enough to see that it is wrong
            data = stream.read(file.size + 1)
    except KeyError as trouble:
        raise _not_it(Path(str(archive.filename))) from trouble
    if not _is(file, data):
        raise _not_it(Path(str(archive.filename)))
    return data


def _write_all(folder: Path, kept: dict[str, bytes], tell: Callable[[int], None]) -> None:
    """Write every file beside its place first, then move them in, so that none is ever half."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".part-", dir=folder) as part:
            for number, (name, data) in enumerate(kept.items(), start=1):
                _write(Path(part) / name, data)
                tell(number)
            for name in kept:
                (Path(part) / name).replace(folder / name)
    except OSError as trouble:
        why = (trouble.strerror or "refused").lower()
        raise BadInput(
            f"The models can't be written to {folder} ({why}); free some space or choose another "
            "folder."
        ) from trouble


def _write(path: Path, data: bytes) -> None:
    with path.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
