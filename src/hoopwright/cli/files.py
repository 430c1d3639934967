"""Reading and writing the files a command names, with one sentence where that fails."""

import sys
from pathlib import Path

from hoopwright.errors import BadInput


def read_file(path: Path, *, largest: int) -> bytes:
    """Return a file's bytes; ``-`` reads the input stream.

    Parameters
    ----------
    path
        What was typed.
    largest
        Most bytes taken; a longer file is refused before it is read whole.

    Raises
    ------
    BadInput
        The file can't be read or is too long.
    """
    data = sys.stdin.buffer.read(largest + 1) if str(path) == "-" else _read(path, largest + 1)
    if len(data) > largest:
        raise BadInput(
            f"{path} is larger than {largest / 1e6:g} MB; a chart is far smaller, "
            "so check that it is the right file or split it."
        )
    return data


def _read(path: Path, most: int) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(most)
    except FileNotFoundError as trouble:
        raise BadInput(f"There is no file called {path}; check its name and folder.") from trouble
    except IsADirectoryError as trouble:
        raise BadInput(f"{path} is a folder; name the file in it.") from trouble
    except (OSError, ValueError) as trouble:
        raise BadInput(f"{path} can't be read; check its name and that you may read it.") from (
            trouble
        )


def check_free(path: Path, *, overwrite: bool) -> None:
    """Refuse to write over a file unless that was asked for.

    Raises
    ------
    BadInput
        It is there.
    """
    if path.is_dir():
        raise BadInput(f"{path} is a folder; name a file in it.")
    if path.exists() and not overwrite:
        raise BadInput(f"{path} is there already; choose another name or remove it first.")


def write_file(path: Path, data: bytes) -> None:
    """Write a whole file, or leave the old one as it was; ``-`` writes the output stream.

    Raises
    ------
    BadInput
        The folder is missing or can't be written.
    """
    if str(path) == "-":
        sys.stdout.buffer.write(data)
        return
    part = path.with_name(path.name + ".part")
    try:
        part.write_bytes(data)
        part.replace(path)
    except (OSError, ValueError) as trouble:
        raise BadInput(f"{path} can't be written; check its folder and free space.") from trouble
