"""Where things are kept and served; built at an edge and passed, never read at import."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from hoopwright.errors import BadInput


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

    @classmethod
    def from_env(
        cls, environ: Mapping[str, str], *, data: Path | None = None, port: int | None = None
    ) -> "Settings":
        """Read HOOPWRIGHT_DATA, _DATABASE, _HOST, _PORT and _MODELS.

        Parameters
        ----------
        environ
            Usually ``os.environ``.
        data, port
            Override what the environment says.

        Raises
        ------
        BadInput
            The port is not a whole number from 1 to 65535.
        """
        folder = data or Path(environ.get("HOOPWRIGHT_DATA", "data"))
        said = environ.get("HOOPWRIGHT_PORT", "8350") if port is None else str(port)
        if not said.isdigit() or not 0 < int(said) < 65536:
            raise BadInput(f"The port must be a whole number from 1 to 65535, not {said!r}.")
        return cls(
            data=folder,
            database=environ.get("HOOPWRIGHT_DATABASE", f"sqlite:///{folder}/hoopwright.db"),
            host=environ.get("HOOPWRIGHT_HOST", "127.0.0.1"),
            port=int(said),
            models=Path(environ.get("HOOPWRIGHT_MODELS") or folder / "models"),
        )
