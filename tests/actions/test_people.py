"""Players: added once, told apart by name and year of birth, every change kept."""

import json
from dataclasses import replace
from uuid import UUID, uuid4

import pytest

from hoopwright.actions.people import (
    add_player,
    change_player,
    find_player,
    forget_player,
    get_player,
    list_players,
    remove_player,
)
from hoopwright.actions.shots import edits_of
from hoopwright.errors import BadInput, Conflict, NotFound
from hoopwright.records import Hand, Player
from hoopwright.store.engine import Database


def player(name: str = "Invented A", birth_year: int | None = None) -> Player:
    return Player(id=uuid4(), name=name, birth_year=birth_year)


def test_all_fields_come_back(database: Database) -> None:
    one = Player(
        id=UUID(int=7), name="Invented Ásta", birth_year=2014, hand=Hand.LEFT, height=1.42,
        ball_size=5, ring_height=2.6, rules="fiba-mini", coach="Invented Coach", invented=True,
    )  # fmt: skip
    with database.session() as session:
        add_player(session, one, who="coach")
    with database.reading() as session:
        assert get_player(session, one.id) == one
        assert list_players(session) == [one]


def test_texts_are_tidied(database: Database) -> None:
    with database.session() as session:
        stored = add_player(session, player("  Invented \t  A\n"), who="coach")
        assert stored.name == "Invented A"
        assert find_player(session, "invented  a").id == stored.id


def test_letters_nobody_sees_are_dropped_but_joiners_stay(database: Database) -> None:
    with database.session() as session:
        stored = add_player(session, player("In\x00vented\u202e \u0646\u200c\u0645"), who="coach")
    assert stored.name == "In vented \u0646\u200c\u0645"


def test_sent_twice_changes_nothing(database: Database) -> None:
    one = player()
    for _ in range(2):
        with database.session() as session:
            add_player(session, one, who="coach")
    with database.reading() as session:
        assert [edit.what for edit in edits_of(session, one.id)] == ["add"]


def test_same_id_with_other_content_is_a_conflict(database: Database) -> None:
    one = player()
    with database.session() as session:
        add_player(session, one, who="coach")
    with pytest.raises(Conflict, match="Invented A"), database.session() as session:
        add_player(session, replace(one, name="Invented B"), who="coach")


@pytest.mark.parametrize("years", [(None, None), (2012, None), (None, 2012), (2012, 2012)])
def test_two_players_of_one_name(database: Database, years: tuple[int | None, int | None]) -> None:
    with database.session() as session:
        add_player(session, player("Invented A", years[0]), who="coach")
    with pytest.raises(BadInput, match="initial") as caught, database.session() as session:
        add_player(session, player("invented a", years[1]), who="coach")
    assert caught.value.field == "name"
    with database.reading() as session:
        assert len(list_players(session)) == 1


def test_year_of_birth_tells_two_of_one_name_apart(database: Database) -> None:
    elder, younger = player("Invented A", 2009), player("Invented A", 2014)
    with database.session() as session:
        add_player(session, elder, who="coach")
        add_player(session, younger, who="coach")
    with database.reading() as session:
        assert find_player(session, "Invented A (2014)") == younger
        with pytest.raises(BadInput, match=r"Invented A \(2014\)"):
            find_player(session, "Invented A")
        with pytest.raises(NotFound, match="Invented A"):
            find_player(session, "Invented A (1999)")


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"name": "  "}, "name"),
        ({"name": "x" * 81}, "name"),
        ({"birth_year": 1066}, "birth_year"),
        ({"birth_year": 2999}, "birth_year"),
        ({"height": float("nan")}, "height"),
        ({"height": 142.0}, "height"),
        ({"ball_size": 4}, "ball_size"),
        ({"ring_height": float("nan")}, "ring_height"),
        ({"ring_height": 10.0}, "ring_height"),
        ({"rules": "no such book"}, "rules"),
    ],
)
def test_bad_fields_are_named(database: Database, change: dict[str, str], field: str) -> None:
    with pytest.raises(BadInput) as caught, database.session() as session:
        add_player(session, replace(player(), **change), who="coach")  # type: ignore[arg-type]
    assert caught.value.field == field
    with database.reading() as session:
        assert list_players(session) == []


def test_who_acts_must_be_said(database: Database) -> None:
    with pytest.raises(BadInput) as caught, database.session() as session:
        add_player(session, player(), who=" ")
    assert caught.value.field == "who"


def test_change_keeps_what_was_before(database: Database) -> None:
    one = player()
    with database.session() as session:
        add_player(session, one, who="coach")
        change_player(session, replace(one, hand=Hand.LEFT), who="assistant")
        change_player(session, replace(one, hand=Hand.LEFT), who="assistant")
    with database.reading() as session:
        assert get_player(session, one.id).hand is Hand.LEFT
        added, changed = edits_of(session, one.id)
    assert (added.what, changed.what, changed.who) == ("add", "change", "assistant")
    assert json.loads(changed.before)["hand"] == "right"
    assert changed.at.utcoffset() is not None


def test_change_to_a_name_in_use_is_refused(database: Database) -> None:
    first, second = player("Invented A"), player("Invented B")
    with database.session() as session:
        add_player(session, first, who="coach")
        add_player(session, second, who="coach")
    with pytest.raises(BadInput, match="already"), database.session() as session:
        change_player(session, replace(second, name="Invented A"), who="coach")


def test_remove_keeps_the_log_and_forget_blanks_it(database: Database) -> None:
    kept, forgotten = player("Invented A"), player("Invented B")
    with database.session() as session:
        for one in (kept, forgotten):
            add_player(session, one, who="coach")
        remove_player(session, kept.id, who="coach")
        forget_player(session, forgotten.id, who="coach")
    with database.reading() as session:
        assert list_players(session) == []
        assert json.loads(edits_of(session, kept.id)[-1].before)["name"] == "Invented A"
        *blank, erased = edits_of(session, forgotten.id)
        assert [(e.what, e.before) for e in blank] == [("add", ""), ("remove", "")]
        assert erased.what == "erase"
        assert json.loads(erased.before) == {"players": 1, "log texts": 1}
        with pytest.raises(NotFound):
            get_player(session, kept.id)
    with pytest.raises(NotFound), database.session() as session:
        remove_player(session, kept.id, who="coach")
