"""What games say beside practice, collected from the store, and games from a table."""

from dataclasses import replace
from datetime import date, timedelta
from uuid import UUID, uuid5

import pytest
from sqlalchemy.orm import Session

from hoopwright.actions.games import (
    add_game,
    change_line,
    forecast_games,
    has_transferred,
    import_games,
    list_games,
    practice_to_games,
    remove_line,
)
from hoopwright.actions.games.practised import band_of, practised
from hoopwright.actions.people import add_player, find_player, list_players
from hoopwright.actions.shots import start_workout
from hoopwright.court.frame import spot_at, spot_named
from hoopwright.errors import BadInput, BadTable, Conflict
from hoopwright.records import Player, Shot, ShotSet, Spot, Workout
from hoopwright.store.engine import Database
from hoopwright.transfer.nouns import AnnouncedChange, Band, Game, GameLine, ShotType
from hoopwright.trials.nouns import Said

DAY = date(2026, 11, 2)
PLAYER = Player(id=UUID(int=1), name="Invented A", coach="Invented Coach")
TOP = spot_named("top")


def charted(
    session: Session, player: Player, made: int, of: int, *, spot: Spot = TOP, **changes: object
) -> None:
    day = changes.pop("day", DAY)
    assert isinstance(day, date)
    visit = Workout(id=uuid5(player.id, f"{spot} {changes} {day}"), player_id=player.id, day=day)
    one = ShotSet(
        id=uuid5(visit.id, "set"), workout_id=visit.id, position=0, spot=spot,
        shots=tuple(Shot(id=uuid5(visit.id, str(i)), made=i < made) for i in range(of)),
    )  # fmt: skip
    whole = replace(one, **changes)  # type: ignore[arg-type]
    start_workout(session, replace(visit, sets=(whole,)), who="coach")


def played(
    session: Session, player: Player, made: int, of: int, *, day: date = DAY,
    kind: ShotType = ShotType.THREE, contested: bool | None = None,
) -> None:  # fmt: skip
    game_id = uuid5(player.id, f"{day}")
    line = GameLine(
        id=uuid5(game_id, f"{kind} {contested}"), player_id=player.id, game_id=game_id, day=day,
        shot_type=kind, contested=contested, attempts=of, made=made,
    )  # fmt: skip
    add_game(session, Game(id=game_id, day=day, lines=(line,)), who="coach")


@pytest.mark.parametrize(
    ("spot", "band"),
    [
        (spot_named("free throw"), Band.FREE_THROW),
        (spot_named("left corner"), Band.THREE),
        (spot_at(6.7), Band.MID),
        (spot_at(6.76), Band.THREE),
        (spot_at(1.5), Band.RIM),
    ],
    ids=str,
)
def test_how_games_count_a_spot(spot: Spot, band: Band) -> None:
    """FIBA 2024, diagram 2: the three-point line is 6.75 m from the ring's middle."""
    assert band_of(spot, "fiba") is band


def test_practice_is_the_usual_way_lately_without_drills_to_makes(database: Database) -> None:
    with database.session() as session:
        add_player(session, PLAYER, who="coach")
        assert practised(session, PLAYER) == {}
        charted(session, PLAYER, 8, 10)
        charted(session, PLAYER, 5, 10, spot=spot_at(3.0))
        charted(session, PLAYER, 10, 10, condition="feet turned")
        charted(session, PLAYER, 10, 10, stops_on_makes=True)
        charted(session, PLAYER, 10, 10, day=DAY - timedelta(days=200))
        found = practised(session, PLAYER)
    counts = {band: (one.made, one.attempts) for band, one in found.items()}
    assert counts == {Band.THREE: (8, 10), Band.MID: (5, 10), Band.TWO: (5, 10)}


def test_eight_of_ten_alone_reads_about_four_in_games_before_any_game(database: Database) -> None:
    """The trade's rule of thumb that games halve practice: common practice, no source."""
    with database.session() as session:
        add_player(session, PLAYER, who="coach")
        charted(session, PLAYER, 80, 100)
        (row,) = practice_to_games(session, PLAYER.id).rows
    assert row.played.shot_type is ShotType.THREE
    assert row.game.value == pytest.approx(0.40, abs=0.03)
    assert row.game.high80 - row.game.low80 > 0.2
    assert row.attempts_needed > 0


def test_a_coachs_games_move_the_start_of_the_others(database: Database) -> None:
    """Ten players who keep nine tenths of practice: the eleventh starts far above a half."""
    others = [replace(PLAYER, id=UUID(int=n), name=f"Invented {n}") for n in range(2, 12)]
    stranger = replace(PLAYER, id=UUID(int=12), name="Invented S", coach="Another")
    with database.session() as session:
        for one in (PLAYER, *others, stranger):
            add_player(session, one, who="coach")
            charted(session, one, 80, 160)
        for one in others:
            played(session, one, 90, 200)
        (row,) = practice_to_games(session, PLAYER.id).rows
        (alone,) = practice_to_games(session, stranger.id).rows
    assert (row.others, alone.others) == (10, 0)
    assert row.ratio.value > 0.7 > alone.ratio.value


def test_contested_and_open_attempts_have_rows_of_their_own(database: Database) -> None:
    with database.session() as session:
        add_player(session, PLAYER, who="coach")
        charted(session, PLAYER, 20, 50)
        played(session, PLAYER, 1, 10, contested=True)
        played(session, PLAYER, 4, 10, contested=False, day=DAY + timedelta(days=7))
        played(session, PLAYER, 3, 4, kind=ShotType.RIM, day=DAY + timedelta(days=8))
        reading = practice_to_games(session, PLAYER.id)
    assert [(r.played.contested, r.played.attempts, r.played.made) for r in reading.rows] == [
        (None, 20, 5),
        (True, 10, 1),
        (False, 10, 4),
    ]
    assert (reading.not_practised, reading.games) == ((ShotType.RIM,), 3)


def test_the_next_games_are_foreseen_as_many_attempts_as_so_far(database: Database) -> None:
    with database.session() as session:
        add_player(session, PLAYER, who="coach")
        charted(session, PLAYER, 40, 100)
        with pytest.raises(BadInput, match="how many attempts"):
            forecast_games(session, PLAYER.id, games=5)
        played(session, PLAYER, 2, 6)
        played(session, PLAYER, 1, 4, day=DAY + timedelta(days=7))
        played(session, PLAYER, 1, 2, kind=ShotType.RIM, day=DAY + timedelta(days=8))
        five = forecast_games(session, PLAYER.id, games=6)
        asked = forecast_games(session, PLAYER.id, games=1, attempts={ShotType.THREE: 10})
        with pytest.raises(BadInput, match="Nothing is charted"):
            forecast_games(session, PLAYER.id, games=1, attempts={ShotType.RIM: 10})
        with pytest.raises(BadInput, match="games can be foreseen"):
            forecast_games(session, PLAYER.id, games=0)
    assert (five.attempts, five.left_out) == ({ShotType.THREE: 20}, (ShotType.RIM,))
    assert five.forecast.makes.low80 < five.forecast.makes.value < five.forecast.makes.high80
    assert asked.forecast.attempts == 10
    assert asked.forecast.points.value == pytest.approx(3 * asked.forecast.makes.value)


def test_a_change_is_read_before_and_after_its_dip(database: Database) -> None:
    change = AnnouncedChange(name="feet turned", day=DAY, dip_days=14)
    with database.session() as session:
        add_player(session, PLAYER, who="coach")
        nothing = has_transferred(session, PLAYER.id, change=change)
        for week in (1, 2):
            played(session, PLAYER, 40, 200, day=DAY - timedelta(weeks=week))
        played(session, PLAYER, 0, 50, day=DAY + timedelta(days=7))
        for week in (3, 4):
            played(session, PLAYER, 100, 200, day=DAY + timedelta(weeks=week))
        found = has_transferred(session, PLAYER.id, change=change)
    assert nothing.transfer is None
    assert nothing.missing.endswith(".")
    assert found.transfer is not None
    assert (found.transfer.said, found.while_new) == (Said.BETTER, 50)
    assert found.transfer.plain == pytest.approx(30.0)


HEAD = "player,date,opponent,shot_type,attempts,made,contested"
ROWS = (
    "Invented A,2026-11-14,Invented Herons,three,6,2,yes",
    "Invented A,2026-11-14,Invented Herons,free throw,4,3,",
    "Invented B,2026-11-14,invented herons,three,5,1,no",
    "Invented A,2026-11-21,Invented Otters,three,7,3,yes",
)


def table(*rows: str) -> bytes:
    return "\n".join([HEAD, *rows]).encode()


def test_the_same_table_twice_adds_nothing(database: Database) -> None:
    for expected in ((1, 2, 4, 0), (0, 0, 0, 4)):
        with database.session() as session:
            if expected[0]:
                add_player(session, PLAYER, who="coach")
            found = import_games(session, table(*ROWS), name="games.csv", who="coach")
            assert (found.players, found.games, found.lines, found.lines_already) == expected
    with database.reading() as session:
        assert [one.name for one in list_players(session)] == ["Invented A", "Invented B"]
        games = list_games(session, PLAYER.id)
    assert [(one.opponent, len(one.lines)) for one in games] == [
        ("Invented Herons", 2),
        ("Invented Otters", 1),
    ]


def test_what_was_corrected_or_removed_in_the_store_stays_so(database: Database) -> None:
    with database.session() as session:
        add_player(session, PLAYER, who="coach")
        import_games(session, table(*ROWS), name="games.csv", who="coach")
        herons, otters = list_games(session, PLAYER.id)
        change_line(session, replace(otters.lines[0], made=4), who="coach")
        remove_line(session, herons.lines[0].id, who="coach")
        again = import_games(session, table(*ROWS), name="games.csv", who="coach")
        assert again.lines == 0
        herons, otters = list_games(session, PLAYER.id)
    assert (len(herons.lines), otters.lines[0].made) == (1, 4)


def test_a_row_changed_since_is_refused_and_nothing_kept(database: Database) -> None:
    with database.session() as session:
        add_player(session, PLAYER, who="coach")
        import_games(session, table(*ROWS[:3]), name="games.csv", who="coach")
    changed = table(ROWS[3], ROWS[0].replace("6,2", "6,5"))
    with pytest.raises(Conflict) as caught, database.session() as session:
        import_games(session, changed, name="games.csv", who="coach")
    assert "game of 2026-11-14 against Invented Herons" in caught.value.message
    with database.reading() as session:
        assert len(list_games(session, PLAYER.id)) == 1


def test_a_game_entered_by_hand_is_found_and_doubles_are_named(database: Database) -> None:
    by_hand = GameLine(
        id=UUID(int=51), player_id=PLAYER.id, game_id=UUID(int=50), day=date(2026, 11, 14),
        shot_type=ShotType.THREE, contested=True, attempts=6, made=2,
    )  # fmt: skip
    game = Game(id=by_hand.game_id, day=by_hand.day, opponent="invented herons", lines=(by_hand,))
    with database.session() as session:
        add_player(session, PLAYER, who="coach")
        add_game(session, game, who="coach")
        found = import_games(session, table(*ROWS[:3]), name="games.csv", who="coach")
        (one,) = list_games(session, PLAYER.id)
    assert (found.games, found.lines, one.id) == (0, 3, game.id)
    assert any("counted twice" in note for note in found.notes)


def test_a_bad_row_keeps_everything_out(database: Database) -> None:
    with pytest.raises(BadTable) as caught, database.session() as session:
        import_games(
            session, table(*ROWS, "Invented C,2026-11-21,,dunk,1,1,"), name="g.csv", who="c"
        )
    assert [one.row for one in caught.value.rows] == [6]
    with database.reading() as session:
        assert list_players(session) == []


def test_players_are_found_by_name(database: Database) -> None:
    with database.session() as session:
        add_player(session, replace(PLAYER, birth_year=2010), who="coach")
        found = import_games(session, table(ROWS[0]), name="games.csv", who="coach")
        assert found.players == 0
        assert len(list_games(session, find_player(session, "invented a").id)) == 1
