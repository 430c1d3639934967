"""Games: entered once, changed and removed with a trace."""

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from uuid import UUID

import pytest
from sqlalchemy.orm import Session

from hoopwright.actions.games import (
    add_game,
    announce_change,
    announced_changes,
    change_game,
    change_line,
    get_game,
    list_games,
    record_lines,
    remove_game,
    remove_line,
    withdraw_change,
)
from hoopwright.actions.people import add_player, remove_player
from hoopwright.actions.shots import edits_of
from hoopwright.errors import BadInput, Conflict, NotFound
from hoopwright.records import Player
from hoopwright.store.engine import Database
from hoopwright.store.games import Announced
from hoopwright.transfer.nouns import AnnouncedChange, Game, GameLine, ShotType

DAY = date(2026, 11, 14)
ONE = Player(id=UUID(int=1), name="Invented A")
OTHER = Player(id=UUID(int=2), name="Invented B")
GAME_ID = UUID(int=10)


def line(number: int, player: Player, shot_type: ShotType, **more: bool | None) -> GameLine:
    return GameLine(
        id=UUID(int=number), player_id=player.id, game_id=GAME_ID, day=DAY,
        opponent="Invented Herons", shot_type=shot_type, attempts=6, made=2, **more,
    )  # fmt: skip


LINES = (
    line(11, ONE, ShotType.THREE_CATCH, contested=True),
    line(12, ONE, ShotType.THREE_CATCH, contested=False),
    line(13, ONE, ShotType.FREE_THROW),
    line(14, OTHER, ShotType.THREE_CATCH, contested=True),
)
GAME = Game(id=GAME_ID, day=DAY, opponent="Invented Herons", lines=LINES)


def ready(session: Session) -> None:
    add_player(session, ONE, who="coach")
    add_player(session, OTHER, who="coach")


def by_id(game: Game) -> set[GameLine]:
    return set(game.lines)


def test_a_game_comes_back_whole_and_once(database: Database) -> None:
    with database.session() as session:
        ready(session)
        for _ in range(2):
            add_game(session, GAME, who="coach")
    with database.reading() as session:
        assert by_id(get_game(session, GAME.id)) == set(LINES)
        assert by_id(list_games(session, ONE.id)[0]) == set(LINES[:3])
        assert by_id(list_games(session, OTHER.id)[0]) == {LINES[3]}
        for thing in (GAME.id, *(one.id for one in LINES)):
            assert [edit.what for edit in edits_of(session, thing)] == ["add"]


def test_lines_follow_their_games_day_and_opponent(database: Database) -> None:
    with database.session() as session:
        ready(session)
        add_game(session, GAME, who="coach")
        moved = replace(GAME, day=date(2026, 11, 15), opponent="  Invented   Otters ")
        after = change_game(session, moved, who="coach")
        assert {(one.day, one.opponent) for one in after.lines} == {
            (date(2026, 11, 15), "Invented Otters")
        }
        # the phone that had the old day sends a line once more
        assert record_lines(session, GAME.id, LINES, who="coach") == 0
        assert json.loads(edits_of(session, GAME.id)[-1].before)["opponent"] == "Invented Herons"


def test_a_line_is_changed_and_removed_with_a_trace(database: Database) -> None:
    better = replace(LINES[0], made=3)
    with database.session() as session:
        ready(session)
        add_game(session, GAME, who="coach")
        assert change_line(session, better, who="coach") == better
        with pytest.raises(Conflict):
            add_game(session, replace(GAME, opponent="Invented Otters"), who="coach")
        remove_line(session, better.id, who="assistant")
        assert by_id(get_game(session, GAME.id)) == set(LINES[1:])
        log = edits_of(session, better.id)
    assert [(one.kind, one.what) for one in log] == [
        ("game line", "add"),
        ("game line", "change"),
        ("game line", "remove"),
    ]
    assert [json.loads(one.before)["made"] for one in log[1:]] == [2, 3]


def test_a_line_sent_late_changes_nothing(database: Database) -> None:
    """It was corrected or removed since: what was done in the store stands."""
    with database.session() as session:
        ready(session)
        add_game(session, GAME, who="coach")
        change_line(session, replace(LINES[0], made=3), who="coach")
        remove_line(session, LINES[1].id, who="coach")
        assert record_lines(session, GAME.id, LINES, who="coach") == 0
        assert {one.made for one in get_game(session, GAME.id).lines} == {2, 3}
        with pytest.raises(Conflict):
            record_lines(session, GAME.id, [replace(LINES[0], made=1)], who="coach")


def test_a_removed_game_takes_its_lines_along(database: Database) -> None:
    with database.session() as session:
        ready(session)
        add_game(session, GAME, who="coach")
        assert by_id(remove_game(session, GAME.id, who="coach")) == set(LINES)
        assert list_games(session, ONE.id) == []
        assert edits_of(session, LINES[3].id)[-1].what == "remove"


def test_a_removed_player_takes_the_lines_along_and_games_of_nobody_else(
    database: Database,
) -> None:
    alone = Game(id=UUID(int=30), day=DAY, lines=(replace(LINES[0], id=UUID(int=31)),))
    with database.session() as session:
        ready(session)
        add_game(session, GAME, who="coach")
        add_game(session, alone, who="coach")
        change = AnnouncedChange(name="higher finish", day=DAY)
        announce_change(
            session, Announced(id=UUID(int=40), player_id=ONE.id, change=change), who="coach"
        )
        remove_player(session, ONE.id, who="coach")
        assert by_id(get_game(session, GAME.id)) == {LINES[3]}
        with pytest.raises(NotFound):
            get_game(session, alone.id)
        add_player(session, ONE, who="coach")
        assert announced_changes(session, ONE.id) == []


def test_an_announced_change_is_kept_and_can_be_taken_back(database: Database) -> None:
    change = AnnouncedChange(name="higher finish", day=DAY, dip_days=21)
    announced = Announced(id=UUID(int=40), player_id=ONE.id, change=change)
    with database.session() as session:
        ready(session)
        for _ in range(2):
            announce_change(session, announced, who="coach")
        assert announced_changes(session, ONE.id) == [announced]
        with pytest.raises(Conflict):
            announce_change(
                session, replace(announced, change=replace(change, dip_days=7)), who="coach"
            )
        withdraw_change(session, announced.id, who="coach")
        assert announced_changes(session, ONE.id) == []
        assert [one.what for one in edits_of(session, announced.id)] == ["add", "remove"]


REFUSED: list[Callable[[Session], object]] = [
    lambda s: add_game(s, replace(GAME, day=date(1900, 1, 1)), who="coach"),
    lambda s: add_game(s, replace(GAME, opponent="x" * 81), who="coach"),
    lambda s: add_game(
        s,
        replace(GAME, lines=(line(15, Player(id=UUID(int=9), name="x"), ShotType.TWO),)),
        who="coach",
    ),
    lambda s: add_game(s, GAME, who=""),
    lambda s: change_game(s, GAME, who="coach"),
    lambda s: remove_game(s, GAME.id, who="coach"),
    lambda s: get_game(s, GAME.id),
    lambda s: record_lines(s, GAME.id, LINES, who="coach"),
    lambda s: change_line(s, LINES[0], who="coach"),
    lambda s: remove_line(s, LINES[0].id, who="coach"),
    lambda s: list_games(s, UUID(int=9)),
    lambda s: announced_changes(s, UUID(int=9)),
    lambda s: withdraw_change(s, UUID(int=9), who="coach"),
]


def test_what_is_refused_is_said_in_one_sentence_and_changes_nothing(database: Database) -> None:
    with database.session() as session:
        ready(session)
    for bad in REFUSED:
        with pytest.raises((BadInput, NotFound)) as caught, database.session() as session:
            bad(session)
        assert caught.value.message.endswith(".")
    with database.reading() as session:
        assert list_games(session, ONE.id) == []
        assert edits_of(session, GAME.id) == []
