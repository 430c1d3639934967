"""Settings: read from variables, handed to another process whole, refused in one sentence."""

from pathlib import Path

import pytest

from hoopwright.errors import BadInput
from hoopwright.settings import Settings


def test_what_one_process_says_another_reads() -> None:
    said = Settings(
        data=Path("somewhere"), database="postgresql+psycopg://a@b/c", host="::1", port=9000,
        media="sftp://store/films", largest_film=1_234_567_890, scheduler="tcp://a:8786",
        worker=False, models=Path("elsewhere/models"),
    )  # fmt: skip
    assert Settings.from_env(said.as_environ()) == said
    usual = Settings.from_env({})
    assert Settings.from_env(usual.as_environ()) == usual
    assert (usual.films_address, usual.largest_film, usual.worker) == (
        "data/films", 4_000_000_000, True,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("variable", "value", "says"),
    [
        ("HOOPWRIGHT_FILMGB", "0", "above zero"),
        ("HOOPWRIGHT_FILMGB", "nan", "above zero"),
        ("HOOPWRIGHT_FILMGB", "inf", "above zero"),
        ("HOOPWRIGHT_FILMGB", "four", "above zero"),
        ("HOOPWRIGHT_WORKER", "maybe", "on or off"),
        ("HOOPWRIGHT_PORT", "70000", "1 to 65535"),
    ],
)
def test_what_cannot_be_is_refused(variable: str, value: str, says: str) -> None:
    with pytest.raises(BadInput, match=says) as caught:
        Settings.from_env({variable: value})
    assert "\n" not in caught.value.message


def test_for_a_process_in_another_folder_paths_are_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    here = Settings.from_env({}).anywhere()
    assert here.database == f"sqlite:///{tmp_path}/data/hoopwright.db"
    assert (here.data, here.films_address) == (tmp_path / "data", f"{tmp_path}/data/films")
    assert here.anywhere() == here
    for same in ("postgresql+psycopg://a@b/c", "sqlite://", "sqlite:///:memory:"):
        assert Settings(data=Path("d"), database=same).anywhere().database == same
    far = Settings(data=Path("d"), database="sqlite://", media="sftp://store/films")
    assert far.anywhere().media == "sftp://store/films"


@pytest.mark.parametrize(
    ("database", "in_memory"),
    [
        ("sqlite://", True),
        ("sqlite:///:memory:", True),
        ("sqlite:///data/hoopwright.db", False),
        ("sqlite:///data/hoopwright.db?timeout=5", False),
        ("postgresql+psycopg://a@b/c", False),
    ],
)
def test_a_database_in_memory_is_known_as_such(database: str, in_memory: bool) -> None:
    assert Settings(data=Path("d"), database=database).in_memory is in_memory
