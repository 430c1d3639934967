"""Pictures in memory: read once a block, dropped when there are too many or the film is removed."""

import threading
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from uuid import UUID

import pytest

from hoopwright.actions.films import Still
from hoopwright.errors import BadFilm
from hoopwright.records import Film
from hoopwright.web import stills
from hoopwright.web.stills import Stills

FILM = Film(
    id=UUID(int=5), player_id=UUID(int=1), file_name="a.mp4", media_key="0" * 32 + ".mp4", size=1,
    sha256="0" * 64, added_at=datetime(2026, 11, 2, tzinfo=UTC),
)  # fmt: skip
OTHER = replace(FILM, id=UUID(int=6))
HERE = Path("a.mp4")


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The blocks that were read; each has 24 pictures of 10 bytes."""
    first_ones: list[int] = []

    def block(path: Path, first: int, *, slowed: float | None) -> tuple[Still, ...]:
        first_ones.append(first)
        if first >= 480:
            raise BadFilm
        return tuple(
            Still(frame=first + n, time=(first + n) / 30, content=b"0123456789") for n in range(24)
        )

    monkeypatch.setattr(stills, "stills_from", block)
    return first_ones


def test_a_block_is_read_once(read: list[int]) -> None:
    kept = Stills()
    assert [kept.at(FILM, HERE, n).frame for n in (0, 23, 24, 5, -3)] == [0, 23, 24, 5, 0]
    assert read == [0, 24]


def test_another_clock_or_film_is_another_block(read: list[int]) -> None:
    kept = Stills()
    for film in (FILM, OTHER, replace(FILM, slowed=8.0)):
        kept.at(film, HERE, 3)
    assert read == [0, 0, 0]


def test_the_oldest_go_first_and_those_of_a_removed_film(read: list[int]) -> None:
    kept = Stills(room=500)
    for n in (0, 24, 0, 48, 0, 24):
        kept.at(FILM, HERE, n)
    assert read == [0, 24, 48, 24]
    kept.forget(FILM.id)
    kept.at(FILM, HERE, 24)
    assert read == [0, 24, 48, 24, 24]


def test_what_can_not_be_read_is_asked_for_again(read: list[int]) -> None:
    kept = Stills()
    for _ in range(2):
        with pytest.raises(BadFilm):
            kept.at(FILM, HERE, 481)
    assert read == [480, 480]


def test_many_who_ask_at_once_wait_for_one_reading(read: list[int]) -> None:
    kept, found = Stills(), []
    asking = [
        threading.Thread(target=lambda n=n: found.append(kept.at(FILM, HERE, n).frame))
        for n in range(8)
    ]
    for one in asking:
        one.start()
    for one in asking:
        one.join(10)
    assert sorted(found) == list(range(8)) and read == [0]
