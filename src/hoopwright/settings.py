"""Where things are kept and served; built at an edge and passed, never read at import."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from urllib.parse import urlsplit

from hoopwright.errors import BadInput

#: what SQLite calls a database in memory
_MEMORY = ":memory:"


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What an edge needs to know."""

    #: folder for the database and other files
    data: Path
    #: SQLAlchemy address of the database
    database: str
    host: str = "127.0.0.1"
    port: int = 8350
    #: folder of the body and face models
    models: Path = Path("data/models")
    #: largest upload taken [bytes]
    largest_upload: int = 20_000_000
    #: folder or fsspec address for films; "" for a folder under ``data``
    media: str = ""
    #: largest film taken [bytes]
    largest_film: int = 4_000_000_000
    #: address of a Dask scheduler to measure films on; "" for this computer
    scheduler: str = ""
    #: whether a worker runs beside the pages
    worker: bool = True

    @classmethod
    def from_env(
        cls, environ: Mapping[str, str], *, data: Path | None = None, port: int | None = None
    ) -> "Settings":
        """Read the HOOPWRIGHT_ variables; see ``docs/settings.md``.

        Parameters
        ----------
        environ
            Usually ``os.environ``.
        data, port
            Override what the environment says.

        Raises
        ------
        BadInput
            The port is not a whole number from 1 to 65535, the size of a film no number above
            zero, or the worker neither on nor off.
        """
        folder = data or Path(environ.get("HOOPWRIGHT_DATA", "data"))
        return cls(
            data=folder,
            database=environ.get("HOOPWRIGHT_DATABASE", f"sqlite:///{folder}/hoopwright.db"),
            host=environ.get("HOOPWRIGHT_HOST", "127.0.0.1"),
            port=_port(environ.get("HOOPWRIGHT_PORT", "8350") if port is None else str(port)),
            media=environ.get("HOOPWRIGHT_MEDIA", ""),
            largest_film=_film_size(environ.get("HOOPWRIGHT_FILMGB", "4")),
            scheduler=environ.get("HOOPWRIGHT_SCHEDULER", ""),
            worker=_switch(environ.get("HOOPWRIGHT_WORKER", "on")),
            models=Path(environ.get("HOOPWRIGHT_MODELS") or folder / "models"),
        )

    def as_environ(self) -> dict[str, str]:
        """Return the variables from which another process reads the same settings."""
        return {
            "HOOPWRIGHT_DATA": str(self.data),
            "HOOPWRIGHT_DATABASE": self.database,
            "HOOPWRIGHT_HOST": self.host,
            "HOOPWRIGHT_PORT": str(self.port),
            "HOOPWRIGHT_MODELS": str(self.models),
            "HOOPWRIGHT_MEDIA": self.media,
            "HOOPWRIGHT_FILMGB": repr(self.largest_film / 1e9),
            "HOOPWRIGHT_SCHEDULER": self.scheduler,
            "HOOPWRIGHT_WORKER": "on" if self.worker else "off",
        }

    def anywhere(self) -> "Settings":
        """Return the same settings with whole paths, for a process in another folder."""
        address, file = self.database, self._sqlite_file
        if file not in ("", _MEMORY) and not Path(file).is_absolute():
            address = address.replace(f":///{file}", f":///{Path(file).resolve()}", 1)
        media = self.films_address
        if not urlsplit(media).scheme and "::" not in media:
            media = str(Path(media).resolve())
        return replace(
            self, data=self.data.resolve(), models=self.models.resolve(),
            database=address, media=media,
        )  # fmt: skip

    @property
    def films_address(self) -> str:
        """Where films are kept: a folder or an fsspec address."""
        return self.media or str(self.data / "films")

    @property
    def film_copies(self) -> Path:
        """Folder for copies of films that are kept elsewhere."""
        return self.data / "film-copies"

    @property
    def in_memory(self) -> bool:
        """Tell whether the database is in this process' memory."""
        return self.database.startswith("sqlite") and self._sqlite_file in ("", _MEMORY)

    @property
    def _sqlite_file(self) -> str:
        """Path of an SQLite file; "" for any other address."""
        kind, _, rest = self.database.partition(":///")
        return rest.partition("?")[0] if kind.startswith("sqlite") else ""


def _port(said: str) -> int:
    if not said.isdigit() or not 0 < int(said) < 65536:
        raise BadInput(f"The port must be a whole number from 1 to 65535, not {said!r}.")
    return int(said)


def _film_size(said: str) -> int:
    try:
        size = float(said) * 1e9
    except ValueError:
        size = 0.0
    if not 1.0 <= size < 1e18:
        raise BadInput(f"HOOPWRIGHT_FILMGB must be a number of GB above zero, not {said!r}.")
    return round(size)


def _switch(said: str) -> bool:
    if said not in ("on", "off"):
        raise BadInput(f"HOOPWRIGHT_WORKER must be on or off, not {said!r}.")
    return said == "on"
