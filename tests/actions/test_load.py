"""Load and flags: kept, never silently gone, and read together with what was charted and played."""

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from uuid import UUID

import pytest
from sqlalchemy.orm import Session

from hoopwright.actions.games import add_game
from hoopwright.actions.load import (
    cautions_for,
    change_load,
    check_may_practise,
    clear_flag,
    flags_of,
    load_of,
    note_load,
    raise_flag,
    remove_load,
    stopped_on,
    withdraw_flag,
)
from hoopwright.actions.people import add_player, forget_player
from hoopwright.actions.shots import edits_of, start_workout
from hoopwright.errors import BadInput, Conflict, NotFound
from hoopwright.load.nouns import CautionKind, Clearer, Flag, FlagKind, LoadEntry
from hoopwright.records import Player, Shot, ShotSet, Spot, Workout
from hoopwright.store.engine import Database
from hoopwright.transfer.nouns import Game, GameLine, ShotType

TODAY = date(2026, 11, 20)
PLAYER = Player(id=UUID(int=1), name="Invented A", birth_year=2014)
ENTRY = LoadEntry(
    id=UUID(int=2), player_id=PLAYER.id, day=TODAY, organised_minutes=90.0,
    self_led_minutes=20.0, coached_shots=60, self_led_shots=10, games=1, note="team practice",
)  # fmt: skip
KNOCK = Flag(
    id=UUID(int=3), player_id=PLAYER.id, kind=FlagKind.HEAD_KNOCK, day=TODAY,
    note="fell on the floor", reported_by="father",
)  # fmt: skip


def ready(session: Session) -> None:
    add_player(session, PLAYER, who="coach")


def charted(session: Session, day: date, shots: int) -> None:
    first = 1000 * day.toordinal()
    workout = Workout(id=UUID(int=first), player_id=PLAYER.id, day=day)
    spot = Spot(name="free throw", x=0.0, y=4.225)
    made = tuple(Shot(id=UUID(int=first + 2 + i), made=True) for i in range(shots))
    one = ShotSet(id=UUID(int=first + 1), workout_id=workout.id, position=0, spot=spot, shots=made)
    start_workout(session, replace(workout, sets=(one,)), who="coach")


def test_a_load_entry_comes_back_whole_and_once(database: Database) -> None:
    with database.session() as session:
        ready(session)
        for _ in range(2):
            assert note_load(session, ENTRY, who="coach") == ENTRY
    with database.reading() as session:
        assert load_of(session, PLAYER.id) == [ENTRY]
        assert load_of(session, PLAYER.id, since=TODAY + timedelta(days=1)) == []
        assert [one.what for one in edits_of(session, ENTRY.id)] == ["add"]


def test_a_load_entry_is_changed_and_removed_with_a_trace(database: Database) -> None:
    with database.session() as session:
        ready(session)
        note_load(session, ENTRY, who="coach")
        with pytest.raises(Conflict):
            note_load(session, replace(ENTRY, games=2), who="coach")
        change_load(session, replace(ENTRY, games=2), who="assistant")
        assert load_of(session, PLAYER.id)[0].games == 2
        remove_load(session, ENTRY.id, who="coach")
        assert load_of(session, PLAYER.id) == []
        log = edits_of(session, ENTRY.id)
    assert [(one.kind, one.what) for one in log] == [
        ("load", "add"),
        ("load", "change"),
        ("load", "remove"),
    ]
    assert [json.loads(one.before)["games"] for one in log[1:]] == [1, 2]


def test_a_head_knock_stops_until_a_professional_clears_it(database: Database) -> None:
    later = TODAY + timedelta(days=6)
    with database.session() as session:
        ready(session)
        assert raise_flag(session, KNOCK, who="coach") == KNOCK
        assert raise_flag(session, KNOCK, who="coach") == KNOCK
        assert cautions_for(session, PLAYER.id, TODAY).stopped
        assert set(stopped_on(session, TODAY)) == {PLAYER.id}
        with pytest.raises(BadInput, match="do not return today"):
            check_may_practise(session, PLAYER.id, TODAY)
        with pytest.raises(BadInput, match="health professional"):
            clear_flag(
                session, KNOCK.id, on=later, by=Clearer.FAMILY, name="father", who="coach"
            )  # fmt: skip
        with pytest.raises(BadInput, match="later day"):
            clear_flag(
                session, KNOCK.id, on=TODAY, by=Clearer.PROFESSIONAL, name="a doctor", who="coach"
            )
        cleared = clear_flag(
            session, KNOCK.id, on=later, by=Clearer.PROFESSIONAL, name="a doctor", who="coach"
        )
        assert flags_of(session, PLAYER.id) == [cleared]
        assert cautions_for(session, PLAYER.id, later - timedelta(days=1)).stopped
        assert not cautions_for(session, PLAYER.id, later).stopped
        assert stopped_on(session, later) == {}
        check_may_practise(session, PLAYER.id, later)
        # a phone that was offline sends it again
        assert raise_flag(session, KNOCK, who="coach") == cleared


def test_a_flag_raised_by_mistake_leaves_a_trace_and_a_reason(database: Database) -> None:
    with database.session() as session:
        ready(session)
        raise_flag(session, KNOCK, who="coach")
        with pytest.raises(BadInput, match="reason"):
            withdraw_flag(session, KNOCK.id, reason=" ", who="coach")
        withdraw_flag(session, KNOCK.id, reason="another player", who="coach")
        assert flags_of(session, PLAYER.id) == []
        log = edits_of(session, KNOCK.id)
    assert [one.what for one in log] == ["add", "change", "remove"]
    assert "another player" in json.loads(log[-1].before)["note"]


def test_who_reported_a_flag_is_who_wrote_it_down_where_nobody_is_named(
    database: Database,
) -> None:
    with database.session() as session:
        ready(session)
        assert raise_flag(session, replace(KNOCK, reported_by=""), who="me").reported_by == "me"


def test_shots_charted_and_games_entered_count_without_being_written_down(
    database: Database,
) -> None:
    """Limit at eleven years: 100 shots a day (common practice, no source)."""
    line = GameLine(
        id=UUID(int=5), player_id=PLAYER.id, game_id=UUID(int=4), day=TODAY,
        shot_type=ShotType.TWO, attempts=4, made=2,
    )  # fmt: skip
    with database.session() as session:
        ready(session)
        note_load(session, replace(ENTRY, games=0), who="coach")
        assert cautions_for(session, PLAYER.id, TODAY).cautions == ()
        # 70 of the 140 charted shots are those written down
        charted(session, TODAY, 140)
        first = cautions_for(session, PLAYER.id, TODAY)
        for number in (11, 12, 13):
            one = replace(line, id=UUID(int=number), game_id=UUID(int=10 * number))
            game = Game(id=one.game_id, day=TODAY, lines=(one,))
            add_game(session, game, who="coach")
        both = cautions_for(session, PLAYER.id, TODAY)
    (shots,) = first.cautions
    assert shots.kind is CautionKind.SESSION_SHOTS
    assert "140 shots" in shots.message
    assert {one.kind for one in both.cautions} == {CautionKind.SESSION_SHOTS, CautionKind.GAMES}
    assert first.age == 11
    assert first.entries == (replace(ENTRY, games=0),)


def test_a_forgotten_player_takes_load_and_flags_along(database: Database) -> None:
    with database.session() as session:
        ready(session)
        note_load(session, ENTRY, who="coach")
        raise_flag(session, KNOCK, who="coach")
        forget_player(session, PLAYER.id, who="coach")
        assert stopped_on(session, TODAY) == {}
        assert [one.before for one in edits_of(session, KNOCK.id)] == [""]
        ready(session)
        assert (load_of(session, PLAYER.id), flags_of(session, PLAYER.id)) == ([], [])


NO_DAY = date(1900, 1, 1)


REFUSED: list[Callable[[Session], object]] = [
    lambda s: note_load(s, replace(ENTRY, day=NO_DAY), who="coach"),
    lambda s: note_load(s, LoadEntry(id=UUID(int=9), player_id=PLAYER.id, day=TODAY), who="c"),
    lambda s: note_load(s, replace(ENTRY, note="x" * 401), who="coach"),
    lambda s: note_load(s, ENTRY, who=" "),
    lambda s: note_load(s, replace(ENTRY, player_id=UUID(int=8)), who="coach"),
    lambda s: change_load(s, ENTRY, who="coach"),
    lambda s: remove_load(s, ENTRY.id, who="coach"),
    lambda s: load_of(s, UUID(int=8)),
    lambda s: raise_flag(s, replace(KNOCK, day=NO_DAY), who="coach"),
    lambda s: raise_flag(s, replace(KNOCK, player_id=UUID(int=8)), who="coach"),
    lambda s: raise_flag(
        s,
        replace(KNOCK, cleared_on=date(2026, 12, 1), cleared_by=Clearer.PROFESSIONAL),
        who="coach",
    ),
    lambda s: clear_flag(
        s, KNOCK.id, on=date(2026, 12, 1), by=Clearer.PROFESSIONAL, name="x", who="c"
    ),
    lambda s: withdraw_flag(s, KNOCK.id, reason="x", who="coach"),
    lambda s: flags_of(s, UUID(int=8)),
    lambda s: cautions_for(s, UUID(int=8), TODAY),
]


def test_what_is_refused_is_said_in_one_sentence_and_changes_nothing(database: Database) -> None:
    with database.session() as session:
        ready(session)
    for bad in REFUSED:
        with pytest.raises((BadInput, NotFound)) as caught, database.session() as session:
            bad(session)
        assert caught.value.message.endswith(".")
    with database.reading() as session:
        assert (load_of(session, PLAYER.id), flags_of(session, PLAYER.id)) == ([], [])
        assert edits_of(session, ENTRY.id) == edits_of(session, KNOCK.id) == []
