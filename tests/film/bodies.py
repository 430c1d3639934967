"""Where tests find the body and face models; shared by the tests of film."""

import os
from pathlib import Path

import pytest

from hoopwright.film.models import ready

ROOT = Path(__file__).parents[2]
#: where `make test` puts them
KEPT = ROOT / ".venv" / "models"


def models_folder() -> Path:
    """Return the folder of whole models; skip without them, or fail where they are required."""
    folder = Path(os.environ.get("HOOPWRIGHT_MODELS") or KEPT)
    if not ready(folder):
        said = f"no models in {folder}; run hoopwright film prepare"
        if os.environ.get("HOOPWRIGHT_REQUIRE_MODELS"):
            pytest.fail(said)
        pytest.skip(said)
    return folder
